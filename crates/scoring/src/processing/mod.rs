//! What a process leaves of each analyte, and what it makes of the rest.
//!
//! A process keeps a share of the grams that went in. Grams are what counts: boiling down a stock
//! changes its mass and its concentration, not its grams, so it keeps everything. What is not kept
//! went into water, was eaten by a culture, or became another analyte: fructans split to fructose,
//! fructose reduced to mannitol, lactose split to glucose. Such a [`Gain`] is bounded by chemistry:
//! no more grams appear than [`most_from`] allows, the water of hydrolysis counted.
//!
//! [`kinetics`] has the laws that depend on hours, water, warmth and dose. The numbers of every law
//! are data of the catalogue; here is only their form.

pub mod kinetics;
#[cfg(test)]
mod properties;

use crate::composition::Content;
use crate::estimate::{Estimate, Share};
use crate::evidence::Grade;
use crate::quantity::{GramsPer100g, Quantity, Ratio};
use crate::subgroup::{Analyte, words};

/// A process that a kitchen does and that changes the grams on the plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Process {
    /// Soaked, the soaking water thrown away.
    SoakedWaterDiscarded,
    /// Boiled, the cooking water thrown away.
    BoiledWaterDiscarded,
    /// Cooked in water that stays in the dish.
    WaterKept,
    /// Fried: water leaves.
    Fried,
    /// Roasted, baked or grilled without liquid: water leaves.
    Roasted,
    /// Taken out of its tin or brine and drained.
    Drained,
    /// Drained and rinsed.
    DrainedRinsed,
    /// Simmered or steeped in water, the solids strained out and thrown away, the liquor kept.
    StrainedLiquorKept,
    /// Warmed in oil without water, the solids strained out.
    InfusedOilStrained,
    /// Warmed in oil, the solids left in.
    InfusedOilSolidsLeft,
    /// Boiled down: mass is lost, grams stay.
    Reduced,
    /// A marinade that is drained off and thrown away.
    MarinadeDiscarded,
    /// Dough raised with baker's yeast.
    YeastFermented,
    /// Dough raised with a sourdough culture.
    SourdoughFermented,
    /// Vegetables fermented in salt: sauerkraut, kimchi.
    LacticFermented,
    /// Boiled pulses grown through by Rhizopus.
    TempehFermented,
    /// Soaked and germinated.
    Sprouted,
    /// Soy milk curdled, the whey pressed out and thrown away.
    TofuPressed,
    /// Milk soured with a yoghurt culture.
    Cultured,
    /// Milk soured with kefir grains.
    KefirCultured,
    /// Milk curdled, the whey thrown away.
    CurdDrained,
    /// Cheese ripened.
    CheeseAged,
    /// Treated with lactase.
    LactaseTreated,
    /// Fruit left to ripen.
    Ripened,
    /// Kept for weeks or months, as bulbs are.
    Stored,
    /// Pickled in vinegar or brine, the liquid not eaten.
    PickledDrained,
    /// Pressed, the pulp thrown away.
    Juiced,
    /// Dried: water leaves.
    Dried,
    /// Dried food soaked back, the water thrown away.
    RehydratedWaterDiscarded,
    /// Starch washed out of flour and purified.
    StarchWashed,
}

words!(Process, "a process", {
    SoakedWaterDiscarded = "soaked-water-discarded",
    BoiledWaterDiscarded = "boiled-water-discarded",
    WaterKept = "water-kept",
    Fried = "fried",
    Roasted = "roasted",
    Drained = "drained",
    DrainedRinsed = "drained-rinsed",
    StrainedLiquorKept = "strained-liquor-kept",
    InfusedOilStrained = "infused-oil-strained",
    InfusedOilSolidsLeft = "infused-oil-solids-left",
    Reduced = "reduced",
    MarinadeDiscarded = "marinade-discarded",
    YeastFermented = "yeast-fermented",
    SourdoughFermented = "sourdough-fermented",
    LacticFermented = "lactic-fermented",
    TempehFermented = "tempeh-fermented",
    Sprouted = "sprouted",
    TofuPressed = "tofu-pressed",
    Cultured = "cultured",
    KefirCultured = "kefir-cultured",
    CurdDrained = "curd-drained",
    CheeseAged = "cheese-aged",
    LactaseTreated = "lactase-treated",
    Ripened = "ripened",
    Stored = "stored",
    PickledDrained = "pickled-drained",
    Juiced = "juiced",
    Dried = "dried",
    RehydratedWaterDiscarded = "rehydrated-water-discarded",
    StarchWashed = "starch-washed",
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

    /// The share that is not kept; `None` where nobody knows.
    #[must_use]
    pub fn lost(self) -> Option<Share> {
        match self {
            Self::All => Some(Share::ZERO),
            Self::Nothing => Some(Share::exact(crate::quantity::Fraction::clamped(1.0))),
            Self::Share(share, _) => Some(share.complement()),
            Self::Unknown => None,
        }
    }
}

/// Grams of a product over grams of what it was made from.
pub type Yield = Estimate<Ratio>;

/// The most grams of one analyte that a gram of another can become, hydrolysis water counted;
/// `None` where no kitchen turns one into the other.
///
/// From molar masses: glucose and fructose 180.16, their unit in a chain 162.14, mannitol 182.17,
/// lactose 342.30, raffinose 504.44. The shortest fructan, kestose (504.44), has the most glucose.
#[must_use]
pub fn most_from(from: Analyte, to: Analyte) -> Option<Ratio> {
    let ratio = match (from, to) {
        (Analyte::Fructans, Analyte::Fructose) => 180.16 / 162.14,
        (Analyte::Fructans, Analyte::Mannitol) => 182.17 / 162.14,
        (Analyte::Fructose, Analyte::Mannitol) => 182.17 / 180.16,
        (Analyte::Lactose, Analyte::Glucose) => 180.16 / 342.30,
        (Analyte::Fructans | Analyte::Galactans, Analyte::Glucose)
        | (Analyte::Galactans, Analyte::Fructose) => 180.16 / 504.44,
        _ => return None,
    };
    Some(Ratio::clamped(ratio))
}

/// What a process makes of one analyte: grams of another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain {
    from: Analyte,
    to: Analyte,
    amount: Gained,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Gained {
    /// Grams for each gram that went in.
    Known(Yield, Grade),
    /// Nobody knows how much, but not more than this for each gram that went in.
    UpTo(Ratio),
}

impl Gain {
    /// The product of what is lost; `per_lost` is grams of product for each gram lost, cut at what
    /// chemistry allows. `None` where no kitchen turns one into the other.
    #[must_use]
    pub fn of_lost(
        (from, to): (Analyte, Analyte),
        kept: Kept,
        per_lost: (Ratio, Ratio, Ratio),
        grade: Grade,
    ) -> Option<Self> {
        let most = most_from(from, to)?.get();
        let cut = |r: Ratio| Ratio::clamped(r.get().min(most));
        let (low, central, high) = (cut(per_lost.0), cut(per_lost.1), cut(per_lost.2));
        let amount = match kept.lost() {
            None => Gained::UpTo(high),
            Some(lost) => {
                let of_source = match kept {
                    Kept::Share(_, g) => g.weaker(grade),
                    _ => grade,
                };
                let made = Yield::with_spread_over(central, low, high);
                Gained::Known(made.scaled_by(lost), of_source)
            }
        };
        Some(Self { from, to, amount })
    }

    /// What it is made of.
    #[must_use]
    pub const fn from(&self) -> Analyte {
        self.from
    }

    /// What appears.
    #[must_use]
    pub const fn to(&self) -> Analyte {
        self.to
    }

    /// The content of the product once this is added to it.
    pub(crate) fn add(&self, source: Content, had: Content) -> Content {
        let ceiling = |more: f64| match had {
            Content::Unknown => Content::Unknown,
            Content::Absent => Content::AtMost(GramsPer100g::clamped(more)),
            Content::AtMost(c) => Content::AtMost(GramsPer100g::clamped(c.get() + more)),
            Content::Known(c, _) => Content::AtMost(GramsPer100g::clamped(c.high().get() + more)),
        };
        match (source, self.amount) {
            (Content::Absent, _) => had,
            (_, Gained::Known(made, _)) if made.mean().get() <= 0.0 => had,
            (_, Gained::UpTo(most)) if most.get() <= 0.0 => had,
            (Content::Unknown, _) => Content::Unknown,
            (Content::Known(c, _), Gained::UpTo(most)) => ceiling(c.high().get() * most.get()),
            (Content::AtMost(c), Gained::UpTo(most)) => ceiling(c.get() * most.get()),
            (Content::AtMost(c), Gained::Known(made, _)) => ceiling(c.get() * made.high().get()),
            (Content::Known(c, of_source), Gained::Known(made, grade)) => {
                let more = c.scaled_by(made);
                let grade = grade.weaker(of_source);
                match had {
                    Content::Absent => Content::Known(more, grade),
                    Content::Known(had, g) => Content::Known(had.plus(more), g.weaker(grade)),
                    Content::AtMost(_) => ceiling(more.high().get()),
                    Content::Unknown => Content::Unknown,
                }
            }
        }
    }
}

/// What a process leaves of every analyte, and what it makes.
#[derive(Debug, Clone, PartialEq)]
pub struct Retention {
    kept: [Kept; Analyte::COUNT],
    gains: Vec<Gain>,
}

impl Retention {
    /// The same for every analyte.
    #[must_use]
    pub const fn uniform(kept: Kept) -> Self {
        Self {
            kept: [kept; Analyte::COUNT],
            gains: Vec::new(),
        }
    }

    /// The same retention with one analyte replaced.
    #[must_use]
    pub fn with(mut self, analyte: Analyte, kept: Kept) -> Self {
        self.kept[analyte.index()] = kept;
        self
    }

    /// The same retention with something made.
    #[must_use]
    pub fn making(mut self, gain: Gain) -> Self {
        self.gains.push(gain);
        self
    }

    /// What is left of an analyte, gains aside.
    #[must_use]
    pub const fn of(&self, analyte: Analyte) -> Kept {
        self.kept[analyte.index()]
    }

    /// What is made.
    #[must_use]
    pub fn gains(&self) -> &[Gain] {
        &self.gains
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::composition::Composition;
    use crate::estimate::Concentration;
    use crate::quantity::Fraction;

    fn known(v: f64) -> Content {
        Content::Known(
            Concentration::exact(GramsPer100g::new(v).unwrap()),
            Grade::Measured,
        )
    }

    #[test]
    fn half_kept_twice_is_a_quarter() {
        let half = Kept::Share(Share::exact(Fraction::new(0.5).unwrap()), Grade::Inferred);
        let Content::Known(c, g) = half.apply(half.apply(known(8.0))) else {
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

    /// One mole of lactose (342.30 g) gives one mole of glucose (180.16 g).
    #[test]
    fn all_lactose_split_gives_its_glucose() {
        let ratio = |v: f64| Ratio::new(v).unwrap();
        let whole = (ratio(0.6), ratio(0.6), ratio(0.6));
        let pair = (Analyte::Lactose, Analyte::Glucose);
        let gain = Gain::of_lost(pair, Kept::Nothing, whole, Grade::Inferred).unwrap();
        let split = Retention::uniform(Kept::All)
            .with(Analyte::Lactose, Kept::Nothing)
            .making(gain);
        let milk = Composition::ABSENT.with(Analyte::Lactose, known(4.7));
        let Content::Known(glucose, _) = milk.retained(&split).content(Analyte::Glucose) else {
            panic!("known")
        };
        assert!((glucose.mean().get() - 4.7 * 180.16 / 342.30).abs() < 1e-12);
    }

    #[test]
    fn nothing_becomes_what_it_cannot() {
        let one = Ratio::new(1.0).unwrap();
        let pair = (Analyte::Mannitol, Analyte::Fructose);
        assert_eq!(
            Gain::of_lost(pair, Kept::Nothing, (one, one, one), Grade::Inferred),
            None
        );
    }
}
