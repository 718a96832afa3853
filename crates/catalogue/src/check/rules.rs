//! Checks of the rule tables, processing, equivalents and practice notes.

use std::collections::BTreeSet;

use tamis_scoring::dish::FoodClass;
use tamis_scoring::subgroup::Analyte;

use super::Known;
use crate::fault::{Faults, Severity};
use crate::load::Tables;
use crate::processing::table::LAWS;
use crate::schema_tools as tools;
use crate::table::{column, note};
use crate::validate_dishes::MEASURED;

pub(super) fn check(t: &Tables, known: &Known<'_>, faults: &mut Faults) {
    for (rows, columns) in [(&t.absent, tools::ABSENT), (&t.inferred, tools::INFERRED)] {
        let mut seen = BTreeSet::new();
        for row in rows {
            known.scope(&row.at, columns, &row.scope, faults);
            known.source(&row.at, columns, &row.source, faults);
            for &analyte in &row.analytes {
                let scope = (
                    row.scope.class,
                    row.scope.family.as_deref(),
                    &row.scope.food,
                    analyte,
                );
                if !seen.insert(scope) {
                    let what = format!("two rules for {analyte} of the same foods");
                    note(
                        faults,
                        &row.at,
                        column(columns, "analyte"),
                        what,
                        "one rule for each",
                        Severity::Error,
                    );
                }
                let is_plant = row.scope.family.is_some()
                    || row.scope.class.is_some_and(|c| {
                        matches!(
                            c,
                            FoodClass::Vegetable | FoodClass::Fruit | FoodClass::Mushroom
                        )
                    });
                if row.interval.is_none()
                    && is_plant
                    && matches!(analyte, Analyte::Fructose | Analyte::Glucose)
                {
                    let what = format!("{analyte} is never absent from plants by rule");
                    note(
                        faults,
                        &row.at,
                        column(columns, "analyte"),
                        what,
                        "a measured row, or inferred.csv",
                        Severity::Error,
                    );
                }
            }
        }
    }
    let mut seen = BTreeSet::new();
    for row in &t.processing {
        known.scope(&row.at, tools::PROCESSING, &row.scope, faults);
        known.source(&row.at, tools::PROCESSING, &row.source, faults);
        let all: &[Analyte] = if row.analytes.is_empty() {
            Analyte::ALL
        } else {
            &row.analytes
        };
        for &analyte in all {
            let named = row.analytes.is_empty();
            if !seen.insert((
                row.process,
                row.scope.class,
                row.scope.family.as_deref(),
                &row.scope.food,
                analyte,
                named,
            )) {
                let what = format!(
                    "two rows for {analyte} after {} of the same foods",
                    row.process
                );
                note(
                    faults,
                    &row.at,
                    column(tools::PROCESSING, "analyte"),
                    what,
                    "one row for each",
                    Severity::Error,
                );
            }
        }
    }
    let mut seen = BTreeSet::new();
    for row in &t.laws {
        known.scope(&row.at, LAWS, &row.scope, faults);
        known.source(&row.at, LAWS, &row.source, faults);
        for &analyte in &row.analytes {
            if !seen.insert((
                row.process,
                row.scope.class,
                row.scope.family.as_deref(),
                &row.scope.food,
                analyte,
                row.product(),
            )) {
                note(
                    faults,
                    &row.at,
                    column(LAWS, "analyte"),
                    format!(
                        "two laws for {analyte} after {} of the same foods",
                        row.process
                    ),
                    "one law for each analyte, and one row for each product",
                    Severity::Error,
                );
            }
        }
    }
    for row in &t.equivalents {
        let c = tools::EQUIVALENTS;
        known.state(
            &row.at,
            c,
            ("food", "state"),
            (&row.food, row.state.as_ref()),
            faults,
        );
        known.state(
            &row.at,
            c,
            ("replacement", "replacement_state"),
            (&row.replacement, row.replacement_state.as_ref()),
            faults,
        );
        if row.food == row.replacement && row.state == row.replacement_state {
            note(
                faults,
                &row.at,
                column(c, "replacement"),
                "a food in place of itself",
                "another food or state",
                Severity::Error,
            );
        }
    }
    for row in &t.dishes {
        known.source(&row.at, MEASURED, &row.source, faults);
    }
    for row in &t.practice {
        if let Some(food) = &row.food {
            known.state(
                &row.at,
                tools::PRACTICE,
                ("food", "state"),
                (food, row.state.as_ref()),
                faults,
            );
        }
        known.source(&row.at, tools::PRACTICE, &row.source, faults);
    }
}
