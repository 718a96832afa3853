//! `tamis check-data`.

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

use clap::Args;
use tamis_app::App;
use tamis_app::validation::Coverage;
use tamis_catalogue::{Catalogue, LoadError};

use super::{Failure, Outcome, input, output};

/// How many names without a food are shown.
const UNMATCHED: usize = 40;

/// Options of the command.
#[derive(Debug, Args)]
pub struct Options {
    /// A folder laid out as `seed-data`.
    folder: Option<PathBuf>,
    /// Print how well predictions hold against what was measured.
    #[arg(long)]
    validate: bool,
    /// Write predicted against measured to this file, as SVG.
    #[arg(long, value_name = "FILE", requires = "validate")]
    plot: Option<PathBuf>,
    /// Write the figures to this file, as a page in Markdown.
    #[arg(long, value_name = "FILE", requires = "validate")]
    page: Option<PathBuf>,
    /// Print how many ingredient lines of a CSV file lead to a food: the column `line`, else `name`.
    #[arg(long, value_name = "FILE")]
    coverage: Option<PathBuf>,
    /// Print every observation that counts, on the fresh basis, and the pools made of them, as CSV.
    #[arg(long, conflicts_with_all = ["validate", "coverage"])]
    export_rows: bool,
}

/// Checks the data of this program, or a folder; every fault is one line. What else is asked for is
/// printed only where the data can be used.
///
/// # Errors
/// When a file cannot be read or written, or the answer cannot be printed.
pub fn run(options: &Options) -> Result<Outcome, Failure> {
    let loaded = match &options.folder {
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
    if options.export_rows {
        eprint!("{text}");
    } else {
        output::print(&text)?;
    }
    eprintln!("tamis: {verdict}");
    if let Ok(catalogue) = &loaded {
        more(catalogue, options)?;
    }
    Ok(outcome)
}

fn more(catalogue: &Catalogue, options: &Options) -> Result<(), Failure> {
    if options.export_rows {
        output::print(&catalogue.exported_rows())?;
    }
    let app = App::new(catalogue.clone());
    if options.validate {
        let validation = app.validation();
        output::print(&validation.report())?;
        if let Some(file) = &options.plot {
            write(file, &validation.plot())?;
        }
        if let Some(file) = &options.page {
            write(file, &validation.page())?;
        }
    }
    if let Some(file) = &options.coverage {
        output::print(&describe(&app.coverage(&lines(file)?)))?;
    }
    Ok(())
}

fn write(file: &Path, text: &str) -> Result<(), Failure> {
    fs::write(file, text)
        .map_err(|error| Failure::Options(format!("{} cannot be written: {error}", file.display())))
}

fn lines(file: &Path) -> Result<Vec<String>, Failure> {
    lines_of(&input::text(file)?)
        .map_err(|what| Failure::Options(format!("{}: {what}", file.display())))
}

/// The ingredient lines of a CSV text: its column `line`, else `name`.
fn lines_of(text: &str) -> Result<Vec<String>, String> {
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .from_reader(text.as_bytes());
    let header = reader.headers().map_err(|e| e.to_string())?;
    let column = ["line", "name"]
        .iter()
        .find_map(|wanted| {
            header
                .iter()
                .position(|h| h.trim().eq_ignore_ascii_case(wanted))
        })
        .ok_or("no column `line` or `name`; a CSV file with one is accepted")?;
    reader
        .records()
        .map(|record| {
            let record = record.map_err(|e| e.to_string())?;
            Ok(record.get(column).unwrap_or_default().to_owned())
        })
        .collect()
}

// Writing into memory does not fail, so its results are passed over below.

fn describe(coverage: &Coverage) -> String {
    let share = |part: usize, whole: usize| {
        let count = |n: usize| u32::try_from(n).map_or(f64::INFINITY, f64::from);
        if whole == 0 {
            "none to count".to_owned()
        } else {
            format!("{:.1} %", 100.0 * count(part) / count(whole))
        }
    };
    let mut text = String::new();
    let _ = writeln!(
        text,
        "ingredient lines whose food is matched: {} of {}, {}",
        coverage.matched,
        coverage.lines,
        share(coverage.matched, coverage.lines)
    );
    let _ = writeln!(
        text,
        "different names matched: {} of {}, {}",
        coverage.names_matched,
        coverage.names,
        share(coverage.names_matched, coverage.names)
    );
    let _ = writeln!(text, "most frequent names without a food:");
    for unmatched in coverage.unmatched.iter().take(UNMATCHED) {
        let _ = writeln!(text, "{:>6}  {}", unmatched.lines, unmatched.name);
    }
    text
}

#[cfg(test)]
mod tests {
    use tamis_app::validation::Unmatched;

    use super::*;

    #[test]
    fn the_column_line_goes_before_name() {
        let text = "name,Line\nonion,\"2 onions, chopped\"\n";
        assert_eq!(lines_of(text).unwrap(), ["2 onions, chopped"]);
        assert_eq!(lines_of("name,x\nonion,1\n").unwrap(), ["onion"]);
        assert!(lines_of("food\nonion\n").unwrap_err().contains("`line`"));
    }

    #[test]
    fn coverage_is_told_in_shares() {
        let coverage = Coverage {
            lines: 4,
            matched: 3,
            names: 2,
            names_matched: 1,
            unmatched: vec![Unmatched {
                name: "quux".to_owned(),
                lines: 1,
            }],
        };
        let text = describe(&coverage);
        assert!(text.contains("3 of 4, 75.0 %"), "{text}");
        assert!(text.contains("     1  quux"), "{text}");
    }
}
