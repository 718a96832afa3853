//! `tamis read`.

use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;
use tamis_app::App;
use tamis_scoring::reading::LineReading;
use tamis_tickets::figures;
use tamis_wire::v1;

use super::{Failure, Outcome, input, output};

/// Options of the command.
#[derive(Debug, Args)]
pub struct Options {
    /// A card in plain text or bare ingredient lines, or `-` for standard input.
    file: PathBuf,
    /// Print one object a line.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// When the file cannot be used.
pub fn run(app: &App, options: &Options) -> Result<Outcome, Failure> {
    let readings = app.read(&input::text(&options.file)?)?;
    let understood = readings.iter().all(|r| r.food.is_some());
    let mut text = String::new();
    for reading in readings {
        if options.json {
            text += &serde_json::to_string(&v1::LineReading::from(&reading))?;
            text.push('\n');
        } else {
            describe(&reading, &mut text);
        }
    }
    output::print(&text)?;
    Ok(if understood {
        Outcome::AllOut
    } else {
        Outcome::SomeHeld
    })
}

fn describe(reading: &LineReading, text: &mut String) {
    let printable = |words: &str| words.replace(char::is_control, " ");
    // Writing into memory does not fail.
    let _ = writeln!(text, "{:>3}  {}", reading.number, printable(&reading.line));
    let mut say = |what: &str, value: String| {
        let _ = writeln!(text, "     {what:<12} {value}");
    };
    if let Some(quantity) = reading.quantity {
        let high = reading
            .quantity_high
            .map_or_else(String::new, |high| format!(" to {}", figures::count(high)));
        let unit = reading.unit.as_deref().unwrap_or_default();
        let amount = format!("{}{high} {unit}", figures::count(quantity));
        say("amount", amount.trim_end().to_owned());
    }
    match (&reading.food, &reading.state) {
        (Some(food), Some(state)) => say("food", format!("{food}, {state}")),
        (Some(food), None) => say("food", food.to_string()),
        (None, _) => say("food", "not understood".to_owned()),
    }
    if !reading.preparation.is_empty() {
        say("preparation", printable(&reading.preparation.join(", ")));
    }
    let grams = figures::grams_or_unknown(reading.grams);
    say(
        "grams",
        match reading.grams_interval {
            Some((low, high)) if low < high => {
                format!(
                    "{grams} ({} to {})",
                    figures::grams(low),
                    figures::grams(high)
                )
            }
            _ => grams,
        },
    );
    for doubt in &reading.doubts {
        say(
            "doubt",
            format!("column {}: {}", doubt.column, printable(&doubt.text)),
        );
        if !doubt.tried.is_empty() {
            say("", format!("tried: {}", printable(&doubt.tried.join(", "))));
        }
    }
}
