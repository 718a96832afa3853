//! Ethanol of a drink, in the standard drinks of the policy's region.

use tamis_catalogue::Catalogue;
use tamis_scoring::assessment::SubjectKind;
use tamis_scoring::diner::Region;
use tamis_scoring::dish::Amount;
use tamis_scoring::drinks::StandardDrinks;
use tamis_scoring::quantity::{Grams, Quantity};

use crate::plate::Plate;

/// The alcohol of a plate; `None` for a dish, where cooking takes an unknown share of it.
pub(crate) fn of(catalogue: &Catalogue, plate: &Plate, region: Region) -> Option<StandardDrinks> {
    if plate.kind == SubjectKind::Dish {
        return None;
    }
    let grams = plate
        .items
        .iter()
        .filter_map(|item| {
            let Amount::Known(mass) = item.amount else {
                return None;
            };
            let ethanol = catalogue.ethanol(item.food.as_ref()?, item.state.as_ref()?)?;
            Some(mass.mean().get() * ethanol.mean().get() / 100.0)
        })
        // A sum of nothing is zero, not the negative zero that `sum` starts from.
        .fold(0.0, |sum, grams: f64| sum + grams);
    let one_drink = catalogue.standard_drink(region)?;
    Some(StandardDrinks::of(Grams::clamped(grams), region, one_drink))
}
