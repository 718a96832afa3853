//! The words of a kitchen line to a food and a state.
//!
//! The longest name that stands in the words wins, the last one between equals, since the head of
//! a compound comes last. Every other word must be known not to change the food; a word that
//! belongs to another food rules the match out (`garlic bread` is not garlic), a word nobody knows
//! makes it doubtful. Misspelt words are corrected to the nearest known one and never give an exact
//! match.

mod known;
pub(crate) mod normal;
mod spelling;
mod states;

use std::collections::{BTreeMap, HashMap, HashSet};

use tamis_scoring::allergens::{Allergen, Allergens};
use tamis_scoring::dish::FoodClass;
use tamis_scoring::quantity::{FoodId, StateId};

use crate::Catalogue;
use crate::load::Tables;
use crate::schema::FoodRow;
use normal::words;
use spelling::{Nearness, Vocabulary};
use states::StateWords;

/// How far a match can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Confidence {
    /// A name of the food, and every other word is accounted for.
    Exact,
    /// One slip of spelling, or the words in another order.
    Close,
    /// Something is not accounted for: show it, do not use it.
    Doubtful,
}

/// How the state was chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StateChoice {
    /// The line says it.
    Said,
    /// The line says nothing; the food's default state.
    Default,
    /// The line says a state that is not in the catalogue for this food; the default state stands
    /// in for it.
    NotHeld(Vec<String>),
}

/// A food and state for a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Match {
    /// The food.
    pub food: FoodId,
    /// Its state.
    pub state: StateId,
    /// How the state was chosen.
    pub choice: StateChoice,
    /// How far to trust the match.
    pub confidence: Confidence,
    /// The foods that were considered, this one first.
    pub tried: Vec<FoodId>,
    /// Words that were not accounted for, or corrected (`parsely -> parsley`).
    pub doubts: Vec<String>,
}

/// What came of looking for a food.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Matching {
    /// A food was found.
    Found(Match),
    /// None was.
    NotFound {
        /// The foods that were considered.
        tried: Vec<FoodId>,
    },
}

impl Matching {
    /// The match, if it can be used: exact or close.
    #[must_use]
    pub fn usable(&self) -> Option<&Match> {
        match self {
            Self::Found(m) if m.confidence != Confidence::Doubtful => Some(m),
            Self::Found(_) | Self::NotFound { .. } => None,
        }
    }
}

/// How many foods are named as tried.
const MAX_TRIED: usize = 5;

#[derive(Debug)]
struct Entry {
    id: FoodId,
    class: FoodClass,
    allergens: Allergens,
    states: StateWords,
}

/// Names of all foods, ready to be looked up.
#[derive(Debug)]
pub(crate) struct Index {
    foods: Vec<Entry>,
    places: BTreeMap<FoodId, usize>,
    phrases: HashMap<String, usize>,
    joined: HashMap<String, usize>,
    unordered: HashMap<String, usize>,
    longest: usize,
    name_words: HashSet<String>,
    state_words: HashSet<String>,
    vocabulary: Vocabulary,
}

/// Every name of a food: its id, its plain name, its synonyms, as comparable words.
pub(crate) fn names(food: &FoodRow) -> Vec<Vec<String>> {
    let mut out: Vec<Vec<String>> = Vec::new();
    let id = food.id.as_str().replace('-', " ");
    for text in [id.as_str(), &food.name].into_iter().chain(food.synonyms.iter().map(String::as_str)) {
        let name = words(text);
        if !name.is_empty() && !out.contains(&name) {
            out.push(name);
        }
    }
    out
}

#[derive(Debug, Clone, Copy)]
struct Window {
    start: usize,
    end: usize,
    food: usize,
}

#[derive(Debug)]
struct Attempt {
    window: Window,
    unknown: Vec<String>,
}

impl Index {
    pub(crate) fn new(tables: &Tables) -> Self {
        let mut index = Self {
            foods: Vec::new(),
            places: BTreeMap::new(),
            phrases: HashMap::new(),
            joined: HashMap::new(),
            unordered: HashMap::new(),
            longest: 1,
            name_words: HashSet::new(),
            state_words: HashSet::new(),
            vocabulary: Vocabulary::default(),
        };
        for food in &tables.foods {
            let place = index.foods.len();
            index.places.insert(food.id.clone(), place);
            let states = StateWords::of(food, &tables.states);
            index.state_words.extend(states.all_words().map(str::to_owned));
            for name in names(food) {
                index.longest = index.longest.max(name.len());
                index.name_words.extend(name.iter().cloned());
                index.joined.entry(name.concat()).or_insert(place);
                let mut sorted = name.clone();
                sorted.sort();
                index.unordered.entry(sorted.join(" ")).or_insert(place);
                index.phrases.entry(name.join(" ")).or_insert(place);
            }
            index.foods.push(Entry { id: food.id.clone(), class: food.class, allergens: food.allergens, states });
        }
        index.vocabulary = Vocabulary::new(index.name_words.iter().map(String::as_str));
        index
    }

    pub(crate) fn find(&self, text: &str, preparation: &[&str]) -> Matching {
        let line = essential(words(text));
        let doings: Vec<Vec<String>> = preparation.iter().take(16).map(|p| words(p)).collect();
        let order = if text.contains(',') { Confidence::Exact } else { Confidence::Close };
        let first = self.best(&line);
        if let Some(attempt) = first.as_ref().filter(|a| a.unknown.is_empty()) {
            return self.found(&line, attempt, &doings, Confidence::Exact);
        }
        if let Some(food) = self.in_any_order(&line) {
            let attempt = Attempt { window: Window { start: 0, end: line.len(), food }, unknown: Vec::new() };
            return self.found(&line, &attempt, &doings, order);
        }
        if let Some(found) = self.corrected(&line, &doings) {
            return found;
        }
        match first {
            Some(attempt) => self.found(&line, &attempt, &doings, Confidence::Doubtful),
            None => Matching::NotFound { tried: self.tried(&line, None) },
        }
    }

    /// All names that stand in the words, longest first, last first.
    fn windows(&self, line: &[String]) -> Vec<Window> {
        let mut out = Vec::new();
        for length in (1..=self.longest.min(line.len())).rev() {
            for start in (0..=line.len() - length).rev() {
                let Some(slice) = line.get(start..start + length) else {
                    continue;
                };
                let found = self.phrases.get(&slice.join(" ")).or_else(|| {
                    // `bean sprout` and `beansprout`; two words at most, else `a b c` could be anything.
                    (length <= 2).then(|| self.joined.get(&slice.concat())).flatten()
                });
                if let Some(&food) = found {
                    out.push(Window { start, end: start + length, food });
                }
            }
        }
        out
    }

    fn best(&self, line: &[String]) -> Option<Attempt> {
        let windows = self.windows(line);
        let mut doubtful: Option<Attempt> = None;
        for &window in windows.iter().take(8) {
            match self.left_over(line, window, &windows) {
                Some(unknown) if unknown.is_empty() => return Some(Attempt { window, unknown }),
                Some(unknown) if doubtful.as_ref().is_none_or(|d| unknown.len() < d.unknown.len()) => {
                    doubtful = Some(Attempt { window, unknown });
                }
                Some(_) | None => {}
            }
        }
        doubtful
    }

    /// The words beside a name that nobody knows; `None` where one of them is another food.
    fn left_over(&self, line: &[String], window: Window, windows: &[Window]) -> Option<Vec<String>> {
        let entry = self.foods.get(window.food)?;
        let mut settled: Vec<bool> =
            (0..line.len()).map(|i| (window.start..window.end).contains(&i)).collect();
        for w in windows.iter().filter(|w| w.food == window.food) {
            settled[w.start..w.end].fill(true);
        }
        settle_phrases(line, &mut settled, entry);
        let mut unknown = Vec::new();
        for (i, word) in line.iter().enumerate() {
            let harmless = settled[i]
                || known::is_neutral(word)
                || known::is_cooked(word)
                || known::is_cut_of(word, entry.class)
                || entry.states.has_word(word);
            if harmless {
                settled[i] = true;
            } else {
                unknown.push(word.clone());
            }
        }
        let is_other = |w: &&Window| w.food != window.food && (w.start..w.end).any(|i| !settled[i]);
        if windows.iter().any(|w| is_other(&w)) { None } else { Some(unknown) }
    }

    fn in_any_order(&self, line: &[String]) -> Option<usize> {
        let mut words: Vec<&str> = line.iter().map(String::as_str).collect();
        words.sort_unstable();
        if let Some(&food) = self.unordered.get(&words.join(" ")) {
            return Some(food);
        }
        // Without the words that change nothing, but never down to one word: that was tried.
        words.retain(|w| !known::is_neutral(w) && !known::is_cooked(w));
        if words.len() < 2 {
            return None;
        }
        self.unordered.get(&words.join(" ")).copied()
    }

    fn corrected(&self, line: &[String], doings: &[Vec<String>]) -> Option<Matching> {
        let mut fixed = line.to_vec();
        let mut notes = Vec::new();
        let mut confidence = Confidence::Close;
        for word in &mut fixed {
            let known = known::is_neutral(word)
                || known::is_cooked(word)
                || self.name_words.contains(word)
                || self.state_words.contains(word);
            if known {
                continue;
            }
            if let Some((near, nearness)) = self.vocabulary.nearest(word) {
                notes.push(format!("{word} -> {near}"));
                *word = near.to_owned();
                if nearness == Nearness::Guess {
                    confidence = Confidence::Doubtful;
                }
            }
        }
        if notes.is_empty() {
            return None;
        }
        let attempt = self.best(&fixed).filter(|a| a.unknown.is_empty()).or_else(|| {
            let food = self.in_any_order(&fixed)?;
            Some(Attempt { window: Window { start: 0, end: fixed.len(), food }, unknown: Vec::new() })
        })?;
        let Matching::Found(mut found) = self.found(&fixed, &attempt, doings, confidence) else {
            return None;
        };
        found.doubts.extend(notes);
        Some(Matching::Found(found))
    }

    fn found(&self, line: &[String], attempt: &Attempt, doings: &[Vec<String>], confidence: Confidence) -> Matching {
        let window = attempt.window;
        let place = self.part(window, line, doings);
        let Some(entry) = self.foods.get(place) else {
            return Matching::NotFound { tried: Vec::new() };
        };
        let (before, after) = (line.get(..window.start).unwrap_or(&[]), line.get(window.end..).unwrap_or(&[]));
        let name = line.get(window.start..window.end).unwrap_or(&[]);
        let mut around: Vec<&[String]> = vec![before, after];
        around.extend(doings.iter().map(Vec::as_slice));
        let (state, choice) = entry.states.choose(name, &around);
        Matching::Found(Match {
            food: entry.id.clone(),
            state,
            choice,
            confidence,
            tried: self.tried(line, Some(place)),
            doubts: attempt.unknown.clone(),
        })
    }

    /// The part of a food that the words single out: `green tops only`, `white part`, `bulb`.
    fn part(&self, window: Window, line: &[String], doings: &[Vec<String>]) -> usize {
        let Some(entry) = self.foods.get(window.food) else {
            return window.food;
        };
        let rest = line.get(window.end..).unwrap_or(&[]);
        let before = line.get(..window.start).unwrap_or(&[]);
        let texts = || [before, rest].into_iter().chain(doings.iter().map(Vec::as_slice));
        let says = |list: &[&[&str]]| texts().any(|t| list.iter().any(|phrase| contains(t, phrase)));
        let (green, white) = (says(states::GREEN_PARTS), says(states::WHITE_PARTS));
        let wanted: &[&str] = match (green, white) {
            (true, false) => &["green"],
            (false, true) => &["white", "bulb"],
            _ => return window.food,
        };
        wanted
            .iter()
            .filter_map(|part| FoodId::new(&format!("{}-{part}", entry.id)).ok())
            .find_map(|id| self.places.get(&id).copied())
            .unwrap_or(window.food)
    }

    fn tried(&self, line: &[String], first: Option<usize>) -> Vec<FoodId> {
        let mut places: Vec<usize> = first.into_iter().collect();
        places.extend(self.windows(line).into_iter().map(|w| w.food));
        for word in line {
            if places.len() >= 2 * MAX_TRIED {
                break;
            }
            if let Some((near, _)) = (!self.name_words.contains(word)).then(|| self.vocabulary.nearest(word)).flatten() {
                places.extend(self.phrases.get(near).copied());
            }
        }
        let mut out: Vec<FoodId> = Vec::new();
        for entry in places.into_iter().filter_map(|p| self.foods.get(p)) {
            if !out.contains(&entry.id) && out.len() < MAX_TRIED {
                out.push(entry.id.clone());
            }
        }
        out
    }
}

/// The words before the purpose of an ingredient.
fn essential(mut line: Vec<String>) -> Vec<String> {
    let purpose = line.iter().skip(1).position(|w| known::PURPOSE.contains(&w.as_str()));
    if let Some(at) = purpose {
        line.truncate(at + 1);
    }
    line
}

/// Settles phrases that change nothing: what a food is packed in, and claims about it.
fn settle_phrases(line: &[String], settled: &mut [bool], entry: &Entry) {
    let mut settle = |start: usize, length: usize| {
        if let Some(slots) = settled.get_mut(start..start + length) {
            slots.fill(true);
        }
    };
    for start in 0..line.len() {
        let rest = &line[start..];
        if rest[0] == "in"
            && let Some(carrier) = known::CARRIERS.iter().find(|c| starts_with(&rest[1..], c))
        {
            settle(start, 1 + carrier.len());
        }
        if let Some(claim) = known::CLAIMS.iter().find(|c| starts_with(rest, c)) {
            settle(start, claim.len());
        }
        for (claim, about) in FREE_FROM {
            if starts_with(rest, claim) && entry.allergens.shared_with(about.iter().copied().collect()).is_empty() {
                settle(start, claim.len());
            }
        }
    }
}

/// Claims that leave a food alone only where it has none of what they exclude.
const FREE_FROM: &[(&[&str], &[Allergen])] = &[
    (&["gluten", "free"], &[Allergen::Gluten, Allergen::Wheat]),
    (&["gf"], &[Allergen::Gluten, Allergen::Wheat]),
    (&["lactose", "free"], &[Allergen::Milk]),
    (&["dairy", "free"], &[Allergen::Milk]),
    (&["vegan"], &[Allergen::Milk, Allergen::Egg]),
    (&["vegetarian"], &[]),
];

fn starts_with(words: &[String], phrase: &[&str]) -> bool {
    words.len() >= phrase.len() && words.iter().zip(phrase).all(|(a, b)| a == b)
}

pub(super) fn contains(words: &[String], phrase: &[&str]) -> bool {
    !phrase.is_empty() && (0..words.len()).any(|i| starts_with(&words[i..], phrase))
}

impl Catalogue {
    /// The food and state that a line names.
    ///
    /// `text` is the part of a line that names the food, `preparation` what is done to it. Any text
    /// is accepted; of a long one, the first 48 words are read.
    #[must_use]
    pub fn find(&self, text: &str, preparation: &[&str]) -> Matching {
        self.inner.index.find(text, preparation)
    }
}

#[cfg(test)]
mod tests;
