//! Dough: which culture raises it, and for how long.

use tamis_catalogue::Catalogue;
use tamis_kitchen_text::{MethodSentence, Step, Terms};
use tamis_scoring::assessment::Remark;
use tamis_scoring::dish::FoodClass;
use tamis_scoring::processing::Process;
use tamis_scoring::processing::kinetics::{Conditions, Range};
use tamis_scoring::quantity::{Hours, Quantity};

use crate::plate::Item;
use crate::steps::{apply, conditions, has_word};

/// What ferments the flour of a card, and the hours it has.
pub(crate) struct Dough {
    process: Process,
    conditions: Conditions,
    sentence: String,
}

impl Dough {
    /// A card with flour of its own, something that raises it, and a time to rise. Hours of several
    /// steps add up. Where yeast and a starter are both in the dough, the starter's law stands for
    /// both: it is the slower one. Warmth counts only where every step has the same.
    pub(crate) fn of(method: &[MethodSentence], items: &[Item], below: &[Item]) -> Option<Self> {
        if !items.iter().any(is_flour) {
            return None;
        }
        let process = raised_by(items, below)?;
        let rises: Vec<(&str, &Terms)> = method
            .iter()
            .flat_map(|s| s.steps.iter().map(move |step| (s, step)))
            .filter(|(_, step)| matches!(step.step, Step::Ferment(_) | Step::Rest(_)))
            .map(|(sentence, step)| (sentence.text.as_str(), &step.terms))
            .collect();
        let (first, terms) = rises.first()?;
        let (mut low, mut high) = (0.0, 0.0);
        for hours in rises.iter().filter_map(|(_, t)| t.hours) {
            low += hours.low.get();
            high += hours.high.get();
        }
        let one_warmth = rises.iter().all(|(_, t)| t.warmth == terms.warmth);
        let mut conditions = conditions(terms, None);
        conditions.hours = Some(Range::between(Hours::clamped(low), Hours::clamped(high)));
        if !one_warmth {
            conditions.warmth = None;
        }
        Some(Self {
            process,
            conditions,
            sentence: (*first).to_owned(),
        })
    }

    /// Applies the law to the flour of the card, and says so.
    pub(crate) fn ferment(&self, catalogue: &Catalogue, items: &mut [Item]) -> Vec<Remark> {
        let mut beyond = Vec::new();
        for item in items.iter_mut().filter(|item| is_flour(item)) {
            beyond.extend(apply(catalogue, self.process, &self.conditions, item));
        }
        beyond.sort_unstable();
        beyond.dedup();
        let culture = if self.process == Process::YeastFermented {
            "yeast"
        } else {
            "a sourdough culture"
        };
        let hours = self.conditions.hours.map_or_else(String::new, |h| {
            let (low, high) = (h.low().get(), h.high().get());
            if (high - low).abs() < 1e-9 {
                format!("{} h", Shown(low))
            } else {
                format!("{} to {} h", Shown(low), Shown(high))
            }
        });
        let law = format!(
            "the flour of this card is taken as fermented by {culture} for {hours}; cultures differ, and the interval is as wide as they do"
        );
        std::iter::once(law)
            .chain(beyond)
            .map(|text| Remark {
                line: None,
                text: format!("`{}`: {text}", self.sentence),
            })
            .collect()
    }
}

/// Hours with at most two decimals.
struct Shown(f64);

impl std::fmt::Display for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", (self.0 * 100.0).round() / 100.0)
    }
}

/// Flour of its own; a starter on a line is flour that has fermented already.
pub(crate) fn is_flour(item: &Item) -> bool {
    let by_id = item.food.as_ref().is_some_and(|f| {
        f.as_str()
            .split('-')
            .any(|w| w == "flour" || w == "semolina")
    });
    item.class == FoodClass::Grain && by_id
}

fn raised_by(items: &[Item], below: &[Item]) -> Option<Process> {
    let starter = |name: &str| {
        ["levain", "starter", "sourdough"]
            .iter()
            .any(|word| has_word(name, word))
    };
    let yeast = |item: &Item| {
        has_word(&item.name, "yeast")
            && item.class == FoodClass::Additive
            && !has_word(&item.name, "nutritional")
    };
    let sub_recipe = |item: &Item| item.via.as_ref().is_some_and(|via| starter(&via.name));
    if items.iter().any(|i| starter(&i.name)) || below.iter().any(sub_recipe) {
        Some(Process::SourdoughFermented)
    } else if items.iter().any(yeast) {
        Some(Process::YeastFermented)
    } else {
        None
    }
}
