//! Readings of recipe lines.

use tamis_scoring::quantity::{FoodId, Grams, Ratio, StateId};
use tamis_scoring::reading::{LineReading, ReadingDoubt};

use super::count;
use super::faults::{ConversionErrors, Converted, Faults};
use crate::number::round;
use crate::v1;

impl TryFrom<v1::LineReading> for LineReading {
    type Error = ConversionErrors;

    fn try_from(message: v1::LineReading) -> Result<Self, ConversionErrors> {
        Faults::gather(|f| reading(f, message))
    }
}

fn reading(f: &mut Faults, message: v1::LineReading) -> Converted<LineReading> {
    let v1::LineReading {
        number,
        line,
        quantity,
        quantity_high,
        unit,
        food_text,
        preparation,
        food,
        state,
        grams,
        grams_low,
        grams_high,
        doubts,
    } = message;
    let number = f.count("number", number);
    let quantity = f.optional_quantity("quantity", quantity, Ratio::new);
    let quantity_high = f.optional_quantity("quantity_high", quantity_high, Ratio::new);
    let food = f.optional_id("food", food.as_deref(), FoodId::new);
    let state = f.optional_id("state", state.as_deref(), StateId::new);
    let grams = f.optional_quantity("grams", grams, Grams::new);
    let low = f.optional_quantity("grams_low", grams_low, Grams::new);
    let high = f.optional_quantity("grams_high", grams_high, Grams::new);
    let grams_interval = match (low?, high?) {
        (Some(low), Some(high)) => Ok(Some((low, high))),
        (None, None) => Ok(None),
        (Some(_), None) => f.at("grams_high", |f| Err(f.note("is missing beside grams_low"))),
        (None, Some(_)) => f.at("grams_low", |f| Err(f.note("is missing beside grams_high"))),
    };
    let doubts = f.list("doubts", doubts, doubt);
    Ok(LineReading {
        number: number?,
        line,
        quantity: quantity?,
        quantity_high: quantity_high?,
        unit,
        food_text,
        preparation,
        food: food?,
        state: state?,
        grams: grams?,
        grams_interval: grams_interval?,
        doubts: doubts?,
    })
}

fn doubt(f: &mut Faults, message: v1::ReadingDoubt) -> Converted<ReadingDoubt> {
    let v1::ReadingDoubt {
        column,
        text,
        tried,
    } = message;
    Ok(ReadingDoubt {
        column: f.count("column", column)?,
        text,
        tried,
    })
}

impl From<&LineReading> for v1::LineReading {
    fn from(reading: &LineReading) -> Self {
        let LineReading {
            number,
            line,
            quantity,
            quantity_high,
            unit,
            food_text,
            preparation,
            food,
            state,
            grams,
            grams_interval,
            doubts,
        } = reading;
        let (low, high) = grams_interval.unzip();
        let rounded = |grams: Option<Grams>| grams.map(|g| round(g.get()));
        Self {
            number: count(*number),
            line: line.clone(),
            quantity: quantity.map(|q| round(q.get())),
            quantity_high: quantity_high.map(|q| round(q.get())),
            unit: unit.clone(),
            food_text: food_text.clone(),
            preparation: preparation.clone(),
            food: food.as_ref().map(ToString::to_string),
            state: state.as_ref().map(ToString::to_string),
            grams: rounded(*grams),
            grams_low: rounded(low),
            grams_high: rounded(high),
            doubts: doubts.iter().map(Into::into).collect(),
        }
    }
}

impl From<&ReadingDoubt> for v1::ReadingDoubt {
    fn from(doubt: &ReadingDoubt) -> Self {
        let ReadingDoubt {
            column,
            text,
            tried,
        } = doubt;
        Self {
            column: count(*column),
            text: text.clone(),
            tried: tried.clone(),
        }
    }
}
