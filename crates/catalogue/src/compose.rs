//! The composition of every food and state: observations first, then absence by nature, then what
//! measured relatives say, then judged intervals, then physical ceilings, else unknown.

mod conserve;

use std::collections::BTreeMap;

use tamis_scoring::composition::{Composition, Content};
use tamis_scoring::dish::FoodClass;
use tamis_scoring::estimate::Concentration;
use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::{FoodId, GramsPer100g, Quantity, StateId};
use tamis_scoring::subgroup::Analyte;

use crate::constituent::Constituent;
use crate::infer::{Gathering, INFERRED, Predicted, Relatives, between};
use crate::load::Tables;
use crate::pool::{Fitted, Observed, Pooled, Spread, Spreads, judged, log_normal, observed, pool};
use crate::schema::{Basis, CompositionRow, FoodRow};

/// A ceiling above this, in g per 100 g, says nothing a kitchen could use.
const USEFUL_CEILING: f64 = 30.0;
/// Room less than this, in g per 100 g, is read as this: sums of rounded figures leave none.
const LEAST_ROOM: f64 = 0.01;

/// Between samples of the water of one food, where it only converts a basis.
const SMALL_VARIANCE: f64 = 0.01;

/// Where a content comes from.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum BasedOn {
    /// The observations of the analyte itself.
    Observations,
    /// The observations of total polyols, given to one of them by family.
    TotalPolyols,
    /// A row of `absent.csv`, by its place.
    Absent(usize),
    /// Measured relatives of the food.
    Relatives(Predicted),
    /// A row of `inferred.csv`, by its place, and the number of measured relatives: fewer than three.
    Inferred(usize, usize),
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
    /// The pools before their sums are fitted.
    pub(crate) pooled: BTreeMap<Constituent, Pooled>,
}

pub(crate) type Accounts = BTreeMap<(FoodId, StateId), Account>;

/// Grams per millilitre of a food and state, where known.
pub(crate) type DensityOf<'a> = dyn Fn(&FoodId, &StateId) -> Option<f64> + 'a;

/// The observations that count of one food and state, on the fresh basis.
#[derive(Debug)]
pub(crate) struct Seen<'a> {
    pub(crate) food: &'a FoodRow,
    pub(crate) state: &'a StateId,
    pub(crate) by: BTreeMap<Constituent, Vec<Observed>>,
    /// The place of each analyte among the spreads.
    pub(crate) places: BTreeMap<Constituent, usize>,
    /// Places of all rows in the composition table.
    rows: Vec<usize>,
}

/// All observations on the fresh basis, and what they say together.
pub(crate) struct Body<'a> {
    tables: &'a Tables,
    pub(crate) seen: Vec<Seen<'a>>,
    pub(crate) spreads: Spreads,
    fitted: Fitted,
    pub(crate) relatives: Relatives,
}

impl<'a> Body<'a> {
    /// Reads all foods and states, in the order of their ids.
    pub(crate) fn new(tables: &'a Tables, density: &DensityOf<'_>) -> Self {
        let foods: BTreeMap<&FoodId, &FoodRow> = tables.foods.iter().map(|f| (&f.id, f)).collect();
        let mut rows: BTreeMap<(&FoodId, &StateId), Vec<usize>> = BTreeMap::new();
        for state in &tables.states {
            rows.entry((&state.food, &state.state)).or_default();
        }
        for (i, row) in tables.composition.iter().enumerate() {
            rows.entry((&row.food, &row.state)).or_default().push(i);
        }
        let mut spreads = Spreads::default();
        let mut gathering = Gathering::default();
        let mut seen = Vec::with_capacity(rows.len());
        for ((id, state), rows) in rows {
            let Some(&food) = foods.get(id) else { continue };
            let by = on_fresh_basis(tables, &rows, density(id, state));
            let places = by
                .iter()
                .map(|(&c, all)| (c, spreads.add(c, food.class, all)))
                .collect();
            if let Some(solids) = solids(by.get(&Constituent::Water)) {
                for (&constituent, all) in &by {
                    if let Constituent::Analyte(analyte) = constituent {
                        gathering.add(analyte, food, all, solids);
                    }
                }
            }
            seen.push(Seen {
                food,
                state,
                by,
                places,
                rows,
            });
        }
        let fitted = spreads.fit();
        Self {
            tables,
            seen,
            spreads,
            fitted,
            relatives: gathering.fit(),
        }
    }

    /// The pools of one food and state before their sums are fitted.
    pub(crate) fn pooled(&self, seen: &Seen<'_>) -> BTreeMap<Constituent, Pooled> {
        seen.by
            .iter()
            .filter_map(|(&c, all)| Some((c, pool(all, self.fitted.of(c, seen.food.class))?)))
            .collect()
    }

    /// The pools moved to where their sums fit.
    pub(crate) fn fitted(pooled: &BTreeMap<Constituent, Pooled>) -> BTreeMap<Constituent, Pooled> {
        conserve::reconciled(pooled)
    }

    /// Composes all foods.
    pub(crate) fn compose(&self) -> Accounts {
        self.seen
            .iter()
            .map(|seen| {
                let pooled = self.pooled(seen);
                let (composition, based_on) = contents(self, seen, &Self::fitted(&pooled));
                let account = Account {
                    composition,
                    based_on,
                    rows: seen.rows.clone(),
                    pooled,
                };
                ((seen.food.id.clone(), seen.state.clone()), account)
            })
            .collect()
    }
}

/// The share of dry matter; `None` without an observation of the water.
fn solids(water: Option<&Vec<Observed>>) -> Option<f64> {
    let unspread = Spread {
        between: 0.0,
        sample: SMALL_VARIANCE,
    };
    let water = pool(water?, unspread)?;
    Some((1.0 - water.estimate.mean().get() / 100.0).max(0.0))
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
        .filter_map(|r| observed(r, 1.0))
        .collect();
    let solids = solids(Some(&water));
    let mut out: BTreeMap<Constituent, Vec<Observed>> = BTreeMap::new();
    for row in used {
        let factor = match row.basis {
            Basis::Fresh => Some(1.0),
            Basis::Dry => solids,
            Basis::Per100Ml => density.filter(|d| *d > 0.0).map(|d| 1.0 / d),
        };
        // Checked when loading: a row without its conversion is a fault there.
        if let Some(observed) = factor.and_then(|f| observed(row, f)) {
            out.entry(row.analyte).or_default().push(observed);
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
    body: &Body<'_>,
    seen: &Seen<'_>,
    pooled: &BTreeMap<Constituent, Pooled>,
) -> (Composition, Vec<(Analyte, BasedOn)>) {
    let mut composition = Composition::UNKNOWN;
    let mut based_on = Vec::new();
    let split = split_of_total(seen.food, pooled);
    for &analyte in Analyte::ALL {
        let (content, basis) = if let Some(p) = pooled.get(&Constituent::Analyte(analyte)) {
            (Content::Known(p.estimate, p.grade), BasedOn::Observations)
        } else if let Some((_, estimate, grade)) = split.filter(|s| s.0 == analyte) {
            (Content::Known(estimate, grade), BasedOn::TotalPolyols)
        } else {
            by_rule(body, seen, analyte, pooled)
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

/// Absence by nature; else measured relatives; else the most special judged interval.
fn by_rule(
    body: &Body<'_>,
    seen: &Seen<'_>,
    analyte: Analyte,
    pooled: &BTreeMap<Constituent, Pooled>,
) -> (Content, BasedOn) {
    let (tables, food) = (body.tables, seen.food);
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
    let (absent, inferred) = (best(&tables.absent), best(&tables.inferred));
    if let Some((rank, i)) = absent
        && inferred.is_none_or(|(other, _)| rank >= other)
    {
        return (Content::Absent, BasedOn::Absent(i));
    }
    if let Some((estimate, predicted)) = from_relatives(body, seen, analyte, pooled) {
        let content = Content::Known(estimate, Grade::Inferred);
        return (content, BasedOn::Relatives(predicted));
    }
    let Some((i, rule)) = inferred.and_then(|(_, i)| Some((i, tables.inferred.get(i)?))) else {
        return (Content::Unknown, BasedOn::Nothing);
    };
    let Some((low, high)) = rule.interval else {
        return (Content::Unknown, BasedOn::Nothing);
    };
    let relatives = body.relatives.of(food, analyte).len();
    (
        Content::Known(judged(low, high), rule.grade),
        BasedOn::Inferred(i, relatives),
    )
}

/// What measured relatives say, brought to the water of this food and cut off at what the rest of it
/// leaves room for. Nothing where its water is not known.
fn from_relatives(
    body: &Body<'_>,
    seen: &Seen<'_>,
    analyte: Analyte,
    pooled: &BTreeMap<Constituent, Pooled>,
) -> Option<(Concentration, Predicted)> {
    let predicted = INFERRED
        .contains(&analyte)
        .then(|| body.relatives.predict(seen.food, analyte))??;
    let solids = 1.0 - pooled.get(&Constituent::Water)?.estimate.mean().get() / 100.0;
    if solids <= 0.0 {
        return None;
    }
    let log = predicted.log + libm::log(solids);
    let room = tightest(analyte, &Composition::UNKNOWN, pooled).map(|(room, _)| room);
    let high = libm::log(room.unwrap_or(100.0 * solids).max(LEAST_ROOM));
    let (log, variance) = between(log, predicted.variance, f64::NEG_INFINITY, high);
    Some((log_normal(log + variance / 2.0, variance), predicted))
}

/// What the rest of the food leaves room for, where that says something to a kitchen.
fn ceiling(
    analyte: Analyte,
    composition: &Composition,
    pooled: &BTreeMap<Constituent, Pooled>,
) -> Option<(GramsPer100g, &'static str)> {
    tightest(analyte, composition, pooled)
        .filter(|(b, _)| *b <= USEFUL_CEILING)
        .map(|(b, why)| (GramsPer100g::clamped(b), why))
}

fn tightest(
    analyte: Analyte,
    composition: &Composition,
    pooled: &BTreeMap<Constituent, Pooled>,
) -> Option<(f64, &'static str)> {
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
}
