//! Amendments in the kitchen's words: what could be held or put in place, judged by the core.

use std::collections::BTreeMap;

use tamis_catalogue::Catalogue;
use tamis_scoring::allergens::Allergens;
use tamis_scoring::amendments::{self, Action, AmendmentKind, Candidate, Plan};
use tamis_scoring::assessment::Amendment;
use tamis_scoring::dish::{Amount, Component, FoodClass, Portion, Stage};
use tamis_scoring::loads::{self, LoadState};
use tamis_scoring::quantity::{FoodId, Grams, Quantity, Ratio};
use tamis_scoring::ruling::{Finding, Outcome, Rules, Ruling};
use tamis_scoring::subgroup::Subgroup;

use crate::answer::figure;
use crate::limits::MAX_PLANS;
use crate::pantry::FoodState;
use crate::plate::Plate;

/// The largest share of a dish that can be left out and still be that dish; common practice, no
/// source.
const LARGEST_HOLD: f64 = 0.35;
/// Disruption of any hold and of any sub, before the share of the dish is counted; common practice,
/// no source.
const HOLD_BASE: f64 = 0.20;
const SUB_BASE: f64 = 0.10;
/// Disruption of a change that must be made before service, and of one made when buying.
const PREP: f64 = 0.10;
const PURCHASE: f64 = 0.20;
/// Disruption of every allergen that a sub brings in.
const ALLERGEN: f64 = 0.15;

/// A candidate and how a cook reads it.
struct Offer {
    target: String,
    replacement: Option<String>,
    text: String,
    added: Allergens,
}

/// The plans that make a plate servable, least disruptive first.
pub(crate) fn amendments(
    catalogue: &Catalogue,
    plate: &Plate,
    portion: &Portion,
    outcome: &Outcome,
    rules: &Rules<'_>,
) -> Vec<Amendment> {
    let (candidates, offers) = candidates(catalogue, plate, portion, outcome, rules);
    let plans = amendments::search(portion, &candidates, rules, MAX_PLANS);
    let mut rows = Vec::new();
    for (number, plan) in (1u32..).zip(&plans) {
        match &plan.action {
            Action::Changes(changes) => {
                rows.extend(changes.iter().map(|&i| row(number, plan, &candidates[i], &offers[i])));
            }
            Action::Downsize(ratio) => rows.push(downsize(number, plan, *ratio, plate)),
        }
    }
    rows
}

fn row(number: u32, _plan: &Plan, candidate: &Candidate, offer: &Offer) -> Amendment {
    Amendment {
        plan: number,
        kind: candidate.kind,
        when: candidate.stage,
        target: offer.target.clone(),
        replacement: offer.replacement.clone(),
        text: offer.text.clone(),
        resulting_ruling: Ruling::Serve,
        added_allergens: offer.added,
    }
}

fn downsize(number: u32, _plan: &Plan, ratio: Ratio, plate: &Plate) -> Amendment {
    let share = ratio.get() * 100.0;
    // Rounded down, so that the figure on the ticket still serves.
    let size = match plate.portion {
        Some(grams) => format!("{:.0} g", (grams.get() * ratio.get()).floor()),
        None => format!("{:.0} % of the usual", share.floor()),
    };
    Amendment {
        plan: number,
        kind: AmendmentKind::Downsize,
        when: Stage::Line,
        target: plate.name.clone(),
        replacement: Some(size.clone()),
        text: format!("PORTION at most {size}"),
        resulting_ruling: Ruling::Serve,
        added_allergens: Allergens::NONE,
    }
}

fn candidates(
    catalogue: &Catalogue,
    plate: &Plate,
    portion: &Portion,
    outcome: &Outcome,
    rules: &Rules<'_>,
) -> (Vec<Candidate>, Vec<Offer>) {
    let total = portion.known_input().get();
    let had = portion.allergens();
    let mut candidates = Vec::new();
    let mut offers = Vec::new();
    for (food, targets) in offenders(portion, outcome) {
        let components: Vec<&Component> =
            targets.iter().map(|&i| &portion.components()[i]).collect();
        let Some(name) = plate.items.iter().find(|i| i.food == food).map(|i| i.name.clone()) else {
            continue;
        };
        let grams = components.iter().map(|c| mean(c)).sum::<f64>();
        let share = if total > 0.0 { grams / total } else { 0.0 };
        let stage = components.iter().map(|c| c.stage).max().unwrap_or(Stage::Line);
        let late = match stage {
            Stage::Line => 0.0,
            Stage::Prep => PREP,
            Stage::Purchase => PURCHASE,
        };
        let weighed = components.iter().all(|c| matches!(c.amount, Amount::Known(_)));
        if share <= LARGEST_HOLD && (weighed || food.is_some()) {
            candidates.push(Candidate {
                targets: targets.clone(),
                replacement: Vec::new(),
                kind: AmendmentKind::Hold,
                stage,
                disruption: Ratio::clamped(HOLD_BASE + share + late),
            });
            offers.push(Offer {
                target: name.clone(),
                replacement: None,
                text: format!("NO {name}"),
                added: Allergens::NONE,
            });
        }
        let Some(food) = food else { continue };
        let Some(state) = components.first().and_then(|c| c.state.clone()) else { continue };
        for equivalent in catalogue.equivalents(&food, &state) {
            let Some(stand_in) = FoodState::of(catalogue, &equivalent.food, &equivalent.state)
            else {
                continue;
            };
            let added = stand_in.allergens().without(had);
            if !stand_in.allergens().shared_with(rules.diner.excluded_allergens).is_empty() {
                continue;
            }
            let replacement: Vec<Component> = components
                .iter()
                .map(|c| Component {
                    food: Some(stand_in.food().clone()),
                    state: Some(stand_in.state().clone()),
                    class: stand_in.class(),
                    freshness: stand_in.freshness(),
                    amount: c.amount.times(equivalent.ratio),
                    composition: *stand_in.composition(),
                    allergens: stand_in.allergens(),
                    stage: c.stage,
                })
                .collect();
            let with = stand_in.name();
            let brings = added.iter().count() as f64 * ALLERGEN;
            candidates.push(Candidate {
                targets: targets.clone(),
                replacement,
                kind: AmendmentKind::Sub,
                stage: stage.max(equivalent.stage),
                disruption: Ratio::clamped(SUB_BASE + 0.5 * share + late + brings),
            });
            let amount = equivalent_amount(&components, equivalent.ratio);
            offers.push(Offer {
                target: name.clone(),
                replacement: Some(with.to_owned()),
                text: format!("SUB {with}{amount} for {name}"),
                added,
            });
        }
    }
    (candidates, offers)
}

fn equivalent_amount(components: &[&Component], ratio: Ratio) -> String {
    let grams: f64 = components.iter().map(|c| mean(c) * ratio.get()).sum();
    if grams > 0.0 { format!(" {}", figure(Grams::clamped(grams))) } else { String::new() }
}

fn mean(component: &Component) -> f64 {
    match component.amount {
        Amount::Known(mass) => mass.mean().get(),
        Amount::Unknown => 0.0,
    }
}

/// The foods that bring something to a subgroup that does not rule `serve`, with their places in
/// the portion. All occurrences of a food change together.
fn offenders(portion: &Portion, outcome: &Outcome) -> BTreeMap<Option<FoodId>, Vec<usize>> {
    let pressing: Vec<Subgroup> = outcome
        .limits
        .deciding()
        .map(|(s, _)| s)
        .filter(|&s| !matches!(outcome.finding(s), Finding::Within | Finding::NotLimited))
        .collect();
    let mut found: BTreeMap<Option<FoodId>, Vec<usize>> = BTreeMap::new();
    for component in portion.components() {
        if component.class == FoodClass::WaterSalt || found.contains_key(&component.food) {
            continue;
        }
        let brought = loads::of_component(component);
        let brings = component.food.is_none()
            || pressing.iter().any(|&s| brought.of_subgroup(s).state() != LoadState::Zero);
        if brings {
            let places = portion
                .components()
                .iter()
                .enumerate()
                .filter(|(_, c)| c.food == component.food)
                .map(|(i, _)| i)
                .collect();
            found.insert(component.food.clone(), places);
        }
    }
    found
}
