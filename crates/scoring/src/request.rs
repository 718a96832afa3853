//! What a door hands in: plain data, as a kitchen wrote it.

use crate::diner::{Diner, Policy};
use crate::quantity::Portions;

/// A question: this dish, drink or sitting, for this diner, by this policy.
#[derive(Debug, Clone, PartialEq)]
pub struct AssessmentRequest {
    /// What is served.
    pub subject: Subject,
    /// For whom.
    pub diner: Diner,
    /// By which policy of the site.
    pub policy: Policy,
}

/// What is served.
#[derive(Debug, Clone, PartialEq)]
pub enum Subject {
    /// A dish.
    Dish(RecipeCard),
    /// A drink.
    Drink(RecipeCard),
    /// What one diner eats and drinks at one occasion.
    Sitting(Vec<Serving>),
}

/// One item of a sitting.
#[derive(Debug, Clone, PartialEq)]
pub enum Serving {
    /// A dish.
    Dish(RecipeCard),
    /// A drink.
    Drink(RecipeCard),
}

/// Whether components can be left out when the plate is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Service {
    /// Each portion is made by itself: components can still change at the line.
    MadeToOrder,
    /// Portions come out of a batch made before service.
    Batch,
    /// Not said: ten portions or more, or a yield by weight or volume, count as a batch.
    Unstated,
}

crate::subgroup::words!(Service, "a way of service", {
    MadeToOrder = "made_to_order",
    Batch = "batch",
    Unstated = "unstated",
});

/// A recipe as the kitchen keeps it.
#[derive(Debug, Clone, PartialEq)]
pub struct RecipeCard {
    /// Its name.
    pub name: String,
    /// Its code, by which other cards refer to it.
    pub code: Option<String>,
    /// How many portions the lines make.
    pub portions: Option<Portions>,
    /// What the lines make, as written: `2.4 kg`, `5 gal`.
    pub makes: Option<String>,
    /// One portion, as written: `6 oz ladle`, `120 g`, `#8`.
    pub portion: Option<String>,
    /// How it is served.
    pub service: Service,
    /// The ingredient lines as written.
    pub lines: Vec<String>,
    /// The method as written.
    pub method: String,
    /// Cards that lines refer to by code or name.
    pub sub_recipes: Vec<RecipeCard>,
}
