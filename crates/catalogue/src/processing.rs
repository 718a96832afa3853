//! What a process leaves of each analyte of a food, by the most special row of the table.

use tamis_scoring::estimate::Share;
use tamis_scoring::evidence::Evidence;
use tamis_scoring::processing::{Kept, Process, Retention};
use tamis_scoring::quantity::FoodId;
use tamis_scoring::subgroup::Analyte;

use crate::Catalogue;
use crate::schema_tools::ProcessRow;

impl Catalogue {
    /// What a process leaves of each analyte of a food. Where no row speaks for an analyte, what is
    /// left is unknown, and the original content becomes a ceiling.
    #[must_use]
    pub fn retention(&self, food: &FoodId, process: Process) -> Retention {
        let mut retention = Retention::uniform(Kept::Unknown);
        for &analyte in Analyte::ALL {
            if let Some(row) = self.process_row(food, process, analyte) {
                retention = retention.with(analyte, kept(row));
            }
        }
        retention
    }

    /// Where what a process leaves of an analyte comes from.
    #[must_use]
    pub fn retention_evidence(
        &self,
        food: &FoodId,
        process: Process,
        analyte: Analyte,
    ) -> Option<Evidence> {
        let row = self.process_row(food, process, analyte)?;
        Some(Evidence {
            source: row.source.clone(),
            locator: row.locator.clone(),
            grade: row.grade,
            samples: None,
            note: row.reason.clone(),
        })
    }

    fn process_row(
        &self,
        food: &FoodId,
        process: Process,
        analyte: Analyte,
    ) -> Option<&ProcessRow> {
        let (class, family) = match self.food(food) {
            Some(food) => (food.class, food.family.as_str()),
            None => return None,
        };
        let mut best: Option<((u8, u8), &ProcessRow)> = None;
        for row in &self.inner.tables.processing {
            let named = if row.analytes.is_empty() { 0 } else { 1 };
            if row.process == process
                && (row.analytes.is_empty() || row.analytes.contains(&analyte))
                && let Some(rank) = row.scope.rank(food, class, family)
                && best.is_none_or(|(b, _)| (rank, named) > b)
            {
                best = Some(((rank, named), row));
            }
        }
        best.map(|(_, row)| row)
    }
}

fn kept(row: &ProcessRow) -> Kept {
    let (low, central, high) = row.kept;
    let all = |v: f64| (v - 1.0).abs() < 1e-12;
    if all(low.get()) {
        Kept::All
    } else if high.get() <= 0.0 {
        Kept::Nothing
    } else {
        Kept::Share(Share::with_interval(central, low, high), row.grade)
    }
}
