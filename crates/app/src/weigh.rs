//! Grams of what a line asks for.
//!
//! What cannot be weighed stays unknown, with the reason and what was tried; nothing is guessed
//! without a remark.

use tamis_kitchen_text::{
    Amount as WrittenAmount, Basis, Count, DoubtKind, Quantity as WrittenQuantity, ReadLine, Unit,
};
use tamis_scoring::dish::{Amount, FoodClass};
use tamis_scoring::estimate::{Estimate, Mass};
use tamis_scoring::quantity::{Fraction, Grams, Millilitres, Quantity, Ratio};

use crate::pantry::FoodState;

/// What a seasoning without an amount brings to one portion, 5 % and 95 %; common practice, no
/// source.
const SEASONING_G: (f64, f64) = (0.05, 1.0);
/// How far an amount said to be approximate can be off; common practice, no source.
const APPROXIMATE: f64 = 0.15;
/// How far a level scoop or ladle strays from its nominal volume, as a relative standard deviation:
/// a tenth either way at the 5 % and 95 % points.
const TOOL_FILL: f64 = 0.06;
/// What a millilitre of a mixed batch weighs, where a yield and a portion have different units;
/// common practice, no source.
const GRAMS_PER_ML_OF_BATCH: f64 = 1.0;

/// How a plain `oz` is read where a line can mean both.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Ounces {
    /// By weight, unless the food is poured.
    ByWeight,
    /// Fluid: the card is a drink.
    Fluid,
}

/// The grams of a line, and what was assumed on the way.
#[derive(Debug, Clone)]
pub(crate) struct Weighed {
    pub amount: Amount,
    pub remarks: Vec<String>,
    /// Why the amount is unknown.
    pub missing: Option<String>,
}

impl Weighed {
    fn known(mass: Mass, remarks: Vec<String>) -> Self {
        Self {
            amount: Amount::Known(mass),
            remarks,
            missing: None,
        }
    }

    fn unknown(why: String, remarks: Vec<String>) -> Self {
        Self {
            amount: Amount::Unknown,
            remarks,
            missing: Some(why),
        }
    }
}

/// Weighs a line of a food.
pub(crate) fn weigh(
    line: &ReadLine,
    food: &FoodState<'_>,
    ounces: Ounces,
    portions: Ratio,
) -> Weighed {
    let mut remarks = Vec::new();
    if let Some(fault) = line.faults.first() {
        return Weighed::unknown(fault.to_string(), remarks);
    }
    let mut first_fault = None;
    // A weight beside a count says more than the count: `2 tomatoes (340 g)`.
    let counted = |a: &&WrittenAmount| matches!(a.unit, Unit::Count(_)) && a.grams().is_none();
    let weight_first = line.amounts.first().as_ref().is_some_and(counted);
    let (weights, others): (Vec<_>, Vec<_>) = line
        .amounts
        .iter()
        .partition(|a| weight_first && a.grams().is_some());
    for written in weights.into_iter().chain(others) {
        if let WrittenQuantity::Unquantified(word) = &written.quantity {
            return unquantified(word, food, portions);
        }
        match mass_of(line, written, food, ounces, &mut remarks) {
            Ok(mass) => {
                let mass = as_approximate(line, edible(line, written, food, mass, &mut remarks));
                return Weighed::known(mass, remarks);
            }
            Err(why) => {
                first_fault.get_or_insert(why);
            }
        }
    }
    match first_fault {
        Some(why) => Weighed::unknown(why, remarks),
        None => unquantified("", food, portions),
    }
}

/// Grams or millilitres of a portion, a yield or a line of a sub-recipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Extent {
    Mass(f64),
    Volume(f64),
    Count(f64),
}

impl Extent {
    /// How many of `whole` this is; a batch is taken to weigh 1 g/mL where units differ.
    pub fn share_of(self, whole: Self) -> Option<Ratio> {
        let (part, whole) = match (self, whole) {
            (Self::Mass(a), Self::Mass(b))
            | (Self::Volume(a), Self::Volume(b))
            | (Self::Count(a), Self::Count(b)) => (a, b),
            (Self::Mass(a), Self::Volume(b)) => (a / GRAMS_PER_ML_OF_BATCH, b),
            (Self::Volume(a), Self::Mass(b)) => (a * GRAMS_PER_ML_OF_BATCH, b),
            _ => return None,
        };
        (whole > 0.0).then(|| Ratio::clamped(part / whole))
    }

    pub fn grams(self) -> Option<f64> {
        match self {
            Self::Mass(g) => Some(g),
            Self::Volume(ml) => Some(ml * GRAMS_PER_ML_OF_BATCH),
            Self::Count(_) => None,
        }
    }
}

/// The middle of a written amount, without a food.
pub(crate) fn extent(written: &WrittenAmount, ounces: Ounces) -> Option<Extent> {
    let middle = |q: WrittenQuantity| q.bounds().map(|(a, b)| (a.get() + b.get()) / 2.0);
    let fluid = written.unit == Unit::Ounce && ounces == Ounces::Fluid;
    if let Some(grams) = written.grams().and_then(middle).filter(|_| !fluid) {
        return Some(Extent::Mass(grams));
    }
    if let Some(ml) = written.millilitres().and_then(middle) {
        return Some(Extent::Volume(ml));
    }
    middle(written.quantity.clone()).map(Extent::Count)
}

fn unquantified(word: &str, food: &FoodState<'_>, portions: Ratio) -> Weighed {
    let said = if word.is_empty() { "no amount" } else { word };
    match food.class() {
        FoodClass::WaterSalt | FoodClass::FatOil => Weighed {
            amount: Amount::Unknown,
            remarks: vec![format!(
                "{}: {said}; it brings nothing fermentable in any amount",
                food.name()
            )],
            missing: None,
        },
        FoodClass::HerbSpice => {
            let (low, high) = SEASONING_G;
            let n = portions.get();
            let mass = Mass::from_interval(Grams::clamped(low * n), Grams::clamped(high * n));
            Weighed::known(
                mass,
                vec![format!(
                    "{}: {said}; taken as {low} to {high} g a portion (common practice, no source)",
                    food.name()
                )],
            )
        }
        _ => Weighed::unknown(
            format!(
                "{said} of {}; an amount is accepted, such as `30 g` or `1 tbsp`",
                food.name()
            ),
            Vec::new(),
        ),
    }
}

fn mass_of(
    line: &ReadLine,
    written: &WrittenAmount,
    food: &FoodState<'_>,
    ounces: Ounces,
    remarks: &mut Vec<String>,
) -> Result<Mass, String> {
    let poured = matches!(food.class(), FoodClass::Drink | FoodClass::Spirit);
    let unit = written.each.as_ref().map_or(written.unit, |each| each.unit);
    let fluid = unit == Unit::Ounce && (ounces == Ounces::Fluid || poured);
    if unit == Unit::Ounce && !fluid && ounces == Ounces::ByWeight && food.is_pourable() {
        remarks.push(format!("{}: oz read by weight", food.name()));
    }
    if !fluid && let Some(grams) = written.grams().and_then(between::<Grams>) {
        return Ok(drained_share(written, food, grams, remarks));
    }
    let forms: Vec<&str> = line.preparation.iter().map(String::as_str).collect();
    if let Some(ml) = written.millilitres().and_then(between::<Millilitres>) {
        // Tools are filled to within a tenth; common practice, no source.
        let tool = matches!(unit, Unit::Disher(_) | Unit::Ladle(_) | Unit::Spoodle(..));
        let ml = if tool {
            ml.scaled_by(about(TOOL_FILL))
        } else {
            ml
        };
        return by_volume(food, ml, &forms, remarks)
            .map(|m| drained_share(written, food, m, remarks));
    }
    let count = between::<Ratio>(written.quantity.clone())
        .ok_or_else(|| format!("`{}` is no number", written.quantity))?;
    let own = match written.unit {
        Unit::Can(size) => food.tin(size, &forms),
        Unit::Count(Count::Each) => match named_piece(line) {
            // `12 lettuce leaves` are no twelve heads; a bay leaf is one of its kind.
            Some((piece, word)) => {
                let each = || food.one(written.unit, line.size, &forms);
                let own = food.one(Unit::Count(piece), line.size, &forms);
                own.or_else(|| food.is_one(word).then(each).flatten())
            }
            None => food.one(written.unit, line.size, &forms),
        },
        unit => food.one(unit, line.size, &forms),
    };
    let net = || match written.unit {
        Unit::Can(size) => food.pack(size.as_str()),
        _ => None,
    };
    if own.is_none()
        && let Some(ml) = small_measure(written.unit)
    {
        remarks.push(format!(
            "{}: one {} taken as {:.1} to {:.1} mL (common practice, no source)",
            food.name(),
            written.unit,
            ml.0,
            ml.1
        ));
        let ml = Estimate::from_interval(Millilitres::clamped(ml.0), Millilitres::clamped(ml.1));
        return by_volume(food, ml.scaled_by(count), &forms, remarks);
    }
    let one = if let Some(weighed) = own {
        remarks.extend(
            weighed
                .assumption()
                .map(|a| format!("{}: {a}", food.name())),
        );
        weighed.grams
    } else if let Some(net) = net() {
        remarks.push(format!(
            "{}: a {} holds {:.0} g net",
            food.name(),
            written.unit,
            net.mean().get()
        ));
        drained_share(written, food, net, remarks)
    } else {
        let known = food.measure_words().join(", ");
        return Err(format!(
            "no weight is known for `{} {}` of {}; grams, a volume{} are accepted",
            written.quantity,
            written.unit,
            food.name(),
            if known.is_empty() {
                String::new()
            } else {
                format!(" or {known}")
            }
        ));
    };
    Ok(one.scaled_by(count))
}

/// Millilitres of what is measured by hand, 5 % and 95 %; common practice, no source. Sixty drops
/// make a teaspoon.
const fn small_measure(unit: Unit) -> Option<(f64, f64)> {
    match unit {
        Unit::Count(Count::Pinch) => Some((0.2, 0.6)),
        Unit::Count(Count::Dash) => Some((0.4, 1.0)),
        Unit::Count(Count::Drop) => Some((0.05, 0.1)),
        Unit::Count(Count::Splash) => Some((3.0, 15.0)),
        Unit::Count(Count::Knob) => Some((5.0, 20.0)),
        Unit::Count(Count::Handful) => Some((60.0, 150.0)),
        _ => None,
    }
}

/// The piece that a line names after its food: `garlic cloves`.
fn named_piece(line: &ReadLine) -> Option<(Count, &str)> {
    let (_, word) = line.food_text.rsplit_once(' ')?;
    Some((Count::of_word(word)?, word))
}

fn about(relative_sd: f64) -> Estimate<Fraction> {
    Estimate::with_relative_sd(Fraction::clamped(1.0), Ratio::clamped(relative_sd))
}

fn by_volume(
    food: &FoodState<'_>,
    ml: Estimate<Millilitres>,
    forms: &[&str],
    remarks: &mut Vec<String>,
) -> Result<Mass, String> {
    let weighed = food.by_volume(ml, forms).ok_or_else(|| {
        format!(
            "no density is known for {}; grams are accepted",
            food.name()
        )
    })?;
    remarks.extend(
        weighed
            .assumption()
            .map(|a| format!("{}: {a}", food.name())),
    );
    Ok(weighed.grams)
}

/// A tin's net weight is not what is left in the sieve.
fn drained_share(
    written: &WrittenAmount,
    food: &FoodState<'_>,
    mass: Mass,
    remarks: &mut Vec<String>,
) -> Mass {
    let packed = matches!(written.unit, Unit::Can(_) | Unit::Pack(_));
    match food.drained_share().filter(|_| packed) {
        Some(share) => {
            remarks.push(format!(
                "{}: {:.0} % of a tin's net weight is left when drained",
                food.name(),
                share.mean().get() * 100.0
            ));
            mass.scaled_by(share)
        }
        None => mass,
    }
}

fn edible(
    line: &ReadLine,
    written: &WrittenAmount,
    food: &FoodState<'_>,
    mass: Mass,
    remarks: &mut Vec<String>,
) -> Mass {
    let weighed = written.unit.grams().is_some();
    match (line.basis, food.edible_share()) {
        (Basis::AsPurchased, Some(share)) => mass.scaled_by(share),
        (Basis::Unstated, Some(share)) if weighed && share.mean().get() < 0.9 => {
            remarks.push(format!(
                "{}: the weight is read as trimmed (EP); as purchased it would be {:.0} % of it",
                food.name(),
                share.mean().get() * 100.0
            ));
            mass
        }
        _ => mass,
    }
}

fn as_approximate(line: &ReadLine, mass: Mass) -> Mass {
    if line.doubts.iter().any(|d| d.kind == DoubtKind::Approximate) {
        mass.scaled_by(about(APPROXIMATE))
    } else {
        mass
    }
}

/// One number, or a range read as its 5 % and 95 % points.
fn between<Q: Quantity>(written: WrittenQuantity) -> Option<Estimate<Q>> {
    let (low, high) = written.bounds()?;
    Some(if low == high {
        Estimate::exact(Q::clamped(low.get()))
    } else {
        Estimate::from_interval(Q::clamped(low.get()), Q::clamped(high.get()))
    })
}
