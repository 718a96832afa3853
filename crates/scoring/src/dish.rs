//! A plated portion as components in grams.

use std::cmp::Ordering;

use crate::allergens::Allergens;
use crate::composition::Composition;
use crate::estimate::Mass;
use crate::parts::{Group, Parts};
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

/// One plated portion, its components in an order that depends on nothing but themselves.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Portion {
    components: Vec<Component>,
    parts: Vec<Parts>,
}

impl Portion {
    /// Puts components into a portion. The order in which they come is irrelevant, to the bit.
    #[must_use]
    pub fn new(mut components: Vec<Component>) -> Self {
        components.sort_by(canonical_order);
        let mut parts: Vec<Parts> = Vec::with_capacity(components.len());
        for (i, component) in components.iter().enumerate() {
            // Lines that were not understood share no error with each other.
            let same =
                i > 0 && component.food.is_some() && components[i - 1].food == component.food;
            let group = if same {
                Group::SameFood
            } else {
                Group::NewFood
            };
            parts.push(Parts::of(component, group));
        }
        Self { components, parts }
    }

    /// The components, in the portion's own order.
    #[must_use]
    pub fn components(&self) -> &[Component] {
        &self.components
    }

    pub(crate) fn parts(&self) -> &[Parts] {
        &self.parts
    }

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
        let scale = |c: &Component| Component {
            amount: c.amount.times(ratio),
            ..c.clone()
        };
        Self::new(self.components.iter().map(scale).collect())
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

/// By food, then by what there is of it.
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
