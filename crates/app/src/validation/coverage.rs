//! How many ingredient lines lead to a food.

use std::collections::BTreeMap;

use tamis_catalogue::Catalogue;
use tamis_kitchen_text::read_line;

use crate::limits::MAX_LINE_CHARS;
use crate::matching::{self, Found};

/// How many of some lines lead to a food of the catalogue, exactly or closely.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Coverage {
    /// Lines that are not empty.
    pub lines: usize,
    /// Lines whose food is matched.
    pub matched: usize,
    /// Different names in the lines.
    pub names: usize,
    /// Different names that are matched.
    pub names_matched: usize,
    /// Names that are not, the most frequent first.
    pub unmatched: Vec<Unmatched>,
}

/// A name that leads to no food.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unmatched {
    /// The name as read.
    pub name: String,
    /// In how many lines it stands.
    pub lines: usize,
}

pub(super) fn of(catalogue: &Catalogue, lines: &[String]) -> Coverage {
    // A text seen before has the same answer.
    let mut texts: BTreeMap<String, usize> = BTreeMap::new();
    for line in lines {
        let text: String = line.trim().chars().take(MAX_LINE_CHARS).collect();
        if !text.is_empty() {
            *texts.entry(text).or_default() += 1;
        }
    }
    let mut names: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    for (text, count) in texts {
        let line = read_line(&text, 1);
        let found = matches!(matching::find(catalogue, &line), Found::Food { .. });
        let slot = names.entry(line.food_text.to_lowercase()).or_default();
        slot.0 += count;
        if found {
            slot.1 += count;
        }
    }
    let mut unmatched: Vec<Unmatched> = names
        .iter()
        .filter(|(_, (all, matched))| matched < all)
        .map(|(name, (all, matched))| Unmatched {
            name: name.clone(),
            lines: all - matched,
        })
        .collect();
    unmatched.sort_by(|a, b| b.lines.cmp(&a.lines).then_with(|| a.name.cmp(&b.name)));
    Coverage {
        lines: names.values().map(|n| n.0).sum(),
        matched: names.values().map(|n| n.1).sum(),
        names: names.len(),
        names_matched: names.values().filter(|(all, m)| m == all).count(),
        unmatched,
    }
}
