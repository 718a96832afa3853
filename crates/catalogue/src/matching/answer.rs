//! What comes of looking for a food.

use tamis_scoring::quantity::{FoodId, StateId};

/// How far a match can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Confidence {
    /// A name of the food, and every other word is accounted for.
    Exact,
    /// One slip of spelling, or the words in another order.
    Close,
    /// Something is not accounted for: show it, do not use it.
    Doubtful,
}

/// How the state was chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StateChoice {
    /// The line says it.
    Said,
    /// The line says nothing; the food's default state.
    Default,
    /// The line says a state that is not in the catalogue for this food; the default state stands
    /// in for it.
    NotHeld(Vec<String>),
}

/// A food and state for a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Match {
    /// The food.
    pub food: FoodId,
    /// Its state.
    pub state: StateId,
    /// How the state was chosen.
    pub choice: StateChoice,
    /// How far to trust the match.
    pub confidence: Confidence,
    /// The foods that were considered, this one first.
    pub tried: Vec<FoodId>,
    /// Words that were not accounted for, or corrected (`parsely -> parsley`).
    pub doubts: Vec<String>,
}

/// What came of looking for a food.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Matching {
    /// A food was found.
    Found(Match),
    /// None was.
    NotFound {
        /// The foods that were considered.
        tried: Vec<FoodId>,
    },
}

impl Matching {
    /// The match, if it can be used: exact or close.
    #[must_use]
    pub fn usable(&self) -> Option<&Match> {
        match self {
            Self::Found(m) if m.confidence != Confidence::Doubtful => Some(m),
            Self::Found(_) | Self::NotFound { .. } => None,
        }
    }
}
