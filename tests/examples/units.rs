//! Reads recipe lines from standard input and prints what one amount of each is in grams and
//! millilitres, unrounded, for `tests/outside/units.py` to hold against pint.

use std::io::BufRead;

use serde_json::json;
use tamis_kitchen_text::{Number, Quantity, read_line};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    for (i, line) in std::io::stdin().lock().lines().enumerate() {
        let line = line?;
        let read = read_line(&line, i + 1);
        let amount = read.amounts.first();
        println!(
            "{}",
            json!({
                "line": line,
                "amounts": read.amounts.len(),
                "unit": amount.map(|a| a.unit.to_string()),
                "grams": amount.and_then(|a| value(a.grams())),
                "millilitres": amount.and_then(|a| value(a.millilitres())),
            })
        );
    }
    Ok(())
}

fn value(quantity: Option<Quantity>) -> Option<f64> {
    quantity
        .and_then(|q| q.bounds())
        .filter(|(low, high)| low == high)
        .map(|(low, _): (Number, Number)| low.get())
}
