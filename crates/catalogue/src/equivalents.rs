//! What can stand in for a food in a dish.

use std::fmt;

use tamis_scoring::dish::Stage;
use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::{FoodId, Ratio, StateId};
use tamis_scoring::subgroup::WordError;

use crate::Catalogue;
use crate::schema_tools::EquivalentRow;

macro_rules! roles {
    ($($(#[$doc:meta])* $variant:ident = $word:literal),+ $(,)?) => {
        /// What a food does in a dish, and what is lost when it is held.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Role {
            $($(#[$doc])* $variant),+
        }

        impl Role {
            /// Every role.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word of the tables.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }

            /// Reads the word of the tables.
            ///
            /// # Errors
            /// When the word is not one of [`Self::ALL`].
            pub fn from_word(word: &str) -> Result<Self, WordError> {
                match word {
                    $($word => Ok(Self::$variant),)+
                    _ => Err(WordError { given: word.chars().take(60).collect(), what: "a role", accepted: &[$($word),+] }),
                }
            }
        }
    };
}

roles! {
    /// The taste of onion and garlic.
    AlliumFlavour = "allium-flavour",
    /// Sweetness.
    Sweetener = "sweetener",
    /// Bread, pasta, flour: the starch of the plate.
    Starch = "starch",
    /// Milk, cream, yoghurt, soft cheese.
    Dairy = "dairy",
    /// Pulses and their protein.
    Pulse = "pulse",
    /// A vegetable for its bulk.
    Vegetable = "vegetable",
    /// A mushroom.
    Mushroom = "mushroom",
    /// Fruit.
    Fruit = "fruit",
    /// Nuts and seeds.
    Nut = "nut",
    /// Body of a sauce.
    Thickener = "thickener",
    /// Stock, base, bouillon.
    Stock = "stock",
    /// A seasoning, sauce or condiment.
    Seasoning = "seasoning",
    /// What is drunk.
    Drink = "drink",
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// One food that can stand in for another.
#[derive(Debug, Clone, PartialEq)]
pub struct Equivalent {
    /// The food.
    pub food: FoodId,
    /// Its state.
    pub state: StateId,
    /// What it does in the dish.
    pub role: Role,
    /// Grams of it for one gram of what it replaces.
    pub ratio: Ratio,
    /// The latest stage at which the change can be made.
    pub stage: Stage,
    /// What a cook should know.
    pub note: String,
    /// How good the evidence is.
    pub grade: Grade,
}

impl Catalogue {
    /// What can stand in for a food in a state, in the order of the table. Empty for a food without
    /// equivalents.
    #[must_use]
    pub fn equivalents(&self, food: &FoodId, state: &StateId) -> Vec<Equivalent> {
        self.equivalent_rows(food)
            .filter(|row| row.state.as_ref().is_none_or(|s| s == state))
            .filter_map(|row| {
                let replacement = self.food(&row.replacement)?;
                Some(Equivalent {
                    food: row.replacement.clone(),
                    state: row
                        .replacement_state
                        .clone()
                        .unwrap_or_else(|| replacement.default_state.clone()),
                    role: row.role,
                    ratio: row.ratio,
                    stage: row.stage,
                    note: row.note.clone(),
                    grade: row.grade,
                })
            })
            .collect()
    }

    /// What a food does in a dish, as far as the table of equivalents says.
    #[must_use]
    pub fn role(&self, food: &FoodId) -> Option<Role> {
        self.equivalent_rows(food).next().map(|row| row.role)
    }

    fn equivalent_rows<'a>(&'a self, food: &'a FoodId) -> impl Iterator<Item = &'a EquivalentRow> {
        self.inner
            .tables
            .equivalents
            .iter()
            .filter(move |row| row.food == *food)
    }
}
