//! The composition of every food and state: observations first, then rules of nature, then
//! inferences, then physical ceilings, else unknown.

use std::collections::BTreeMap;

use tamis_scoring::composition::{Composition, Content};
use tamis_scoring::dish::FoodClass;
use tamis_scoring::estimate::Concentration;
use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::{FoodId, GramsPer100g, Quantity, StateId};
use tamis_scoring::subgroup::Analyte;

use crate::constituent::Constituent;
use crate::load::Tables;
use crate::pool::{Between, Observed, Pooled, judged, observed, pool};
use crate::schema::{Basis, CompositionRow, FoodRow};

/// A ceiling above this, in g per 100 g, says nothing a kitchen could use.
const USEFUL_CEILING: f64 = 30.0;

/// Where a content comes from.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum BasedOn {
    /// The observations of the analyte itself.
    Observations,
    /// The observations of total polyols, given to one of them by family.
    TotalPolyols,
    /// A row of `absent.csv`, by its place.
    Absent(usize),
    /// A row of `inferred.csv`, by its place.
    Inferred(usize),
    /// What the rest of the food leaves room for.
    Ceiling(&'static str),
    /// Nothing.
    Nothing,
}

/// What is known of one food in one state.
#[derive(Debug, Clone)]
pub(crate) struct Account {
    pub(crate) composition: Composition,
    pub(crate) based_on: Vec<(Analyte, BasedOn)>,
    /// Places of the rows in the composition table.
    pub(crate) rows: Vec<usize>,
    pub(crate) pooled: BTreeMap<Constituent, Pooled>,
}

pub(crate) type Accounts = BTreeMap<(FoodId, StateId), Account>;

/// Grams per millilitre of a food and state, where known.
pub(crate) type DensityOf<'a> = dyn Fn(&FoodId, &StateId) -> Option<f64> + 'a;

/// Composes all foods.
pub(crate) fn compose(tables: &Tables, density: &DensityOf<'_>) -> Accounts {
    let mut rows: BTreeMap<(FoodId, StateId), Vec<usize>> = BTreeMap::new();
    for state in &tables.states {
        rows.entry((state.food.clone(), state.state.clone()))
            .or_default();
    }
    for (i, row) in tables.composition.iter().enumerate() {
        rows.entry((row.food.clone(), row.state.clone()))
            .or_default()
            .push(i);
    }
    let mut fresh = BTreeMap::new();
    let mut between = Between::default();
    for (key, places) in &rows {
        let by = on_fresh_basis(tables, places, density(&key.0, &key.1));
        for (&constituent, seen) in &by {
            between.add(constituent, seen);
        }
        fresh.insert(key.clone(), by);
    }
    let foods: BTreeMap<&FoodId, &FoodRow> = tables.foods.iter().map(|f| (&f.id, f)).collect();
    let mut accounts = Accounts::new();
    for (key, places) in rows {
        let (Some(food), Some(seen)) = (foods.get(&key.0), fresh.get(&key)) else {
            continue;
        };
        let pooled: BTreeMap<Constituent, Pooled> = seen
            .iter()
            .filter_map(|(&c, o)| Some((c, pool(o, between.of(c))?)))
            .collect();
        let (composition, based_on) = contents(tables, food, &pooled);
        accounts.insert(
            key,
            Account {
                composition,
                based_on,
                rows: places,
                pooled,
            },
        );
    }
    accounts
}

fn on_fresh_basis(
    tables: &Tables,
    places: &[usize],
    density: Option<f64>,
) -> BTreeMap<Constituent, Vec<Observed>> {
    let used: Vec<&CompositionRow> = places
        .iter()
        .filter_map(|&i| tables.composition.get(i))
        .filter(|r| r.rejected.is_none())
        .collect();
    let water: Vec<Observed> = used
        .iter()
        .filter(|r| r.analyte == Constituent::Water && r.basis == Basis::Fresh)
        .map(|r| observed(r, 1.0))
        .collect();
    let solids = pool(&water, 0.0).map(|p| (1.0 - p.estimate.mean().get() / 100.0).max(0.0));
    let mut out: BTreeMap<Constituent, Vec<Observed>> = BTreeMap::new();
    for row in used {
        let factor = match row.basis {
            Basis::Fresh => Some(1.0),
            Basis::Dry => solids,
            Basis::Per100Ml => density.filter(|d| *d > 0.0).map(|d| 1.0 / d),
        };
        // Checked when loading: a row without its conversion is a fault there.
        if let Some(factor) = factor {
            out.entry(row.analyte)
                .or_default()
                .push(observed(row, factor));
        }
    }
    out
}

/// Which polyol a total is, by the plant family that stores it: the rose family sorbitol, celery kin
/// and mushrooms mannitol. Anything else stays "other".
fn polyol_of(food: &FoodRow) -> Analyte {
    match (food.family.as_str(), food.class) {
        ("rosaceae", _) => Analyte::Sorbitol,
        ("apiaceae" | "oleaceae", _) | (_, FoodClass::Mushroom) => Analyte::Mannitol,
        _ => Analyte::OtherPolyols,
    }
}

fn contents(
    tables: &Tables,
    food: &FoodRow,
    pooled: &BTreeMap<Constituent, Pooled>,
) -> (Composition, Vec<(Analyte, BasedOn)>) {
    let mut composition = Composition::UNKNOWN;
    let mut based_on = Vec::new();
    let split = split_of_total(food, pooled);
    for &analyte in Analyte::ALL {
        let (content, basis) = if let Some(p) = pooled.get(&Constituent::Analyte(analyte)) {
            (Content::Known(p.estimate, p.grade), BasedOn::Observations)
        } else if let Some((_, estimate, grade)) = split.filter(|s| s.0 == analyte) {
            (Content::Known(estimate, grade), BasedOn::TotalPolyols)
        } else {
            by_rule(tables, food, analyte)
        };
        composition = composition.with(analyte, content);
        based_on.push((analyte, basis));
    }
    for (analyte, basis) in &mut based_on {
        if composition.content(*analyte) == Content::Unknown
            && let Some((ceiling, why)) = ceiling(*analyte, &composition, pooled)
        {
            composition = composition.with(*analyte, Content::AtMost(ceiling));
            *basis = BasedOn::Ceiling(why);
        }
    }
    (composition, based_on)
}

/// Total polyols given to one polyol, where nobody measured that one by itself.
///
/// In families that store none, a total below its detection limit says less than the rules do, and
/// is left to them.
fn split_of_total(
    food: &FoodRow,
    pooled: &BTreeMap<Constituent, Pooled>,
) -> Option<(Analyte, Concentration, Grade)> {
    let total = pooled.get(&Constituent::TotalPolyols)?;
    let target = polyol_of(food);
    let known = |a| pooled.get(&Constituent::Analyte(a));
    let others = [Analyte::Sorbitol, Analyte::Mannitol, Analyte::OtherPolyols];
    if target == Analyte::OtherPolyols
        && (!total.detected || others.iter().any(|&a| known(a).is_some()))
    {
        return None;
    }
    let rest: f64 = others
        .iter()
        .filter(|&&a| a != target)
        .filter_map(|&a| known(a))
        .map(|p| p.estimate.mean().get())
        .sum();
    let mean = total.estimate.mean().get();
    if rest >= mean {
        return None;
    }
    let relative = tamis_scoring::quantity::Ratio::clamped(total.estimate.sd().get() / mean);
    let estimate = Concentration::with_relative_sd(GramsPer100g::clamped(mean - rest), relative);
    Some((target, estimate, total.grade.weaker(Grade::Inferred)))
}

/// The most special rule that speaks for this food; between equals, absence by nature.
fn by_rule(tables: &Tables, food: &FoodRow, analyte: Analyte) -> (Content, BasedOn) {
    let best = |rules: &[crate::schema_tools::RuleRow]| {
        let mut best: Option<(u8, usize)> = None;
        for (i, rule) in rules
            .iter()
            .enumerate()
            .filter(|(_, r)| r.analytes.contains(&analyte))
        {
            if let Some(rank) = rule.scope.rank(&food.id, food.class, &food.family)
                && best.is_none_or(|(r, _)| rank > r)
            {
                best = Some((rank, i));
            }
        }
        best
    };
    match (best(&tables.absent), best(&tables.inferred)) {
        (Some((a, i)), b) if b.is_none_or(|(b, _)| a >= b) => (Content::Absent, BasedOn::Absent(i)),
        (_, Some((_, i))) => match tables
            .inferred
            .get(i)
            .and_then(|r| Some((r.interval?, r.grade)))
        {
            Some(((low, high), grade)) => (
                Content::Known(judged(low, high), grade),
                BasedOn::Inferred(i),
            ),
            None => (Content::Unknown, BasedOn::Nothing),
        },
        _ => (Content::Unknown, BasedOn::Nothing),
    }
}

/// What the rest of the food leaves room for.
fn ceiling(
    analyte: Analyte,
    composition: &Composition,
    pooled: &BTreeMap<Constituent, Pooled>,
) -> Option<(GramsPer100g, &'static str)> {
    let high = |c: Constituent| pooled.get(&c).map(|p| p.estimate.high().get());
    let mut tightest: Option<(f64, &'static str)> = None;
    let mut consider = |bound: Option<f64>, why| {
        if let Some(b) = bound
            && tightest.is_none_or(|(t, _)| b < t)
        {
            tightest = Some((b, why));
        }
    };
    consider(
        pooled
            .get(&Constituent::Water)
            .map(|p| 100.0 - p.estimate.low().get()),
        "what is not water",
    );
    let fibre = high(Constituent::Fibre);
    // Some tables count fibre inside carbohydrate and some beside it.
    consider(
        high(Constituent::Carbohydrate).map(|c| c + fibre.unwrap_or(0.0)),
        "carbohydrate and fibre",
    );
    match analyte {
        Analyte::Fructose | Analyte::Glucose | Analyte::Lactose => {
            let others = [Analyte::Fructose, Analyte::Glucose, Analyte::Lactose]
                .into_iter()
                .filter(|&a| a != analyte)
                .map(|a| match composition.content(a) {
                    Content::Known(c, _) => c.low().get(),
                    _ => 0.0,
                })
                .sum::<f64>()
                + pooled
                    .get(&Constituent::Sucrose)
                    .map_or(0.0, |p| p.estimate.low().get());
            consider(
                high(Constituent::TotalSugars).map(|t| (t - others).max(0.0)),
                "total sugars less the other sugars",
            );
        }
        Analyte::Sorbitol | Analyte::Mannitol | Analyte::OtherPolyols => {
            consider(high(Constituent::TotalPolyols), "total polyols");
        }
        Analyte::Fructans | Analyte::Galactans => {}
    }
    tightest
        .filter(|(b, _)| *b <= USEFUL_CEILING)
        .map(|(b, why)| (GramsPer100g::clamped(b), why))
}
