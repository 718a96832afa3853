//! What laboratories found in mixed foods and dishes: no part of any estimate, only of its checks.
//!
//! `validation/measured.csv` holds the numbers, `validation/dishes.txt` a card for each code.

use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::{GramsPer100g, SourceId};
use tamis_scoring::subgroup::{Analyte, Subgroup, WordError};

use crate::Catalogue;
use crate::fault::Faults;
use crate::schema::cut;
use crate::table::{At, Cells, read};
use crate::validate::Reported;

pub(crate) const MEASURED: &[&str] = &[
    "code", "analyte", "value", "basis", "n", "source", "locator", "grade", "note",
];

/// What was measured in a dish.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Measurand {
    /// A subgroup of the cut-offs; excess fructose is over the whole portion.
    Subgroup(Subgroup),
    /// Fructose or glucose by itself.
    Sugar(Analyte),
    /// Oligosaccharides, lactose, excess fructose and polyols together.
    Total,
}

impl Measurand {
    /// The word of the tables.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Subgroup(s) => s.word(),
            Self::Sugar(a) => a.word(),
            Self::Total => "total",
        }
    }

    fn from_word(word: &str) -> Result<Self, WordError> {
        match word {
            "total" => Ok(Self::Total),
            "fructose" => Ok(Self::Sugar(Analyte::Fructose)),
            "glucose" => Ok(Self::Sugar(Analyte::Glucose)),
            _ => Subgroup::from_word(word).map(Self::Subgroup),
        }
    }
}

/// What a value of a dish is per.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Per {
    /// 100 g of the dish as served.
    HundredGrams,
    /// One portion of its card.
    Serve,
}

/// One measured value of a dish.
#[derive(Debug, Clone)]
pub struct MeasuredDish {
    pub(crate) at: At,
    /// The code of its card.
    pub code: String,
    /// What was measured.
    pub measurand: Measurand,
    /// How much was found, in grams per [`MeasuredDish::per`].
    pub reported: Reported,
    /// What the value is per.
    pub per: Per,
    /// Samples, where reported.
    pub samples: Option<u32>,
    /// Where it comes from.
    pub source: SourceId,
    /// Table or row in the source.
    pub locator: String,
    /// How good it is.
    pub grade: Grade,
    /// What a reader should know.
    pub note: String,
}

impl Catalogue {
    /// The measured values of dishes, in the order of the table.
    #[must_use]
    pub fn measured_dishes(&self) -> &[MeasuredDish] {
        &self.inner.tables.dishes
    }

    /// The cards of the measured dishes as plain text; empty where there are none.
    #[must_use]
    pub fn dish_cards(&self) -> &str {
        &self.inner.tables.dish_cards
    }
}

pub(crate) fn measured(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<MeasuredDish>) {
    read(file, bytes, MEASURED, faults, |c| {
        let (code, measurand) = (c.required(0), c.parsed(1, Measurand::from_word));
        let reported = reported(c);
        let per = match c.required(3).as_deref() {
            Some("100g") => Some(Per::HundredGrams),
            Some("serve") => Some(Per::Serve),
            Some(other) => {
                c.fault(3, format!("'{}' is not a basis", cut(other)), "100g, serve");
                None
            }
            None => None,
        };
        let samples = c.number(4, 1.0, 1.0e6);
        let (source, locator) = (c.source(5), c.required(6));
        let grade = c.parsed(7, Grade::from_word);
        let row = (|| {
            Some(MeasuredDish {
                at: c.at.clone(),
                code: code?,
                measurand: measurand?,
                reported: reported?,
                per: per?,
                samples: samples.map(|n| n as u32),
                source: source?,
                locator: locator?,
                grade: grade?,
                note: c.text(8),
            })
        })();
        out.extend(c.keep(row));
    });
}

fn reported(c: &mut Cells<'_>) -> Option<Reported> {
    let text = c.required(2)?;
    let (below, digits) = match text.strip_prefix('<') {
        Some(rest) => (true, rest.trim()),
        None => (false, text.as_str()),
    };
    match digits.parse::<f64>().map(GramsPer100g::new) {
        Ok(Ok(value)) if below && value.get() > 0.0 => Some(Reported::Below(value)),
        Ok(Ok(value)) if !below => Some(Reported::Found(value)),
        _ => {
            c.fault(
                2,
                format!("'{}' is not a value", cut(&text)),
                "grams from 0 to 100, or '<' and a detection limit above 0",
            );
            None
        }
    }
}
