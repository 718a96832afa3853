//! Ethanol of a drink, and standard drinks by region.

use crate::diner::Region;
use crate::quantity::{Fraction, Grams, Millilitres, Quantity, Ratio};

/// Grams of ethanol in a millilitre (density at 20 °C; OIML R 22 gives 0.78924).
pub const ETHANOL_G_PER_ML: f64 = 0.789;

/// The ethanol in a pour.
///
/// ```
/// use tamis_scoring::{drinks::ethanol, quantity::{Fraction, Millilitres}};
/// // 1.5 US fl oz of a spirit at 40 % by volume: one US standard drink of 14 g.
/// let grams = ethanol(Millilitres::new(44.36).unwrap(), Fraction::new(0.40).unwrap());
/// assert!((grams.get() - 14.0).abs() < 0.01);
/// ```
#[must_use]
pub fn ethanol(pour: Millilitres, strength: Fraction) -> Grams {
    Grams::clamped(pour.get() * strength.get() * ETHANOL_G_PER_ML)
}

/// Ethanol counted in the standard drinks of a region.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StandardDrinks {
    /// Grams of ethanol in the drink.
    pub ethanol: Grams,
    /// Whose standard drink; always named.
    pub region: Region,
    /// How many of them.
    pub count: Ratio,
}

impl StandardDrinks {
    /// Counts ethanol in drinks of the given size.
    #[must_use]
    pub fn of(ethanol: Grams, region: Region, one_drink: Grams) -> Self {
        let count = if one_drink.get() > 0.0 {
            ethanol.get() / one_drink.get()
        } else {
            0.0
        };
        Self {
            ethanol,
            region,
            count: Ratio::clamped(count),
        }
    }
}
