//! The food that a line names.

use tamis_catalogue::Catalogue;
use tamis_catalogue::matching::{Confidence, Matching, StateChoice};
use tamis_kitchen_text::{Drained, Negation, Pack, Part, ReadLine, Unit};
use tamis_scoring::composition::Content;
use tamis_scoring::dish::FoodClass;
use tamis_scoring::subgroup::Analyte;

use crate::pantry::FoodState;

/// What came of a line.
pub(crate) enum Found<'a> {
    /// A food in a state, and what a reader should know of the match.
    Food {
        food: FoodState<'a>,
        remarks: Vec<String>,
    },
    /// None.
    Nothing {
        reason: String,
        column: u32,
        tried: Vec<String>,
    },
}

/// Finds the food of a line. Where the line offers several, the one with the most fermentable grams
/// stands for them.
pub(crate) fn find<'a>(catalogue: &'a Catalogue, line: &ReadLine) -> Found<'a> {
    if line.alternatives.len() < 2 {
        return one(catalogue, line, &line.food_text);
    }
    let mut heaviest: Option<(f64, FoodState<'a>, Vec<String>)> = None;
    for text in &line.alternatives {
        match one(catalogue, line, text) {
            Found::Food { food, remarks } => {
                let grams = fermentable(&food);
                if heaviest.as_ref().is_none_or(|(most, _, _)| grams > *most) {
                    heaviest = Some((grams, food, remarks));
                }
            }
            nothing @ Found::Nothing { .. } => return nothing,
        }
    }
    match heaviest {
        Some((_, food, mut remarks)) => {
            remarks.push(format!(
                "the line offers {}; taken as {}, which carries the most",
                line.alternatives.join(" or "),
                food.name()
            ));
            Found::Food { food, remarks }
        }
        None => one(catalogue, line, &line.food_text),
    }
}

fn one<'a>(catalogue: &'a Catalogue, line: &ReadLine, text: &str) -> Found<'a> {
    // `washed and dried` is no dried food.
    let wet = |p: &&str| {
        let p = p.to_lowercase();
        ["washed", "rinsed", "patted", "wiped", "cleaned", "soaked"]
            .iter()
            .any(|w| p.contains(w))
    };
    let mut words: Vec<&str> = line
        .preparation
        .iter()
        .map(String::as_str)
        .filter(|p| !(wet(p) && p.contains("dr")))
        .collect();
    match line.drained {
        Drained::Drained | Drained::Rinsed => words.push("drained"),
        Drained::WithLiquid => words.push("undrained"),
        Drained::Unstated => {}
    }
    match line.part {
        Part::GreenTops => words.push("green part"),
        Part::White => words.push("white part"),
        Part::Stems => words.push("stems"),
        Part::Whole | Part::Leaves | Part::Unstated => {}
    }
    // What comes out of a tin is the tinned food, where there is one.
    let tinned = line
        .amounts
        .iter()
        .any(|a| matches!(a.unit, Unit::Can(_) | Unit::Pack(Pack::Tin)))
        .then(|| catalogue.find(&format!("canned {text}"), &words))
        .filter(|m| {
            m.usable()
                .is_some_and(|m| m.confidence == Confidence::Exact)
        });
    let matching = tinned.unwrap_or_else(|| catalogue.find(text, &words));
    let name = |id: &tamis_scoring::quantity::FoodId| {
        catalogue
            .food(id)
            .map_or_else(|| id.to_string(), |f| f.name.clone())
    };
    let column = column_of(line, text);
    match &matching {
        Matching::Found(found) if matching.usable().is_some() => {
            let Some(food) = FoodState::of(catalogue, &found.food, &found.state) else {
                return Found::Nothing {
                    reason: format!("nothing is on record for {} {}", found.food, found.state),
                    column,
                    tried: Vec::new(),
                };
            };
            if made_in_house(line, &food) {
                return Found::Nothing {
                    reason: format!(
                        "`{text}` is the house's own and its card is not here; a sub-recipe card of that name is accepted"
                    ),
                    column,
                    tried: vec![food.name().to_owned()],
                };
            }
            let mut remarks = Vec::new();
            if !found.doubts.is_empty() {
                remarks.push(format!(
                    "read as {} ({})",
                    food.name(),
                    found.doubts.join(", ")
                ));
            }
            if let StateChoice::NotHeld(states) = &found.choice {
                remarks.push(format!(
                    "{}: `{}` is not on record; {} stands in for it",
                    food.name(),
                    states.join(", "),
                    found.state
                ));
            }
            let packed = line
                .amounts
                .iter()
                .any(|a| matches!(a.unit, Unit::Can(_) | Unit::Pack(_)));
            if packed
                && found.state.as_str() == "canned-drained"
                && line.drained == Drained::Unstated
            {
                remarks.push(format!(
                    "{}: drained or not is not said; taken as drained",
                    food.name()
                ));
            }
            if line.statement.is_some() {
                remarks.push(format!(
                    "the ingredient statement is kept and not computed; generic values of {} stand in for the product",
                    food.name()
                ));
            }
            if let Negation::Within(without) = &line.negation {
                remarks.push(format!(
                    "said to be without {}; generic values do not show it",
                    without.join(", ")
                ));
            }
            Found::Food { food, remarks }
        }
        Matching::Found(found) => Found::Nothing {
            reason: format!(
                "`{text}` is not understood for certain ({}); a name of the catalogue is accepted",
                found.doubts.join(", ")
            ),
            column,
            tried: found.tried.iter().map(name).collect(),
        },
        Matching::NotFound { tried } => Found::Nothing {
            reason: if line.statement.is_some() {
                format!(
                    "`{text}` is known by its ingredient statement only, which is kept and not computed"
                )
            } else {
                format!(
                    "`{text}` is no food of the catalogue; a name it knows is accepted, or a sub-recipe card of that name"
                )
            },
            column,
            tried: tried.iter().map(name).collect(),
        },
    }
}

/// A mix or sauce of the house has its own recipe: a generic one says nothing about it.
fn made_in_house(line: &ReadLine, food: &FoodState<'_>) -> bool {
    let mixed = matches!(
        food.class(),
        FoodClass::HerbSpice | FoodClass::Condiment | FoodClass::Composite
    );
    let says = |text: &str| {
        text.split(|c: char| !c.is_alphanumeric())
            .any(|w| w.eq_ignore_ascii_case("house"))
    };
    mixed && (says(&line.food_text) || line.preparation.iter().any(|p| says(p)))
}

fn column_of(line: &ReadLine, text: &str) -> u32 {
    let byte = line.text.find(text).unwrap_or(0);
    let before = line.text.get(..byte).unwrap_or_default().chars().count();
    u32::try_from(before + 1).unwrap_or(1)
}

/// Grams per 100 g, to choose the heavier of two foods; what is unknown outweighs all.
fn fermentable(food: &FoodState<'_>) -> f64 {
    Analyte::ALL
        .iter()
        .filter(|&&a| a != Analyte::Glucose)
        .map(|&analyte| match food.composition().content(analyte) {
            Content::Absent => 0.0,
            Content::Known(c, _) => c.mean().get(),
            Content::AtMost(c) => c.get(),
            Content::Unknown => f64::INFINITY,
        })
        .sum()
}
