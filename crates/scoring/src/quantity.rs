//! Quantities with their unit in the type.
//!
//! Every value is finite and not negative. Constructors refuse anything else, so arithmetic
//! downstream never has to ask again.

use std::fmt;
use std::sync::Arc;

/// A number that cannot be a quantity.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum QuantityError {
    /// NaN or an infinity.
    #[error("{unit} must be a finite number")]
    NotFinite {
        /// What was being made.
        unit: &'static str,
    },
    /// Below zero.
    #[error("{unit} must be zero or more, got {value}")]
    Negative {
        /// What was being made.
        unit: &'static str,
        /// What was given.
        value: f64,
    },
    /// Above what the quantity allows.
    #[error("{unit} must be at most {limit}, got {value}")]
    TooLarge {
        /// What was being made.
        unit: &'static str,
        /// What was given.
        value: f64,
        /// The largest accepted value.
        limit: f64,
    },
}

/// A kind of quantity an [`Estimate`](crate::estimate::Estimate) can be about.
pub trait Quantity: Copy {
    /// The number in the unit of the type.
    fn value(self) -> f64;
    /// Builds the quantity from a number known to be valid; out-of-range numbers are clamped.
    fn clamped(value: f64) -> Self;
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $unit:literal, $limit:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// None of it.
            pub const ZERO: Self = Self(0.0);
            /// The largest value accepted.
            pub const LIMIT: f64 = $limit;

            /// Checks and wraps a number.
            ///
            /// # Errors
            /// When the number is not finite, negative, or above [`Self::LIMIT`].
            pub fn new(value: f64) -> Result<Self, QuantityError> {
                if !value.is_finite() {
                    return Err(QuantityError::NotFinite { unit: $unit });
                }
                if value < 0.0 {
                    return Err(QuantityError::Negative { unit: $unit, value });
                }
                if value > $limit {
                    return Err(QuantityError::TooLarge { unit: $unit, value, limit: $limit });
                }
                Ok(Self(value + 0.0))
            }

            /// The number, in the unit of the type.
            #[must_use]
            pub const fn get(self) -> f64 {
                self.0
            }
        }

        impl Quantity for $name {
            fn value(self) -> f64 {
                self.0
            }
            fn clamped(value: f64) -> Self {
                // Adding zero turns the negative zero of an empty sum into zero.
                if value.is_nan() { Self(0.0) } else { Self(value.clamp(0.0, $limit) + 0.0) }
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                fmt::Display::fmt(&self.0, f)
            }
        }
    };
}

quantity!(
    /// A mass in grams.
    Grams, "grams", 1.0e9
);
quantity!(
    /// A volume in millilitres.
    Millilitres, "millilitres", 1.0e9
);
quantity!(
    /// Grams of an analyte in 100 g of a food, edible portion.
    GramsPer100g, "grams per 100 g", 100.0
);
quantity!(
    /// A share between 0 and 1.
    Fraction, "a fraction", 1.0
);
quantity!(
    /// A ratio of two like quantities, such as headroom or the ratio of a substitution.
    Ratio, "a ratio", 1.0e12
);
quantity!(
    /// A length of time in hours.
    Hours, "hours", 1.0e6
);
quantity!(
    /// A dose of an enzyme in milligrams per litre.
    MilligramsPerLitre, "milligrams per litre", 1.0e6
);
quantity!(
    /// A number of portions; fractions are allowed, since kitchens write them.
    Portions, "portions", 1.0e6
);

impl Grams {
    /// Adds two masses.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self::clamped(self.0 + other.0)
    }

    /// Multiplies a mass by a ratio.
    #[must_use]
    pub fn times(self, ratio: Ratio) -> Self {
        Self::clamped(self.0 * ratio.0)
    }
}

/// A text key that is not one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "'{text}' is not {kind}: lower-case letters, digits and single hyphens are accepted, at most 64"
)]
pub struct IdError {
    /// What was being made.
    pub kind: &'static str,
    /// What was given.
    pub text: String,
}

macro_rules! id {
    ($(#[$doc:meta])* $name:ident, $kind:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(Arc<str>);

        impl $name {
            /// Checks and wraps a key.
            ///
            /// # Errors
            /// When the text is empty, longer than 64 bytes, or not lower-case kebab-case.
            pub fn new(text: &str) -> Result<Self, IdError> {
                let word = |w: &str| {
                    !w.is_empty() && w.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit())
                };
                if text.len() <= 64 && text.split('-').all(word) {
                    Ok(Self(text.into()))
                } else {
                    Err(IdError { kind: $kind, text: text.chars().take(80).collect() })
                }
            }

            /// The key as text.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

id!(
    /// Names a food of the catalogue, for instance `scallion-green`.
    FoodId, "a food id"
);
id!(
    /// Names a state of a food, for instance `canned-drained`.
    StateId, "a state id"
);
id!(
    /// Names a source of evidence, for instance `usda-sr28`.
    SourceId, "a source id"
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refuses_what_is_no_quantity() {
        assert!(matches!(
            Grams::new(f64::NAN),
            Err(QuantityError::NotFinite { .. })
        ));
        assert!(matches!(
            Grams::new(-0.1),
            Err(QuantityError::Negative { .. })
        ));
        assert!(matches!(
            GramsPer100g::new(100.1),
            Err(QuantityError::TooLarge { .. })
        ));
        assert_eq!(Fraction::new(0.5).map(Fraction::get), Ok(0.5));
    }

    #[test]
    fn ids_are_kebab_case() {
        assert!(FoodId::new("scallion-green").is_ok());
        for bad in ["", "Scallion", "a--b", "-a", "a_b", "ü"] {
            assert!(FoodId::new(bad).is_err(), "{bad}");
        }
    }
}
