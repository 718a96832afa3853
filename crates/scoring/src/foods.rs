//! A food of the catalogue as a reader sees it: plain data for `foods` and its endpoints.

use crate::allergens::Allergens;
use crate::dish::FoodClass;
use crate::evidence::{Evidence, Grade};
use crate::quantity::{FoodId, Fraction, Grams, GramsPer100g, StateId};
use crate::ruling::Headroom;
use crate::subgroup::Analyte;

/// One row of a list of foods.
#[derive(Debug, Clone, PartialEq)]
pub struct FoodSummary {
    /// Its id.
    pub id: FoodId,
    /// Its plain name.
    pub name: String,
    /// Its class.
    pub class: FoodClass,
    /// Its states, the default one first.
    pub states: Vec<StateId>,
}

/// Everything known of one food.
#[derive(Debug, Clone, PartialEq)]
pub struct FoodPage {
    /// Its id.
    pub id: FoodId,
    /// Its plain name.
    pub name: String,
    /// Its class.
    pub class: FoodClass,
    /// Its botanical family; empty where that does not apply.
    pub family: String,
    /// Names that kitchens write for it.
    pub synonyms: Vec<String>,
    /// Its allergens, as recorded.
    pub allergens: Allergens,
    /// Its states, the default one first.
    pub states: Vec<FoodState>,
    /// Rules that practitioners teach about it.
    pub practice_notes: Vec<String>,
    /// The version of the catalogue.
    pub catalogue_version: String,
}

/// One state of a food.
#[derive(Debug, Clone, PartialEq)]
pub struct FoodState {
    /// Its id.
    pub id: StateId,
    /// What is known of each analyte.
    pub analytes: Vec<AnalyteRow>,
    /// Household measures, in grams of edible portion.
    pub measures: Vec<MeasureRow>,
    /// Edible share of the food as purchased, where a kitchen trims it.
    pub edible_share: Option<Fraction>,
    /// The largest portion that rules `serve` in the restriction phase by the default policy.
    pub portion_ceiling: Option<Grams>,
    /// The tightest subgroup of 100 g.
    pub headroom_of_100g: Option<Headroom>,
}

/// What is known of one analyte in 100 g.
#[derive(Debug, Clone, PartialEq)]
pub struct AnalyteRow {
    /// Which.
    pub analyte: Analyte,
    /// How it is known: `zero`, `estimated`, `bounded`, `unknown`.
    pub state: crate::loads::LoadState,
    /// Mean; `None` unless zero or estimated.
    pub grams: Option<GramsPer100g>,
    /// 5 % bound.
    pub low: Option<GramsPer100g>,
    /// 95 % bound.
    pub high: Option<GramsPer100g>,
    /// Grade of the estimate.
    pub grade: Option<Grade>,
    /// The observations, used and rejected.
    pub observations: Vec<Observation>,
}

/// One observation of one analyte.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// The value as transcribed, with its basis.
    pub value: String,
    /// Where it comes from.
    pub evidence: Evidence,
    /// The citation of the source.
    pub citation: String,
    /// Why it does not count; `None` for one that does.
    pub rejected: Option<String>,
}

/// One household measure.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasureRow {
    /// The measure: `cup`, `clove`, `each`, ...
    pub measure: String,
    /// Mean grams.
    pub grams: Grams,
    /// Its grade.
    pub grade: Grade,
}
