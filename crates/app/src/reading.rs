//! What was understood of recipe lines, without assessing them.

use tamis_catalogue::Catalogue;
use tamis_kitchen_text::{ReadLine, Unit, read_line};
use tamis_scoring::dish::Amount;
use tamis_scoring::quantity::{Quantity, Ratio};
use tamis_scoring::reading::{LineReading, ReadingDoubt};

use crate::cards;
use crate::error::{Error, Reason};
use crate::limits::{MAX_BODY_BYTES, MAX_COMPONENTS};
use crate::matching::{self, Found};
use crate::weigh::{self, Ounces};

/// Reads the lines of cards in plain text, or bare ingredient lines.
pub(crate) fn read(catalogue: &Catalogue, text: &str) -> Result<Vec<LineReading>, Error> {
    if text.len() > MAX_BODY_BYTES {
        return Err(Error::new(
            Reason::RequestTooLarge,
            format!(
                "{} bytes; at most {MAX_BODY_BYTES} are accepted",
                text.len()
            ),
        )
        .with("limit_bytes", MAX_BODY_BYTES));
    }
    let lines = cards::ingredient_lines(text);
    if lines.len() > MAX_COMPONENTS {
        return Err(Error::new(
            Reason::TooDeep,
            format!(
                "{} lines; at most {MAX_COMPONENTS} are accepted",
                lines.len()
            ),
        )
        .with("limit", MAX_COMPONENTS));
    }
    Ok((1u32..)
        .zip(lines)
        .map(|(n, line)| reading(catalogue, n, &line))
        .collect())
}

fn reading(catalogue: &Catalogue, number: u32, text: &str) -> LineReading {
    let line = read_line(text, number as usize);
    let mut doubts: Vec<ReadingDoubt> = line
        .doubts
        .iter()
        .map(|d| doubt(d.span.column(&line.text), d.to_string(), Vec::new()))
        .chain(
            line.faults
                .iter()
                .map(|f| doubt(1, f.to_string(), Vec::new())),
        )
        .collect();
    let mut food = None;
    let mut state = None;
    let mut mass = None;
    match matching::find(catalogue, &line) {
        Found::Food {
            food: found,
            remarks,
        } => {
            let weighed = weigh::weigh(&line, &found, Ounces::ByWeight, Ratio::clamped(1.0));
            doubts.extend(
                remarks
                    .into_iter()
                    .chain(weighed.remarks)
                    .chain(weighed.missing)
                    .map(|text| doubt(1, text, Vec::new())),
            );
            food = Some(found.food().clone());
            state = Some(found.state().clone());
            if let Amount::Known(known) = weighed.amount {
                mass = Some(known);
            }
        }
        Found::Nothing {
            reason,
            column,
            tried,
        } => {
            doubts.push(ReadingDoubt {
                column,
                text: reason,
                tried,
            });
        }
    }
    let (low, high) = quantities(&line);
    LineReading {
        number,
        line: line.text.clone(),
        quantity: low,
        quantity_high: high,
        unit: line
            .amounts
            .first()
            .filter(|a| a.unit != Unit::Unstated)
            .map(|a| match &a.each {
                None => a.unit.to_string(),
                Some(each) => format!("{} of {} {}", a.unit, each.quantity, each.unit),
            }),
        food_text: line.food_text.clone(),
        preparation: line.preparation.clone(),
        food,
        state,
        grams: mass.map(|m| m.mean()),
        grams_interval: mass.map(|m| (m.low(), m.high())),
        doubts,
    }
}

fn doubt(column: usize, text: String, tried: Vec<String>) -> ReadingDoubt {
    ReadingDoubt {
        column: u32::try_from(column).unwrap_or(u32::MAX),
        text,
        tried,
    }
}

fn quantities(line: &ReadLine) -> (Option<Ratio>, Option<Ratio>) {
    let Some((low, high)) = line.amounts.first().and_then(|a| a.quantity.bounds()) else {
        return (None, None);
    };
    let ratio = |n: f64| Some(Ratio::clamped(n));
    (
        ratio(low.get()),
        if high > low { ratio(high.get()) } else { None },
    )
}
