//! The answer: plain data that every door encodes in its own way.

use crate::allergens::Allergens;
use crate::amendments::AmendmentKind;
use crate::cutoffs::LimitBasis;
use crate::diner::Netting;
use crate::dish::Stage;
use crate::drinks::StandardDrinks;
use crate::evidence::{Evidence, Grade};
use crate::loads::LoadState;
use crate::quantity::{FoodId, Fraction, Grams, Ratio, SourceId, StateId};
use crate::ruling::{Finding, Ruling};
use crate::subgroup::{Analyte, Subgroup, words};

/// What was assessed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SubjectKind {
    /// A dish.
    Dish,
    /// A drink.
    Drink,
    /// Several of them at one occasion.
    Sitting,
}

words!(SubjectKind, "a kind of subject", { Dish = "dish", Drink = "drink", Sitting = "sitting" });

/// The answer for one portion.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// The name of the dish, drink or sitting.
    pub name: String,
    /// Its code, if the card has one.
    pub code: Option<String>,
    /// What it is.
    pub kind: SubjectKind,
    /// The ruling.
    pub ruling: Ruling,
    /// Why, in words; the deciding reasons first.
    pub reasons: Vec<String>,
    /// Mean grams of the portion; `None` where it cannot be known.
    pub portion: Option<Grams>,
    /// One row a subgroup, in the order of the interface.
    pub loads: Vec<LoadRow>,
    /// How fructose was netted, and what the other way would give.
    pub excess_fructose: ExcessFructose,
    /// The tightest subgroup; `None` where nothing is above zero or something is unknown.
    pub headroom: Option<HeadroomRow>,
    /// The largest portion that still rules `serve`; `None` where there is none or no limit.
    pub portion_ceiling: Option<Grams>,
    /// What each line brought.
    pub contributions: Vec<Contribution>,
    /// Changes after which the dish rules `serve`, least disruptive first.
    pub amendments: Vec<Amendment>,
    /// Ethanol, for drinks.
    pub alcohol: Option<StandardDrinks>,
    /// Allergens of the components, as recorded; not an allergen statement.
    pub allergens: Allergens,
    /// Rules that practitioners teach, beside the numbers.
    pub practice_notes: Vec<PracticeNote>,
    /// What was assumed where the card was silent.
    pub assumptions: Vec<Remark>,
    /// What was not understood; nothing is dropped.
    pub unresolved: Vec<Unresolved>,
    /// The cautions that go with every answer.
    pub cautions: Vec<String>,
    /// Whose policy ruled.
    pub policy: String,
    /// The version of the catalogue that was used.
    pub catalogue_version: String,
    /// For a sitting: its items, each assessed by itself.
    pub items: Vec<Assessment>,
}

/// One load.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadRow {
    /// The subgroup.
    pub subgroup: Subgroup,
    /// How it is known.
    pub state: LoadState,
    /// Mean grams; `None` unless zero or estimated.
    pub grams: Option<Grams>,
    /// 5 % bound; `None` for an unknown load of which nothing is known.
    pub low: Option<Grams>,
    /// 95 % bound; `None` where nothing bounds it.
    pub high: Option<Grams>,
    /// What it was held against; `None` where nothing limits it.
    pub cutoff: Option<CutoffUsed>,
    /// Probability of being over the cut-off.
    pub exceedance: Option<Fraction>,
    /// What follows.
    pub finding: Finding,
    /// What the load rests on.
    pub grade: Option<Grade>,
}

/// The cut-off that a load was held against.
#[derive(Debug, Clone, PartialEq)]
pub struct CutoffUsed {
    /// Grams per serve.
    pub grams: Grams,
    /// Where it comes from.
    pub basis: LimitBasis,
    /// Its publication; `None` for a diner's own tolerance.
    pub source: Option<SourceId>,
}

/// Both ways of netting fructose against glucose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExcessFructose {
    /// Which one the ruling used.
    pub netting: Netting,
    /// Net of the whole portion.
    pub over_portion: Option<Grams>,
    /// Sum over components, each cut off at zero.
    pub by_component: Option<Grams>,
    /// Whether the other way would rule this subgroup differently.
    pub choice_decides: ChoiceDecides,
}

/// Whether a ruling hangs on a choice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ChoiceDecides {
    /// It does.
    Yes,
    /// Both ways agree.
    No,
}

/// The tightest subgroup.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadroomRow {
    /// Which.
    pub subgroup: Subgroup,
    /// Cut-off divided by load at the policy's confidence.
    pub ratio: Ratio,
}

/// What one line brought to the portion.
#[derive(Debug, Clone, PartialEq)]
pub struct Contribution {
    /// The line as written, with the codes of the sub-recipes on the way to it.
    pub line: LineRef,
    /// The food; `None` where the line was not understood.
    pub food: Option<FoodId>,
    /// Its plain name.
    pub food_name: String,
    /// Its state.
    pub state: Option<StateId>,
    /// Mean grams in the portion; `None` where the amount is unknown.
    pub grams: Option<Grams>,
    /// What was done to it, as words of [`crate::processing::Process`] or plain words.
    pub processes: Vec<String>,
    /// Mean grams of each subgroup it brought, for those it has.
    pub loads: Vec<ContributedLoad>,
    /// The observations behind its composition.
    pub evidence: Vec<EvidenceRow>,
}

/// Where a line stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineRef {
    /// Codes or names of the sub-recipes that lead to it; empty for a line of the card itself.
    pub path: Vec<String>,
    /// Its place among the card's ingredient lines, from 1.
    pub number: u32,
    /// Its text as written.
    pub text: String,
}

/// What a line brought of one subgroup.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ContributedLoad {
    /// The subgroup.
    pub subgroup: Subgroup,
    /// How it is known.
    pub state: LoadState,
    /// Mean grams.
    pub grams: Option<Grams>,
}

/// One observation behind a line's composition.
#[derive(Debug, Clone, PartialEq)]
pub struct EvidenceRow {
    /// What was observed.
    pub analyte: Analyte,
    /// Where.
    pub evidence: Evidence,
}

/// One change; those with the same `plan` are made together.
#[derive(Debug, Clone, PartialEq)]
pub struct Amendment {
    /// The plan it belongs to, from 1; plan 1 is the least disruptive.
    pub plan: u32,
    /// Hold, sub, downsize, rework.
    pub kind: AmendmentKind,
    /// When it can be made.
    pub when: Stage,
    /// The food or dish it touches, in plain words.
    pub target: String,
    /// What takes its place, in plain words.
    pub replacement: Option<String>,
    /// The line a cook reads: verb first.
    pub text: String,
    /// What the dish rules after the whole plan.
    pub resulting_ruling: Ruling,
    /// Allergens that the plan brings and the dish lacked.
    pub added_allergens: Allergens,
}

/// A rule that practitioners teach, shown beside the number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PracticeNote {
    /// The food it is about.
    pub food: FoodId,
    /// The rule, with the words `common practice, no source`.
    pub text: String,
}

/// Something assumed, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remark {
    /// The line it is about; `None` for the dish as a whole.
    pub line: Option<LineRef>,
    /// What was assumed.
    pub text: String,
}

/// A line, or a part of one, that was not understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unresolved {
    /// The line.
    pub line: LineRef,
    /// Column of the part in the line, counted in characters from 1.
    pub column: u32,
    /// Why, and what would be accepted.
    pub reason: String,
    /// What was tried: the nearest foods of the catalogue, or the readings of an amount.
    pub tried: Vec<String>,
}
