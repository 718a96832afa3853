//! The ruling on a portion: one small table, meant to be read by a dietitian.
//!
//! | ruling | when |
//! | --- | --- |
//! | `serve` | every load is at or under its cut-off at the policy's confidence, every line was understood, and no load rests on evidence weaker than the policy allows |
//! | `refer` | a load is unknown or a line was not understood; or a load rests on evidence weaker than the policy allows; or its exceedance lies between 0.25 and 0.75 and it rests on inferred or weaker evidence |
//! | `alter` | else, an amendment exists that rules `serve` |
//! | `withhold` | else |
//!
//! A load that has only bounds counts with its upper bound: under the cut-off it serves, astride it
//! the data cannot settle it, and it is referred.

use crate::cutoffs::{Cutoffs, Limit, Limits};
use crate::diner::{Confidence, Diner, Policy};
use crate::dish::Portion;
use crate::evidence::Grade;
use crate::loads::{Load, LoadState, Loads};
use crate::quantity::{Grams, Quantity, Ratio};
use crate::subgroup::{Subgroup, words};

/// What the pass does with a dish for one diner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ruling {
    /// Goes out as it is.
    Serve,
    /// Goes out with the printed amendments.
    Alter,
    /// Does not go out.
    Withhold,
    /// The data cannot settle it: a dietitian decides.
    Refer,
}

words!(Ruling, "a ruling", {
    Serve = "serve",
    Alter = "alter",
    Withhold = "withhold",
    Refer = "refer",
});

/// The exceedances between which loose evidence settles nothing.
pub const UNSETTLED: std::ops::RangeInclusive<f64> = 0.25..=0.75;

/// What one load says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Finding {
    /// Nothing limits it for this diner.
    NotLimited,
    /// At or under its cut-off.
    Within,
    /// Over its cut-off.
    Over,
    /// Unknown, or its bounds lie on both sides of the cut-off.
    Unknown,
    /// Under its cut-off on evidence weaker than the policy allows.
    TooWeak,
    /// Too close to the cut-off for loose evidence.
    Unsettled,
}

words!(Finding, "a finding", {
    NotLimited = "not_limited",
    Within = "within",
    Over = "over",
    Unknown = "unknown",
    TooWeak = "too_weak",
    Unsettled = "unsettled",
});

/// What a portion rules by itself, before amendments are looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Standing {
    /// Rules `serve`.
    Serves,
    /// Rules `refer`.
    Refers,
    /// Over a cut-off: `alter` or `withhold`.
    Over,
}

/// A portion held against the limits of a diner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome {
    /// The loads.
    pub loads: Loads,
    /// What they were held against.
    pub limits: Limits,
    findings: [Finding; Subgroup::COUNT],
    /// What follows.
    pub standing: Standing,
}

/// The tightest subgroup and how far its load is from its cut-off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Headroom {
    /// The tightest subgroup.
    pub subgroup: Subgroup,
    /// Cut-off divided by the load at the policy's confidence.
    pub ratio: Ratio,
}

/// The largest portion that still rules `serve`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ceiling {
    /// So many times the portion that was assessed.
    Times(Ratio),
    /// No load grows with the portion.
    Unlimited,
    /// The data cannot settle any portion.
    Undetermined,
}

/// What a portion is judged by: the site's cut-offs and policy, and the diner.
#[derive(Debug, Clone, Copy)]
pub struct Rules<'a> {
    /// The cut-offs in force.
    pub cutoffs: &'a Cutoffs,
    /// For whom.
    pub diner: &'a Diner,
    /// By which policy.
    pub policy: &'a Policy,
}

impl Rules<'_> {
    /// Sums a portion and holds it against the limits.
    #[must_use]
    pub fn judge(&self, portion: &Portion) -> Outcome {
        let loads = Loads::of(portion, self.policy.netting);
        let limits = Limits::of(self.cutoffs, self.diner, &loads);
        self.hold(loads, limits)
    }

    fn hold(&self, loads: Loads, limits: Limits) -> Outcome {
        let mut findings = [Finding::NotLimited; Subgroup::COUNT];
        let mut standing = if loads.not_understood() > 0 {
            Standing::Refers
        } else {
            Standing::Serves
        };
        for &subgroup in Subgroup::ALL {
            let Some(limit) = limits.of_subgroup(subgroup) else {
                continue;
            };
            let finding = self.finding(loads.of_subgroup(subgroup), limit);
            findings[subgroup.index()] = finding;
            if !limit.decides() {
                continue;
            }
            standing = match (finding, standing) {
                (Finding::Unknown | Finding::TooWeak | Finding::Unsettled, _)
                | (_, Standing::Refers) => Standing::Refers,
                (Finding::Over, _) => Standing::Over,
                (Finding::Within | Finding::NotLimited, s) => s,
            };
        }
        Outcome {
            loads,
            limits,
            findings,
            standing,
        }
    }

    fn finding(&self, load: &Load, limit: &Limit) -> Finding {
        let Some(held) = load.at(self.policy.confidence) else {
            return Finding::Unknown;
        };
        let within = held <= limit.grams;
        match load.state() {
            LoadState::Zero => return Finding::Within,
            LoadState::Bounded if !within && load.low() <= limit.grams => return Finding::Unknown,
            LoadState::Bounded | LoadState::Estimated | LoadState::Unknown => {}
        }
        let grade = load.grade();
        let loose = grade.is_some_and(Grade::is_loose);
        if loose
            && load
                .exceedance(limit.grams)
                .is_some_and(|p| UNSETTLED.contains(&p.get()))
        {
            Finding::Unsettled
        } else if !within {
            Finding::Over
        } else if grade.is_some_and(|g| g > self.policy.weakest_grade) {
            Finding::TooWeak
        } else {
            Finding::Within
        }
    }
}

impl Outcome {
    /// What the load of a subgroup says.
    #[must_use]
    pub const fn finding(&self, subgroup: Subgroup) -> Finding {
        self.findings[subgroup.index()]
    }

    /// The tightest of the deciding subgroups. `None` where a deciding load is unknown or none is
    /// above zero.
    #[must_use]
    pub fn headroom(&self, confidence: Confidence) -> Option<Headroom> {
        let mut tightest: Option<Headroom> = None;
        for (subgroup, limit) in self.limits.deciding() {
            let held = self.loads.of_subgroup(subgroup).at(confidence)?.get();
            if held <= 0.0 {
                continue;
            }
            let ratio = Ratio::clamped(limit.grams.get() / held);
            if tightest.is_none_or(|t| ratio < t.ratio) {
                tightest = Some(Headroom { subgroup, ratio });
            }
        }
        tightest
    }

    /// The largest portion that still rules `serve`, as a multiple of this one.
    #[must_use]
    pub fn ceiling(&self, rules: &Rules<'_>) -> Ceiling {
        if self.loads.not_understood() > 0 {
            return Ceiling::Undetermined;
        }
        let base = Limits::base(rules.cutoffs, rules.diner, &self.loads);
        let plain = self.ceiling_under(&base, rules.policy);
        let raised = base
            .raised_fructose(rules.cutoffs, &self.loads)
            .map(|raised| {
                // The higher row holds only while the others stay under a tenth of theirs.
                let alone = base
                    .deciding()
                    .filter(|(s, _)| *s != Subgroup::ExcessFructose)
                    .filter_map(|(s, l)| {
                        let tenth = Grams::clamped(l.grams.get() / 10.0);
                        let load = self.loads.of_subgroup(s).at(Confidence::Central)?.get();
                        (load > 0.0).then(|| tenth.get() / load)
                    })
                    .fold(f64::INFINITY, f64::min);
                match self.ceiling_under(&raised, rules.policy) {
                    Ceiling::Times(r) => shrink(r.get().min(alone)),
                    Ceiling::Unlimited => shrink(alone),
                    Ceiling::Undetermined => Ceiling::Undetermined,
                }
            });
        match (plain, raised) {
            (Ceiling::Times(a), Some(Ceiling::Times(b))) if b > a => Ceiling::Times(b),
            (plain, _) => plain,
        }
    }

    fn ceiling_under(&self, limits: &Limits, policy: &Policy) -> Ceiling {
        let mut scale = f64::INFINITY;
        for (subgroup, limit) in limits.deciding() {
            let load = self.loads.of_subgroup(subgroup);
            if load.state() == LoadState::Unknown
                || load.grade().is_some_and(|g| g > policy.weakest_grade)
            {
                return Ceiling::Undetermined;
            }
            if let Some(s) = load.scale_to(limit.grams, policy.confidence) {
                scale = scale.min(s);
            }
        }
        shrink(scale)
    }
}

/// Steps back from the edge by less than a kitchen can weigh, so that the ceiling itself serves.
fn shrink(scale: f64) -> Ceiling {
    if scale.is_finite() {
        Ceiling::Times(Ratio::clamped(scale * (1.0 - 1.0e-9)))
    } else {
        Ceiling::Unlimited
    }
}
