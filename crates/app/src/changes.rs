//! Amendments in the kitchen's words: what could be held or put in place, judged by the core.

use std::collections::BTreeMap;

use tamis_catalogue::Catalogue;
use tamis_catalogue::equivalents::Role;
use tamis_scoring::allergens::Allergens;
use tamis_scoring::amendments::{self, Action, AmendmentKind, Candidate};
use tamis_scoring::assessment::Amendment;
use tamis_scoring::dish::{Amount, Component, FoodClass, Portion, Stage};
use tamis_scoring::loads::{self, LoadState};
use tamis_scoring::quantity::{FoodId, Grams, Quantity, Ratio};
use tamis_scoring::ruling::{Finding, Outcome, Rules, Ruling};
use tamis_scoring::subgroup::Subgroup;

use crate::answer::figure;
use crate::limits::MAX_PLANS;
use crate::pantry::FoodState;
use crate::plate::{Plate, Via};

/// The largest share of a dish that can be left out and still be that dish; common practice, no
/// source.
const LARGEST_HOLD: f64 = 0.35;
/// The same for what the dish is built on: bread, pasta, pulses, meat, fish.
const LARGEST_HOLD_OF_A_BASE: f64 = 0.03;
/// The largest share of a dish at which a flour is only its thickener; common practice, no source.
const LARGEST_THICKENER: f64 = 0.08;
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

impl Offer {
    fn no(name: &str) -> Self {
        Self {
            target: name.to_owned(),
            replacement: None,
            text: format!("NO {name}"),
            added: Allergens::NONE,
        }
    }
}

/// The plans that make a plate servable, least disruptive first.
pub(crate) fn amendments(
    catalogue: &Catalogue,
    plate: &Plate,
    portion: &Portion,
    outcome: &Outcome,
    rules: &Rules<'_>,
) -> Vec<Amendment> {
    let Menu { candidates, offers } = candidates(catalogue, plate, portion, outcome, rules);
    let plans = amendments::search(portion, &candidates, rules, MAX_PLANS);
    let mut rows = Vec::new();
    for (number, plan) in (1u32..).zip(&plans) {
        match &plan.action {
            Action::Changes(changes) => {
                rows.extend(
                    changes
                        .iter()
                        .map(|&i| row(number, &candidates[i], &offers[i])),
                );
            }
            Action::Downsize(ratio) => rows.push(downsize(number, *ratio, plate)),
        }
    }
    rows
}

fn row(number: u32, candidate: &Candidate, offer: &Offer) -> Amendment {
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

fn downsize(number: u32, ratio: Ratio, plate: &Plate) -> Amendment {
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

/// What could be changed, and how a cook reads it.
#[derive(Default)]
struct Menu {
    candidates: Vec<Candidate>,
    offers: Vec<Offer>,
}

impl Menu {
    fn add(&mut self, candidate: Candidate, offer: Offer) {
        self.candidates.push(candidate);
        self.offers.push(offer);
    }
}

fn candidates(
    catalogue: &Catalogue,
    plate: &Plate,
    portion: &Portion,
    outcome: &Outcome,
    rules: &Rules<'_>,
) -> Menu {
    let total = portion.known_input().get();
    let share = |grams: f64| if total > 0.0 { grams / total } else { 0.0 };
    let pressing = pressing(outcome);
    let mut menu = Menu::default();
    for (food, targets) in foods_on(portion, &pressing) {
        let components: Vec<&Component> =
            targets.iter().map(|&i| &portion.components()[i]).collect();
        let Some(name) = plate
            .items
            .iter()
            .find(|i| i.food == food)
            .map(|i| i.name.clone())
        else {
            continue;
        };
        let share = share(components.iter().map(|c| mean(c)).sum::<f64>());
        let stage = components
            .iter()
            .map(|c| c.stage)
            .max()
            .unwrap_or(Stage::Line);
        let weighed = components
            .iter()
            .all(|c| matches!(c.amount, Amount::Known(_)));
        let carries = food
            .as_ref()
            .is_some_and(|f| carries_the_dish(catalogue, f, &components));
        let largest = if carries {
            LARGEST_HOLD_OF_A_BASE
        } else {
            LARGEST_HOLD
        };
        if share <= largest && (weighed || food.is_some()) {
            menu.add(hold(targets.clone(), stage, share), Offer::no(&name));
        }
        if let Some(food) = food {
            subs(
                catalogue, portion, rules, &food, &name, &targets, share, &mut menu,
            );
        }
    }
    for (via, targets) in sub_recipes_on(plate, portion, &pressing) {
        let grams = targets
            .iter()
            .map(|&i| mean(&portion.components()[i]))
            .sum::<f64>();
        if share(grams) <= LARGEST_HOLD {
            menu.add(hold(targets, via.stage, share(grams)), Offer::no(&via.name));
        }
    }
    menu
}

fn hold(targets: Vec<usize>, stage: Stage, share: f64) -> Candidate {
    Candidate {
        targets,
        replacement: Vec::new(),
        kind: AmendmentKind::Hold,
        stage,
        disruption: Ratio::clamped(HOLD_BASE + share + late(stage)),
    }
}

#[expect(
    clippy::too_many_arguments,
    reason = "all of them describe the one food that is replaced"
)]
fn subs(
    catalogue: &Catalogue,
    portion: &Portion,
    rules: &Rules<'_>,
    food: &FoodId,
    name: &str,
    targets: &[usize],
    share: f64,
    menu: &mut Menu,
) {
    let components: Vec<&Component> = targets.iter().map(|&i| &portion.components()[i]).collect();
    let Some(state) = components.first().and_then(|c| c.state.clone()) else {
        return;
    };
    for equivalent in catalogue.equivalents(food, &state) {
        if equivalent.role == Role::Thickener && share > LARGEST_THICKENER {
            continue;
        }
        let Some(stand_in) = FoodState::of(catalogue, &equivalent.food, &equivalent.state) else {
            continue;
        };
        let allergens = stand_in.allergens();
        if !allergens
            .shared_with(rules.diner.excluded_allergens)
            .is_empty()
        {
            continue;
        }
        let replacement = components
            .iter()
            .map(|c| Component {
                food: Some(stand_in.food().clone()),
                state: Some(stand_in.state().clone()),
                class: stand_in.class(),
                freshness: stand_in.freshness(),
                amount: c.amount.times(equivalent.ratio),
                composition: *stand_in.composition(),
                allergens,
                stage: c.stage,
            })
            .collect();
        let stage = components
            .iter()
            .map(|c| c.stage)
            .max()
            .unwrap_or(equivalent.stage);
        let stage = stage.max(equivalent.stage);
        let added = allergens.without(portion.allergens());
        let brings = added.iter().count() as f64 * ALLERGEN;
        let with = stand_in.name();
        let amount = equivalent_amount(&components, equivalent.ratio);
        menu.add(
            Candidate {
                targets: targets.to_vec(),
                replacement,
                kind: AmendmentKind::Sub,
                stage,
                disruption: Ratio::clamped(SUB_BASE + 0.5 * share + late(stage) + brings),
            },
            Offer {
                target: name.to_owned(),
                replacement: Some(with.to_owned()),
                text: format!("SUB {with}{amount} for {name}"),
                added,
            },
        );
    }
}

const fn late(stage: Stage) -> f64 {
    match stage {
        Stage::Line => 0.0,
        Stage::Prep => PREP,
        Stage::Purchase => PURCHASE,
    }
}

/// Whether the dish is no longer that dish without it: its bread, its pasta, its pulses.
fn carries_the_dish(catalogue: &Catalogue, food: &FoodId, components: &[&Component]) -> bool {
    let role = matches!(
        catalogue.role(food),
        Some(Role::Starch | Role::Pulse | Role::Drink)
    );
    role || components.iter().any(|c| {
        matches!(
            c.class,
            FoodClass::Grain | FoodClass::Legume | FoodClass::Meat | FoodClass::Fish
        )
    })
}

fn equivalent_amount(components: &[&Component], ratio: Ratio) -> String {
    let grams: f64 = components.iter().map(|c| mean(c) * ratio.get()).sum();
    if grams > 0.0 {
        format!(" {}", figure(Grams::clamped(grams)))
    } else {
        String::new()
    }
}

fn mean(component: &Component) -> f64 {
    match component.amount {
        Amount::Known(mass) => mass.mean().get(),
        Amount::Unknown => 0.0,
    }
}

/// The subgroups that keep the portion from ruling `serve`.
fn pressing(outcome: &Outcome) -> Vec<Subgroup> {
    outcome
        .limits
        .deciding()
        .map(|(s, _)| s)
        .filter(|&s| !matches!(outcome.finding(s), Finding::Within | Finding::NotLimited))
        .collect()
}

fn presses(component: &Component, pressing: &[Subgroup]) -> bool {
    let brought = loads::of_component(component);
    component.class != FoodClass::WaterSalt
        && (component.food.is_none()
            || pressing
                .iter()
                .any(|&s| brought.of_subgroup(s).state() != LoadState::Zero))
}

/// The foods that bring something to a pressing subgroup, with their places in the portion. All
/// occurrences of a food change together.
fn foods_on(portion: &Portion, pressing: &[Subgroup]) -> BTreeMap<Option<FoodId>, Vec<usize>> {
    let mut found: BTreeMap<Option<FoodId>, Vec<usize>> = BTreeMap::new();
    for (i, component) in portion.components().iter().enumerate() {
        found.entry(component.food.clone()).or_default().push(i);
    }
    found.retain(|_, places| {
        places
            .iter()
            .any(|&i| presses(&portion.components()[i], pressing))
    });
    found
}

/// The sub-recipes that bring something to a pressing subgroup, with the places of all they hold.
fn sub_recipes_on(
    plate: &Plate,
    portion: &Portion,
    pressing: &[Subgroup],
) -> Vec<(Via, Vec<usize>)> {
    let mut taken = vec![false; portion.components().len()];
    let mut found: Vec<(Via, Vec<usize>)> = Vec::new();
    for item in &plate.items {
        let component = item.component();
        let place = portion
            .components()
            .iter()
            .enumerate()
            .position(|(i, c)| !taken[i] && *c == component);
        let (Some(via), Some(place)) = (&item.via, place) else {
            continue;
        };
        taken[place] = true;
        match found.iter_mut().find(|(v, _)| v == via) {
            Some((_, places)) => places.push(place),
            None => found.push((via.clone(), vec![place])),
        }
    }
    found.retain(|(_, places)| {
        places
            .iter()
            .any(|&i| presses(&portion.components()[i], pressing))
    });
    found
}
