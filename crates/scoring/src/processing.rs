//! What a process leaves of each analyte.
//!
//! A process keeps a share of the grams that went in. Grams are what counts: boiling down a stock
//! changes its mass and its concentration, not its grams, so it keeps everything.

use crate::composition::Content;
use crate::estimate::{Concentration, Share};
use crate::evidence::Grade;
use crate::quantity::{Fraction, GramsPer100g, Quantity};
use crate::subgroup::{Analyte, words};

/// A process that a kitchen does and that changes the grams on the plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Process {
    /// Soaked, the soaking water thrown away.
    SoakedWaterDiscarded,
    /// Boiled, the cooking water thrown away.
    BoiledWaterDiscarded,
    /// Taken out of its tin or brine and drained.
    Drained,
    /// Drained and rinsed.
    DrainedRinsed,
    /// Simmered in water or stock, the solids strained out and thrown away, the liquor kept.
    StrainedLiquorKept,
    /// Warmed in oil without water, the solids strained out.
    InfusedOilStrained,
    /// Warmed in oil, the solids left in.
    InfusedOilSolidsLeft,
    /// Boiled down: mass is lost, grams stay.
    Reduced,
    /// A marinade that is drained off and thrown away.
    MarinadeDiscarded,
    /// Treated with lactase.
    LactaseTreated,
}

words!(Process, "a process", {
    SoakedWaterDiscarded = "soaked-water-discarded",
    BoiledWaterDiscarded = "boiled-water-discarded",
    Drained = "drained",
    DrainedRinsed = "drained-rinsed",
    StrainedLiquorKept = "strained-liquor-kept",
    InfusedOilStrained = "infused-oil-strained",
    InfusedOilSolidsLeft = "infused-oil-solids-left",
    Reduced = "reduced",
    MarinadeDiscarded = "marinade-discarded",
    LactaseTreated = "lactase-treated",
});

/// How much of one analyte a process leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kept {
    /// All of it.
    All,
    /// None of it.
    Nothing,
    /// A share, with its spread and grade.
    Share(Share, Grade),
    /// Between nothing and all: nobody knows. The original becomes a ceiling.
    Unknown,
}

impl Kept {
    pub(crate) fn apply(self, content: Content) -> Content {
        match (self, content) {
            (Self::All, content) => content,
            (Self::Nothing, _) => Content::Absent,
            (_, Content::Absent) => Content::Absent,
            (_, Content::Unknown) => Content::Unknown,
            (Self::Share(share, grade), Content::Known(c, g)) => {
                Content::Known(c.scaled_by(share), g.weaker(grade))
            }
            (Self::Share(share, _), Content::AtMost(c)) => {
                Content::AtMost(GramsPer100g::clamped(c.get() * share.high().get()))
            }
            (Self::Unknown, Content::Known(c, _)) => Content::AtMost(c.high()),
            (Self::Unknown, Content::AtMost(c)) => Content::AtMost(c),
        }
    }

    /// One process after another.
    #[must_use]
    pub fn then(self, next: Self) -> Self {
        match (self, next) {
            (Self::Nothing, _) | (_, Self::Nothing) => Self::Nothing,
            (Self::All, other) | (other, Self::All) => other,
            (Self::Unknown, _) | (_, Self::Unknown) => Self::Unknown,
            (Self::Share(a, g), Self::Share(b, h)) => Self::Share(a.scaled_by(b), g.weaker(h)),
        }
    }
}

/// What a process leaves of every analyte.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Retention {
    kept: [Kept; Analyte::COUNT],
}

impl Retention {
    /// A process that changes nothing.
    pub const ALL: Self = Self {
        kept: [Kept::All; Analyte::COUNT],
    };

    /// The same for every analyte.
    #[must_use]
    pub const fn uniform(kept: Kept) -> Self {
        Self {
            kept: [kept; Analyte::COUNT],
        }
    }

    /// The same retention with one analyte replaced.
    #[must_use]
    pub fn with(mut self, analyte: Analyte, kept: Kept) -> Self {
        self.kept[analyte.index()] = kept;
        self
    }

    /// What is left of an analyte.
    #[must_use]
    pub const fn of(&self, analyte: Analyte) -> Kept {
        self.kept[analyte.index()]
    }

    /// One process after another.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        let mut out = *self;
        for &analyte in Analyte::ALL {
            out.kept[analyte.index()] = self.of(analyte).then(next.of(analyte));
        }
        out
    }
}

/// Lactose split by a lactase into glucose and galactose: the grams of glucose that appear.
///
/// One mole of lactose (342.3 g) gives one mole of glucose (180.2 g).
#[must_use]
pub fn glucose_from_lactose(split: Concentration) -> Concentration {
    split.scaled_by(Share::exact(Fraction::clamped(180.16 / 342.30)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known(v: f64) -> Content {
        Content::Known(
            Concentration::exact(GramsPer100g::new(v).unwrap()),
            Grade::Measured,
        )
    }

    #[test]
    fn half_kept_twice_is_a_quarter() {
        let half = Kept::Share(Share::exact(Fraction::new(0.5).unwrap()), Grade::Inferred);
        let Content::Known(c, g) = half.then(half).apply(known(8.0)) else {
            panic!("known")
        };
        assert!((c.mean().get() - 2.0).abs() < 1e-12);
        assert_eq!(g, Grade::Inferred);
    }

    #[test]
    fn an_unknown_share_leaves_a_ceiling_and_never_a_number() {
        assert!(matches!(Kept::Unknown.apply(known(3.0)), Content::AtMost(c) if c.get() == 3.0));
        assert_eq!(Kept::Unknown.apply(Content::Unknown), Content::Unknown);
        assert_eq!(Kept::Unknown.apply(Content::Absent), Content::Absent);
    }
}
