//! The load of every subgroup in a portion.
//!
//! Loads add over components. Components of different foods are independent; components of one
//! food share their error and count as fully correlated, so their standard deviations add. A sum
//! is matched by its first two moments to a log-normal. Excess fructose is the difference of two
//! sums and is read from the normal with the same two moments, cut off at zero.

use std::cmp::Ordering;

use crate::composition::Content;
use crate::diner::{Confidence, Netting};
use crate::dish::{Amount, Component, FoodClass, Freshness, Portion};
use crate::estimate::{Mass, Z75, Z95, normal_tail};
use crate::evidence::Grade;
use crate::quantity::{Fraction, Grams, Quantity};
use crate::subgroup::{Analyte, Subgroup};

/// How far fructose and glucose of one food vary together, as a correlation.
///
/// Pooled over 38 raw fruits and vegetables with at least three values in the national tables of
/// the United States, France, Australia and Japan: the correlation of the logarithmic deviations
/// from each food's mean (229 pairs) is 0.67. The netted mean does not depend on it, its interval
/// does.
pub const FRUCTOSE_GLUCOSE_CORRELATION: f64 = 0.67;

/// The share of a load from which the evidence behind it counts as what the load rests on.
pub const RESTS_ON_SHARE: f64 = 0.05;

/// How a load is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LoadState {
    /// Exactly none: every component lacks it by nature.
    Zero,
    /// A mean with an interval.
    Estimated,
    /// No central value, only bounds.
    Bounded,
    /// Not known.
    Unknown,
}

crate::subgroup::words!(LoadState, "a load state", {
    Zero = "zero",
    Estimated = "estimated",
    Bounded = "bounded",
    Unknown = "unknown",
});

#[derive(Debug, Clone, Copy, PartialEq)]
enum Shape {
    LogNormal(Mass),
    /// A difference, normal, read as zero where it is negative.
    Netted {
        mean: f64,
        sd: f64,
    },
}

/// The grams of one subgroup in the portion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    shape: Shape,
    /// What components without a central value can add at most.
    bounded_extra: f64,
    missing: bool,
    grade: Option<Grade>,
}

impl Load {
    /// How the load is known.
    #[must_use]
    pub fn state(&self) -> LoadState {
        if self.missing {
            LoadState::Unknown
        } else if self.bounded_extra > 0.0 {
            LoadState::Bounded
        } else if self.grade.is_none() {
            LoadState::Zero
        } else {
            LoadState::Estimated
        }
    }

    /// The mean; `None` where only bounds are known, or nothing.
    #[must_use]
    pub fn central(&self) -> Option<Grams> {
        matches!(self.state(), LoadState::Zero | LoadState::Estimated)
            .then(|| Grams::clamped(self.known_at(Confidence::Central)))
    }

    /// The 5 % bound of what is known. A load that is unknown is at least this.
    #[must_use]
    pub fn low(&self) -> Grams {
        let low = match self.shape {
            Shape::LogNormal(mass) => mass.at_z(-Z95),
            // A component without its glucose or fructose could net the others away.
            Shape::Netted { .. } if self.missing || self.bounded_extra > 0.0 => 0.0,
            Shape::Netted { mean, sd } => mean - Z95 * sd,
        };
        Grams::clamped(low)
    }

    /// The 95 % bound; `None` where nothing bounds the load.
    #[must_use]
    pub fn high(&self) -> Option<Grams> {
        (!self.missing).then(|| Grams::clamped(self.known_at_z(Z95) + self.bounded_extra))
    }

    /// The point that is held against a cut-off; `None` where nothing bounds the load.
    #[must_use]
    pub fn at(&self, confidence: Confidence) -> Option<Grams> {
        (!self.missing).then(|| Grams::clamped(self.known_at(confidence) + self.bounded_extra))
    }

    /// The probability of lying over a limit; `None` without a distribution.
    #[must_use]
    pub fn exceedance(&self, limit: Grams) -> Option<Fraction> {
        match self.state() {
            LoadState::Unknown | LoadState::Bounded => None,
            LoadState::Zero => Some(Fraction::ZERO),
            LoadState::Estimated => Some(match self.shape {
                Shape::LogNormal(mass) => mass.probability_over(limit),
                Shape::Netted { mean, sd } if sd > 0.0 => {
                    Fraction::clamped(normal_tail((limit.get() - mean) / sd))
                }
                Shape::Netted { mean, .. } => {
                    Fraction::clamped(if mean > limit.get() { 1.0 } else { 0.0 })
                }
            }),
        }
    }

    /// What the load rests on: the weakest grade such that values of that grade or weaker make up
    /// at least [`RESTS_ON_SHARE`] of it. `None` for a load that is exactly zero.
    #[must_use]
    pub const fn grade(&self) -> Option<Grade> {
        self.grade
    }

    /// The largest factor by which the portion can grow before this load, at the confidence, passes
    /// the limit - and, for loose evidence, before its exceedance reaches a quarter. `None` where
    /// the load never does.
    pub(crate) fn scale_to(&self, limit: Grams, confidence: Confidence) -> Option<f64> {
        let mut held = self.known_at(confidence) + self.bounded_extra;
        if self.state() == LoadState::Estimated && self.grade.is_some_and(Grade::is_loose) {
            held = held.max(self.known_at_z(Z75));
        }
        (held > 0.0).then(|| limit.get() / held)
    }

    fn known_at(&self, confidence: Confidence) -> f64 {
        match (confidence, self.shape) {
            (Confidence::Central, Shape::LogNormal(mass)) => mass.raw_mean(),
            (Confidence::Central, Shape::Netted { mean, .. }) => mean.max(0.0),
            (Confidence::Upper95, _) => self.known_at_z(Z95),
        }
    }

    fn known_at_z(&self, z: f64) -> f64 {
        match self.shape {
            Shape::LogNormal(mass) => mass.at_z(z),
            Shape::Netted { mean, sd } => (mean + z * sd).max(0.0),
        }
    }
}

/// The loads of a portion, and what the choice of cut-offs needs to know of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loads {
    rows: [Load; Subgroup::COUNT],
    netted_by_component: Load,
    netted_over_portion: Load,
    grain_share: f64,
    all_fresh: bool,
    not_understood: usize,
}

impl Loads {
    /// Sums a portion. The order of its components does not matter, to the bit.
    #[must_use]
    pub fn of(portion: &Portion, netting: Netting) -> Self {
        let mut order: Vec<&Component> = portion.components.iter().collect();
        order.sort_by(|a, b| canonical_order(a, b));
        let mut sums = Sums::default();
        for (i, component) in order.iter().enumerate() {
            // Lines that were not understood share no error with each other.
            let same = i > 0 && component.food.is_some() && order[i - 1].food == component.food;
            if !same {
                sums.close_group();
            }
            sums.add(component);
        }
        sums.close_group();
        sums.finish(netting)
    }

    /// The load of a subgroup.
    #[must_use]
    pub const fn of_subgroup(&self, subgroup: Subgroup) -> &Load {
        &self.rows[subgroup.index()]
    }

    /// Excess fructose with each component cut off at zero before summing.
    #[must_use]
    pub const fn excess_by_component(&self) -> &Load {
        &self.netted_by_component
    }

    /// Excess fructose netted over the whole portion.
    #[must_use]
    pub const fn excess_over_portion(&self) -> &Load {
        &self.netted_over_portion
    }

    /// Whether at least half of the oligosaccharides come from grains, legumes and nuts.
    #[must_use]
    pub fn is_mostly_grain_legume_nut(&self) -> bool {
        self.grain_share >= 0.5
    }

    /// Whether the portion is fresh fruit or vegetables, water and salt aside.
    #[must_use]
    pub const fn is_fresh_produce(&self) -> bool {
        self.all_fresh
    }

    /// How many components were not understood.
    #[must_use]
    pub const fn not_understood(&self) -> usize {
        self.not_understood
    }
}

/// The grams of each subgroup that one component brings, for the account of contributions.
#[must_use]
pub fn of_component(component: &Component) -> Loads {
    Loads::of(
        &Portion {
            components: vec![component.clone()],
        },
        Netting::Portion,
    )
}

/// An order by content alone, so that the order of lines cannot reach the sums.
fn canonical_order(a: &Component, b: &Component) -> Ordering {
    let amount = |c: &Component| match c.amount {
        Amount::Known(mass) => (mass.raw_mean(), mass.cv2()),
        Amount::Unknown => (f64::INFINITY, 0.0),
    };
    let ((x, u), (y, v)) = (amount(a), amount(b));
    a.food
        .cmp(&b.food)
        .then_with(|| x.total_cmp(&y))
        .then_with(|| u.total_cmp(&v))
        .then_with(|| a.composition.canonical_order(&b.composition))
}

/// The analytes, then the two totals.
const COLUMNS: usize = Analyte::COUNT + 2;
const OLIGOSACCHARIDES: usize = Analyte::COUNT;
const POLYOLS: usize = Analyte::COUNT + 1;
const GRADES: usize = 5;

#[derive(Debug, Clone, Copy, Default)]
struct Part {
    mean: f64,
    var: f64,
    extra: f64,
    missing: bool,
}

#[derive(Debug, Clone, Copy, Default)]
struct Column {
    mean: f64,
    var: f64,
    group_sd: f64,
    extra: f64,
    missing: bool,
    weight: [f64; GRADES],
}

#[derive(Debug, Default)]
struct Sums {
    columns: [Column; COLUMNS],
    /// Covariance of fructose and glucose, closed groups.
    covariance: f64,
    group_covariance: f64,
    group_sd_product: f64,
    /// Fructose that meets no known glucose.
    unmatched_fructose: f64,
    excess: Column,
    group_excess_sd: f64,
    grain_oligosaccharides: f64,
    other_oligosaccharides: f64,
    not_fresh: bool,
    any_fresh: bool,
    not_understood: usize,
}

impl Sums {
    fn add(&mut self, component: &Component) {
        let (amount, amount_cv2) = match component.amount {
            Amount::Known(mass) if mass.raw_mean() <= 0.0 => return,
            Amount::Known(mass) => (mass.raw_mean() / 100.0, mass.cv2()),
            Amount::Unknown => (f64::NAN, 0.0),
        };
        if component.food.is_none() {
            self.not_understood += 1;
        }
        match (component.class, component.freshness) {
            (FoodClass::WaterSalt, _) => {}
            (_, Freshness::FreshProduce) => self.any_fresh = true,
            _ => self.not_fresh = true,
        }
        let mut parts = [Part::default(); COLUMNS];
        for &analyte in Analyte::ALL {
            let column = analyte.index();
            let part = &mut parts[column];
            match component.composition.content(analyte) {
                Content::Absent => continue,
                Content::Unknown => part.missing = true,
                _ if amount.is_nan() => part.missing = true,
                Content::AtMost(c) => part.extra = c.get() * amount,
                Content::Known(c, grade) => {
                    part.mean = c.raw_mean() * amount;
                    let m2 = part.mean * part.mean;
                    part.var = m2 * ((1.0 + c.cv2()) * (1.0 + amount_cv2) - 1.0);
                    let weight = part.mean + Z95 * libm::sqrt(part.var);
                    self.columns[column].weight[grade as usize] += weight;
                    if let Some(total) = total_column(analyte) {
                        self.columns[total].weight[grade as usize] += weight;
                    }
                }
            }
            if let Some(total) = total_column(analyte) {
                let member = parts[column];
                let t = &mut parts[total];
                t.mean += member.mean;
                t.var += member.var;
                t.extra += member.extra;
                t.missing |= member.missing;
            }
        }
        for (column, part) in self.columns.iter_mut().zip(&parts) {
            column.mean += part.mean;
            column.group_sd += libm::sqrt(part.var);
            column.extra += part.extra;
            column.missing |= part.missing;
        }
        let oligo = parts[OLIGOSACCHARIDES].mean + parts[OLIGOSACCHARIDES].extra;
        if component.class.is_grain_legume_nut() {
            self.grain_oligosaccharides += oligo;
        } else {
            self.other_oligosaccharides += oligo;
        }
        self.add_excess(component, &parts, amount_cv2);
    }

    fn add_excess(&mut self, component: &Component, parts: &[Part; COLUMNS], amount_cv2: f64) {
        let (f, g) = (
            parts[Analyte::Fructose.index()],
            parts[Analyte::Glucose.index()],
        );
        if f.missing || g.missing || f.extra > 0.0 || g.extra > 0.0 {
            let fructose_top = f.mean + Z95 * libm::sqrt(f.var) + f.extra;
            if f.missing {
                self.excess.missing = true;
            } else {
                self.unmatched_fructose += fructose_top;
            }
            // Known fructose here is inside the ceiling already.
            let column = &mut self.columns[Analyte::Fructose.index()];
            column.mean -= f.mean;
            column.group_sd -= libm::sqrt(f.var);
            let column = &mut self.columns[Analyte::Glucose.index()];
            column.mean -= g.mean;
            column.group_sd -= libm::sqrt(g.var);
            return;
        }
        let cv = |analyte| match component.composition.content(analyte) {
            Content::Known(c, _) => libm::sqrt(c.cv2()),
            _ => 0.0,
        };
        let shared = FRUCTOSE_GLUCOSE_CORRELATION * cv(Analyte::Fructose) * cv(Analyte::Glucose);
        let covariance = f.mean * g.mean * ((1.0 + amount_cv2) * (1.0 + shared) - 1.0);
        let sd_product = libm::sqrt(f.var * g.var);
        self.group_covariance += covariance;
        self.group_sd_product += sd_product;
        if f.mean > g.mean {
            self.excess.mean += f.mean - g.mean;
            self.group_excess_sd += libm::sqrt((f.var + g.var - 2.0 * covariance).max(0.0));
        }
    }

    fn close_group(&mut self) {
        let sd = |columns: &[Column; COLUMNS], a: Analyte| columns[a.index()].group_sd;
        if self.group_sd_product > 0.0 {
            let correlation = self.group_covariance / self.group_sd_product;
            self.covariance += correlation
                * sd(&self.columns, Analyte::Fructose)
                * sd(&self.columns, Analyte::Glucose);
        }
        for column in &mut self.columns {
            column.var += column.group_sd * column.group_sd;
            column.group_sd = 0.0;
        }
        self.excess.var += self.group_excess_sd * self.group_excess_sd;
        self.group_excess_sd = 0.0;
        self.group_covariance = 0.0;
        self.group_sd_product = 0.0;
    }

    fn finish(self, netting: Netting) -> Loads {
        let column = |index: usize| {
            let c = &self.columns[index];
            let cv2 = if c.mean > 0.0 {
                c.var / (c.mean * c.mean)
            } else {
                0.0
            };
            Load {
                shape: Shape::LogNormal(Mass::from_moments(c.mean, cv2)),
                bounded_extra: c.extra,
                missing: c.missing,
                grade: rests_on(&c.weight, c.extra),
            }
        };
        let analyte = |a: Analyte| column(a.index());
        let (f, g) = (
            &self.columns[Analyte::Fructose.index()],
            &self.columns[Analyte::Glucose.index()],
        );
        let mut weight = f.weight;
        for (w, other) in weight.iter_mut().zip(&g.weight) {
            *w += other;
        }
        // Without fructose there is no excess, whatever the glucose.
        let any_fructose = f.weight.iter().sum::<f64>() + self.unmatched_fructose > 0.0;
        let netted = |mean: f64, var: f64| Load {
            shape: if any_fructose {
                Shape::Netted {
                    mean,
                    sd: libm::sqrt(var.max(0.0)),
                }
            } else {
                Shape::Netted { mean: 0.0, sd: 0.0 }
            },
            bounded_extra: self.unmatched_fructose,
            missing: self.excess.missing,
            grade: if any_fructose {
                rests_on(&weight, self.unmatched_fructose)
            } else {
                None
            },
        };
        let over_portion = netted(f.mean - g.mean, f.var + g.var - 2.0 * self.covariance);
        let by_component = netted(self.excess.mean, self.excess.var);
        let excess = match netting {
            Netting::Portion => over_portion,
            Netting::Component => by_component,
        };
        let oligosaccharides = self.grain_oligosaccharides + self.other_oligosaccharides;
        Loads {
            rows: [
                analyte(Analyte::Fructans),
                analyte(Analyte::Galactans),
                column(OLIGOSACCHARIDES),
                analyte(Analyte::Lactose),
                excess,
                analyte(Analyte::Sorbitol),
                analyte(Analyte::Mannitol),
                analyte(Analyte::OtherPolyols),
                column(POLYOLS),
            ],
            netted_by_component: by_component,
            netted_over_portion: over_portion,
            grain_share: if oligosaccharides > 0.0 {
                self.grain_oligosaccharides / oligosaccharides
            } else {
                0.0
            },
            all_fresh: self.any_fresh && !self.not_fresh,
            not_understood: self.not_understood,
        }
    }
}

const fn total_column(analyte: Analyte) -> Option<usize> {
    match analyte {
        Analyte::Fructans | Analyte::Galactans => Some(OLIGOSACCHARIDES),
        Analyte::Sorbitol | Analyte::Mannitol | Analyte::OtherPolyols => Some(POLYOLS),
        Analyte::Lactose | Analyte::Fructose | Analyte::Glucose => None,
    }
}

fn rests_on(weight: &[f64; GRADES], bounded_extra: f64) -> Option<Grade> {
    let mut weight = *weight;
    weight[Grade::Inferred as usize] += bounded_extra;
    let total: f64 = weight.iter().sum();
    if total <= 0.0 {
        return None;
    }
    let mut weaker = 0.0;
    for &grade in Grade::ALL.iter().rev() {
        weaker += weight[grade as usize];
        if weaker >= RESTS_ON_SHARE * total {
            return Some(grade);
        }
    }
    None
}
