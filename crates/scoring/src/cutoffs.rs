//! The cut-off that each load is held against.
//!
//! The published rows are for one serve of one food (Varney et al. 2017, J Gastroenterol Hepatol
//! 32 Suppl 1:53-61). Which row speaks for a dish is ours to choose and to say; the rules are in
//! [`Limits::of`].

use crate::diner::{Diner, Phase, Tolerance};
use crate::evidence::Grade;
use crate::loads::Loads;
use crate::quantity::{Grams, SourceId};
use crate::subgroup::{Subgroup, words};

/// Which dishes a published row speaks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AppliesTo {
    /// Every dish without a row of its own.
    General,
    /// Dishes whose oligosaccharides come at least half from grains, legumes and nuts.
    GrainLegumeNut,
    /// Fresh fruit and vegetables in which no other subgroup passes a tenth of its cut-off.
    FreshProduceFructoseAlone,
}

words!(AppliesTo, "a class of dish", {
    General = "general",
    GrainLegumeNut = "grain-legume-nut",
    FreshProduceFructoseAlone = "fresh-produce-fructose-alone",
});

/// One published cut-off.
#[derive(Debug, Clone, PartialEq)]
pub struct CutoffRow {
    /// What it limits.
    pub subgroup: Subgroup,
    /// Which dishes it speaks for.
    pub applies_to: AppliesTo,
    /// The limit per serve.
    pub grams: Grams,
    /// Its publication.
    pub source: SourceId,
    /// Where in the publication.
    pub locator: String,
    /// Whether it was read or recalled.
    pub grade: Grade,
}

/// The cut-offs a site works with.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cutoffs {
    rows: Vec<CutoffRow>,
    grams: [[Option<Grams>; 3]; Subgroup::COUNT],
}

/// A table of cut-offs that cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CutoffError {
    /// Two rows for the same subgroup and class of dish.
    #[error("two cut-offs for {subgroup} in {applies_to} dishes; one is accepted")]
    Duplicate {
        /// The subgroup.
        subgroup: Subgroup,
        /// The class of dish.
        applies_to: AppliesTo,
    },
    /// A subgroup without a general row of its own or of its total.
    #[error("no general cut-off covers {subgroup}; give one for it or for its total")]
    Missing {
        /// The subgroup.
        subgroup: Subgroup,
    },
}

impl Cutoffs {
    /// Checks and indexes a table.
    ///
    /// # Errors
    /// When a row is there twice, or a subgroup has no general row and no total that has one.
    pub fn new(rows: Vec<CutoffRow>) -> Result<Self, CutoffError> {
        let mut grams = [[None; 3]; Subgroup::COUNT];
        for row in &rows {
            let slot: &mut Option<Grams> =
                &mut grams[row.subgroup.index()][row.applies_to as usize];
            if slot.replace(row.grams).is_some() {
                let (subgroup, applies_to) = (row.subgroup, row.applies_to);
                return Err(CutoffError::Duplicate {
                    subgroup,
                    applies_to,
                });
            }
        }
        let general = |s: Subgroup| grams[s.index()][AppliesTo::General as usize];
        for &subgroup in Subgroup::ALL {
            if general(subgroup).is_none() && subgroup.total().is_none_or(|t| general(t).is_none())
            {
                return Err(CutoffError::Missing { subgroup });
            }
        }
        Ok(Self { rows, grams })
    }

    /// The rows as given.
    #[must_use]
    pub fn rows(&self) -> &[CutoffRow] {
        &self.rows
    }

    /// The row behind a limit.
    #[must_use]
    pub fn row(&self, subgroup: Subgroup, applies_to: AppliesTo) -> Option<&CutoffRow> {
        self.rows
            .iter()
            .find(|r| r.subgroup == subgroup && r.applies_to == applies_to)
    }

    fn grams(&self, subgroup: Subgroup, applies_to: AppliesTo) -> Option<(Grams, AppliesTo)> {
        let rows = &self.grams[subgroup.index()];
        rows[applies_to as usize]
            .map(|g| (g, applies_to))
            .or(rows[AppliesTo::General as usize].map(|g| (g, AppliesTo::General)))
    }
}

/// Where a limit comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LimitBasis {
    /// A published row of the subgroup itself.
    Published(AppliesTo),
    /// The published row of the total the subgroup is counted in; the total decides.
    SharedTotal(AppliesTo),
    /// The diner's own tolerance.
    Tolerance,
}

/// What one load is held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// The grams.
    pub grams: Grams,
    /// Where they come from.
    pub basis: LimitBasis,
}

impl Limit {
    /// Whether the ruling looks at this limit; a shared one is settled by its total.
    #[must_use]
    pub const fn decides(&self) -> bool {
        !matches!(self.basis, LimitBasis::SharedTotal(_))
    }
}

/// What the loads of one dish are held against, for one diner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    limits: [Option<Limit>; Subgroup::COUNT],
}

impl Limits {
    /// Chooses the row of each subgroup for a dish.
    ///
    /// The grain, legume and nut row where at least half of the oligosaccharides come from such
    /// foods, else the general row. The higher fructose row only for fresh fruit or vegetables in
    /// which no other subgroup passes a tenth of its cut-off.
    #[must_use]
    pub fn of(cutoffs: &Cutoffs, diner: &Diner, loads: &Loads) -> Self {
        let base = Self::base(cutoffs, diner, loads);
        match base.raised_fructose(cutoffs, loads) {
            Some(raised) if base.fructose_stands_alone(loads) => raised,
            _ => base,
        }
    }

    /// The limit of a subgroup; `None` where nothing limits it.
    #[must_use]
    pub const fn of_subgroup(&self, subgroup: Subgroup) -> Option<&Limit> {
        self.limits[subgroup.index()].as_ref()
    }

    /// The limits that decide a ruling.
    pub fn deciding(&self) -> impl Iterator<Item = (Subgroup, &Limit)> {
        Subgroup::ALL
            .iter()
            .filter_map(|&s| Some((s, self.of_subgroup(s).filter(|l| l.decides())?)))
    }

    /// The limits without the higher fructose row.
    pub(crate) fn base(cutoffs: &Cutoffs, diner: &Diner, loads: &Loads) -> Self {
        let class = if loads.is_mostly_grain_legume_nut() {
            AppliesTo::GrainLegumeNut
        } else {
            AppliesTo::General
        };
        Self::of_class(cutoffs, diner, class)
    }

    /// The limits of a class of dish.
    pub(crate) fn of_class(cutoffs: &Cutoffs, diner: &Diner, class: AppliesTo) -> Self {
        let mut limits = [None; Subgroup::COUNT];
        for &subgroup in Subgroup::ALL {
            let own = cutoffs.grams(subgroup, class);
            let shared = subgroup.total().and_then(|t| cutoffs.grams(t, class));
            limits[subgroup.index()] = match (own, shared) {
                (Some((grams, row)), _) => Some(Limit {
                    grams,
                    basis: LimitBasis::Published(row),
                }),
                (None, Some((grams, row))) => Some(Limit {
                    grams,
                    basis: LimitBasis::SharedTotal(row),
                }),
                (None, None) => None,
            };
        }
        let mut limits = Self { limits };
        match diner.phase {
            Phase::Restriction => {}
            Phase::Reintroduction => {
                if let Some(challenge) = diner.challenge {
                    limits.replace(challenge, None);
                }
            }
            Phase::Personalisation => {
                for &(subgroup, tolerance) in &diner.tolerances {
                    let limit = match tolerance {
                        Tolerance::UpTo(grams) => Some(Limit {
                            grams,
                            basis: LimitBasis::Tolerance,
                        }),
                        Tolerance::Unlimited => None,
                    };
                    limits.replace(subgroup, limit);
                }
            }
        }
        limits
    }

    /// A diner's own limit on one subgroup, or on a total. A total that no longer holds for one of
    /// its members is dropped, and its other members are held by themselves.
    fn replace(&mut self, subgroup: Subgroup, limit: Option<Limit>) {
        self.limits[subgroup.index()] = limit;
        let members = |total: Subgroup| {
            Subgroup::ALL
                .iter()
                .copied()
                .filter(move |s| s.total() == Some(total))
        };
        if let Some(total) = subgroup.total() {
            self.limits[total.index()] = None;
            for member in members(total) {
                if let Some(Limit { basis, .. }) = &mut self.limits[member.index()]
                    && let LimitBasis::SharedTotal(row) = *basis
                {
                    *basis = LimitBasis::Published(row);
                }
            }
        } else {
            for member in members(subgroup) {
                self.limits[member.index()] = limit.map(|l| match l.basis {
                    LimitBasis::Tolerance => l,
                    LimitBasis::Published(row) | LimitBasis::SharedTotal(row) => Limit {
                        basis: LimitBasis::SharedTotal(row),
                        ..l
                    },
                });
            }
        }
    }

    /// The same limits with the higher fructose row, where a dish could have it.
    pub(crate) fn raised_fructose(&self, cutoffs: &Cutoffs, loads: &Loads) -> Option<Self> {
        let row = AppliesTo::FreshProduceFructoseAlone;
        let own = self.of_subgroup(Subgroup::ExcessFructose)?;
        if !loads.is_fresh_produce() || !matches!(own.basis, LimitBasis::Published(_)) {
            return None;
        }
        let (grams, found) = cutoffs.grams(Subgroup::ExcessFructose, row)?;
        if found != row {
            return None;
        }
        let mut raised = *self;
        raised.limits[Subgroup::ExcessFructose.index()] = Some(Limit {
            grams,
            basis: LimitBasis::Published(row),
        });
        Some(raised)
    }

    fn fructose_stands_alone(&self, loads: &Loads) -> bool {
        self.deciding()
            .filter(|(s, _)| *s != Subgroup::ExcessFructose)
            .all(|(s, limit)| {
                loads
                    .of_subgroup(s)
                    .at(crate::diner::Confidence::Central)
                    .is_some_and(|load| load.get() <= limit.grams.get() / 10.0)
            })
    }
}
