//! The nearest word of the catalogue to one that was misspelt.

use std::collections::{BTreeSet, HashMap};

/// Shorter words are too close to each other to guess at.
const SHORTEST: usize = 4;
/// From here one slip leaves little doubt.
const SURE: usize = 7;
/// From here two slips are looked for.
const LONG: usize = 8;

/// How well a correction holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Nearness {
    /// One letter too many, too few, or two swapped in a long word, and one candidate.
    Sure,
    /// Anything less.
    Guess,
}

/// The words of all names, by first letter and length.
#[derive(Debug, Default)]
pub(crate) struct Vocabulary {
    buckets: HashMap<(char, usize), Vec<String>>,
}

impl Vocabulary {
    pub(crate) fn new<'a>(words: impl Iterator<Item = &'a str>) -> Self {
        let mut buckets: HashMap<(char, usize), Vec<String>> = HashMap::new();
        for word in words.collect::<BTreeSet<_>>() {
            let length = word.chars().count();
            if let Some(first) = word.chars().next().filter(|_| length >= SHORTEST) {
                buckets
                    .entry((first, length))
                    .or_default()
                    .push(word.to_owned());
            }
        }
        Self { buckets }
    }

    /// The nearest word, `None` where none or several are equally near and far from sure.
    pub(crate) fn nearest(&self, word: &str) -> Option<(&str, Nearness)> {
        let length = word.chars().count();
        let first = word.chars().next()?;
        if length < SHORTEST || !word.chars().all(char::is_alphabetic) {
            return None;
        }
        let reach = if length >= LONG { 2 } else { 1 };
        let mut best: Option<(usize, &str)> = None;
        let mut ties = 0_u32;
        for near in length.saturating_sub(reach)..=length + reach {
            for candidate in self.buckets.get(&(first, near)).into_iter().flatten() {
                let distance = strsim::osa_distance(word, candidate);
                match best {
                    _ if distance > reach => {}
                    Some((d, _)) if distance > d => {}
                    Some((d, _)) if distance == d => ties += 1,
                    _ => {
                        best = Some((distance, candidate));
                        ties = 0;
                    }
                }
            }
        }
        let (distance, found) = best?;
        // Another letter in the place of one is as often another food (chayote, chalota) as a slip.
        // A plural that was kept apart stays apart (bitters, bitter).
        let plural = word.strip_suffix('s') == Some(found);
        let slip = !plural && (found.chars().count() != length || same_letters(word, found));
        let nearness = if distance == 1 && length >= SURE && ties == 0 && slip {
            Nearness::Sure
        } else {
            Nearness::Guess
        };
        Some((found, nearness))
    }
}

fn same_letters(a: &str, b: &str) -> bool {
    let sorted = |s: &str| {
        let mut letters: Vec<char> = s.chars().collect();
        letters.sort_unstable();
        letters
    };
    sorted(a) == sorted(b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_slip_in_a_long_word() {
        let v = Vocabulary::new(["parsley", "parsnip", "onion", "union", "leek"].into_iter());
        assert_eq!(v.nearest("parsely"), Some(("parsley", Nearness::Sure)));
        assert_eq!(v.nearest("parslex"), Some(("parsley", Nearness::Guess)));
        assert_eq!(v.nearest("onoin"), Some(("onion", Nearness::Guess)));
        assert_eq!(v.nearest("lek"), None);
        assert_eq!(v.nearest("xylophone"), None);
    }
}
