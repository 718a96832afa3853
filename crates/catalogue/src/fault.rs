//! What is wrong with a data folder: all of it at once, each with its place.

use std::fmt;

/// Whether a fault keeps the data from being used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The folder is refused.
    Error,
    /// The folder is used; someone should look.
    Warning,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Column {
    /// Its name in the header row.
    pub name: String,
    /// Its place in the schema, from 1.
    pub number: u32,
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// The file, relative to the data folder.
    pub file: String,
    /// The line in the file, from 1; `None` where the whole file is meant.
    pub line: Option<u64>,
    /// The column; `None` where the whole line is meant.
    pub column: Option<Column>,
    /// What is wrong.
    pub what: String,
    /// What would be accepted.
    pub accepted: String,
    /// Whether the data can be used all the same.
    pub severity: Severity,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(line) = self.line {
            write!(f, ":{line}")?;
        }
        if let Some(column) = &self.column {
            write!(f, ": column {} ({})", column.name, column.number)?;
        }
        if self.severity == Severity::Warning {
            f.write_str(": warning")?;
        }
        write!(f, ": {}", self.what)?;
        if !self.accepted.is_empty() {
            write!(f, "; accepted: {}", self.accepted)?;
        }
        Ok(())
    }
}

/// A data folder that cannot be used, with everything that is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the food data have {} fault(s){}", .faults.len(), first(.faults))]
pub struct LoadError {
    /// Errors and warnings, by file and line.
    pub faults: Vec<Fault>,
}

fn first(faults: &[Fault]) -> String {
    faults
        .iter()
        .find(|f| f.severity == Severity::Error)
        .map_or_else(String::new, |f| format!("; the first: {f}"))
}

/// Faults while they are gathered.
#[derive(Debug, Default)]
pub(crate) struct Faults(Vec<Fault>);

impl Faults {
    pub(crate) fn push(&mut self, fault: Fault) {
        self.0.push(fault);
    }

    pub(crate) fn file(
        &mut self,
        file: &str,
        what: impl Into<String>,
        accepted: impl Into<String>,
    ) {
        self.push(Fault {
            file: file.to_owned(),
            line: None,
            column: None,
            what: what.into(),
            accepted: accepted.into(),
            severity: Severity::Error,
        });
    }

    /// The warnings, or everything if there is an error among them.
    pub(crate) fn settle(mut self) -> Result<Vec<Fault>, LoadError> {
        self.0.sort();
        self.0.dedup();
        if self.0.iter().any(|f| f.severity == Severity::Error) {
            Err(LoadError { faults: self.0 })
        } else {
            Ok(self.0)
        }
    }
}
