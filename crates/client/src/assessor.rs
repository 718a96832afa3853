//! What every way to the service can do.

use futures_util::future::BoxFuture;
use tamis_wire::scoring::assessment::Assessment;
use tamis_wire::scoring::foods::FoodPage;
use tamis_wire::scoring::quantity::FoodId;
use tamis_wire::scoring::reading::LineReading;
use tamis_wire::scoring::request::AssessmentRequest;

use crate::error::Error;
use crate::model::{FoodList, FoodQuery, RenderedTicket, TicketLayout};

/// One way to the use cases of tamis; implement it for a stand-in in tests.
///
/// Every method fails with an [`Error`] where the request cannot be answered or the service cannot
/// be reached.
pub trait Assessor: Send + Sync {
    /// Assesses one dish, drink or sitting.
    fn assess<'a>(
        &'a self,
        request: &'a AssessmentRequest,
    ) -> BoxFuture<'a, Result<Assessment, Error>>;

    /// Assesses several; each has its own outcome, in the order of the requests.
    ///
    /// The whole call fails where no item could be answered. A batch is bounded by the limits of
    /// the service; [`Client::assess_many`](crate::Client::assess_many) splits as needed.
    fn assess_batch<'a>(
        &'a self,
        requests: &'a [AssessmentRequest],
    ) -> BoxFuture<'a, Result<Vec<Result<Assessment, Error>>, Error>>;

    /// Shows what is understood of a card in plain text, or of bare ingredient lines.
    fn read_lines<'a>(&'a self, text: &'a str) -> BoxFuture<'a, Result<Vec<LineReading>, Error>>;

    /// Lists foods, one page.
    fn foods<'a>(&'a self, query: &'a FoodQuery) -> BoxFuture<'a, Result<FoodList, Error>>;

    /// Shows everything known of one food.
    fn food<'a>(&'a self, id: &'a FoodId) -> BoxFuture<'a, Result<FoodPage, Error>>;

    /// Assesses a request and renders its ticket.
    fn render_ticket<'a>(
        &'a self,
        request: &'a AssessmentRequest,
        layout: TicketLayout,
    ) -> BoxFuture<'a, Result<RenderedTicket, Error>>;
}
