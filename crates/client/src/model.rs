//! What is asked and answered beside assessments.

use tamis_wire::scoring::assessment::Assessment;
use tamis_wire::scoring::foods::FoodSummary;

/// Which foods to list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FoodQuery {
    /// Words as a kitchen writes them; empty for every food.
    pub query: String,
    /// How many foods a page holds; `None` for the default of the service.
    pub page_size: Option<u16>,
    /// The token of the page, from the page before; empty for the first.
    pub page_token: String,
}

impl FoodQuery {
    /// The first page of the foods that match some words.
    #[must_use]
    pub fn new(query: impl Into<String>) -> Self {
        Self {
            query: query.into(),
            ..Self::default()
        }
    }
}

/// One page of foods.
#[derive(Debug, Clone, PartialEq)]
pub struct FoodList {
    /// The foods.
    pub foods: Vec<FoodSummary>,
    /// The token of the next page; empty on the last.
    pub next_page_token: String,
}

/// For whom a ticket is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum TicketKind {
    /// The ticket at the pass.
    #[default]
    Kitchen,
    /// The card on a tray.
    Tray,
}

/// How a ticket is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct TicketLayout {
    /// For whom it is printed.
    pub kind: TicketKind,
    /// Characters of a line; `None` for the usual width.
    pub columns: Option<u16>,
}

/// A ticket, and the assessment that it prints.
#[derive(Debug, Clone, PartialEq)]
pub struct RenderedTicket {
    /// The ticket as plain text.
    pub text: String,
    /// The assessment.
    pub assessment: Assessment,
}
