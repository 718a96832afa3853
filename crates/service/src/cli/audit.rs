//! `tamis audit`.

use clap::Args;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use tamis_app::App;
use tamis_tickets::Columns;
use tamis_wire::v1;

use super::diner::DinerOptions;
use super::input::CardFile;
use super::{Failure, Outcome, output};
use crate::bridge;

/// Cards between two steps of the progress bar.
const STEP: usize = 32;

/// Options of the command.
#[derive(Debug, Args)]
pub struct Options {
    #[command(flatten)]
    cards: CardFile,
    #[command(flatten)]
    diner: DinerOptions,
    /// Print the answer of the API to the batch.
    #[arg(long)]
    json: bool,
    /// Characters of a line.
    #[arg(long, default_value_t = Columns::WIDEST.get(), value_parser = columns)]
    columns: u16,
}

/// Checks a width of paper.
///
/// # Errors
/// When no page fits it.
pub fn columns(text: &str) -> Result<u16, String> {
    let columns = text.parse().map_err(|_| "accepted: a whole number")?;
    let columns = Columns::new(columns).map_err(|error| error.to_string())?;
    Ok(columns.get())
}

/// Runs the command.
///
/// # Errors
/// When the file cannot be used.
pub fn run(app: &App, options: &Options) -> Result<Outcome, Failure> {
    let requests = options.cards.requests(&options.diner)?;
    let bar = progress(requests.len());
    let mut outcomes = Vec::with_capacity(requests.len());
    for step in requests.chunks(STEP) {
        outcomes.extend(app.assess_batch(step)?);
        bar.inc(step.len() as u64);
    }
    bar.finish_and_clear();

    let (mut assessments, mut results, mut refused) = (Vec::new(), Vec::new(), 0);
    for (index, outcome) in (0..).zip(outcomes) {
        let mut result = v1::BatchAssessResult {
            index,
            ..Default::default()
        };
        match outcome {
            Ok(assessment) => {
                result.assessment = Some((&assessment).into());
                assessments.push(assessment);
            }
            Err(error) => {
                refused += 1;
                eprintln!("tamis: card {}: {error}", index + 1);
                result.error = Some(bridge::item_error(error));
            }
        }
        results.push(result);
    }
    if options.json {
        output::print_json(&v1::BatchAssessResponse { results })?;
    } else {
        let columns =
            Columns::new(options.columns).map_err(|error| Failure::Options(error.to_string()))?;
        output::print(&tamis_tickets::pass_sheet(&assessments, columns))?;
    }
    if refused > 0 {
        return Ok(Outcome::SomeRefused);
    }
    Ok(Outcome::of(assessments.iter().map(|a| a.ruling)))
}

/// A bar on standard error; nothing where that is no terminal.
fn progress(cards: usize) -> ProgressBar {
    let bar = ProgressBar::with_draw_target(Some(cards as u64), ProgressDrawTarget::stderr());
    match ProgressStyle::with_template("{pos} of {len} cards [{bar:30}] {eta} left") {
        Ok(style) => bar.with_style(style.progress_chars("=> ")),
        Err(_) => bar,
    }
}
