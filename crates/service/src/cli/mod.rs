//! The command line. Data goes to standard output, messages to standard error.

mod assess;
mod audit;
mod check;
mod diner;
mod foods;
mod input;
mod output;

mod read;
mod ticket;

pub use output::print;

use std::process::ExitCode;

use clap::{ColorChoice, CommandFactory, Parser, Subcommand};
use tamis_app::App;
use tamis_app::error::Error;
use tamis_scoring::ruling::Ruling;

use crate::serve::{ServeError, ServeOptions};
use crate::{rest, serve, telemetry};

const EXIT_CODES: &str = "\
Exit codes: 0 every dish goes out, as it is or altered; 1 some dish is withheld or referred, or some \
line was not understood; 2 the input could not be used.

Not medical advice. The licensed dietitian and local food codes decide.";

/// Grams of each fermentable subgroup in a dish as a kitchen writes it, the ruling for a diner on a
/// low-FODMAP diet, the smallest change, and the ticket.
///
/// Without a command: serves REST, gRPC and the console on this machine, with the menus of a demonstration.
#[derive(Debug, Parser)]
#[command(name = "tamis", version, color = ColorChoice::Never, after_help = EXIT_CODES)]
struct Cli {
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Serves REST, gRPC and the console until told to stop.
    Serve(ServeOptions),
    /// Assesses the cards of a file.
    Assess(assess::Options),
    /// Assesses all cards of a file and prints the pass sheet.
    Audit(audit::Options),
    /// Shows what is understood of each ingredient line.
    Read(read::Options),
    /// Prints the tickets of the cards of a file.
    Ticket(ticket::Options),
    /// Lists foods of the catalogue, or shows one.
    Foods(foods::Options),
    /// Prints the OpenAPI document of the REST interface.
    Openapi,
    /// Checks the seed data: that of this program, or a folder.
    CheckData(check::Options),
    /// Prints the completions of a shell.
    Completions {
        /// Which shell.
        shell: clap_complete::Shell,
    },
}

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Every dish goes out.
    AllOut,
    /// Some dish does not, or some line was not understood.
    SomeHeld,
    /// Some of the input could not be used; the rest was.
    SomeRefused,
}

impl Outcome {
    /// What rulings amount to.
    pub fn of(rulings: impl IntoIterator<Item = Ruling>) -> Self {
        let out = |ruling| matches!(ruling, Ruling::Serve | Ruling::Alter);
        if rulings.into_iter().all(out) {
            Self::AllOut
        } else {
            Self::SomeHeld
        }
    }
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        match outcome {
            Outcome::AllOut => Self::SUCCESS,
            Outcome::SomeHeld => Self::from(1),
            Outcome::SomeRefused => Self::from(2),
        }
    }
}

/// Why a command could not do its work.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The file cannot be used.
    #[error(transparent)]
    Input(#[from] input::InputError),
    /// The use case refused.
    #[error("{0}")]
    Refused(#[from] Error),
    /// Two options do not go together.
    #[error("{0}")]
    Options(String),
    /// The catalogue cannot be loaded.
    #[error("{0}")]
    Catalogue(String),
    /// The answer cannot be written.
    #[error("the answer could not be written: {0}")]
    Output(#[from] std::io::Error),
    /// The answer cannot be encoded.
    #[error("the answer could not be encoded: {0}")]
    Encoding(#[from] serde_json::Error),
    /// The servers did not start.
    #[error(transparent)]
    Serve(#[from] ServeError),
    /// The journal did not start.
    #[error(transparent)]
    Telemetry(#[from] telemetry::FilterError),
}

/// Runs the command of the arguments.
pub fn main() -> ExitCode {
    let cli = Cli::parse();
    match run(cli) {
        Ok(outcome) => outcome.into(),
        Err(failure) => {
            eprintln!("tamis: {failure}");
            ExitCode::from(2)
        }
    }
}

fn run(cli: Cli) -> Result<Outcome, Failure> {
    let command = match cli.command {
        Some(command) => command,
        None => Command::Serve(ServeOptions::demonstration()),
    };
    let serves = matches!(command, Command::Serve(_));
    telemetry::start(if serves { "info" } else { "warn" })?;
    match command {
        Command::Serve(options) => {
            serve::run(app()?, &options)?;
            Ok(Outcome::AllOut)
        }
        Command::Assess(options) => assess::run(&app()?, &options),
        Command::Audit(options) => audit::run(&app()?, &options),
        Command::Read(options) => read::run(&app()?, &options),
        Command::Ticket(options) => ticket::run(&app()?, &options),
        Command::Foods(options) => foods::run(&app()?, &options),
        Command::CheckData(options) => check::run(&options),
        Command::Openapi => {
            output::print(&rest::openapi::text()?)?;
            Ok(Outcome::AllOut)
        }
        Command::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut Cli::command(), "tamis", &mut script);
            output::print(&String::from_utf8_lossy(&script))?;
            Ok(Outcome::AllOut)
        }
    }
}

fn app() -> Result<App, Failure> {
    let catalogue = tamis_catalogue::Catalogue::embedded()
        .map_err(|error| Failure::Catalogue(error.to_string()))?;
    Ok(App::new(catalogue))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_arguments_are_well_formed() {
        Cli::command().debug_assert();
    }

    #[test]
    fn one_dish_held_is_enough_for_the_exit_code() {
        assert_eq!(Outcome::of([Ruling::Serve, Ruling::Alter]), Outcome::AllOut);
        for held in [Ruling::Withhold, Ruling::Refer] {
            assert_eq!(Outcome::of([Ruling::Serve, held]), Outcome::SomeHeld);
        }
    }
}
