//! The load of every subgroup in a portion.
//!
//! Loads add over components. Components of different foods are independent; components of one
//! food share their error and count as fully correlated, so their standard deviations add. A sum
//! is matched by its first two moments to a log-normal. Excess fructose is the difference of two
//! sums and is read from the normal with the same two moments, cut off at zero.

use crate::diner::{Confidence, Netting};
use crate::dish::{Component, Portion};
use crate::estimate::{Mass, Z75, Z95, normal_tail};
use crate::evidence::Grade;
use crate::parts::{
    Bearing, COLUMNS, Group, Netted, OLIGOSACCHARIDES, Origin, POLYOLS, Parts, total_column,
};
use crate::quantity::{Fraction, Grams, Quantity};
use crate::subgroup::{Analyte, Subgroup};

/// The share of a load from which the evidence behind it counts as what the load rests on.
pub const RESTS_ON_SHARE: f64 = 0.05;

/// A ceiling of at most this share of what is known does not take the central value away: it is added
/// to it, as if it were all there.
pub const NEGLIGIBLE_CEILING: f64 = 0.01;

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
        } else if self.bounded_extra > NEGLIGIBLE_CEILING * self.known_at_z(Z95) {
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
            .then(|| Grams::clamped(self.known_at(Confidence::Central) + self.bounded_extra))
    }

    /// The 5 % bound of what is known. A load that is unknown is at least this.
    #[must_use]
    pub fn low(&self) -> Grams {
        let low = match self.shape {
            Shape::LogNormal(mass) => mass.at_z(-Z95),
            // A component without its glucose or fructose could net the others away.
            Shape::Netted { .. }
                if !matches!(self.state(), LoadState::Zero | LoadState::Estimated) =>
            {
                0.0
            }
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
        let limit = Grams::clamped(limit.get() - self.bounded_extra);
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
            held = held.max(self.known_at_z(Z75) + self.bounded_extra);
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
    /// Sums a portion.
    #[must_use]
    pub fn of(portion: &Portion, netting: Netting) -> Self {
        let mut sums = Sums::default();
        for parts in portion.parts() {
            sums.add(parts);
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
    Loads::of(&Portion::new(vec![component.clone()]), Netting::Portion)
}

const GRADES: usize = 5;

#[derive(Debug, Default)]
struct Sums {
    mean: [f64; COLUMNS],
    var: [f64; COLUMNS],
    group_sd: [f64; COLUMNS],
    extra: [f64; COLUMNS],
    missing: [bool; COLUMNS],
    weight: [[f64; GRADES]; COLUMNS],
    netted: Netted,
    netted_var: f64,
    /// Covariance of fructose and glucose, closed groups.
    covariance: f64,
    grain_oligosaccharides: f64,
    other_oligosaccharides: f64,
    not_fresh: bool,
    any_fresh: bool,
    not_understood: usize,
}

impl Sums {
    fn add(&mut self, parts: &Parts) {
        if parts.group == Group::NewFood {
            self.close_group();
        }
        for column in 0..COLUMNS {
            self.mean[column] += parts.mean[column];
            self.group_sd[column] += parts.sd[column];
        }
        for (column, &(grade, weight)) in parts.weight.iter().enumerate() {
            self.weight[column][grade as usize] += weight;
            if let Some(total) = total_column(column) {
                self.weight[total][grade as usize] += weight;
            }
        }
        if let Some(gaps) = &parts.gaps {
            for column in 0..COLUMNS {
                self.extra[column] += gaps.extra[column];
                self.missing[column] |= gaps.missing[column];
            }
        }
        self.netted.add(&parts.netted);
        match parts.origin {
            Origin::GrainLegumeNut => self.grain_oligosaccharides += parts.oligosaccharides(),
            Origin::Elsewhere => self.other_oligosaccharides += parts.oligosaccharides(),
        }
        match parts.bearing {
            Bearing::NotInPortion | Bearing::WaterSalt => {}
            Bearing::FreshProduce => self.any_fresh = true,
            Bearing::Other => self.not_fresh = true,
            Bearing::NotUnderstood => {
                self.not_fresh = true;
                self.not_understood += 1;
            }
        }
    }

    fn close_group(&mut self) {
        let netted = &mut self.netted;
        if netted.sd_product > 0.0 {
            // The correlation within the group, over all pairs of its components.
            self.covariance +=
                netted.covariance / netted.sd_product * netted.fructose_sd * netted.glucose_sd;
        }
        self.netted_var += netted.excess_sd * netted.excess_sd;
        netted.close();
        for column in 0..COLUMNS {
            self.var[column] += self.group_sd[column] * self.group_sd[column];
            self.group_sd[column] = 0.0;
        }
    }

    fn finish(self, netting: Netting) -> Loads {
        let row = |column: usize| {
            let mean = self.mean[column];
            let cv2 = if mean > 0.0 {
                self.var[column] / (mean * mean)
            } else {
                0.0
            };
            Load {
                shape: Shape::LogNormal(Mass::from_moments(mean, cv2)),
                bounded_extra: self.extra[column],
                missing: self.missing[column],
                grade: rests_on(&self.weight[column], self.extra[column]),
            }
        };
        let (f, g) = (Analyte::Fructose.index(), Analyte::Glucose.index());
        let weight = std::array::from_fn(|grade| self.weight[f][grade] + self.weight[g][grade]);
        // Without fructose there is no excess, whatever the glucose.
        let unmatched = self.netted.unmatched_fructose;
        let any_fructose = self.mean[f] + unmatched > 0.0;
        let netted = |mean: f64, var: f64| Load {
            shape: if any_fructose {
                Shape::Netted {
                    mean,
                    sd: var.max(0.0).sqrt(),
                }
            } else {
                Shape::Netted { mean: 0.0, sd: 0.0 }
            },
            bounded_extra: unmatched,
            missing: self.missing[f],
            grade: if any_fructose {
                rests_on(&weight, unmatched)
            } else {
                None
            },
        };
        let n = &self.netted;
        let over_portion = netted(
            n.fructose - n.glucose,
            n.fructose_var + n.glucose_var - 2.0 * self.covariance,
        );
        let by_component = netted(n.excess, self.netted_var);
        let excess = match netting {
            Netting::Portion => over_portion,
            Netting::Component => by_component,
        };
        let oligosaccharides = self.grain_oligosaccharides + self.other_oligosaccharides;
        Loads {
            rows: [
                row(Analyte::Fructans.index()),
                row(Analyte::Galactans.index()),
                row(OLIGOSACCHARIDES),
                row(Analyte::Lactose.index()),
                excess,
                row(Analyte::Sorbitol.index()),
                row(Analyte::Mannitol.index()),
                row(Analyte::OtherPolyols.index()),
                row(POLYOLS),
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
