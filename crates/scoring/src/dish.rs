//! A plated portion as components in grams.

use crate::allergens::Allergens;
use crate::composition::Composition;
use crate::estimate::Mass;
use crate::quantity::{FoodId, Grams, Quantity, Ratio, StateId};
use crate::subgroup::words;

/// The class of a food, as far as cut-offs and inference need it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FoodClass {
    /// Grains and what is made of them.
    Grain,
    /// Pulses and soy.
    Legume,
    /// Nuts and seeds.
    NutSeed,
    /// Vegetables.
    Vegetable,
    /// Fruit.
    Fruit,
    /// Mushrooms.
    Mushroom,
    /// Herbs and spices.
    HerbSpice,
    /// Milk and what is made of it.
    Dairy,
    /// Eggs.
    Egg,
    /// Meat and poultry.
    Meat,
    /// Fish and seafood.
    Fish,
    /// Fats and oils.
    FatOil,
    /// Sugars, syrups, polyols.
    Sweetener,
    /// Drinks.
    Drink,
    /// Distilled spirits.
    Spirit,
    /// Sauces, stocks, pickles.
    Condiment,
    /// Additives and leavens.
    Additive,
    /// Foods made of several others and bought as one.
    Composite,
    /// Water and salt.
    WaterSalt,
}

words!(FoodClass, "a food class", {
    Grain = "grain",
    Legume = "legume",
    NutSeed = "nut-seed",
    Vegetable = "vegetable",
    Fruit = "fruit",
    Mushroom = "mushroom",
    HerbSpice = "herb-spice",
    Dairy = "dairy",
    Egg = "egg",
    Meat = "meat",
    Fish = "fish",
    FatOil = "fat-oil",
    Sweetener = "sweetener",
    Drink = "drink",
    Spirit = "spirit",
    Condiment = "condiment",
    Additive = "additive",
    Composite = "composite",
    WaterSalt = "water-salt",
});

impl FoodClass {
    /// Whether the published cut-off for grains, legumes and nuts is about this class.
    #[must_use]
    pub const fn is_grain_legume_nut(self) -> bool {
        matches!(self, Self::Grain | Self::Legume | Self::NutSeed)
    }
}

/// Whether a component counts as fresh fruit or vegetable for the published fructose row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Freshness {
    /// Fresh fruit or vegetable.
    FreshProduce,
    /// Anything else.
    Other,
}

/// When a component can still be changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// At service, by the line.
    Line,
    /// Before service, in a batch.
    Prep,
    /// When buying.
    Purchase,
}

words!(Stage, "a stage", { Line = "line", Prep = "prep", Purchase = "purchase" });

/// One food in one state in the portion.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// The food; `None` for a line that was not understood.
    pub food: Option<FoodId>,
    /// Its state.
    pub state: Option<StateId>,
    /// Its class.
    pub class: FoodClass,
    /// Whether the published fructose row for fresh produce is about it.
    pub freshness: Freshness,
    /// Grams in the portion, as weighed in the state of the composition.
    pub amount: Amount,
    /// What 100 g of it leave on the plate.
    pub composition: Composition,
    /// Its allergens.
    pub allergens: Allergens,
    /// When it can still be changed.
    pub stage: Stage,
}

/// The grams of a component in the portion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Known, with its spread.
    Known(Mass),
    /// Written without a quantity, or not understood, and nothing bounds it.
    Unknown,
}

impl Amount {
    /// The amount multiplied by a ratio.
    #[must_use]
    pub fn times(self, ratio: Ratio) -> Self {
        match self {
            Self::Known(mass) => {
                Self::Known(mass.scaled_by(crate::estimate::Estimate::exact(ratio)))
            }
            Self::Unknown => Self::Unknown,
        }
    }
}

/// One plated portion.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Portion {
    /// Its components; those of one food count as fully correlated.
    pub components: Vec<Component>,
}

impl Portion {
    /// The allergens of all components.
    #[must_use]
    pub fn allergens(&self) -> Allergens {
        self.components
            .iter()
            .fold(Allergens::NONE, |all, c| all.union(c.allergens))
    }

    /// The portion with every amount multiplied.
    #[must_use]
    pub fn scaled(&self, ratio: Ratio) -> Self {
        let components = self
            .components
            .iter()
            .map(|c| Component {
                amount: c.amount.times(ratio),
                ..c.clone()
            })
            .collect();
        Self { components }
    }

    /// The mean of the grams that went into the portion, as far as they are known.
    #[must_use]
    pub fn known_input(&self) -> Grams {
        let grams = self.components.iter().fold(0.0, |sum, c| match c.amount {
            Amount::Known(mass) => sum + mass.mean().get(),
            Amount::Unknown => sum,
        });
        Grams::clamped(grams)
    }
}
