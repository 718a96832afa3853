//! The rows of the seed data, one struct a table, read cell by cell.

use tamis_scoring::allergens::{Allergen, Allergens};
use tamis_scoring::dish::FoodClass;
use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::{FoodId, SourceId, StateId};

use crate::constituent::Constituent;
use crate::fault::Faults;
use crate::table::{At, Cells, read};

pub(crate) const SOURCES: &[&str] = &["id", "citation", "licence", "url"];
pub(crate) const FOODS: &[&str] = &[
    "food",
    "name",
    "class",
    "family",
    "allergens",
    "synonyms",
    "default_state",
    "note",
];
pub(crate) const STATES: &[&str] = &["food", "state", "words", "note"];
pub(crate) const COMPOSITION: &[&str] = &[
    "food", "state", "analyte", "value", "low", "high", "sd", "n", "basis", "source", "locator",
    "grade", "use", "note",
];
pub(crate) const MEASURES: &[&str] = &[
    "food", "state", "measure", "grams", "low", "high", "source", "locator", "grade",
];
pub(crate) const YIELDS: &[&str] = &[
    "food",
    "state",
    "edible_share",
    "low",
    "high",
    "source",
    "locator",
    "grade",
    "note",
];

#[derive(Debug, Clone)]
pub(crate) struct SourceRow {
    pub(crate) at: At,
    pub(crate) id: SourceId,
    pub(crate) citation: String,
    pub(crate) licence: String,
    pub(crate) url: String,
}

#[derive(Debug, Clone)]
pub(crate) struct FoodRow {
    pub(crate) at: At,
    pub(crate) id: FoodId,
    pub(crate) name: String,
    pub(crate) class: FoodClass,
    pub(crate) family: String,
    pub(crate) allergens: Allergens,
    pub(crate) synonyms: Vec<String>,
    pub(crate) default_state: StateId,
    pub(crate) note: String,
}

#[derive(Debug, Clone)]
pub(crate) struct StateRow {
    pub(crate) at: At,
    pub(crate) food: FoodId,
    pub(crate) state: StateId,
    pub(crate) words: Vec<String>,
}

/// What a composition cell says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Value {
    /// A number.
    Number(f64),
    /// Below this detection limit.
    Below(f64),
    /// Only the interval beside it.
    Interval,
}

/// What a value is per.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Basis {
    Fresh,
    Dry,
    Per100Ml,
}

impl Basis {
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Fresh => "g per 100 g",
            Self::Dry => "g per 100 g dry matter",
            Self::Per100Ml => "g per 100 mL",
        }
    }
}

#[derive(Debug, Clone)]
pub(crate) struct CompositionRow {
    pub(crate) at: At,
    pub(crate) food: FoodId,
    pub(crate) state: StateId,
    pub(crate) analyte: Constituent,
    pub(crate) value: Value,
    /// The value as transcribed.
    pub(crate) text: String,
    pub(crate) low: Option<f64>,
    pub(crate) high: Option<f64>,
    pub(crate) sd: Option<f64>,
    pub(crate) n: Option<u32>,
    pub(crate) basis: Basis,
    pub(crate) source: SourceId,
    pub(crate) locator: String,
    pub(crate) grade: Grade,
    /// Why it does not count; `None` for one that does.
    pub(crate) rejected: Option<String>,
    pub(crate) note: String,
}

#[derive(Debug, Clone)]
pub(crate) struct MeasureRow {
    pub(crate) at: At,
    pub(crate) food: FoodId,
    pub(crate) state: Option<StateId>,
    pub(crate) measure: String,
    pub(crate) grams: f64,
    pub(crate) low: Option<f64>,
    pub(crate) high: Option<f64>,
    pub(crate) source: SourceId,
    pub(crate) locator: String,
    pub(crate) grade: Grade,
}

#[derive(Debug, Clone)]
pub(crate) struct YieldRow {
    pub(crate) at: At,
    pub(crate) food: FoodId,
    pub(crate) state: Option<StateId>,
    pub(crate) share: f64,
    pub(crate) low: Option<f64>,
    pub(crate) high: Option<f64>,
    pub(crate) source: SourceId,
    pub(crate) locator: String,
    pub(crate) grade: Grade,
}

pub(crate) fn sources(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<SourceRow>) {
    read(file, bytes, SOURCES, faults, |c| {
        let row = (|| {
            Some(SourceRow {
                at: c.at.clone(),
                id: c.source(0)?,
                citation: c.required(1)?,
                licence: c.required(2)?,
                url: c.text(3),
            })
        })();
        out.extend(c.keep(row));
    });
}

pub(crate) fn foods(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<FoodRow>) {
    read(file, bytes, FOODS, faults, |c| {
        let (id, name, class, state) = (
            c.food(0),
            c.required(1),
            c.parsed(2, FoodClass::from_word),
            c.state(6),
        );
        let family = c.text(3);
        if family.bytes().any(|b| !b.is_ascii_lowercase() && b != b'-') {
            c.fault(
                3,
                format!("'{}' is not a family", cut(&family)),
                "a botanical family in lower case, or blank",
            );
        }
        let allergens: Allergens = c.list(4, Allergen::from_word).into_iter().collect();
        let synonyms = c.words(5);
        let row = (|| {
            Some(FoodRow {
                at: c.at.clone(),
                id: id?,
                name: name?,
                class: class?,
                family,
                allergens,
                synonyms,
                default_state: state?,
                note: c.text(7),
            })
        })();
        out.extend(c.keep(row));
    });
}

pub(crate) fn states(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<StateRow>) {
    read(file, bytes, STATES, faults, |c| {
        let (food, state, words) = (c.food(0), c.state(1), c.words(2));
        let row = (|| {
            Some(StateRow {
                at: c.at.clone(),
                food: food?,
                state: state?,
                words,
            })
        })();
        out.extend(c.keep(row));
    });
}

pub(crate) fn composition(
    file: &str,
    bytes: &[u8],
    faults: &mut Faults,
    out: &mut Vec<CompositionRow>,
) {
    read(file, bytes, COMPOSITION, faults, |c| {
        let (food, state, analyte) = (c.food(0), c.state(1), c.parsed(2, Constituent::from_word));
        let low = c.number(4, 0.0, 100.0);
        let high = c.number(5, 0.0, 100.0);
        let sd = c.number(6, 0.0, 100.0);
        let value = value(c, high);
        let number = match value {
            Some(Value::Number(v)) => Some(v),
            _ => None,
        };
        c.interval(4, 5, (low, high), number);
        let n = samples(c, 7);
        let basis = basis(c, 8);
        let (source, locator, grade) =
            (c.source(9), c.required(10), c.parsed(11, Grade::from_word));
        let rejected = rejection(c, 12);
        let row = (|| {
            Some(CompositionRow {
                at: c.at.clone(),
                food: food?,
                state: state?,
                analyte: analyte?,
                value: value?,
                text: c.text(3),
                low,
                high,
                sd,
                n: n?,
                basis: basis?,
                source: source?,
                locator: locator?,
                grade: grade?,
                rejected: rejected?,
                note: c.text(13),
            })
        })();
        out.extend(c.keep(row));
    });
}

fn value(c: &mut Cells<'_>, high: Option<f64>) -> Option<Value> {
    let text = c.text(3);
    if text.is_empty() {
        return if high.is_some() {
            Some(Value::Interval)
        } else {
            c.fault(
                3,
                "no value and no interval",
                "a number, '<' and a detection limit, or blank with low and high",
            );
            None
        };
    }
    let (below, digits) = match text.strip_prefix('<') {
        Some(rest) => (true, rest.trim()),
        None => (false, text.as_str()),
    };
    match digits.parse::<f64>() {
        Ok(v) if v.is_finite() && (0.0..=100.0).contains(&v) && !(below && v <= 0.0) => {
            Some(if below {
                Value::Below(v)
            } else {
                Value::Number(v)
            })
        }
        Ok(v) => {
            c.fault(
                3,
                format!("{v} is out of range"),
                "0 to 100 g per 100 g; a detection limit above 0",
            );
            None
        }
        Err(_) => {
            c.fault(
                3,
                format!("'{}' is not a value", cut(&text)),
                "a number, '<' and a detection limit, or blank with low and high",
            );
            None
        }
    }
}

fn samples(c: &mut Cells<'_>, i: usize) -> Option<Option<u32>> {
    if c.is_blank(i) {
        return Some(None);
    }
    match c.text(i).parse::<u32>() {
        Ok(n) if n > 0 => Some(Some(n)),
        _ => {
            let text = cut(&c.text(i));
            c.fault(
                i,
                format!("'{text}' is not a number of samples"),
                "a whole number above 0, or blank",
            );
            None
        }
    }
}

fn basis(c: &mut Cells<'_>, i: usize) -> Option<Basis> {
    match c.required(i)?.as_str() {
        "fresh" => Some(Basis::Fresh),
        "dry" => Some(Basis::Dry),
        "100ml" => Some(Basis::Per100Ml),
        other => {
            c.fault(
                i,
                format!("'{}' is not a basis", cut(other)),
                "fresh, dry, 100ml",
            );
            None
        }
    }
}

fn rejection(c: &mut Cells<'_>, i: usize) -> Option<Option<String>> {
    let text = c.required(i)?;
    if text == "yes" {
        return Some(None);
    }
    match text.strip_prefix("no:").map(str::trim) {
        Some(reason) if !reason.is_empty() => Some(Some(reason.to_owned())),
        _ => {
            c.fault(
                i,
                format!("'{}' does not say whether the row counts", cut(&text)),
                "yes, or 'no: ' and the reason",
            );
            None
        }
    }
}

pub(crate) fn measures(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<MeasureRow>) {
    read(file, bytes, MEASURES, faults, |c| {
        let (food, state, measure) = (c.food(0), c.optional(1, StateId::new), c.required(2));
        let grams = c.needed(3, 0.0, 100_000.0);
        if grams == Some(0.0) {
            c.fault(3, "a measure that weighs nothing", "grams above 0");
        }
        let (low, high) = (c.number(4, 0.0, 100_000.0), c.number(5, 0.0, 100_000.0));
        c.interval(4, 5, (low, high), grams);
        if measure.as_deref() == Some("ml") && grams.is_some_and(|g| !(0.05..=3.0).contains(&g)) {
            c.fault(3, "a density no kitchen has", "0.05 to 3 g in a millilitre");
        }
        let (source, locator, grade) = (c.source(6), c.required(7), c.parsed(8, Grade::from_word));
        let row = (|| {
            Some(MeasureRow {
                at: c.at.clone(),
                food: food?,
                state,
                measure: measure?,
                grams: grams?,
                low,
                high,
                source: source?,
                locator: locator?,
                grade: grade?,
            })
        })();
        out.extend(c.keep(row));
    });
}

pub(crate) fn yields(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<YieldRow>) {
    read(file, bytes, YIELDS, faults, |c| {
        let (food, state) = (c.food(0), c.optional(1, StateId::new));
        let share = c.needed(2, 0.0, 1.0);
        if share == Some(0.0) {
            c.fault(2, "nothing edible", "a share above 0");
        }
        let (low, high) = (c.number(3, 0.0, 1.0), c.number(4, 0.0, 1.0));
        c.interval(3, 4, (low, high), share);
        let (source, locator, grade) = (c.source(5), c.required(6), c.parsed(7, Grade::from_word));
        let row = (|| {
            Some(YieldRow {
                at: c.at.clone(),
                food: food?,
                state,
                share: share?,
                low,
                high,
                source: source?,
                locator: locator?,
                grade: grade?,
            })
        })();
        out.extend(c.keep(row));
    });
}

pub(crate) fn cut(text: &str) -> String {
    text.chars().take(60).collect()
}
