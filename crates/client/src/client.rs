//! The client.

use std::sync::Arc;

use futures_util::stream::{self, Stream, StreamExt};
use prost::Message;
use tamis_wire::scoring::assessment::Assessment;
use tamis_wire::scoring::foods::{FoodPage, FoodSummary};
use tamis_wire::scoring::quantity::FoodId;
use tamis_wire::scoring::reading::LineReading;
use tamis_wire::scoring::request::AssessmentRequest;
use tamis_wire::v1;

use crate::assessor::Assessor;
use crate::builder::ClientBuilder;
use crate::error::Error;
use crate::model::{FoodList, FoodQuery, RenderedTicket, TicketLayout};

/// Requests sent together by [`Client::assess_many`].
const WINDOW: usize = 32;
/// Bytes of requests sent together; well under what the service accepts at once.
const WINDOW_BYTES: usize = 256 * 1024;
/// Windows under way at once.
const WINDOWS: usize = 4;

/// Asks tamis. Cheap to clone, and shared between tasks.
#[derive(Clone)]
pub struct Client {
    assessor: Arc<dyn Assessor>,
}

impl std::fmt::Debug for Client {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Client").finish_non_exhaustive()
    }
}

impl Client {
    /// Sets a client up for a service at `grpc://host:port` or `http://host:port`.
    #[must_use]
    pub fn builder(endpoint: impl Into<String>) -> ClientBuilder {
        ClientBuilder::new(endpoint.into())
    }

    /// A client that goes its way through an [`Assessor`]: one of this crate, or a stand-in.
    #[must_use]
    pub fn new(assessor: impl Assessor + 'static) -> Self {
        Self {
            assessor: Arc::new(assessor),
        }
    }

    /// Assesses one dish, drink or sitting.
    ///
    /// # Errors
    /// When the request cannot be answered, or the service cannot be reached.
    pub async fn assess(&self, request: &AssessmentRequest) -> Result<Assessment, Error> {
        self.assessor.assess(request).await
    }

    /// Assesses as many as come: one outcome for each request, in their order.
    ///
    /// Requests are taken from the stream only as fast as they are answered. Where a call fails as
    /// a whole, every request that was sent with it has that error for its outcome.
    ///
    /// ```no_run
    /// # async fn run(client: tamis_client::Client) {
    /// use futures_util::{StreamExt, stream};
    /// use tamis_client::Card;
    ///
    /// let menu = ["Rice bowl", "Lentil soup"].map(|name| Card::new(name).into_dish());
    /// let mut answers = client.assess_many(stream::iter(menu)).boxed();
    /// while let Some(outcome) = answers.next().await {
    ///     match outcome {
    ///         Ok(answer) => println!("{}: {}", answer.name, answer.ruling),
    ///         Err(error) => println!("no answer: {error}"),
    ///     }
    /// }
    /// # }
    /// ```
    pub fn assess_many(
        &self,
        requests: impl Stream<Item = AssessmentRequest> + Send + 'static,
    ) -> impl Stream<Item = Result<Assessment, Error>> + Send + 'static {
        let assessor = Arc::clone(&self.assessor);
        requests
            .ready_chunks(WINDOW)
            .flat_map(|window| stream::iter(split(window)))
            .map(move |window| {
                let assessor = Arc::clone(&assessor);
                async move {
                    match assessor.assess_batch(&window).await {
                        Ok(outcomes) => outcomes,
                        Err(error) => vec![Err(error); window.len()],
                    }
                }
            })
            .buffered(WINDOWS)
            .flat_map(stream::iter)
    }

    /// Shows what is understood of a card in plain text, or of bare ingredient lines.
    ///
    /// # Errors
    /// When the text is over a limit, or the service cannot be reached.
    pub async fn read_lines(&self, text: &str) -> Result<Vec<LineReading>, Error> {
        self.assessor.read_lines(text).await
    }

    /// Lists foods, one page.
    ///
    /// # Errors
    /// When the page token is of another query, or the service cannot be reached.
    pub async fn foods(&self, query: &FoodQuery) -> Result<FoodList, Error> {
        self.assessor.foods(query).await
    }

    /// Lists all foods that match, page after page as they are read. It ends at the first error.
    pub fn all_foods(
        &self,
        query: FoodQuery,
    ) -> impl Stream<Item = Result<FoodSummary, Error>> + Send + 'static {
        let assessor = Arc::clone(&self.assessor);
        stream::try_unfold(Some(query), move |query| {
            let assessor = Arc::clone(&assessor);
            async move {
                let Some(query) = query else { return Ok(None) };
                let FoodList {
                    foods,
                    next_page_token,
                } = assessor.foods(&query).await?;
                let next = (!next_page_token.is_empty()).then_some(FoodQuery {
                    page_token: next_page_token,
                    ..query
                });
                Ok(Some((foods, next)))
            }
        })
        .flat_map(|page| match page {
            Ok(foods) => stream::iter(foods.into_iter().map(Ok).collect::<Vec<_>>()),
            Err(error) => stream::iter(vec![Err(error)]),
        })
    }

    /// Shows everything known of one food.
    ///
    /// # Errors
    /// When there is no such food, or the service cannot be reached.
    pub async fn food(&self, id: &FoodId) -> Result<FoodPage, Error> {
        self.assessor.food(id).await
    }

    /// Assesses a request and renders its ticket.
    ///
    /// # Errors
    /// When the request cannot be answered, or the service cannot be reached.
    pub async fn render_ticket(
        &self,
        request: &AssessmentRequest,
        layout: TicketLayout,
    ) -> Result<RenderedTicket, Error> {
        self.assessor.render_ticket(request, layout).await
    }
}

/// Splits requests so that what is sent together stays under [`WINDOW_BYTES`]; one that is larger
/// by itself goes alone.
fn split(requests: Vec<AssessmentRequest>) -> Vec<Vec<AssessmentRequest>> {
    let mut windows: Vec<Vec<AssessmentRequest>> = Vec::new();
    let mut bytes = usize::MAX;
    for request in requests {
        let size = v1::AssessmentRequest::from(&request).encoded_len();
        match windows.last_mut() {
            Some(window) if bytes.saturating_add(size) <= WINDOW_BYTES => {
                window.push(request);
                bytes += size;
            }
            _ => {
                windows.push(vec![request]);
                bytes = size;
            }
        }
    }
    windows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::card::Card;

    #[test]
    fn windows_stay_under_their_size_and_keep_order() {
        let requests: Vec<_> = (0..10)
            .map(|i| {
                Card::new(format!("{i}"))
                    .method("x".repeat(60_000))
                    .into_dish()
            })
            .chain([Card::new("large").method("x".repeat(600_000)).into_dish()])
            .collect();
        let windows = split(requests.clone());
        assert_eq!(
            windows.iter().map(Vec::len).collect::<Vec<_>>(),
            [4, 4, 2, 1]
        );
        assert_eq!(windows.concat(), requests);
    }
}
