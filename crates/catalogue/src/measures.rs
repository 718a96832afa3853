//! Grams of what a kitchen counts or measures by volume.

use std::collections::BTreeMap;

use tamis_scoring::diner::Region;
use tamis_scoring::dish::FoodClass;
use tamis_scoring::estimate::{Estimate, Mass, Share, Z95};
use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::{
    FoodId, Fraction, Grams, Millilitres, Quantity, Ratio, SourceId, StateId,
};

use crate::Catalogue;
use crate::load::Tables;
use crate::matching::normal::words;
use crate::schema::MeasureRow;
use crate::schema_tools::VesselRow;

/// A volume with its spread.
pub type Volume = Estimate<Millilitres>;

/// US customary measures in millilitres, by the word of the measure tables.
const SPOONS: &[(&str, f64)] = &[("cup", 236.588), ("tbsp", 14.787), ("tsp", 4.929)];

/// How large one of a kind is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Size {
    /// Small.
    Small,
    /// Medium, or not said.
    Medium,
    /// Large.
    Large,
    /// Extra large, jumbo.
    ExtraLarge,
}

impl Size {
    const fn word(self) -> &'static str {
        match self {
            Self::Small => "small",
            Self::Medium => "medium",
            Self::Large => "large",
            Self::ExtraLarge => "extra large",
        }
    }

    /// Against a medium one, where the food has no measure of that size: common practice, no source.
    const fn factor(self) -> f64 {
        match self {
            Self::Small => 0.7,
            Self::Medium => 1.0,
            Self::Large => 1.3,
            Self::ExtraLarge => 1.6,
        }
    }
}

/// Grams, and what they were found by.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighed {
    /// The grams.
    pub grams: Mass,
    /// How good the evidence is.
    pub grade: Grade,
    /// What was used.
    pub used: Used,
}

/// What turned a count or a volume into grams.
#[derive(Debug, Clone, PartialEq)]
pub enum Used {
    /// A measure of this food.
    Measure {
        /// The measure, as in the table: `clove`, `cup:chopped`.
        measure: String,
        /// Where it comes from.
        source: SourceId,
        /// Where in the source.
        locator: String,
        /// What had to be assumed; empty where nothing was.
        assumed: String,
    },
    /// The usual density of this class of food.
    ClassDensity {
        /// The class.
        class: FoodClass,
    },
}

impl Weighed {
    /// What was assumed, in words, where something was.
    #[must_use]
    pub fn assumption(&self) -> Option<String> {
        match &self.used {
            Used::Measure { assumed, .. } if assumed.is_empty() => None,
            Used::Measure { assumed, .. } => Some(assumed.clone()),
            Used::ClassDensity { class } => Some(format!(
                "no volume of this food is on record; the usual density of the class {class} was used, with a wide interval"
            )),
        }
    }
}

/// The edible share of a food as purchased.
#[derive(Debug, Clone, PartialEq)]
pub struct EdibleShare {
    /// The share.
    pub share: Share,
    /// Where it comes from.
    pub source: SourceId,
    /// Where in the source.
    pub locator: String,
    /// How good the evidence is.
    pub grade: Grade,
}

/// A pack as the trade names it.
#[derive(Debug, Clone, PartialEq)]
pub struct Pack {
    /// Its id, such as `can-10`.
    pub id: String,
    /// Net weight of a common food in it, drained or not as the label says.
    pub net: Mass,
    /// What it holds.
    pub volume: Option<Volume>,
    /// Where it comes from.
    pub source: SourceId,
    /// How good the evidence is.
    pub grade: Grade,
}

/// A portion tool.
#[derive(Debug, Clone, PartialEq)]
pub struct Utensil {
    /// Its id, such as `disher-8`.
    pub id: String,
    /// What one portion of it holds.
    pub volume: Volume,
    /// Where it comes from.
    pub source: SourceId,
    /// How good the evidence is.
    pub grade: Grade,
}

/// The rows of each food, found by its id.
#[derive(Debug, Default)]
pub(crate) struct MeasureIndex(BTreeMap<FoodId, Vec<usize>>);

impl MeasureIndex {
    pub(crate) fn new(tables: &Tables) -> Self {
        let mut index: BTreeMap<FoodId, Vec<usize>> = BTreeMap::new();
        for (i, row) in tables.measures.iter().enumerate() {
            index.entry(row.food.clone()).or_default().push(i);
        }
        Self(index)
    }

    fn rows<'a>(
        &'a self,
        tables: &'a Tables,
        food: &FoodId,
    ) -> impl Iterator<Item = &'a MeasureRow> + use<'a> {
        self.0
            .get(food)
            .into_iter()
            .flatten()
            .filter_map(|&i| tables.measures.get(i))
    }
}

/// Grams per millilitre of a food and state, for values per 100 mL.
pub(crate) fn density(tables: &Tables, food: &FoodId, state: &StateId) -> Option<f64> {
    let rows = || {
        tables
            .measures
            .iter()
            .filter(|r| r.food == *food && r.measure == "ml")
    };
    rows()
        .find(|r| r.state.as_ref() == Some(state))
        .or_else(|| rows().find(|r| r.state.is_none()))
        .map(|r| r.grams)
}

/// The usual density of a class, in g per mL as it lies in a measure, 5 % and 95 %: common practice.
const fn class_density(class: FoodClass) -> (f64, f64) {
    match class {
        FoodClass::Grain => (0.35, 0.90),
        FoodClass::Legume => (0.60, 0.95),
        FoodClass::NutSeed => (0.40, 0.75),
        FoodClass::Vegetable => (0.30, 0.80),
        FoodClass::Fruit => (0.40, 0.95),
        FoodClass::Mushroom => (0.25, 0.50),
        FoodClass::HerbSpice => (0.10, 0.60),
        FoodClass::Dairy => (0.45, 1.06),
        FoodClass::Egg => (0.95, 1.06),
        FoodClass::Meat | FoodClass::Fish => (0.50, 1.00),
        FoodClass::FatOil => (0.85, 0.95),
        FoodClass::Sweetener => (0.50, 1.45),
        FoodClass::Drink => (0.97, 1.10),
        FoodClass::Spirit => (0.92, 0.97),
        FoodClass::Condiment => (0.90, 1.30),
        FoodClass::Additive | FoodClass::Composite => (0.40, 1.15),
        FoodClass::WaterSalt => (0.90, 1.30),
    }
}

/// The spread of a measure: its own interval, else a default by its grade.
fn of_row(row: &MeasureRow, count: f64) -> Mass {
    let grams = |v: f64| Grams::clamped(v * count);
    match row.low.zip(row.high) {
        Some((low, high)) => Mass::with_interval(grams(row.grams), grams(low), grams(high)),
        None => {
            let relative = if row.grade <= Grade::Secondary {
                0.10
            } else {
                0.30
            };
            Mass::with_relative_sd(grams(row.grams), Ratio::clamped(relative))
        }
    }
}

impl Catalogue {
    /// Grams of so many of a measure of a food: `clove`, `each`, `bunch`, `slice`, ... `None` where
    /// the food has no such measure in any state.
    ///
    /// `forms` are the preparation words of the line; `cup:chopped` is preferred where one says
    /// `chopped`. Those counted together are of one kind: their spread does not average out.
    #[must_use]
    pub fn weigh_count(
        &self,
        food: &FoodId,
        state: &StateId,
        measure: &str,
        size: Option<Size>,
        forms: &[&str],
        count: Ratio,
    ) -> Option<Weighed> {
        let measure = measure_key(measure);
        let forms: Vec<String> = forms.iter().take(16).flat_map(|f| words(f)).collect();
        let is_each = matches!(measure.as_str(), "" | "each" | "ea" | "whole" | "piece");
        if let Some(size) = size {
            let sized = size.word();
            let own = if is_each {
                sized.to_owned()
            } else {
                format!("{measure}:{sized}")
            };
            if let Some(row) = self.measure_row(food, state, &own, &forms) {
                return Some(self.weighed(row, state, count.get(), 1.0, ""));
            }
        }
        let names: &[&str] = if is_each {
            &[&measure, "each", "medium", "whole", "piece"]
        } else {
            &[&measure]
        };
        let row = names
            .iter()
            .find_map(|name| self.measure_row(food, state, name, &forms))?;
        let factor = size.map_or(1.0, Size::factor);
        let note = match size {
            Some(size) if size != Size::Medium => {
                format!(
                    "no weight of a {} one is on record; {} times the usual one was taken",
                    size.word(),
                    factor
                )
            }
            _ => String::new(),
        };
        Some(self.weighed(row, state, count.get(), factor, &note))
    }

    /// Grams of a volume of a food, by its own density in this form, else in another state, else by
    /// the density of its class. `None` for a food that is not in the catalogue.
    #[must_use]
    pub fn weigh_volume(
        &self,
        food: &FoodId,
        state: &StateId,
        volume: Volume,
        forms: &[&str],
    ) -> Option<Weighed> {
        let class = self.food(food)?.class;
        let forms: Vec<String> = forms.iter().take(16).flat_map(|f| words(f)).collect();
        let exact = ("ml", 1.0);
        let mut order: Vec<(&str, f64)> = SPOONS.to_vec();
        if volume.mean().get() < 60.0 {
            order.reverse();
        }
        // A cup of this very form says more than a density; a density more than any other cup.
        let formed = order
            .iter()
            .filter_map(|&(m, ml)| Some((self.formed_row(food, state, m, &forms)?, ml)))
            .next();
        let plain = || {
            std::iter::once(&exact)
                .chain(order.iter())
                .filter_map(|&(m, ml)| Some((self.measure_row(food, state, m, &forms)?, ml)))
                .next()
        };
        let any_cup = || {
            let row = self
                .measures(food)
                .find(|r| r.measure.starts_with("cup:"))?;
            Some((row, SPOONS.first().map_or(236.588, |s| s.1)))
        };
        match formed.or_else(plain).or_else(any_cup) {
            Some((row, ml)) => {
                let mut out = self.weighed(row, state, volume.mean().get() / ml, 1.0, "");
                out.grams = out.grams.scaled_by(relative(volume));
                if row.measure.contains(':')
                    && formed.is_none_or(|(f, _)| f.measure != row.measure)
                    && let Used::Measure { assumed, .. } = &mut out.used
                {
                    *assumed = format!("measured as {}", row.measure.replace(':', ", "));
                    out.grade = out.grade.weaker(Grade::Inferred);
                }
                Some(out)
            }
            None => {
                let (low, high) = class_density(class);
                let ml = volume.mean().get();
                let grams =
                    Mass::from_interval(Grams::clamped(low * ml), Grams::clamped(high * ml));
                Some(Weighed {
                    grams: grams.scaled_by(relative(volume)),
                    grade: Grade::Inferred,
                    used: Used::ClassDensity { class },
                })
            }
        }
    }

    /// The edible share of a food as purchased; `None` where no yield is on record.
    #[must_use]
    pub fn edible_share(&self, food: &FoodId, state: &StateId) -> Option<EdibleShare> {
        let rows = || self.inner.tables.yields.iter().filter(|r| r.food == *food);
        let row = rows()
            .find(|r| r.state.as_ref() == Some(state))
            .or_else(|| rows().find(|r| r.state.is_none()))?;
        let fraction = |v: f64| Fraction::clamped(v);
        let share = match row.low.zip(row.high) {
            Some((low, high)) => {
                Share::with_interval(fraction(row.share), fraction(low), fraction(high))
            }
            None => Share::with_relative_sd(fraction(row.share), Ratio::clamped(0.05)),
        };
        Some(EdibleShare {
            share,
            source: row.source.clone(),
            locator: row.locator.clone(),
            grade: row.grade,
        })
    }

    /// The pack that words name: `#10`, `A10`, `400 g tin`.
    #[must_use]
    pub fn pack(&self, text: &str) -> Option<Pack> {
        let row = vessel(&self.inner.tables.packs, text)?;
        Some(Pack {
            id: row.id.clone(),
            net: spread_of(row),
            volume: row
                .millilitres
                .map(|ml| Volume::with_relative_sd(Millilitres::clamped(ml), Ratio::clamped(0.03))),
            source: row.source.clone(),
            grade: row.grade,
        })
    }

    /// The portion tool that words name: `#8 disher`, `6 oz ladle`.
    #[must_use]
    pub fn utensil(&self, text: &str) -> Option<Utensil> {
        let row = vessel(&self.inner.tables.utensils, text)?;
        let volume = spread_of(row);
        Some(Utensil {
            id: row.id.clone(),
            volume,
            source: row.source.clone(),
            grade: row.grade,
        })
    }

    /// The ethanol of one standard drink of a region; `None` where the table has no such region.
    #[must_use]
    pub fn standard_drink(&self, region: Region) -> Option<Grams> {
        self.inner
            .tables
            .drinks
            .iter()
            .find(|r| r.is_of(region))
            .map(|r| r.ethanol)
    }

    pub(crate) fn measures(&self, food: &FoodId) -> impl Iterator<Item = &MeasureRow> {
        self.inner.measures.rows(&self.inner.tables, food)
    }

    fn formed_row(
        &self,
        food: &FoodId,
        state: &StateId,
        measure: &str,
        forms: &[String],
    ) -> Option<&MeasureRow> {
        forms
            .iter()
            .find_map(|form| self.named_row(food, state, &format!("{measure}:{form}")))
    }

    fn measure_row(
        &self,
        food: &FoodId,
        state: &StateId,
        measure: &str,
        forms: &[String],
    ) -> Option<&MeasureRow> {
        self.formed_row(food, state, measure, forms)
            .or_else(|| self.named_row(food, state, measure))
    }

    /// The row of this state, else of any state, else of another state.
    fn named_row(&self, food: &FoodId, state: &StateId, measure: &str) -> Option<&MeasureRow> {
        let rows = || {
            self.measures(food)
                .filter(|r| measure_key(&r.measure) == measure)
        };
        rows()
            .find(|r| r.state.as_ref() == Some(state))
            .or_else(|| rows().find(|r| r.state.is_none()))
            .or_else(|| rows().next())
    }

    fn weighed(
        &self,
        row: &MeasureRow,
        state: &StateId,
        count: f64,
        factor: f64,
        note: &str,
    ) -> Weighed {
        let mut assumed = note.to_owned();
        let mut grade = row.grade;
        let mut grams = of_row(row, count * factor);
        if !note.is_empty() {
            grade = grade.weaker(Grade::Practice);
            grams = grams.scaled_by(Estimate::with_relative_sd(
                Ratio::clamped(1.0),
                Ratio::clamped(0.15),
            ));
        }
        if let Some(other) = row.state.as_ref().filter(|s| *s != state) {
            if !assumed.is_empty() {
                assumed.push_str("; ");
            }
            assumed.push_str(&format!("weight of the {other} food taken"));
            grade = grade.weaker(Grade::Inferred);
            grams = grams.scaled_by(Estimate::with_relative_sd(
                Ratio::clamped(1.0),
                Ratio::clamped(0.15),
            ));
        }
        Weighed {
            grams,
            grade,
            used: Used::Measure {
                measure: row.measure.clone(),
                source: row.source.clone(),
                locator: row.locator.clone(),
                assumed,
            },
        }
    }
}

/// A measure in one spelling: lower case, one of it.
fn measure_key(text: &str) -> String {
    let text: String = text
        .trim()
        .to_lowercase()
        .replace('-', " ")
        .chars()
        .take(60)
        .collect();
    let singular = match text.as_str() {
        "leaves" => "leaf",
        "halves" => "half",
        "loaves" => "loaf",
        "bunches" => "bunch",
        "pinches" => "pinch",
        "dashes" => "dash",
        "glasses" => "glass",
        "boxes" => "box",
        "inches" => "inch",
        t if t.len() > 3 && !t.ends_with("ss") => t.strip_suffix('s').unwrap_or(t),
        t => t,
    };
    singular.to_owned()
}

/// The spread of a volume, as a ratio around one.
fn relative(volume: Volume) -> Estimate<Ratio> {
    let s = volume.log_sd().get();
    Estimate::with_relative_sd(
        Ratio::clamped(1.0),
        Ratio::clamped(libm::sqrt(libm::expm1(s * s))),
    )
}

fn spread_of<Q: Quantity>(row: &VesselRow) -> Estimate<Q> {
    match row.low.zip(row.high) {
        Some((low, high)) => {
            Estimate::with_interval(Q::clamped(row.amount), Q::clamped(low), Q::clamped(high))
        }
        None => Estimate::with_relative_sd(Q::clamped(row.amount), Ratio::clamped(0.1 / Z95)),
    }
}

fn vessel<'a>(rows: &'a [VesselRow], text: &str) -> Option<&'a VesselRow> {
    let key = vessel_key(text);
    rows.iter()
        .find(|r| r.id == text.trim() || r.words.iter().any(|w| vessel_key(w) == key))
}

/// Letters and digits only: `#2-1/2`, `No. 10`, `A10`.
pub(crate) fn vessel_key(text: &str) -> String {
    let key: String = text
        .to_lowercase()
        .chars()
        .take(80)
        .map(|c| {
            if c.is_alphanumeric() || matches!(c, '/' | '#') {
                c
            } else {
                ' '
            }
        })
        .collect();
    let words: Vec<&str> = key.split_whitespace().collect();
    words
        .join(" ")
        .replace("no ", "#")
        .replace("number ", "#")
        .replace("# ", "#")
}
