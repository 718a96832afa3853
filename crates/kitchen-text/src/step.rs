//! What a method does, step by step.

use crate::number::{Number, Span};

/// A length of time in hours, as a range. `Overnight` is read as 8 to 16 hours (common practice,
/// no source).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hours {
    /// The shortest.
    pub low: Number,
    /// The longest.
    pub high: Number,
}

/// How warm, in degrees Celsius, as a range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warmth {
    /// The coldest.
    pub low: Number,
    /// The warmest.
    pub high: Number,
}

/// What a step says of how it is done.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Terms {
    /// How long. For liquid strained or drained off, how long the food was in it.
    pub hours: Option<Hours>,
    /// How warm.
    pub warmth: Option<Warmth>,
    /// Milligrams of an enzyme in a litre.
    pub dose: Option<Number>,
}

/// What sours milk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Culture {
    /// A yoghurt or buttermilk culture.
    Yoghurt,
    /// Kefir grains.
    Kefir,
}

/// Whether the solids of an infusion came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Solids {
    /// Strained out.
    Strained,
    /// Left in, or nothing is said of straining.
    Left,
}

/// One thing done. Shares are between 0 and 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// The solids are strained out and thrown away; the liquor is kept.
    StrainDiscardSolids,
    /// A liquid is drained off and thrown away.
    DrainDiscardLiquid,
    /// The liquid of a tin, a soak or a pot is kept and used.
    KeepLiquid,
    /// Soaked, the water thrown away.
    SoakDiscardWater {
        /// How long, if said.
        hours: Option<Hours>,
    },
    /// Boiled or blanched, the water thrown away.
    BoilDiscardWater,
    /// Boiled down by a share of its volume.
    ReduceBy(Number),
    /// Boiled down to a share of its volume.
    ReduceTo(Number),
    /// `reduce 1/3`: by or to is not said.
    ReduceUnclear(Number),
    /// Marinated, the marinade thrown away. What was taken up is not known.
    MarinateDiscard {
        /// How long, if said.
        hours: Option<Hours>,
    },
    /// Something warmed in oil.
    InfuseOil(Solids),
    /// Fermented or proved.
    Ferment(Hours),
    /// Left to rest: a dough goes on fermenting.
    Rest(Hours),
    /// Grown through by Rhizopus.
    Tempeh,
    /// Germinated.
    Sprout,
    /// Milk soured.
    Culture(Culture),
    /// Curd or tofu drained or pressed, the whey thrown away.
    DiscardWhey,
    /// A cheese ripened.
    Age,
    /// Treated with lactase.
    Lactase,
    /// Drained and rinsed.
    DrainRinse,
    /// Fruit left to ripen.
    Ripen,
    /// Bulbs kept.
    Store,
    /// Pickled.
    Pickle,
    /// Pressed for its juice, the pulp thrown away.
    Juice,
    /// Dried.
    Dry,
    /// Dried food soaked back, the water thrown away.
    RehydrateDiscardWater,
    /// Starch washed out of flour.
    WashStarch,
    /// Anything else.
    Other,
}

/// A step, and where it stands in the text that was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MethodStep {
    /// What is done.
    pub step: Step,
    /// The words that say so.
    pub span: Span,
    /// How it is done.
    pub terms: Terms,
}
