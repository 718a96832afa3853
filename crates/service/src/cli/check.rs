//! `tamis check-data`.

use std::path::Path;

use tamis_catalogue::{Catalogue, LoadError};

use super::{Failure, Outcome, output};

/// Checks the data of this program, or a folder; every fault is one line.
///
/// # Errors
/// When the answer cannot be written.
pub fn run(folder: Option<&Path>) -> Result<Outcome, Failure> {
    let loaded = match folder {
        Some(folder) => Catalogue::from_folder(folder),
        None => Catalogue::embedded(),
    };
    let (faults, verdict, outcome) = match &loaded {
        Ok(catalogue) => {
            let verdict = format!(
                "catalogue {}: usable, {} warnings",
                catalogue.version(),
                catalogue.warnings().len()
            );
            (catalogue.warnings(), verdict, Outcome::AllOut)
        }
        Err(LoadError { faults }) => {
            let verdict = format!("not usable: {} faults", faults.len());
            (faults.as_slice(), verdict, Outcome::SomeRefused)
        }
    };
    let mut text = String::new();
    for fault in faults {
        text += &format!("{fault}\n");
    }
    output::print(&text)?;
    eprintln!("tamis: {verdict}");
    Ok(outcome)
}
