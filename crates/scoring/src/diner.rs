//! For whom a dish is ruled, and by which policy of the site.

use crate::allergens::Allergens;
use crate::evidence::Grade;
use crate::quantity::Grams;
use crate::subgroup::{Subgroup, words};

/// The three phases of the diet in the literature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Phase {
    /// Every subgroup is held at the published cut-offs.
    Restriction,
    /// One subgroup is challenged and therefore free; the others stay held.
    Reintroduction,
    /// The diner's own tolerances replace the cut-offs they cover.
    Personalisation,
}

words!(Phase, "a phase", {
    Restriction = "restriction",
    Reintroduction = "reintroduction",
    Personalisation = "personalisation",
});

/// What one diner tolerates of one subgroup in a sitting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tolerance {
    /// Up to so many grams.
    UpTo(Grams),
    /// No limit.
    Unlimited,
}

/// A diner, as far as a ruling needs one: no name, no diagnosis.
#[derive(Debug, Clone, PartialEq)]
pub struct Diner {
    /// The phase of the diet.
    pub phase: Phase,
    /// The subgroup under challenge, in the reintroduction phase.
    pub challenge: Option<Subgroup>,
    /// Own tolerances; they count in the personalisation phase.
    pub tolerances: Vec<(Subgroup, Tolerance)>,
    /// Allergens the diner excludes: no amendment may bring one in.
    pub excluded_allergens: Allergens,
}

impl Diner {
    /// A diner in the restriction phase without further needs.
    #[must_use]
    pub const fn restriction() -> Self {
        Self {
            phase: Phase::Restriction,
            challenge: None,
            tolerances: Vec::new(),
            excluded_allergens: Allergens::NONE,
        }
    }
}

/// At which point of the estimate a load is held against its cut-off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Confidence {
    /// The mean, as the published classification does.
    Central,
    /// The 95 % bound: the cautious site.
    Upper95,
}

words!(Confidence, "a confidence", {
    Central = "central",
    Upper95 = "upper_95",
});

/// How fructose and glucose are netted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Netting {
    /// Over the whole portion, as a laboratory would measure the plate.
    Portion,
    /// Per component, each cut off at zero: the cautious sum.
    Component,
}

words!(Netting, "a netting of fructose", {
    Portion = "portion",
    Component = "component",
});

/// The region whose standard drink is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Region {
    /// United States: 14 g of ethanol.
    Us,
    /// United Kingdom: 8 g, one unit.
    Uk,
    /// Australia: 10 g.
    Au,
}

words!(Region, "a region", { Us = "us", Uk = "uk", Au = "au" });

/// What a kitchen adopts with its dietitian.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Policy {
    /// Name and version, shown on every answer.
    pub name: String,
    /// Where a load is held against its cut-off.
    pub confidence: Confidence,
    /// The weakest grade that may still rule `serve`.
    pub weakest_grade: Grade,
    /// How fructose is netted.
    pub netting: Netting,
    /// Whose standard drink is shown.
    pub region: Region,
}

impl Default for Policy {
    fn default() -> Self {
        Self {
            name: "published cut-offs, central".to_owned(),
            confidence: Confidence::Central,
            weakest_grade: Grade::Practice,
            netting: Netting::Portion,
            region: Region::Us,
        }
    }
}
