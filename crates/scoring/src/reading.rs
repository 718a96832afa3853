//! What was understood of one recipe line: plain data for `read` and its endpoints.

use crate::quantity::{FoodId, Grams, Ratio, StateId};

/// One recipe line as it was understood.
#[derive(Debug, Clone, PartialEq)]
pub struct LineReading {
    /// Its place among the ingredient lines, from 1.
    pub number: u32,
    /// The line as written.
    pub line: String,
    /// The amount, in `unit`; `None` where none was written or understood.
    pub quantity: Option<Ratio>,
    /// The upper end, where a range was written.
    pub quantity_high: Option<Ratio>,
    /// The unit as a word; `None` where none was written.
    pub unit: Option<String>,
    /// The words that name the food.
    pub food_text: String,
    /// What is done to it, in the order written.
    pub preparation: Vec<String>,
    /// The food it was matched to.
    pub food: Option<FoodId>,
    /// Its state.
    pub state: Option<StateId>,
    /// Mean grams of the edible portion; `None` where they are not known.
    pub grams: Option<Grams>,
    /// The 5 % and 95 % bounds of the grams.
    pub grams_interval: Option<(Grams, Grams)>,
    /// What was understood only with doubt, or not at all.
    pub doubts: Vec<ReadingDoubt>,
}

/// One doubt about a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingDoubt {
    /// Column in the line, counted in characters from 1.
    pub column: u32,
    /// What is doubtful, and what would be accepted.
    pub text: String,
    /// What was tried.
    pub tried: Vec<String>,
}
