//! What one component brings to each sum, worked out once when a portion is put together.

use crate::composition::Content;
use crate::dish::{Amount, Component, FoodClass, Freshness};
use crate::estimate::Z95;
use crate::evidence::Grade;
use crate::subgroup::Analyte;

/// How far fructose and glucose of one food vary together, as a correlation.
///
/// Pooled over 38 raw fruits and vegetables with at least three values in the national tables of
/// the United States, France, Australia and Japan: the correlation of the logarithmic deviations
/// from each food's mean (229 pairs) is 0.67. The netted mean does not depend on it, its interval
/// does.
pub const FRUCTOSE_GLUCOSE_CORRELATION: f64 = 0.67;

/// The analytes, then the two totals.
pub(crate) const COLUMNS: usize = Analyte::COUNT + 2;
pub(crate) const OLIGOSACCHARIDES: usize = Analyte::COUNT;
pub(crate) const POLYOLS: usize = Analyte::COUNT + 1;

/// Whether a component is of the same food as the one before it in its portion.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Group {
    NewFood,
    SameFood,
}

/// Where the published table looks for a component's oligosaccharides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Origin {
    GrainLegumeNut,
    Elsewhere,
}

/// What a component says about the kind of dish.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bearing {
    NotInPortion,
    WaterSalt,
    FreshProduce,
    Other,
    NotUnderstood,
}

/// Sums without a central value.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Gaps {
    pub(crate) extra: [f64; COLUMNS],
    pub(crate) missing: [bool; COLUMNS],
}

/// The sums behind fructose in excess of glucose; those of one food restart with the next.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Netted {
    pub(crate) fructose: f64,
    pub(crate) glucose: f64,
    pub(crate) fructose_var: f64,
    pub(crate) glucose_var: f64,
    pub(crate) excess: f64,
    /// Fructose that meets no known glucose: a ceiling of its excess.
    pub(crate) unmatched_fructose: f64,
    pub(crate) fructose_sd: f64,
    pub(crate) glucose_sd: f64,
    pub(crate) covariance: f64,
    pub(crate) sd_product: f64,
    pub(crate) excess_sd: f64,
}

impl Netted {
    pub(crate) fn add(&mut self, other: &Self) {
        self.fructose += other.fructose;
        self.glucose += other.glucose;
        self.excess += other.excess;
        self.unmatched_fructose += other.unmatched_fructose;
        self.fructose_sd += other.fructose_sd;
        self.glucose_sd += other.glucose_sd;
        self.covariance += other.covariance;
        self.sd_product += other.sd_product;
        self.excess_sd += other.excess_sd;
    }

    /// Ends a food: its standard deviations have added up, its variance joins the others.
    pub(crate) fn close(&mut self) {
        self.fructose_var += self.fructose_sd * self.fructose_sd;
        self.glucose_var += self.glucose_sd * self.glucose_sd;
        self.fructose_sd = 0.0;
        self.glucose_sd = 0.0;
        self.covariance = 0.0;
        self.sd_product = 0.0;
        self.excess_sd = 0.0;
    }
}

/// What one component brings.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Parts {
    pub(crate) group: Group,
    pub(crate) origin: Origin,
    pub(crate) bearing: Bearing,
    pub(crate) mean: [f64; COLUMNS],
    pub(crate) sd: [f64; COLUMNS],
    /// The 95 % height of each analyte, and the grade it rests on.
    pub(crate) weight: [(Grade, f64); Analyte::COUNT],
    pub(crate) gaps: Option<Box<Gaps>>,
    pub(crate) netted: Netted,
}

impl Parts {
    pub(crate) fn of(component: &Component, group: Group) -> Self {
        let mut parts = Self {
            group,
            origin: if component.class.is_grain_legume_nut() {
                Origin::GrainLegumeNut
            } else {
                Origin::Elsewhere
            },
            bearing: Bearing::of(component),
            mean: [0.0; COLUMNS],
            sd: [0.0; COLUMNS],
            weight: [(Grade::Measured, 0.0); Analyte::COUNT],
            gaps: None,
            netted: Netted::default(),
        };
        if parts.bearing != Bearing::NotInPortion {
            parts.fill(component);
        }
        parts
    }

    pub(crate) fn oligosaccharides(&self) -> f64 {
        self.mean[OLIGOSACCHARIDES]
            + self
                .gaps
                .as_ref()
                .map_or(0.0, |g| g.extra[OLIGOSACCHARIDES])
    }

    fn fill(&mut self, component: &Component) {
        let amount = match component.amount {
            Amount::Known(mass) => Some((mass.raw_mean() / 100.0, mass.cv2())),
            Amount::Unknown => None,
        };
        // Of a total, the amount is shared by its members: their contents add first.
        let mut content_mean = [0.0; COLUMNS];
        let mut content_var = [0.0; COLUMNS];
        let mut gaps = Gaps::default();
        let mut any_gap = false;
        for &analyte in Analyte::ALL {
            let column = analyte.index();
            match (component.composition.content(analyte), amount) {
                (Content::Absent, _) => continue,
                (Content::Unknown, _) | (_, None) => {
                    any_gap = true;
                    gaps.missing[column] = true;
                }
                (Content::AtMost(c), Some((grams, _))) => {
                    any_gap = true;
                    gaps.extra[column] = c.get() * grams;
                }
                (Content::Known(c, grade), Some((grams, amount_cv2))) => {
                    let mean = c.raw_mean() * grams;
                    self.mean[column] = mean;
                    self.sd[column] = product_sd(mean, c.cv2(), amount_cv2);
                    self.weight[column] = (grade, mean + Z95 * self.sd[column]);
                    content_mean[column] = c.raw_mean();
                    content_var[column] = c.cv2() * c.raw_mean() * c.raw_mean();
                }
            }
            if let Some(total) = total_column(column) {
                self.mean[total] += self.mean[column];
                content_mean[total] += content_mean[column];
                content_var[total] += content_var[column];
                gaps.extra[total] += gaps.extra[column];
                gaps.missing[total] |= gaps.missing[column];
            }
        }
        for total in [OLIGOSACCHARIDES, POLYOLS] {
            let mean = content_mean[total];
            if let (Some((_, amount_cv2)), true) = (amount, mean > 0.0) {
                let cv2 = content_var[total] / (mean * mean);
                self.sd[total] = product_sd(self.mean[total], cv2, amount_cv2);
            }
        }
        self.netted = self.net(component, amount.map_or(0.0, |(_, cv2)| cv2), &gaps);
        self.gaps = any_gap.then(|| Box::new(gaps));
    }

    fn net(&self, component: &Component, amount_cv2: f64, gaps: &Gaps) -> Netted {
        let (f, g) = (Analyte::Fructose.index(), Analyte::Glucose.index());
        let gap = |column: usize| gaps.missing[column] || gaps.extra[column] > 0.0;
        if gap(f) || gap(g) {
            let unmatched_fructose = self.mean[f] + Z95 * self.sd[f] + gaps.extra[f];
            return Netted {
                unmatched_fructose,
                ..Netted::default()
            };
        }
        let cv = |analyte| match component.composition.content(analyte) {
            Content::Known(c, _) => c.cv2().sqrt(),
            _ => 0.0,
        };
        let shared = FRUCTOSE_GLUCOSE_CORRELATION * cv(Analyte::Fructose) * cv(Analyte::Glucose);
        let covariance = self.mean[f] * self.mean[g] * ((1.0 + amount_cv2) * (1.0 + shared) - 1.0);
        let excess = self.mean[f] - self.mean[g];
        let excess_var = self.sd[f] * self.sd[f] + self.sd[g] * self.sd[g] - 2.0 * covariance;
        Netted {
            fructose: self.mean[f],
            glucose: self.mean[g],
            excess: excess.max(0.0),
            fructose_sd: self.sd[f],
            glucose_sd: self.sd[g],
            covariance,
            sd_product: self.sd[f] * self.sd[g],
            excess_sd: if excess > 0.0 {
                excess_var.max(0.0).sqrt()
            } else {
                0.0
            },
            ..Netted::default()
        }
    }
}

/// The standard deviation of a product of independent quantities with this mean.
fn product_sd(mean: f64, cv2: f64, other_cv2: f64) -> f64 {
    mean * ((1.0 + cv2) * (1.0 + other_cv2) - 1.0).sqrt()
}

impl Bearing {
    fn of(component: &Component) -> Self {
        match component.amount {
            Amount::Known(mass) if mass.raw_mean() <= 0.0 => Self::NotInPortion,
            _ if component.food.is_none() => Self::NotUnderstood,
            _ => match (component.class, component.freshness) {
                (FoodClass::WaterSalt, _) => Self::WaterSalt,
                (_, Freshness::FreshProduce) => Self::FreshProduce,
                _ => Self::Other,
            },
        }
    }
}

/// The total that an analyte's column is counted in.
pub(crate) const fn total_column(column: usize) -> Option<usize> {
    const FRUCTANS: usize = Analyte::Fructans.index();
    const GALACTANS: usize = Analyte::Galactans.index();
    const SORBITOL: usize = Analyte::Sorbitol.index();
    const MANNITOL: usize = Analyte::Mannitol.index();
    const OTHER: usize = Analyte::OtherPolyols.index();
    match column {
        FRUCTANS | GALACTANS => Some(OLIGOSACCHARIDES),
        SORBITOL | MANNITOL | OTHER => Some(POLYOLS),
        _ => None,
    }
}
