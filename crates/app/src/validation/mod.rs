//! How well the program does, by itself: predictions beside what laboratories found, where no number had a
//! part in its own prediction.

mod coverage;
mod dishes;
mod plot;
mod report;
mod summary;

use tamis_catalogue::validate::Checked;

use crate::App;

pub use coverage::{Coverage, Unmatched};
use dishes::Recipe;
pub use dishes::{DishCheck, Prediction};

/// All checks.
#[derive(Debug, Clone)]
pub struct Validation {
    /// The version of the catalogue that was checked.
    pub catalogue_version: String,
    /// Each source of a food and state, predicted from its other sources.
    pub sources: Vec<Checked>,
    /// Each measured food, predicted from its relatives.
    pub foods: Vec<Checked>,
    /// Measured dishes, predicted from their cards.
    pub dishes: Vec<DishCheck>,
    /// The same, with the spread of a recipe that had to be assumed.
    pub dishes_of_assumed_recipes: Vec<DishCheck>,
}

impl App {
    /// Checks the catalogue and the dishes against what was measured.
    #[must_use]
    pub fn validation(&self) -> Validation {
        let catalogue = self.catalogue();
        Validation {
            catalogue_version: catalogue.version().to_owned(),
            sources: catalogue.leave_one_source_out(),
            foods: catalogue.leave_one_food_out(),
            dishes: dishes::check(catalogue, Recipe::AsWritten),
            dishes_of_assumed_recipes: dishes::check(catalogue, Recipe::Assumed),
        }
    }

    /// How many of some ingredient lines lead to a food for certain.
    #[must_use]
    pub fn coverage(&self, lines: &[String]) -> Coverage {
        coverage::of(self.catalogue(), lines)
    }
}

impl Validation {
    /// The figures as plain text: what `tamis check-data --validate` prints.
    #[must_use]
    pub fn report(&self) -> String {
        report::text(self)
    }

    /// The page of the documentation, in Markdown, with the figures of [`Validation::report`].
    #[must_use]
    pub fn page(&self) -> String {
        report::page(self)
    }

    /// Predicted against measured as SVG: both axes logarithmic, whiskers from 5 % to 95 %.
    #[must_use]
    pub fn plot(&self) -> String {
        plot::svg(self)
    }
}

#[cfg(test)]
mod tests;
