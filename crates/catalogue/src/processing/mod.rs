//! What a process leaves of each analyte of a food and what it makes, by the most special row.
//!
//! `processing.csv` has shares, `laws.csv` has laws in time and what becomes of what is lost. Where a
//! recipe says how long, the law speaks; where it does not, the share does, if there is one.

pub(crate) mod table;

use tamis_scoring::estimate::Share;
use tamis_scoring::evidence::{Evidence, Grade};
use tamis_scoring::processing::kinetics::{Beyond, Conditions, Law};
use tamis_scoring::processing::{Gain, Kept, Process, Retention};
use tamis_scoring::quantity::{FoodId, SourceId};
use tamis_scoring::subgroup::Analyte;

use crate::Catalogue;
use crate::schema_tools::{ProcessRow, Scope};
use table::{LawRow, Rule};

/// What a process does to a food under given conditions.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// What is left, and what is made.
    pub retention: Retention,
    /// Where the conditions leave the range of the evidence, each once.
    pub beyond: Vec<Beyond>,
    /// The row behind what is left of each analyte, where one speaks and takes something away. Its
    /// locator opens with the process.
    pub evidence: Vec<(Analyte, Evidence)>,
}

impl Catalogue {
    /// What a process leaves of each analyte of a food where nothing is said of how it is done.
    /// Where no row speaks for an analyte, what is left is unknown, and the original content
    /// becomes a ceiling.
    #[must_use]
    pub fn retention(&self, food: &FoodId, process: Process) -> Retention {
        self.effect(food, process, &Conditions::default()).retention
    }

    /// What a process does to a food under the conditions that a recipe states.
    #[must_use]
    pub fn effect(&self, food: &FoodId, process: Process, conditions: &Conditions) -> Effect {
        let mut retention = Retention::uniform(Kept::Unknown);
        let mut beyond = Vec::new();
        let mut evidence = Vec::new();
        for &analyte in Analyte::ALL {
            let share = self.process_row(food, process, analyte);
            let law = self.law_row(food, process, analyte);
            let kept = match (law, share) {
                (Some((row, law, rank)), share)
                    if share.is_none_or(|(_, of_share)| {
                        rank >= of_share && conditions.hours.is_some()
                    }) =>
                {
                    let (kept, out) = law.kept(conditions);
                    beyond.extend(out);
                    let from = (&row.source, &*row.locator, &*row.reason, row.grade);
                    evidence.push((analyte, evidence_of(process, from)));
                    kept
                }
                (_, Some((row, _))) => {
                    let kept = kept(row);
                    if kept != Kept::All {
                        let from = (&row.source, &*row.locator, &*row.reason, row.grade);
                        evidence.push((analyte, evidence_of(process, from)));
                    }
                    kept
                }
                (_, None) => Kept::Unknown,
            };
            retention = retention.with(analyte, kept);
        }
        for row in self.products(food, process) {
            let Rule::Becomes(product, per_lost) = &row.rule else {
                continue;
            };
            for &from in &row.analytes {
                let pair = (from, *product);
                if let Some(gain) = Gain::of_lost(pair, retention.of(from), *per_lost, row.grade) {
                    retention = retention.making(gain);
                }
            }
        }
        beyond.sort_unstable();
        beyond.dedup();
        Effect {
            retention,
            beyond,
            evidence,
        }
    }

    fn kind_of(&self, food: &FoodId) -> Option<(tamis_scoring::dish::FoodClass, &str)> {
        self.food(food).map(|f| (f.class, f.family.as_str()))
    }

    fn process_row(
        &self,
        food: &FoodId,
        process: Process,
        analyte: Analyte,
    ) -> Option<(&ProcessRow, Rank)> {
        let (class, family) = self.kind_of(food)?;
        best(
            self.inner.tables.processing.iter().filter(|row| {
                row.process == process
                    && (row.analytes.is_empty() || row.analytes.contains(&analyte))
            }),
            |row| {
                let rank = row.scope.rank(food, class, family)?;
                Some((rank, !row.analytes.is_empty()))
            },
        )
    }

    fn law_row(
        &self,
        food: &FoodId,
        process: Process,
        analyte: Analyte,
    ) -> Option<(&LawRow, &Law, Rank)> {
        let (class, family) = self.kind_of(food)?;
        let mut found: Option<(&LawRow, &Law, Rank)> = None;
        for row in &self.inner.tables.laws {
            let Rule::Law(law) = &row.rule else { continue };
            if row.process == process
                && row.analytes.contains(&analyte)
                && let Some(rank) = row.scope.rank(food, class, family)
                && found.is_none_or(|(_, _, best)| (rank, true) > best)
            {
                found = Some((row, law, (rank, true)));
            }
        }
        found
    }

    /// The most special row for each product of each analyte.
    fn products(&self, food: &FoodId, process: Process) -> Vec<&LawRow> {
        let Some((class, family)) = self.kind_of(food) else {
            return Vec::new();
        };
        let rank = |scope: &Scope| scope.rank(food, class, family);
        let rows: Vec<&LawRow> = self
            .inner
            .tables
            .laws
            .iter()
            .filter(|r| r.process == process && matches!(r.rule, Rule::Becomes(..)))
            .filter(|r| rank(&r.scope).is_some())
            .collect();
        let same = |a: &LawRow, b: &LawRow| {
            a.product() == b.product() && a.analytes.iter().any(|x| b.analytes.contains(x))
        };
        rows.iter()
            .filter(|row| {
                !rows
                    .iter()
                    .any(|other| same(row, other) && rank(&other.scope) > rank(&row.scope))
            })
            .copied()
            .collect()
    }
}

/// How special a row is: by its foods, then by whether it names the analyte.
type Rank = (u8, bool);

fn best<'a, T>(
    rows: impl Iterator<Item = &'a T>,
    rank: impl Fn(&T) -> Option<Rank>,
) -> Option<(&'a T, Rank)> {
    let mut found: Option<(&T, Rank)> = None;
    for row in rows {
        if let Some(rank) = rank(row)
            && found.is_none_or(|(_, best)| rank > best)
        {
            found = Some((row, rank));
        }
    }
    found
}

fn evidence_of(
    process: Process,
    (source, locator, reason, grade): (&SourceId, &str, &str, Grade),
) -> Evidence {
    Evidence {
        source: source.clone(),
        locator: format!("{process}: {locator}"),
        grade,
        samples: None,
        note: reason.to_owned(),
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
        Kept::Share(Share::kept(central, low, high), row.grade)
    }
}
