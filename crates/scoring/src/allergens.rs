//! Allergens as kitchens declare them, compared when a component is changed.
//!
//! The list joins the EU's fourteen and the US's nine; a record of allergens is a convenience for
//! comparing two versions of a dish and never an allergen statement.

use crate::subgroup::words;

/// One declared allergen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Allergen {
    /// Cereals containing gluten.
    Gluten,
    /// Wheat, named by itself in the US.
    Wheat,
    /// Milk.
    Milk,
    /// Egg.
    Egg,
    /// Fish.
    Fish,
    /// Crustaceans.
    Crustacean,
    /// Molluscs.
    Mollusc,
    /// Peanut.
    Peanut,
    /// Tree nuts.
    TreeNut,
    /// Soy.
    Soy,
    /// Sesame.
    Sesame,
    /// Celery.
    Celery,
    /// Mustard.
    Mustard,
    /// Sulphur dioxide and sulphites.
    Sulphite,
    /// Lupin.
    Lupin,
}

words!(Allergen, "an allergen", {
    Gluten = "gluten",
    Wheat = "wheat",
    Milk = "milk",
    Egg = "egg",
    Fish = "fish",
    Crustacean = "crustacean",
    Mollusc = "mollusc",
    Peanut = "peanut",
    TreeNut = "tree-nut",
    Soy = "soy",
    Sesame = "sesame",
    Celery = "celery",
    Mustard = "mustard",
    Sulphite = "sulphite",
    Lupin = "lupin",
});

/// A set of allergens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub struct Allergens(u32);

impl Allergens {
    /// No allergen.
    pub const NONE: Self = Self(0);

    /// The set with one more.
    #[must_use]
    pub const fn with(self, allergen: Allergen) -> Self {
        Self(self.0 | 1 << allergen as u32)
    }

    /// Both sets together.
    #[must_use]
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// What this set has and the other lacks.
    #[must_use]
    pub const fn without(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// What both sets have.
    #[must_use]
    pub const fn shared_with(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// Whether the set has none.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The allergens, in the order of the interface.
    pub fn iter(self) -> impl Iterator<Item = Allergen> {
        Allergen::ALL
            .iter()
            .copied()
            .filter(move |&a| self.0 & (1 << a as u32) != 0)
    }
}

impl FromIterator<Allergen> for Allergens {
    fn from_iter<T: IntoIterator<Item = Allergen>>(iter: T) -> Self {
        iter.into_iter().fold(Self::NONE, Self::with)
    }
}
