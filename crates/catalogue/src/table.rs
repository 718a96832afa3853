//! CSV tables with a fixed header: rows with their line, cells read by type, every fault noted.

use tamis_scoring::quantity::{FoodId, SourceId, StateId};

use crate::fault::{Column, Fault, Faults, Severity};

/// The largest file read, in bytes.
pub(crate) const MAX_FILE_BYTES: usize = 8 * 1024 * 1024;
/// The most rows read from one file.
const MAX_ROWS: usize = 50_000;
/// The longest cell, in bytes.
const MAX_CELL_BYTES: usize = 4_000;

/// The place of a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct At {
    pub(crate) file: std::sync::Arc<str>,
    pub(crate) line: u64,
}

/// One row while it is read.
pub(crate) struct Cells<'a> {
    pub(crate) at: At,
    columns: &'static [&'static str],
    cells: Vec<&'a str>,
    faults: &'a mut Faults,
    /// Whether a fault that spoils this row was noted.
    spoilt: bool,
}

/// Reads a table and hands each of its rows to `each`.
pub(crate) fn read(
    file: &str,
    bytes: &[u8],
    columns: &'static [&'static str],
    faults: &mut Faults,
    mut each: impl FnMut(&mut Cells<'_>),
) {
    if bytes.len() > MAX_FILE_BYTES {
        faults.file(
            file,
            format!("{} bytes", bytes.len()),
            format!("at most {MAX_FILE_BYTES} bytes"),
        );
        return;
    }
    let shared: std::sync::Arc<str> = file.into();
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .has_headers(false)
        .from_reader(bytes);
    let mut record = csv::ByteRecord::new();
    let mut order: Option<Vec<usize>> = None;
    let mut width = 0;
    let mut rows = 0_usize;
    loop {
        match reader.read_byte_record(&mut record) {
            Ok(true) => {}
            Ok(false) => break,
            Err(error) => {
                faults.file(file, error.to_string(), "a CSV file by RFC 4180");
                return;
            }
        }
        let line = record.position().map_or(1, csv::Position::line);
        let at = At {
            file: shared.clone(),
            line,
        };
        let cells: Vec<&str> = match record.iter().map(std::str::from_utf8).collect() {
            Ok(cells) => cells,
            Err(_) => {
                note(
                    faults,
                    &at,
                    None,
                    "not valid UTF-8",
                    "UTF-8 text",
                    Severity::Error,
                );
                continue;
            }
        };
        let Some(order) = &order else {
            width = cells.len();
            match header(&at, &cells, columns, faults) {
                Some(found) => order = Some(found),
                None => return,
            }
            continue;
        };
        rows += 1;
        if rows > MAX_ROWS {
            faults.file(file, "too many rows", format!("at most {MAX_ROWS} rows"));
            return;
        }
        if cells.len() != width {
            let what = format!("{} cells in this row, {width} in the header", cells.len());
            note(
                faults,
                &at,
                None,
                what,
                "a cell for every column; quote cells that hold a comma",
                Severity::Error,
            );
            continue;
        }
        let mut row = Cells {
            at,
            columns,
            cells: order
                .iter()
                .map(|&i| cells.get(i).map_or("", |c| c.trim()))
                .collect(),
            faults,
            spoilt: false,
        };
        if row.cells.first().is_some_and(|c| c.starts_with('#')) {
            row.fault(0, "a comment", "rows of data only");
            continue;
        }
        for i in 0..row.cells.len() {
            if row.cells[i].len() > MAX_CELL_BYTES {
                row.fault(
                    i,
                    "a cell that is too long",
                    format!("at most {MAX_CELL_BYTES} bytes"),
                );
            }
        }
        each(&mut row);
    }
    if order.is_none() {
        faults.file(
            file,
            "an empty file",
            format!("a header row: {}", columns.join(",")),
        );
    }
}

fn header(
    at: &At,
    cells: &[&str],
    columns: &'static [&'static str],
    faults: &mut Faults,
) -> Option<Vec<usize>> {
    let mut ok = true;
    let accepted = columns.join(",");
    for (i, cell) in cells.iter().enumerate() {
        let name = cell.trim();
        let number = u32::try_from(i + 1).unwrap_or(u32::MAX);
        let column = Column {
            name: name.chars().take(60).collect(),
            number,
        };
        if !columns.contains(&name) {
            note(
                faults,
                at,
                Some(column),
                format!(
                    "unknown column '{}'",
                    name.chars().take(60).collect::<String>()
                ),
                &accepted,
                Severity::Error,
            );
            ok = false;
        } else if cells[..i].iter().any(|c| c.trim() == name) {
            note(
                faults,
                at,
                Some(column),
                "a column that is there twice",
                &accepted,
                Severity::Error,
            );
            ok = false;
        }
    }
    let mut order = Vec::with_capacity(columns.len());
    for (i, &name) in columns.iter().enumerate() {
        match cells.iter().position(|c| c.trim() == name) {
            Some(found) => order.push(found),
            None => {
                let number = u32::try_from(i + 1).unwrap_or(u32::MAX);
                let column = Column {
                    name: name.to_owned(),
                    number,
                };
                note(
                    faults,
                    at,
                    Some(column),
                    format!("missing column '{name}'"),
                    &accepted,
                    Severity::Error,
                );
                ok = false;
            }
        }
    }
    ok.then_some(order)
}

/// Notes a fault of a row that was read before.
pub(crate) fn note(
    faults: &mut Faults,
    at: &At,
    column: Option<Column>,
    what: impl Into<String>,
    accepted: impl Into<String>,
    severity: Severity,
) {
    faults.push(Fault {
        file: at.file.to_string(),
        line: Some(at.line),
        column,
        what: what.into(),
        accepted: accepted.into(),
        severity,
    });
}

/// The column with a name, for faults found after reading.
pub(crate) fn column(columns: &[&str], name: &str) -> Option<Column> {
    let i = columns.iter().position(|c| *c == name)?;
    Some(Column {
        name: name.to_owned(),
        number: u32::try_from(i + 1).unwrap_or(u32::MAX),
    })
}

impl Cells<'_> {
    /// The text of a cell, trimmed; empty for a blank.
    pub(crate) fn text(&self, i: usize) -> String {
        self.cells[i].to_owned()
    }

    pub(crate) fn is_blank(&self, i: usize) -> bool {
        self.cells[i].is_empty()
    }

    pub(crate) fn fault(&mut self, i: usize, what: impl Into<String>, accepted: impl Into<String>) {
        self.spoilt = true;
        let column = column(self.columns, self.columns[i]);
        note(
            self.faults,
            &self.at,
            column,
            what,
            accepted,
            Severity::Error,
        );
    }

    /// The row, unless a fault spoilt it.
    pub(crate) fn keep<T>(&self, row: Option<T>) -> Option<T> {
        if self.spoilt { None } else { row }
    }

    /// A cell that must not be blank.
    pub(crate) fn required(&mut self, i: usize) -> Option<String> {
        if self.is_blank(i) {
            let name = self.columns[i];
            self.fault(i, "a blank cell", format!("a {name}"));
            None
        } else {
            Some(self.text(i))
        }
    }

    /// A cell read by a constructor whose error says what is accepted.
    pub(crate) fn parsed<T, E: std::fmt::Display>(
        &mut self,
        i: usize,
        parse: impl Fn(&str) -> Result<T, E>,
    ) -> Option<T> {
        let text = self.required(i)?;
        match parse(&text) {
            Ok(value) => Some(value),
            Err(error) => {
                self.fault(i, error.to_string(), "");
                None
            }
        }
    }

    /// The same where a blank means nothing.
    pub(crate) fn optional<T, E: std::fmt::Display>(
        &mut self,
        i: usize,
        parse: impl Fn(&str) -> Result<T, E>,
    ) -> Option<T> {
        if self.is_blank(i) {
            None
        } else {
            self.parsed(i, parse)
        }
    }

    /// A list separated by `|`, each item read by a constructor.
    pub(crate) fn list<T, E: std::fmt::Display>(
        &mut self,
        i: usize,
        parse: impl Fn(&str) -> Result<T, E>,
    ) -> Vec<T> {
        let text = self.text(i);
        let mut out = Vec::new();
        for item in text.split('|').map(str::trim).filter(|s| !s.is_empty()) {
            match parse(item) {
                Ok(value) => out.push(value),
                Err(error) => self.fault(i, error.to_string(), ""),
            }
        }
        out
    }

    pub(crate) fn words(&mut self, i: usize) -> Vec<String> {
        self.list(i, |s| Ok::<_, std::convert::Infallible>(s.to_owned()))
    }

    pub(crate) fn food(&mut self, i: usize) -> Option<FoodId> {
        self.parsed(i, FoodId::new)
    }

    pub(crate) fn state(&mut self, i: usize) -> Option<StateId> {
        self.parsed(i, StateId::new)
    }

    pub(crate) fn source(&mut self, i: usize) -> Option<SourceId> {
        self.parsed(i, SourceId::new)
    }

    /// A number within bounds; `None` for a blank.
    pub(crate) fn number(&mut self, i: usize, least: f64, most: f64) -> Option<f64> {
        if self.is_blank(i) {
            return None;
        }
        let accepted = format!("a number from {least} to {most}, or blank");
        match self.cells[i].parse::<f64>() {
            Ok(v) if v.is_finite() && (least..=most).contains(&v) => Some(v),
            Ok(v) => {
                self.fault(i, format!("{v} is out of range"), accepted);
                None
            }
            Err(_) => {
                let text: String = self.cells[i].chars().take(60).collect();
                self.fault(i, format!("'{text}' is not a number"), accepted);
                None
            }
        }
    }

    /// A number within bounds that must be there.
    pub(crate) fn needed(&mut self, i: usize, least: f64, most: f64) -> Option<f64> {
        self.required(i)?;
        self.number(i, least, most)
    }

    /// Faults an interval that does not hold its value, or has one end only.
    pub(crate) fn interval(
        &mut self,
        low: usize,
        high: usize,
        bounds: (Option<f64>, Option<f64>),
        value: Option<f64>,
    ) {
        let (Some(l), Some(h)) = bounds else {
            if bounds.0.is_some() != bounds.1.is_some() {
                let blank = if bounds.0.is_none() { low } else { high };
                self.fault(
                    blank,
                    "one end of an interval without the other",
                    "low and high, or neither",
                );
            }
            return;
        };
        if l > h {
            self.fault(
                low,
                format!("low {l} above high {h}"),
                "low <= value <= high",
            );
        } else if let Some(v) = value {
            if v < l {
                self.fault(
                    low,
                    format!("low {l} above the value {v}"),
                    "low <= value <= high",
                );
            } else if v > h {
                self.fault(
                    high,
                    format!("high {h} under the value {v}"),
                    "low <= value <= high",
                );
            }
        }
    }
}
