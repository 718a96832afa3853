//! The words of a kitchen line to a food and a state.
//!
//! The longest name that stands in the words wins, the last one between equals, since the head of
//! a compound comes last. Every other word must be known not to change the food; a word that
//! belongs to another food rules the match out (`garlic bread` is not garlic), a word nobody knows
//! makes it doubtful. Misspelt words are corrected to the nearest known one and never give an exact
//! match.

mod answer;
mod known;
pub(crate) mod normal;
mod phrases;
mod spelling;
mod states;

use std::collections::{BTreeMap, HashMap, HashSet};

use tamis_scoring::allergens::Allergens;
use tamis_scoring::dish::FoodClass;
use tamis_scoring::quantity::FoodId;

use crate::Catalogue;
use crate::load::Tables;
use crate::schema::FoodRow;
pub use answer::{Confidence, Match, Matching, StateChoice};
use normal::{Accents, words, words_with};
use phrases::{contains, essential, settle_phrases};
use spelling::{Nearness, Vocabulary};
use states::StateWords;

/// How many foods are named as tried.
const MAX_TRIED: usize = 5;

#[derive(Debug)]
struct Entry {
    id: FoodId,
    names: Vec<Vec<String>>,
    class: FoodClass,
    family: String,
    allergens: Allergens,
    states: StateWords,
}

impl Entry {
    fn is_kin_of(&self, other: &Self) -> bool {
        let family = !self.family.is_empty() && self.family == other.family;
        let dairy = self.class == FoodClass::Dairy && other.class == FoodClass::Dairy;
        self.allergens == other.allergens && (family || dairy)
    }
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

/// Every name of a food, its plain name first, as comparable words.
pub(crate) fn names(food: &FoodRow, accents: Accents) -> Vec<Vec<String>> {
    let mut out: Vec<Vec<String>> = Vec::new();
    for text in std::iter::once(&food.name).chain(&food.synonyms) {
        let name = words_with(text, accents);
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
            index
                .state_words
                .extend(states.all_words().map(str::to_owned));
            for name in names(food, Accents::Kept) {
                index.phrases.entry(name.join(" ")).or_insert(place);
            }
            let names = names(food, Accents::Folded);
            index.foods.push(Entry {
                id: food.id.clone(),
                names,
                class: food.class,
                family: food.family.clone(),
                allergens: food.allergens,
                states,
            });
        }
        // After all names as written, so that a folded one never takes the place of another's own.
        for (place, entry) in index.foods.iter().enumerate() {
            for name in &entry.names {
                index.longest = index.longest.max(name.len());
                index.name_words.extend(name.iter().cloned());
                index.phrases.entry(name.join(" ")).or_insert(place);
                index.joined.entry(name.concat()).or_insert(place);
                let mut sorted = name.clone();
                sorted.sort();
                index.unordered.entry(sorted.join(" ")).or_insert(place);
            }
        }
        index.vocabulary = Vocabulary::new(index.name_words.iter().map(String::as_str));
        index
    }

    pub(crate) fn find(&self, text: &str, preparation: &[&str]) -> Matching {
        if let Some(found) = self.by_id(text) {
            return found;
        }
        let kept = words_with(text, Accents::Kept);
        let mut line = words(text);
        for (word, kept) in line.iter_mut().zip(kept) {
            // Only a word that is itself a name keeps its accents; all else is compared without.
            if kept != *word && self.phrases.contains_key(&kept) {
                *word = kept;
            }
        }
        let line = essential(line);
        let doings: Vec<Vec<String>> = preparation.iter().take(16).map(|p| words(p)).collect();
        let order = if text.contains(',') {
            Confidence::Exact
        } else {
            Confidence::Close
        };
        let first = self.best(&line);
        if let Some(attempt) = first.as_ref().filter(|a| a.unknown.is_empty()) {
            let longer = self.extended(&line, attempt.window, &doings);
            let window = Window {
                food: longer.unwrap_or(attempt.window.food),
                ..attempt.window
            };
            let attempt = Attempt {
                window,
                unknown: Vec::new(),
            };
            if window.end - window.start == 1 && Self::is_unsaid_plural(text, &line[window.start]) {
                let mut found = self.found(&line, &attempt, &doings, Confidence::Doubtful);
                if let Matching::Found(m) = &mut found {
                    m.doubts
                        .push("'peppers' may be sweet, hot or black ones".to_owned());
                }
                return found;
            }
            return self.found(&line, &attempt, &doings, Confidence::Exact);
        }
        if let Some(food) = self.in_any_order(&line) {
            let attempt = Attempt {
                window: Window {
                    start: 0,
                    end: line.len(),
                    food,
                },
                unknown: Vec::new(),
            };
            return self.found(&line, &attempt, &doings, order);
        }
        if let Some(found) = self.corrected(&line, &doings) {
            return found;
        }
        match first {
            Some(attempt) => self.found(&line, &attempt, &doings, Confidence::Doubtful),
            None => Matching::NotFound {
                tried: self.tried(&line, None),
            },
        }
    }

    /// `pepper` is the spice; `peppers` are some fruit of the capsicum, and nobody knows which.
    fn is_unsaid_plural(text: &str, word: &str) -> bool {
        word == "pepper"
            && text
                .to_lowercase()
                .split(|c: char| !c.is_alphanumeric())
                .any(|w| w == "peppers")
    }

    fn by_id(&self, text: &str) -> Option<Matching> {
        let place = *self.places.get(
            &FoodId::new(text.trim())
                .ok()
                .filter(|id| id.as_str().contains('-'))?,
        )?;
        let entry = self.foods.get(place)?;
        let (state, choice) = entry.states.choose(&[], &[]);
        Some(Matching::Found(Match {
            food: entry.id.clone(),
            state,
            choice,
            confidence: Confidence::Exact,
            tried: vec![entry.id.clone()],
            doubts: Vec::new(),
        }))
    }

    /// Foods one of whose names holds every word, as the beginning of a word; all without words.
    pub(crate) fn holding(&self, query: &str) -> Vec<&FoodId> {
        let wanted = words(query);
        let holds = |name: &Vec<String>| {
            wanted
                .iter()
                .all(|w| name.iter().any(|n| n.starts_with(w.as_str())))
        };
        let id_holds = |id: &FoodId| query.trim() == id.as_str();
        self.places
            .iter()
            .filter_map(|(id, &place)| Some((id, self.foods.get(place)?)))
            .filter(|(id, entry)| {
                wanted.is_empty() || id_holds(id) || entry.names.iter().any(holds)
            })
            .map(|(id, _)| id)
            .collect()
    }

    /// How many names lead to a food.
    pub(crate) fn names(&self) -> usize {
        self.foods.iter().map(|f| f.names.len()).sum()
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
                    (length <= 2)
                        .then(|| self.joined.get(&slice.concat()))
                        .flatten()
                });
                if let Some(&food) = found {
                    out.push(Window {
                        start,
                        end: start + length,
                        food,
                    });
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
                Some(unknown)
                    if doubtful
                        .as_ref()
                        .is_none_or(|d| unknown.len() < d.unknown.len()) =>
                {
                    doubtful = Some(Attempt { window, unknown });
                }
                Some(_) | None => {}
            }
        }
        doubtful
    }

    /// The words beside a name that nobody knows; `None` where one of them is another food.
    fn left_over(
        &self,
        line: &[String],
        window: Window,
        windows: &[Window],
    ) -> Option<Vec<String>> {
        let entry = self.foods.get(window.food)?;
        let mut settled: Vec<bool> = (0..line.len())
            .map(|i| (window.start..window.end).contains(&i))
            .collect();
        for w in windows.iter().filter(|w| w.food == window.food) {
            settled[w.start..w.end].fill(true);
        }
        settle_phrases(line, &mut settled, entry.allergens);
        let mut unknown = Vec::new();
        for (i, word) in line.iter().enumerate() {
            let harmless = settled[i]
                || known::is_neutral(word)
                || known::is_cooked(word)
                || known::is_implied(word, entry.class, &entry.family)
                || entry.states.has_word(word);
            if harmless {
                settled[i] = true;
            } else {
                unknown.push(word.clone());
            }
        }
        // A longer name of another food that reaches out of this one is as good a reading (`white
        // chocolate` and `chocolate chips`), unless the two are close kin (`white bread` crumbs).
        let is_other = |w: &Window| {
            let inside = window.start <= w.start && w.end <= window.end;
            let rival = w.end - w.start > 1
                && !inside
                && self
                    .foods
                    .get(w.food)
                    .is_none_or(|other| !entry.is_kin_of(other));
            w.food != window.food && (rival || (w.start..w.end).any(|i| !settled[i]))
        };
        if windows.iter().any(is_other) {
            None
        } else {
            Some(unknown)
        }
    }

    /// The food whose name is this one and one or two of the words beside it: `onion, red` is the red
    /// onion. Words that name a food by themselves are left alone: `garlic, oil` is not garlic oil.
    fn extended(&self, line: &[String], window: Window, doings: &[Vec<String>]) -> Option<usize> {
        let name = line.get(window.start..window.end)?;
        let outside = line
            .iter()
            .enumerate()
            .filter(|(i, _)| !(window.start..window.end).contains(i))
            .map(|(_, w)| w);
        let said = doings.iter().filter(|d| d.len() <= 4).flatten();
        let mut beside: Vec<&String> = outside.chain(said).collect();
        beside.retain(|w| self.name_words.contains(*w) && !self.phrases.contains_key(*w));
        if ["green", "white"]
            .iter()
            .all(|colour| beside.iter().any(|w| w == colour))
        {
            // Both parts are the whole.
            beside.retain(|w| *w != "green" && *w != "white");
        }
        beside.truncate(8);
        let look = |extra: &[&String]| {
            let mut words: Vec<&str> = name
                .iter()
                .chain(extra.iter().copied())
                .map(String::as_str)
                .collect();
            words.sort_unstable();
            self.unordered
                .get(&words.join(" "))
                .copied()
                .filter(|&food| food != window.food)
        };
        for (i, first) in beside.iter().enumerate() {
            if let Some(food) = beside[i + 1..]
                .iter()
                .find_map(|second| look(&[first, second]))
            {
                return Some(food);
            }
        }
        beside.iter().find_map(|word| look(&[word]))
    }

    fn in_any_order(&self, line: &[String]) -> Option<usize> {
        let mut words: Vec<&str> = line.iter().map(String::as_str).collect();
        words.sort_unstable();
        if let Some(&food) = self.unordered.get(&words.join(" ")) {
            return Some(food);
        }
        // Without the words that change nothing and stand in no name (`green` may, `large` does not),
        // but never down to one word: that was tried.
        words.retain(|w| {
            !(known::is_neutral(w) || known::is_cooked(w)) || self.name_words.contains(*w)
        });
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
        let attempt = self
            .best(&fixed)
            .filter(|a| a.unknown.is_empty())
            .or_else(|| {
                let food = self.in_any_order(&fixed)?;
                Some(Attempt {
                    window: Window {
                        start: 0,
                        end: fixed.len(),
                        food,
                    },
                    unknown: Vec::new(),
                })
            })?;
        let Matching::Found(mut found) = self.found(&fixed, &attempt, doings, confidence) else {
            return None;
        };
        found.doubts.extend(notes);
        Some(Matching::Found(found))
    }

    fn found(
        &self,
        line: &[String],
        attempt: &Attempt,
        doings: &[Vec<String>],
        confidence: Confidence,
    ) -> Matching {
        let window = attempt.window;
        let place = self.part(window, line, doings);
        let Some(entry) = self.foods.get(place) else {
            return Matching::NotFound { tried: Vec::new() };
        };
        let (before, after) = (
            line.get(..window.start).unwrap_or(&[]),
            line.get(window.end..).unwrap_or(&[]),
        );
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
        let texts = || {
            [before, rest]
                .into_iter()
                .chain(doings.iter().map(Vec::as_slice))
        };
        let says = |list: &[&[&str]], not: &str| {
            texts().any(|t| {
                list.iter().any(|phrase| contains(t, phrase)) && !t.iter().any(|w| w == not)
            })
        };
        let (green, white) = (
            says(states::GREEN_PARTS, "white"),
            says(states::WHITE_PARTS, "green"),
        );
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
            if let Some((near, _)) = (!self.name_words.contains(word))
                .then(|| self.vocabulary.nearest(word))
                .flatten()
            {
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
