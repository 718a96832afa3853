//! Which state of a food the words of a line mean.

use tamis_scoring::quantity::StateId;

use super::StateChoice;
use super::normal::words;
use super::phrases::contains;
use crate::schema::{FoodRow, StateRow};

/// Words that single out the green of a plant.
pub(super) const GREEN_PARTS: &[&[&str]] = &[
    &["green", "top"],
    &["green", "part"],
    &["green", "only"],
    &["green", "end"],
    &["green", "bit"],
    &["green", "leaf"],
    &["green", "tip"],
    &["green", "section"],
    &["greens"],
    &["top", "only"],
];
/// Words that single out its white.
pub(super) const WHITE_PARTS: &[&[&str]] = &[
    &["white", "part"],
    &["white", "only"],
    &["white", "end"],
    &["white", "section"],
    &["white", "bulb"],
    &["bulb"],
];

#[derive(Debug)]
struct State {
    id: StateId,
    phrases: Vec<Vec<String>>,
    id_words: Vec<String>,
}

/// The words that select each state of one food.
#[derive(Debug)]
pub(super) struct StateWords {
    states: Vec<State>,
    default: StateId,
}

impl StateWords {
    pub(super) fn of(food: &FoodRow, rows: &[StateRow]) -> Self {
        let mut states: Vec<State> = rows
            .iter()
            .filter(|r| r.food == food.id)
            .map(|r| {
                let id_words = words(&r.state.as_str().replace('-', " "));
                let mut phrases: Vec<Vec<String>> = vec![id_words.clone()];
                for phrase in r.words.iter().map(|w| words(w)).filter(|w| !w.is_empty()) {
                    if !phrases.contains(&phrase) {
                        phrases.push(phrase);
                    }
                }
                State {
                    id: r.state.clone(),
                    phrases,
                    id_words,
                }
            })
            .collect();
        // `canned` says nothing between drained and undrained.
        let all: Vec<Vec<String>> = states.iter().map(|s| s.id_words.clone()).collect();
        for state in &mut states {
            state
                .id_words
                .retain(|w| all.iter().filter(|other| other.contains(w)).count() == 1);
        }
        Self {
            states,
            default: food.default_state.clone(),
        }
    }

    /// The single words that name a state.
    pub(super) fn all_words(&self) -> impl Iterator<Item = &str> {
        self.states
            .iter()
            .flat_map(|s| &s.phrases)
            .filter(|p| p.len() == 1)
            .flatten()
            .map(String::as_str)
    }

    /// Whether a word belongs to the states of this food.
    pub(super) fn has_word(&self, word: &str) -> bool {
        self.states
            .iter()
            .any(|s| s.phrases.iter().flatten().any(|w| w == word))
    }

    /// Chooses by the words around the name, else by the name itself, else the default.
    pub(super) fn choose(&self, name: &[String], around: &[&[String]]) -> (StateId, StateChoice) {
        if let Some(id) = self.best(around) {
            return (id, StateChoice::Said);
        }
        let named = self.best(&[name]);
        let default_named = self
            .states
            .iter()
            .any(|s| s.id == self.default && s.score(&[name]).is_some());
        if let Some(id) = named.filter(|_| !default_named) {
            return (id, StateChoice::Said);
        }
        let default = self.default.clone();
        let mut not_held: Vec<String> = around
            .iter()
            .flat_map(|t| t.iter())
            .filter(|w| super::known::is_cooked(w))
            .cloned()
            .collect();
        not_held.dedup();
        if not_held.is_empty() {
            (default, StateChoice::Default)
        } else {
            (default, StateChoice::NotHeld(not_held))
        }
    }

    fn best(&self, texts: &[&[String]]) -> Option<StateId> {
        let mut best: Option<(Score, &State)> = None;
        for state in &self.states {
            if let Some(score) = state.score(texts)
                && best.as_ref().is_none_or(|(b, _)| score > *b)
            {
                best = Some((score, state));
            }
        }
        best.map(|(_, s)| s.id.clone())
    }
}

/// More words first; then anything over `raw`, since `frozen, cooked` is cooked; then the last said.
type Score = (usize, bool, usize);

impl State {
    fn score(&self, texts: &[&[String]]) -> Option<Score> {
        let mut weight = 0;
        let mut last = 0;
        let mut position = 0;
        for text in texts {
            for phrase in &self.phrases {
                let phrase: Vec<&str> = phrase.iter().map(String::as_str).collect();
                if contains(text, &phrase) {
                    let own = phrase
                        .iter()
                        .filter(|w| self.id_words.iter().any(|i| i == *w))
                        .count();
                    weight += phrase.len() + own;
                    let at = text
                        .iter()
                        .rposition(|w| phrase.last().is_some_and(|p| w == p))
                        .unwrap_or(0);
                    last = last.max(position + at + 1);
                }
            }
            position += text.len();
        }
        (weight > 0).then(|| (weight, self.id.as_str() != "raw", last))
    }
}
