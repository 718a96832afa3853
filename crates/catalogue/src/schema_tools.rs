//! The rows of the smaller tables: packs, utensils, standard drinks, practice notes, rules,
//! processing, equivalents, cut-offs.

use tamis_scoring::cutoffs::{AppliesTo, CutoffRow};
use tamis_scoring::diner::Region;
use tamis_scoring::dish::{FoodClass, Stage};
use tamis_scoring::evidence::Grade;
use tamis_scoring::processing::Process;
use tamis_scoring::quantity::{FoodId, Fraction, Grams, Ratio, SourceId, StateId};
use tamis_scoring::subgroup::{Analyte, Subgroup};

use crate::equivalents::Role;
use crate::fault::Faults;
use crate::schema::cut;
use crate::table::{At, Cells, read};

pub(crate) const PACKS: &[&str] = &[
    "pack",
    "net_grams",
    "net_low",
    "net_high",
    "volume_ml",
    "words",
    "source",
    "grade",
    "note",
];
pub(crate) const UTENSILS: &[&str] = &[
    "utensil", "ml", "low_ml", "high_ml", "words", "source", "grade", "note",
];
pub(crate) const DRINKS: &[&str] = &["region", "ethanol_g", "source", "locator", "grade"];
pub(crate) const PRACTICE: &[&str] = &[
    "id", "food", "state", "limit_g", "advice", "text", "source", "grade",
];
pub(crate) const ABSENT: &[&str] = &[
    "class", "family", "food", "analyte", "reason", "source", "grade",
];
pub(crate) const INFERRED: &[&str] = &[
    "class", "family", "food", "analyte", "low", "high", "reason", "source", "grade",
];
pub(crate) const PROCESSING: &[&str] = &[
    "process",
    "class",
    "family",
    "food",
    "analyte",
    "kept_low",
    "kept_central",
    "kept_high",
    "reason",
    "source",
    "locator",
    "grade",
];
pub(crate) const EQUIVALENTS: &[&str] = &[
    "food",
    "state",
    "replacement",
    "replacement_state",
    "role",
    "ratio",
    "stage",
    "note",
    "grade",
];
pub(crate) const CUTOFFS: &[&str] = &[
    "subgroup",
    "applies_to",
    "grams",
    "source",
    "locator",
    "grade",
];

const ADVICE: &[&str] = &[
    "acceptable",
    "acceptable-to-limit",
    "restricted",
    "advised-against",
    "advice",
];

/// A container or a tool, with the words that name it.
#[derive(Debug, Clone)]
pub(crate) struct VesselRow {
    pub(crate) at: At,
    pub(crate) id: String,
    pub(crate) amount: f64,
    pub(crate) low: Option<f64>,
    pub(crate) high: Option<f64>,
    pub(crate) millilitres: Option<f64>,
    pub(crate) words: Vec<String>,
    pub(crate) source: SourceId,
    pub(crate) grade: Grade,
}

#[derive(Debug, Clone)]
pub(crate) struct DrinkRow {
    pub(crate) at: At,
    pub(crate) region: String,
    pub(crate) ethanol: Grams,
    pub(crate) source: SourceId,
}

#[derive(Debug, Clone)]
pub(crate) struct PracticeRow {
    pub(crate) at: At,
    pub(crate) food: Option<FoodId>,
    pub(crate) state: Option<StateId>,
    pub(crate) limit: Option<f64>,
    pub(crate) text: String,
    pub(crate) source: SourceId,
    pub(crate) grade: Grade,
}

/// For which foods a rule speaks; blank means any.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Scope {
    pub(crate) class: Option<FoodClass>,
    pub(crate) family: Option<String>,
    pub(crate) food: Option<FoodId>,
}

impl Scope {
    /// How special the rule is for this food; `None` where it does not speak for it.
    pub(crate) fn rank(&self, id: &FoodId, class: FoodClass, family: &str) -> Option<u8> {
        if self.food.as_ref().is_some_and(|f| f != id)
            || self.class.is_some_and(|c| c != class)
            || self.family.as_deref().is_some_and(|f| f != family)
        {
            return None;
        }
        let bit = |there: bool, weight: u8| if there { weight } else { 0 };
        Some(
            bit(self.food.is_some(), 4)
                + bit(self.family.is_some(), 2)
                + bit(self.class.is_some(), 1),
        )
    }
}

#[derive(Debug, Clone)]
pub(crate) struct RuleRow {
    pub(crate) at: At,
    pub(crate) scope: Scope,
    pub(crate) analytes: Vec<Analyte>,
    /// `None` for absent by nature.
    pub(crate) interval: Option<(f64, f64)>,
    pub(crate) reason: String,
    pub(crate) source: SourceId,
    pub(crate) grade: Grade,
}

#[derive(Debug, Clone)]
pub(crate) struct ProcessRow {
    pub(crate) at: At,
    pub(crate) process: Process,
    pub(crate) scope: Scope,
    /// Empty for all.
    pub(crate) analytes: Vec<Analyte>,
    pub(crate) kept: (Fraction, Fraction, Fraction),
    pub(crate) reason: String,
    pub(crate) source: SourceId,
    pub(crate) locator: String,
    pub(crate) grade: Grade,
}

#[derive(Debug, Clone)]
pub(crate) struct EquivalentRow {
    pub(crate) at: At,
    pub(crate) food: FoodId,
    pub(crate) state: Option<StateId>,
    pub(crate) replacement: FoodId,
    pub(crate) replacement_state: Option<StateId>,
    pub(crate) role: Role,
    pub(crate) ratio: Ratio,
    pub(crate) stage: Stage,
    pub(crate) note: String,
    pub(crate) grade: Grade,
}

pub(crate) fn packs(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<VesselRow>) {
    read(file, bytes, PACKS, faults, |c| {
        let millilitres = c.number(4, 0.1, 1.0e6);
        vessel(c, millilitres, 5, out);
    });
}

pub(crate) fn utensils(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<VesselRow>) {
    read(file, bytes, UTENSILS, faults, |c| vessel(c, None, 4, out));
}

fn vessel(c: &mut Cells<'_>, millilitres: Option<f64>, words: usize, out: &mut Vec<VesselRow>) {
    let (id, amount) = (c.required(0), c.needed(1, 0.1, 1.0e6));
    let (low, high) = (c.number(2, 0.1, 1.0e6), c.number(3, 0.1, 1.0e6));
    c.interval(2, 3, (low, high), amount);
    let (source, grade) = (c.source(words + 1), c.parsed(words + 2, Grade::from_word));
    let row = (|| {
        Some(VesselRow {
            at: c.at.clone(),
            id: id?,
            amount: amount?,
            low,
            high,
            millilitres,
            words: c.words(words),
            source: source?,
            grade: grade?,
        })
    })();
    out.extend(c.keep(row));
}

pub(crate) fn drinks(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<DrinkRow>) {
    read(file, bytes, DRINKS, faults, |c| {
        let (region, grams, source) = (c.required(0), c.needed(1, 1.0, 50.0), c.source(2));
        let _ = c.parsed(4, Grade::from_word);
        let row = (|| {
            Some(DrinkRow {
                at: c.at.clone(),
                region: region?.to_lowercase(),
                ethanol: Grams::new(grams?).ok()?,
                source: source?,
            })
        })();
        out.extend(c.keep(row));
    });
}

impl DrinkRow {
    pub(crate) fn is_of(&self, region: Region) -> bool {
        self.region == region.word()
    }
}

pub(crate) fn practice(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<PracticeRow>) {
    read(file, bytes, PRACTICE, faults, |c| {
        let _ = c.required(0);
        let (food, state) = (c.optional(1, FoodId::new), c.optional(2, StateId::new));
        let limit = c.number(3, 0.0, 10_000.0);
        let advice = c.required(4);
        if let Some(word) = advice.filter(|a| !ADVICE.contains(&a.as_str())) {
            c.fault(
                4,
                format!("'{}' is not an advice", cut(&word)),
                ADVICE.join(", "),
            );
        }
        let (text, source, grade) = (c.required(5), c.source(6), c.parsed(7, Grade::from_word));
        let row = (|| {
            Some(PracticeRow {
                at: c.at.clone(),
                food,
                state,
                limit,
                text: text?,
                source: source?,
                grade: grade?,
            })
        })();
        out.extend(c.keep(row));
    });
}

pub(crate) fn scope(c: &mut Cells<'_>, first: usize) -> Scope {
    let family = c.text(first + 1);
    Scope {
        class: c.optional(first, FoodClass::from_word),
        family: (!family.is_empty()).then_some(family),
        food: c.optional(first + 2, FoodId::new),
    }
}

pub(crate) fn absent(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<RuleRow>) {
    read(file, bytes, ABSENT, faults, |c| rule(c, None, 4, out));
}

pub(crate) fn inferred(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<RuleRow>) {
    read(file, bytes, INFERRED, faults, |c| {
        let (low, high) = (c.needed(4, 0.0, 100.0), c.needed(5, 0.0, 100.0));
        c.interval(4, 5, (low, high), None);
        if high == Some(0.0) {
            c.fault(
                5,
                "an interval that ends at zero",
                "high above 0; absent.csv holds what is absent by nature",
            );
        }
        rule(c, low.zip(high), 6, out);
    });
}

fn rule(c: &mut Cells<'_>, interval: Option<(f64, f64)>, reason: usize, out: &mut Vec<RuleRow>) {
    let scope = scope(c, 0);
    let _ = c.required(3);
    let analytes = c.list(3, Analyte::from_word);
    let (text, source, grade) = (
        c.required(reason),
        c.source(reason + 1),
        c.parsed(reason + 2, Grade::from_word),
    );
    let row = (|| {
        Some(RuleRow {
            at: c.at.clone(),
            scope,
            analytes,
            interval,
            reason: text?,
            source: source?,
            grade: grade?,
        })
    })();
    out.extend(c.keep(row));
}

pub(crate) fn processing(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<ProcessRow>) {
    read(file, bytes, PROCESSING, faults, |c| {
        let process = c.parsed(0, Process::from_word);
        let scope = scope(c, 1);
        let analytes = c.list(4, Analyte::from_word);
        let (low, central, high) = (
            c.needed(5, 0.0, 1.0),
            c.needed(6, 0.0, 1.0),
            c.needed(7, 0.0, 1.0),
        );
        c.interval(5, 7, (low, high), central);
        let (reason, source, locator, grade) = (
            c.required(8),
            c.source(9),
            c.required(10),
            c.parsed(11, Grade::from_word),
        );
        let row = (|| {
            let share = |v: Option<f64>| Fraction::new(v?).ok();
            Some(ProcessRow {
                at: c.at.clone(),
                process: process?,
                scope,
                analytes,
                kept: (share(low)?, share(central)?, share(high)?),
                reason: reason?,
                source: source?,
                locator: locator?,
                grade: grade?,
            })
        })();
        out.extend(c.keep(row));
    });
}

pub(crate) fn equivalents(
    file: &str,
    bytes: &[u8],
    faults: &mut Faults,
    out: &mut Vec<EquivalentRow>,
) {
    read(file, bytes, EQUIVALENTS, faults, |c| {
        let (food, state) = (c.food(0), c.optional(1, StateId::new));
        let (replacement, replacement_state) = (c.food(2), c.optional(3, StateId::new));
        let role = c.parsed(4, Role::from_word);
        let ratio = c.needed(5, 0.001, 100.0);
        let (stage, grade) = (c.parsed(6, Stage::from_word), c.parsed(8, Grade::from_word));
        let row = (|| {
            Some(EquivalentRow {
                at: c.at.clone(),
                food: food?,
                state,
                replacement: replacement?,
                replacement_state,
                role: role?,
                ratio: Ratio::new(ratio?).ok()?,
                stage: stage?,
                note: c.text(7),
                grade: grade?,
            })
        })();
        out.extend(c.keep(row));
    });
}

pub(crate) fn cutoffs(
    file: &str,
    bytes: &[u8],
    faults: &mut Faults,
    out: &mut Vec<(At, CutoffRow)>,
) {
    read(file, bytes, CUTOFFS, faults, |c| {
        let (subgroup, applies_to) = (
            c.parsed(0, Subgroup::from_word),
            c.parsed(1, AppliesTo::from_word),
        );
        let grams = c.needed(2, 0.001, 100.0);
        let (source, locator, grade) = (c.source(3), c.required(4), c.parsed(5, Grade::from_word));
        let row = (|| {
            Some(CutoffRow {
                subgroup: subgroup?,
                applies_to: applies_to?,
                grams: Grams::new(grams?).ok()?,
                source: source?,
                locator: locator?,
                grade: grade?,
            })
        })();
        let at = c.at.clone();
        out.extend(c.keep(row).map(|r| (at, r)));
    });
}
