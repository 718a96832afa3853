//! What measured relatives say of a food that nobody measured.
//!
//! # The model
//!
//! A relative is a food of the same class and botanical family with an observation of the analyte that
//! is measured or secondary. Contents are taken per 100 g of dry matter, so that fresh, dried and cooked
//! foods compare, and on logarithms. A food with several states counts once, with the mean of its found
//! states. For food `f` of family `F` in class `C`:
//!
//! ```text
//! y_f ~ N(m_F, s_F^2)     m_F ~ N(m_C, b^2)     m_C ~ N(m, c^2)
//! ```
//!
//! so a family is drawn to its class and a class to all, the more the fewer foods it has. `s_F^2` is drawn to the
//! spread within all families, as four degrees of freedom; `b^2` and `c^2` are the roots of Paule and Mandel over
//! families in their classes and over classes, drawn to 1 as four degrees of freedom. A food that was only found to
//! lie below a limit `L` is censored: it enters by the mean and variance of the predictive cut off to `L/30` to
//! `L`, found anew in each of 60 rounds (expectation and maximisation; Dempster, Laird & Rubin 1977, recalled).
//! A new food is predicted at `N(m_F, s_F^2 + Var m_F)`, cut off above at what the rest of it leaves room for.
//!
//! # What it cannot know
//!
//! Foods are measured where something is expected, and tables leave out what nobody looked for: relatives are
//! a chosen sample, and a prediction for a food outside the interest of laboratories tends to be high. Hence a
//! class-mate is no relative (a leek says nothing of spinach), fewer than three relatives say nothing, and absence by
//! nature goes before. [`Relatives::leave_one_out`] shows how often the intervals hold among measured foods,
//! which is the same chosen sample.

use std::collections::BTreeMap;

use tamis_scoring::dish::FoodClass;
use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::FoodId;
use tamis_scoring::subgroup::Analyte;

use crate::pool::{Kind, Observed, Voice, centre, paule_mandel};
use crate::schema::FoodRow;

/// Fewer measured relatives than this say nothing.
pub(crate) const FEWEST: usize = 3;
/// The analytes that relatives speak for.
pub(crate) const INFERRED: &[Analyte] = &[
    Analyte::Fructans,
    Analyte::Galactans,
    Analyte::Fructose,
    Analyte::Glucose,
    Analyte::Sorbitol,
    Analyte::Mannitol,
];
/// Degrees of freedom of the spreads where the data say little, and the variance they speak for.
const PRIOR_FREEDOM: f64 = 4.0;
const PRIOR_VARIANCE: f64 = 1.0;
const ROUNDS: u32 = 60;
/// A value below a limit lies over this share of it, as everywhere in the catalogue.
const LEAST_SHARE: f64 = 1.0 / 30.0;
/// Less of a normal than this inside the bounds is read as lying at the nearer one.
const LEAST_MASS: f64 = 1e-9;

/// A family in a class.
pub(crate) type Kin = (&'static str, String);

/// One measured food: grams per 100 g of dry matter on the log scale, or the limit it lies below.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Relative {
    pub(crate) food: FoodId,
    pub(crate) kin: Kin,
    pub(crate) log: f64,
    pub(crate) found: bool,
}

/// What relatives predict: mean and variance of the logarithm, per 100 g of dry matter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Predicted {
    pub(crate) log: f64,
    pub(crate) variance: f64,
    /// How many relatives, and how many of them were below their limit.
    pub(crate) relatives: usize,
    pub(crate) below: usize,
}

/// A measured food and what its relatives would have said of it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LeftOut {
    pub(crate) analyte: Analyte,
    pub(crate) relative: Relative,
    pub(crate) predicted: Predicted,
}

/// The measured foods by analyte, and what follows from them.
#[derive(Debug, Default)]
pub(crate) struct Relatives {
    seen: BTreeMap<Analyte, Vec<Relative>>,
    fitted: BTreeMap<(Analyte, Kin), Predicted>,
}

/// The kin of a food, if it has any: plants by family, mushrooms among themselves.
pub(crate) fn kin(food: &FoodRow) -> Option<Kin> {
    (!food.family.is_empty() || food.class == FoodClass::Mushroom)
        .then(|| (food.class.word(), food.family.clone()))
}

/// Gathers foods before they are fitted: per food, its states as found or below a limit.
#[derive(Debug, Default)]
pub(crate) struct Gathering {
    foods: BTreeMap<(Analyte, FoodId), States>,
}

/// The states of one food on the log scale of dry matter: found, or below a limit.
#[derive(Debug)]
struct States {
    kin: Kin,
    found: Vec<f64>,
    limits: Vec<f64>,
}

impl Gathering {
    /// Counts one state of a food. `solids` is its share of dry matter.
    pub(crate) fn add(&mut self, analyte: Analyte, food: &FoodRow, all: &[Observed], solids: f64) {
        if !INFERRED.contains(&analyte) || solids <= 0.0 {
            return;
        }
        let Some(kin) = kin(food) else { return };
        let mut found = Vec::new();
        let mut limits = Vec::new();
        for o in all.iter().filter(|o| o.grade <= Grade::Secondary) {
            match o.kind {
                Kind::Found(_) => found.push(o.log_mean),
                Kind::Below(limit) => limits.push(libm::log(limit)),
                Kind::Judged => {}
            }
        }
        let dry = libm::log(solids);
        let slot = self
            .foods
            .entry((analyte, food.id.clone()))
            .or_insert_with(|| States {
                kin,
                found: Vec::new(),
                limits: Vec::new(),
            });
        if let Some(mean) = mean(&found) {
            slot.found.push(mean - dry);
        } else {
            slot.limits.extend(limits.iter().map(|l| l - dry));
        }
    }

    /// Fits every family.
    pub(crate) fn fit(self) -> Relatives {
        let mut relatives = Relatives::default();
        for ((analyte, food), states) in self.foods {
            let least = states.limits.iter().copied().reduce(f64::min);
            let Some(log) = mean(&states.found).or(least) else {
                continue;
            };
            relatives.seen.entry(analyte).or_default().push(Relative {
                food,
                kin: states.kin,
                log,
                found: !states.found.is_empty(),
            });
        }
        for (&analyte, seen) in &relatives.seen {
            let all: Vec<&Relative> = seen.iter().collect();
            for (kin, predicted) in fit(&all) {
                relatives.fitted.insert((analyte, kin), predicted);
            }
        }
        relatives
    }
}

impl Relatives {
    /// What its measured relatives say of a food without an observation of its own.
    pub(crate) fn predict(&self, food: &FoodRow, analyte: Analyte) -> Option<Predicted> {
        self.fitted
            .get(&(analyte, kin(food)?))
            .copied()
            .filter(|p| p.relatives >= FEWEST)
    }

    /// The measured relatives of a food.
    pub(crate) fn of(&self, food: &FoodRow, analyte: Analyte) -> Vec<&Relative> {
        let kin = kin(food);
        self.seen
            .get(&analyte)
            .into_iter()
            .flatten()
            .filter(|r| Some(&r.kin) == kin.as_ref() && r.food != food.id)
            .collect()
    }

    /// Each measured food that has enough other relatives, predicted from all foods but itself.
    pub(crate) fn leave_one_out(&self) -> Vec<LeftOut> {
        let mut out = Vec::new();
        for (&analyte, seen) in &self.seen {
            for (i, relative) in seen.iter().enumerate() {
                let others: Vec<&Relative> = seen
                    .iter()
                    .enumerate()
                    .filter(|(j, _)| *j != i)
                    .map(|(_, r)| r)
                    .collect();
                let kin_left = others.iter().filter(|r| r.kin == relative.kin).count();
                if kin_left >= FEWEST
                    && let Some(&predicted) = fit(&others).get(&relative.kin)
                {
                    out.push(LeftOut {
                        analyte,
                        relative: relative.clone(),
                        predicted,
                    });
                }
            }
        }
        out
    }
}

fn mean(values: &[f64]) -> Option<f64> {
    let (sum, n) = values.iter().fold((0.0, 0.0), |(s, n), v| (s + v, n + 1.0));
    (n > 0.0).then(|| sum / n)
}

/// A food in the fit: the expectation of its logarithm and the variance left in it.
struct Point {
    log: f64,
    variance: f64,
    limit: Option<f64>,
}

#[derive(Default)]
struct Family {
    points: Vec<Point>,
    count: f64,
    mean: f64,
    squares: f64,
}

impl Family {
    fn sum_up(&mut self) {
        self.count = self.points.iter().fold(0.0, |n, _| n + 1.0);
        self.mean = self.points.iter().map(|p| p.log).sum::<f64>() / self.count;
        self.squares = self
            .points
            .iter()
            .map(|p| (p.log - self.mean) * (p.log - self.mean) + p.variance)
            .sum();
    }
}

fn fit(seen: &[&Relative]) -> BTreeMap<Kin, Predicted> {
    let mut families: BTreeMap<Kin, Family> = BTreeMap::new();
    for relative in seen {
        let limit = (!relative.found).then_some(relative.log);
        let (log, variance) = match limit {
            Some(l) => (l + libm::log(LEAST_SHARE) / 2.0, 1.0),
            None => (relative.log, 0.0),
        };
        let family = families.entry(relative.kin.clone()).or_default();
        family.points.push(Point {
            log,
            variance,
            limit,
        });
    }
    let mut predicted = BTreeMap::new();
    for _ in 0..ROUNDS {
        families.values_mut().for_each(Family::sum_up);
        predicted = levels(&families);
        for (kin, family) in &mut families {
            let Some(p) = predicted.get(kin) else {
                continue;
            };
            for point in &mut family.points {
                if let Some(limit) = point.limit {
                    let least = limit + libm::log(LEAST_SHARE);
                    (point.log, point.variance) = between(p.log, p.variance, least, limit);
                }
            }
        }
    }
    predicted
}

/// The predictive of every family, drawn to its class and to all.
fn levels(families: &BTreeMap<Kin, Family>) -> BTreeMap<Kin, Predicted> {
    let (squares, freedom) = families
        .values()
        .fold((0.0, 0.0), |(s, f), x| (s + x.squares, f + x.count - 1.0));
    let within = drawn(PRIOR_VARIANCE, squares, freedom);
    let spread = |f: &Family| drawn(within, f.squares, f.count - 1.0);
    let mut classes: BTreeMap<&str, Vec<Voice>> = BTreeMap::new();
    for (kin, family) in families {
        let voice = Voice::of(family.mean, spread(family) / family.count);
        classes.entry(kin.0).or_default().push(voice);
    }
    let between_families = variance_of(&classes.values().map(Vec::as_slice).collect::<Vec<_>>());
    let voices: BTreeMap<&str, Voice> = classes
        .iter()
        .map(|(class, families)| {
            let (m, precision) = centre(families, between_families);
            (*class, Voice::of(m, 1.0 / precision))
        })
        .collect();
    let all: Vec<Voice> = voices.values().copied().collect();
    let between_classes = variance_of(&[&all]);
    let (m, precision) = centre(&all, between_classes);
    let of_class = |class: &str| {
        voices
            .get(class)
            .map(|own| combined(*own, Voice::of(m, between_classes + 1.0 / precision)))
    };
    families
        .iter()
        .filter_map(|(kin, family)| {
            let class = of_class(kin.0)?;
            let spread = spread(family);
            let own = Voice::of(family.mean, spread / family.count);
            let level = combined(own, Voice::of(class.y, between_families + class.v));
            let predicted = Predicted {
                log: level.y,
                variance: spread + level.v,
                relatives: family.points.len(),
                below: family.points.iter().filter(|p| p.limit.is_some()).count(),
            };
            Some((kin.clone(), predicted))
        })
        .collect()
}

fn drawn(up: f64, squares: f64, freedom: f64) -> f64 {
    (PRIOR_FREEDOM * up + squares) / (PRIOR_FREEDOM + freedom)
}

fn variance_of(groups: &[&[Voice]]) -> f64 {
    let freedom = groups
        .iter()
        .flat_map(|g| g.iter().skip(1))
        .fold(0.0, |f, _| f + 1.0);
    drawn(PRIOR_VARIANCE, freedom * paule_mandel(groups), freedom)
}

fn combined(a: Voice, b: Voice) -> Voice {
    let (y, precision) = centre(&[a, b], 0.0);
    Voice::of(y, 1.0 / precision)
}

/// Mean and variance of a normal cut off to `low..high`.
pub(crate) fn between(mean: f64, variance: f64, low: f64, high: f64) -> (f64, f64) {
    let s = libm::sqrt(variance);
    let (a, b) = ((low - mean) / s, (high - mean) / s);
    // On the side of the upper tail differences of the distribution lose their digits: mirror it.
    if a > 0.0 {
        let (m, v) = between(-mean, variance, -high, -low);
        return (-m, v);
    }
    let mass = normal(b) - normal(a);
    if mass < LEAST_MASS {
        return if b < 0.0 { (high, 0.0) } else { (low, 0.0) };
    }
    let (da, db) = (density(a), density(b));
    let edge = |z: f64, d: f64| if z.is_finite() { z * d } else { 0.0 };
    let shift = (da - db) / mass;
    let left = 1.0 + (edge(a, da) - edge(b, db)) / mass - shift * shift;
    (mean + s * shift, variance * left.max(0.0))
}

/// The probability of a standard normal below `z`.
pub(crate) fn normal(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

fn density(z: f64) -> f64 {
    libm::exp(-z * z / 2.0) / libm::sqrt(2.0 * std::f64::consts::PI)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn relative(id: &str, kin: (&'static str, &str), dry: f64, found: bool) -> Relative {
        Relative {
            food: FoodId::new(id).unwrap(),
            kin: (kin.0, kin.1.to_owned()),
            log: dry.ln(),
            found,
        }
    }

    #[test]
    fn a_normal_cut_off_by_hand() {
        // The half normal: mean sqrt(2/pi), variance 1 - 2/pi.
        let (m, v) = between(0.0, 1.0, 0.0, f64::INFINITY);
        assert!((m - (2.0 / std::f64::consts::PI).sqrt()).abs() < 1e-12);
        assert!((v - (1.0 - 2.0 / std::f64::consts::PI)).abs() < 1e-12);
        let (m, v) = between(0.0, 1.0, 50.0, 51.0);
        assert!((m - 50.0).abs() < 0.1 && v < 0.01);
        let (m, _) = between(3.0, 4.0, -1e9, 1e9);
        assert!((m - 3.0).abs() < 1e-12);
    }

    #[test]
    fn a_small_family_is_drawn_to_its_class_and_a_large_one_is_not() {
        let names: Vec<String> = (0..40).map(|i| format!("food-{i}")).collect();
        let mut seen: Vec<Relative> = names[..30]
            .iter()
            .map(|n| relative(n, ("fruit", "rosaceae"), 8.0, true))
            .collect();
        for (name, dry) in names[30..33].iter().zip([1.0, 2.0, 4.0]) {
            seen.push(relative(name, ("fruit", "vitaceae"), dry, true));
        }
        let all: Vec<&Relative> = seen.iter().collect();
        let fitted = fit(&all);
        let of = |family: &str| fitted[&("fruit", family.to_owned())];
        assert!((of("rosaceae").log - 8.0_f64.ln()).abs() < 0.05);
        assert!(of("vitaceae").log > 2.0_f64.ln() + 0.02);
        assert!(of("vitaceae").variance > of("rosaceae").variance);
    }

    #[test]
    fn foods_below_their_limit_pull_down_and_are_not_zero() {
        let found: Vec<Relative> = ["a", "b", "c"]
            .iter()
            .map(|n| relative(n, ("fruit", "rosaceae"), 1.0, true))
            .collect();
        let mut more = found.clone();
        more.extend(
            ["d", "e", "f"]
                .iter()
                .map(|n| relative(n, ("fruit", "rosaceae"), 0.2, false)),
        );
        let of = |seen: &[Relative]| {
            fit(&seen.iter().collect::<Vec<_>>())[&("fruit", "rosaceae".to_owned())]
        };
        let (without, with) = (of(&found), of(&more));
        assert!(with.log < without.log);
        assert!(with.log > (0.2_f64 / 30.0).ln());
        assert_eq!((with.relatives, with.below), (6, 3));
    }
}
