//! Portion weights and sugars of common foods against USDA National Nutrient Database for Standard
//! Reference: weights from Release 28 (file WEIGHT), sugars from Release 26 (fructose 212, glucose
//! 211, lactose 213, g per 100 g), by NDB number. The figures of `cases/usda.csv` were transcribed
//! from those releases, apart from the catalogue.
//!
//! A weight must be the table's own, to the four digits of an answer. A sugar is pooled with other
//! tables, so the figure of this one must lie between the 5 % and the 95 % bound of ours.

use serde_json::Value;
use tamis_tests::{case, run};

/// Half a unit of the fourth digit, on the smallest leading digit.
const ROUNDING: f64 = 5e-4;

fn check(row: &str) -> Result<(), String> {
    let cells: Vec<&str> = row.split(',').collect();
    let [food, state, ndb, item, figure] = cells[..] else {
        return Err("five cells are wanted".to_owned());
    };
    let figure: f64 = figure.parse().map_err(|_| "no number".to_owned())?;
    let ran = run(&["foods", food, "--json"], "");
    if ran.code != 0 {
        return Err(format!("no such food: {}", ran.err));
    }
    let page = ran.json();
    let states = page["states"].as_array().ok_or("no states")?;
    let found = states
        .iter()
        .find(|s| state.is_empty() || s["id"] == state)
        .ok_or_else(|| format!("no state {state}"))?;
    let row_of = |list: &str, key: &str, name: &str| -> Result<Value, String> {
        found[list]
            .as_array()
            .and_then(|rows| rows.iter().find(|r| r[key] == name))
            .cloned()
            .ok_or_else(|| format!("no {name} among the {list}"))
    };
    if let Some(measure) = item.strip_prefix("measure:") {
        let ours = row_of("measures", "measure", measure)?["grams"]
            .as_f64()
            .ok_or("no grams")?;
        return if (ours - figure).abs() <= ROUNDING * figure {
            Ok(())
        } else {
            Err(format!("{measure}: ours {ours} g, NDB {ndb} {figure} g"))
        };
    }
    let ours = row_of("analytes", "analyte", item)?;
    let bound = |end: &str| {
        ours[end]
            .as_f64()
            .ok_or_else(|| format!("{item} has no {end}: {}", ours["state"]))
    };
    let (low, high) = (bound("low")?, bound("high")?);
    let (low, high) = (low * (1.0 - ROUNDING), high * (1.0 + ROUNDING));
    if (low..=high).contains(&figure) {
        Ok(())
    } else {
        Err(format!(
            "{item}: ours {} ({low:.3} to {high:.3}), NDB {ndb} {figure} g per 100 g",
            ours["grams"]
        ))
    }
}

#[test]
fn portion_weights_and_sugars_are_those_of_the_table() {
    let text = case("usda.csv");
    let rows: Vec<&str> = text.lines().skip(1).collect();
    let foods: std::collections::BTreeSet<&str> =
        rows.iter().filter_map(|r| r.split(',').next()).collect();
    assert!(
        foods.len() >= 30,
        "thirty foods are wanted, {} are there",
        foods.len()
    );
    let faults: Vec<String> = rows
        .iter()
        .filter_map(|row| check(row).err().map(|fault| format!("{row}: {fault}")))
        .collect();
    println!(
        "{} figures of {} foods, {} apart",
        rows.len(),
        foods.len(),
        faults.len()
    );
    assert!(
        faults.is_empty(),
        "{} of {} figures:\n{}",
        faults.len(),
        rows.len(),
        faults.join("\n")
    );
}
