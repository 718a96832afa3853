//! A cheap necessary condition for `serve`, so that the search judges only what has a chance.
//!
//! A portion that rules `serve` has every mean at or under the most lenient cut-off there is for the
//! diner, nothing unknown among the limited subgroups, and nothing that was not understood. Means
//! add, so a change to a portion is a few additions away.

use crate::cutoffs::{AppliesTo, Cutoffs, Limits};
use crate::diner::{Diner, Netting};
use crate::dish::Component;
use crate::parts::{Bearing, COLUMNS, Group, OLIGOSACCHARIDES, POLYOLS, Parts};
use crate::subgroup::{Analyte, Subgroup};

/// What adds up without a square root.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Tally {
    /// Mean and ceiling of each column.
    held: [f64; COLUMNS],
    missing: [i32; COLUMNS],
    net_fructose: f64,
    summed_excess: f64,
    not_understood: i32,
}

impl Tally {
    pub(crate) fn of(component: &Component) -> Self {
        Self::of_parts(&Parts::of(component, Group::NewFood))
    }

    pub(crate) fn of_parts(parts: &Parts) -> Self {
        let gaps = parts.gaps.as_deref();
        Self {
            held: std::array::from_fn(|i| parts.mean[i] + gaps.map_or(0.0, |g| g.extra[i])),
            missing: std::array::from_fn(|i| i32::from(gaps.is_some_and(|g| g.missing[i]))),
            net_fructose: parts.netted.fructose - parts.netted.glucose,
            summed_excess: parts.netted.excess,
            not_understood: i32::from(parts.bearing == Bearing::NotUnderstood),
        }
    }

    pub(crate) fn plus(mut self, other: &Self) -> Self {
        self.add(other, 1);
        self
    }

    pub(crate) fn minus(mut self, other: &Self) -> Self {
        self.add(other, -1);
        self
    }

    fn add(&mut self, other: &Self, sign: i32) {
        let factor = f64::from(sign);
        for i in 0..COLUMNS {
            self.held[i] += factor * other.held[i];
            self.missing[i] += sign * other.missing[i];
        }
        self.net_fructose += factor * other.net_fructose;
        self.summed_excess += factor * other.summed_excess;
        self.not_understood += sign * other.not_understood;
    }
}

/// The most lenient cut-offs that any dish could have for a diner.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Screen {
    most: [Option<f64>; Subgroup::COUNT],
    netting: Netting,
}

/// Room for the rounding of sums taken in another order.
const SLACK: f64 = 1.0 + 1.0e-6;

impl Screen {
    pub(crate) fn of(cutoffs: &Cutoffs, diner: &Diner, netting: Netting) -> Self {
        let mut most = [None; Subgroup::COUNT];
        for class in [AppliesTo::General, AppliesTo::GrainLegumeNut] {
            for (subgroup, limit) in Limits::of_class(cutoffs, diner, class).deciding() {
                let slot: &mut Option<f64> = &mut most[subgroup.index()];
                *slot = Some(slot.unwrap_or(0.0).max(limit.grams.get()));
            }
        }
        let raised = cutoffs.row(
            Subgroup::ExcessFructose,
            AppliesTo::FreshProduceFructoseAlone,
        );
        if let (Some(slot), Some(row)) = (&mut most[Subgroup::ExcessFructose.index()], raised) {
            *slot = slot.max(row.grams.get());
        }
        Self { most, netting }
    }

    /// Whether a portion with these sums could rule `serve`.
    pub(crate) fn may_serve(&self, tally: &Tally) -> bool {
        tally.not_understood == 0
            && Subgroup::ALL.iter().all(|&subgroup| {
                let Some(most) = self.most[subgroup.index()] else {
                    return true;
                };
                let (held, missing) = self.held(subgroup, tally);
                missing == 0 && held <= most * SLACK + f64::EPSILON
            })
    }

    fn held(&self, subgroup: Subgroup, tally: &Tally) -> (f64, i32) {
        let column = |i: usize| (tally.held[i], tally.missing[i]);
        match subgroup {
            Subgroup::Fructans => column(Analyte::Fructans.index()),
            Subgroup::Galactans => column(Analyte::Galactans.index()),
            Subgroup::TotalOligosaccharides => column(OLIGOSACCHARIDES),
            Subgroup::Lactose => column(Analyte::Lactose.index()),
            Subgroup::Sorbitol => column(Analyte::Sorbitol.index()),
            Subgroup::Mannitol => column(Analyte::Mannitol.index()),
            Subgroup::OtherPolyols => column(Analyte::OtherPolyols.index()),
            Subgroup::TotalPolyols => column(POLYOLS),
            Subgroup::ExcessFructose => {
                let net = match self.netting {
                    Netting::Portion => tally.net_fructose,
                    Netting::Component => tally.summed_excess,
                };
                (net.max(0.0), tally.missing[Analyte::Fructose.index()])
            }
        }
    }
}
