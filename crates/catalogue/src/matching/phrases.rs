//! Runs of words that change nothing: purposes, carriers, claims.

use tamis_scoring::allergens::{Allergen, Allergens};

use super::known;

/// The words before the purpose of an ingredient.
pub(super) fn essential(mut line: Vec<String>) -> Vec<String> {
    let purpose = line
        .iter()
        .skip(1)
        .position(|w| known::PURPOSE.contains(&w.as_str()));
    if let Some(at) = purpose {
        line.truncate(at + 1);
    }
    line
}

/// Settles phrases that change nothing: what a food is packed in, and claims about it.
pub(super) fn settle_phrases(line: &[String], settled: &mut [bool], allergens: Allergens) {
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
            if starts_with(rest, claim)
                && allergens
                    .shared_with(about.iter().copied().collect())
                    .is_empty()
            {
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

pub(crate) fn contains(words: &[String], phrase: &[&str]) -> bool {
    !phrase.is_empty() && (0..words.len()).any(|i| starts_with(&words[i..], phrase))
}
