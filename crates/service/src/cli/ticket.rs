//! `tamis ticket`.

use clap::{Args, ValueEnum};
use tamis_app::App;
use tamis_tickets::{Columns, Layout};
use tamis_wire::v1;

use super::audit::columns;
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
    /// Which ticket.
    #[arg(long, value_enum, default_value_t = Kind::Kitchen)]
    layout: Kind,
    /// Characters of a line, 24 to 80.
    #[arg(long, default_value_t = Columns::MM80_COARSE.get(), value_parser = columns)]
    columns: u16,
    /// Print the object of the API, one line for each card.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Kind {
    /// For the line of a kitchen.
    Kitchen,
    /// For a patient's tray.
    Tray,
}

/// Runs the command.
///
/// # Errors
/// When the file or a card cannot be used.
pub fn run(app: &App, options: &Options) -> Result<Outcome, Failure> {
    let columns =
        Columns::new(options.columns).map_err(|error| Failure::Options(error.to_string()))?;
    let layout = match options.layout {
        Kind::Kitchen => Layout::Kitchen(columns),
        Kind::Tray => Layout::Tray(columns),
    };
    let mut rulings = Vec::new();
    for (place, request) in options.cards.requests(&options.diner)?.iter().enumerate() {
        let rendered = app.render_ticket(request, layout)?;
        rulings.push(rendered.assessment.ruling);
        if options.json {
            output::print_json(&v1::RenderTicketResponse {
                text: rendered.text,
                assessment: Some((&rendered.assessment).into()),
            })?;
        } else {
            let gap = if place == 0 { "" } else { "\n" };
            output::print(&format!("{gap}{}", rendered.text))?;
        }
    }
    Ok(Outcome::of(rulings))
}
