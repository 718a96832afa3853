//! A forest plot in characters: one row a subgroup, logarithmic axis.
//!
//! `-` runs from the 5 % to the 95 % bound, `o` is the mean, `|` the cut-off (`X` where both meet),
//! `=` an interval without a mean, `?` what nothing bounds.

use tamis_scoring::assessment::LoadRow;
use tamis_scoring::loads::LoadState;
use tamis_scoring::quantity::Grams;

use crate::page::spaced;
use crate::wording;

/// The left end of the axis, in grams: what is less is written `<0.01 g` elsewhere.
const LEFT: f64 = 0.01;
/// The width of the names and the space after them.
const NAMES: usize = 15;

/// What the signs mean, for the line under the plot.
pub(crate) fn key() -> String {
    spaced(&[
        "- 5-95 %",
        "o mean",
        "| cut-off",
        "X mean at cut-off",
        "= bounds only",
        "? not bounded",
    ])
}

/// The rows of the plot and its axis, each at most `width` wide. Loads that are zero by nature have
/// no row.
pub(crate) fn rows(loads: &[LoadRow], width: usize) -> Vec<String> {
    let shown: Vec<&LoadRow> = loads
        .iter()
        .filter(|r| r.state != LoadState::Zero)
        .collect();
    if shown.is_empty() {
        return Vec::new();
    }
    let most = shown
        .iter()
        .flat_map(|r| [r.high, r.grams, r.low, r.cutoff.as_ref().map(|c| c.grams)])
        .flatten()
        .map(Grams::get)
        .fold(1.0, f64::max);
    let axis = Axis {
        decades: 2 + libm::ceil(libm::log10(most)).max(1.0) as usize,
        width: width - NAMES,
    };
    let mut rows: Vec<String> = shown.iter().map(|row| axis.row(row)).collect();
    rows.extend(axis.scale());
    rows
}

struct Axis {
    decades: usize,
    width: usize,
}

impl Axis {
    /// The column of a mass; what lies outside the axis is put at its end.
    fn column(&self, grams: f64) -> usize {
        let share = libm::log10(grams.max(LEFT) / LEFT) / self.decades as f64;
        let last = self.width - 1;
        (libm::round(share * last as f64) as usize).min(last)
    }

    fn row(&self, row: &LoadRow) -> String {
        let mut cells = vec![b' '; self.width];
        let at = |grams: Grams| self.column(grams.get());
        let low = row.low.map_or(0, at);
        let (high, ink) = match (row.state, row.high) {
            (LoadState::Estimated, Some(high)) => (at(high), b'-'),
            (LoadState::Bounded, Some(high)) => (at(high), b'='),
            _ => (self.width - 1, b'?'),
        };
        for cell in &mut cells[low.min(high)..=high.max(low)] {
            *cell = ink;
        }
        let cutoff = row.cutoff.as_ref().map(|c| at(c.grams));
        if let Some(cutoff) = cutoff {
            cells[cutoff] = b'|';
        }
        if let (LoadState::Estimated, Some(mean)) = (row.state, row.grams) {
            let mean = at(mean);
            cells[mean] = if cutoff == Some(mean) { b'X' } else { b'o' };
        }
        let cells: String = cells.into_iter().map(char::from).collect();
        format!("{:<NAMES$}{}", wording::short(row.subgroup), cells)
    }

    /// The line of the axis and the labels of its decades, those that have room.
    fn scale(&self) -> [String; 2] {
        let mut line = vec![b'-'; self.width];
        let mut labels = String::new();
        for decade in 0..=self.decades {
            let label = match decade {
                0 => "0.01".to_owned(),
                1 => "0.1".to_owned(),
                n if n < 7 => format!("1{}", "0".repeat(n - 2)),
                n => format!("1e{}", n - 2),
            };
            let column = self.column(LEFT * libm::exp10(decade as f64));
            line[column] = b'+';
            let start = column.min(self.width.saturating_sub(label.len()));
            if start > labels.len() || labels.is_empty() {
                labels = format!("{labels:<start$}{label}");
            }
        }
        let line: String = line.into_iter().map(char::from).collect();
        [
            format!("{:<NAMES$}{line}", ""),
            format!("{:<NAMES$}{labels}", "g, log scale"),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decades_stand_at_equal_distances() {
        let axis = Axis {
            decades: 3,
            width: 31,
        };
        let columns = [0.01, 0.1, 1.0, 10.0].map(|g| axis.column(g));
        assert_eq!(columns, [0, 10, 20, 30]);
        assert_eq!((axis.column(0.0), axis.column(1.0e9)), (0, 30));
        assert_eq!(
            axis.scale()[1],
            "g, log scale   0.01      0.1       1        10"
        );
    }
}
