//! `tamis assess`.

use clap::Args;
use tamis_app::App;
use tamis_tickets::Columns;
use tamis_wire::v1;

use super::diner::DinerOptions;
use super::input::CardFile;
use super::{Failure, Outcome, output};

/// Options of the command.
#[derive(Debug, Args)]
pub struct Options {
    #[command(flatten)]
    cards: CardFile,
    #[command(flatten)]
    diner: DinerOptions,
    /// Print the object of the API, one line for each card.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// When the file or a card cannot be used.
pub fn run(app: &App, options: &Options) -> Result<Outcome, Failure> {
    let mut rulings = Vec::new();
    for (place, request) in options.cards.requests(&options.diner)?.iter().enumerate() {
        let assessment = app.assess(request)?;
        rulings.push(assessment.ruling);
        if options.json {
            output::print_json(&v1::Assessment::from(&assessment))?;
        } else {
            let gap = if place == 0 { "" } else { "\n" };
            let answer = tamis_tickets::answer(&assessment, Columns::WIDEST);
            output::print(&format!("{gap}{answer}"))?;
        }
    }
    Ok(Outcome::of(rulings))
}
