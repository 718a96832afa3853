//! The use cases of tamis: every door calls these and nothing below them.
//!
//! A use case takes plain data of [`tamis_scoring::request`], and gives plain data of
//! [`tamis_scoring::assessment`] or an [`error::Error`] from the one table of reasons. It knows no
//! transport, no store and no environment; what it needs from outside are [`ports`].

mod alcohol;
mod answer;
pub mod cards;
mod cautions;
mod changes;
mod dough;
pub mod error;
pub mod foods;
pub mod limits;
mod matching;
mod pantry;
mod plate;
pub mod ports;
mod practice;
mod reading;
mod steps;
#[cfg(test)]
mod tests;
mod unfold;
mod validate;
pub mod validation;
mod weigh;

use std::sync::Arc;

use tamis_catalogue::Catalogue;
use tamis_scoring::assessment::{Assessment, SubjectKind};
use tamis_scoring::foods::FoodPage;
use tamis_scoring::reading::LineReading;
use tamis_scoring::request::{AssessmentRequest, Serving, Subject};
use tamis_scoring::ruling::Rules;
use tamis_tickets::TicketContext;

pub use cards::{CardFormat, requests_from_text};
pub use error::{Error, Reason};
pub use foods::{FoodList, FoodQuery};
pub use tamis_tickets::{Columns, Layout};

/// The use cases over one catalogue. Cheap to clone.
#[derive(Clone, Debug)]
pub struct App {
    catalogue: Arc<Catalogue>,
}

/// A ticket, and the answer it was printed from.
#[derive(Debug, Clone, PartialEq)]
pub struct RenderedTicket {
    /// The ticket as plain text.
    pub text: String,
    /// Characters that the ticket could not show, and what stands in their place.
    pub losses: Vec<String>,
    /// The answer.
    pub assessment: Assessment,
}

impl App {
    /// The use cases over a catalogue.
    #[must_use]
    pub fn new(catalogue: Catalogue) -> Self {
        Self {
            catalogue: Arc::new(catalogue),
        }
    }

    /// The catalogue behind the answers.
    #[must_use]
    pub fn catalogue(&self) -> &Catalogue {
        &self.catalogue
    }

    /// The version of the catalogue, on every answer.
    #[must_use]
    pub fn catalogue_version(&self) -> &str {
        self.catalogue.version()
    }

    /// Assesses one dish, drink or sitting.
    ///
    /// # Errors
    /// When the request passes a limit, a yield cannot be used, or sub-recipes form a cycle. A line
    /// that is not understood is no error: it stands in the answer, which then rules `refer`.
    pub fn assess(&self, request: &AssessmentRequest) -> Result<Assessment, Error> {
        validate::request(request)?;
        let rules = Rules {
            cutoffs: self.catalogue.cutoffs(),
            diner: &request.diner,
            policy: &request.policy,
        };
        let catalogue = &self.catalogue;
        match &request.subject {
            Subject::Dish(card) => unfold::plate(catalogue, card, SubjectKind::Dish)
                .map(|plate| answer::assess(catalogue, &plate, &rules))
                .map_err(|e| e.under("/dish")),
            Subject::Drink(card) => unfold::plate(catalogue, card, SubjectKind::Drink)
                .map(|plate| answer::assess(catalogue, &plate, &rules))
                .map_err(|e| e.under("/drink")),
            Subject::Sitting(servings) => {
                let plates = servings
                    .iter()
                    .enumerate()
                    .map(|(i, serving)| {
                        let (card, kind, word) = match serving {
                            Serving::Dish(card) => (card, SubjectKind::Dish, "dish"),
                            Serving::Drink(card) => (card, SubjectKind::Drink, "drink"),
                        };
                        unfold::plate(catalogue, card, kind)
                            .map_err(|e| e.under(&format!("/sitting/{i}/{word}")))
                    })
                    .collect::<Result<Vec<_>, _>>()?;
                Ok(answer::sitting(catalogue, &plates, &rules))
            }
        }
    }

    /// Assesses many requests; each has its own outcome, in the order they came.
    ///
    /// # Errors
    /// When there are more than [`limits::MAX_BATCH`].
    pub fn assess_batch(
        &self,
        requests: &[AssessmentRequest],
    ) -> Result<Vec<Result<Assessment, Error>>, Error> {
        if requests.len() > limits::MAX_BATCH {
            return Err(Error::new(
                Reason::BatchTooLarge,
                format!(
                    "{} requests; at most {} are accepted",
                    requests.len(),
                    limits::MAX_BATCH
                ),
            )
            .with("limit", limits::MAX_BATCH));
        }
        Ok(requests
            .iter()
            .map(|request| self.assess(request))
            .collect())
    }

    /// Reads the ingredient lines of a card, or bare lines, without assessing them.
    ///
    /// # Errors
    /// When the text passes a limit.
    pub fn read(&self, text: &str) -> Result<Vec<LineReading>, Error> {
        reading::read(&self.catalogue, text)
    }

    /// Lists foods whose name or synonyms hold the query.
    ///
    /// # Errors
    /// When the page token was not given out by this service.
    pub fn foods(&self, query: &FoodQuery) -> Result<FoodList, Error> {
        foods::list(&self.catalogue, query)
    }

    /// Everything known of one food.
    ///
    /// # Errors
    /// When the catalogue has no such food.
    pub fn food(&self, id: &str) -> Result<FoodPage, Error> {
        foods::page(&self.catalogue, id)
    }

    /// Assesses a request and prints its ticket.
    ///
    /// # Errors
    /// As [`App::assess`].
    pub fn render_ticket(
        &self,
        request: &AssessmentRequest,
        layout: Layout,
    ) -> Result<RenderedTicket, Error> {
        let assessment = self.assess(request)?;
        let ticket = tamis_tickets::render(&assessment, layout, &TicketContext::default());
        Ok(RenderedTicket {
            text: ticket.text,
            losses: ticket.losses.iter().map(ToString::to_string).collect(),
            assessment,
        })
    }
}
