//! The way inside this process.

use futures_util::future::BoxFuture;
use tamis_app::error::{Reason, Retryable};
use tamis_app::{App, Error as Refusal};
use tamis_app::{Columns, Layout};
use tamis_catalogue::Catalogue;
use tamis_wire::scoring::assessment::Assessment;
use tamis_wire::scoring::foods::FoodPage;
use tamis_wire::scoring::quantity::FoodId;
use tamis_wire::scoring::reading::LineReading;
use tamis_wire::scoring::request::AssessmentRequest;
use tamis_wire::v1;

use crate::answers::{assessment, readings};
use crate::assessor::Assessor;
use crate::error::{Error, ErrorKind};
use crate::model::{FoodList, FoodQuery, RenderedTicket, TicketKind, TicketLayout};

/// Runs the use cases in this process, off the threads that wait for the network.
///
/// Numbers are rounded as on the wire, so that an answer does not depend on the way it came.
#[derive(Clone)]
pub struct InProcess {
    app: App,
}

impl std::fmt::Debug for InProcess {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("InProcess").finish_non_exhaustive()
    }
}

impl InProcess {
    /// The use cases over a catalogue.
    #[must_use]
    pub const fn new(app: App) -> Self {
        Self { app }
    }

    /// The use cases over the catalogue that is built into this program.
    ///
    /// # Errors
    /// When the catalogue cannot be read, which a released one can.
    pub fn embedded() -> Result<Self, Error> {
        let catalogue = Catalogue::embedded().map_err(|e| {
            Error::new(ErrorKind::Configuration, "the catalogue cannot be read").caused_by(e)
        })?;
        Ok(Self::new(App::new(catalogue)))
    }

    async fn work<T: Send + 'static>(
        &self,
        work: impl FnOnce(&App) -> Result<T, Error> + Send + 'static,
    ) -> Result<T, Error> {
        let app = self.app.clone();
        tokio::task::spawn_blocking(move || work(&app))
            .await
            .map_err(|e| {
                Error::new(ErrorKind::Internal, "the work was not finished").caused_by(e)
            })?
    }
}

impl Assessor for InProcess {
    fn assess<'a>(
        &'a self,
        request: &'a AssessmentRequest,
    ) -> BoxFuture<'a, Result<Assessment, Error>> {
        let request = request.clone();
        Box::pin(self.work(move |app| rounded(app.assess(&request).map_err(refused)?)))
    }

    fn assess_batch<'a>(
        &'a self,
        requests: &'a [AssessmentRequest],
    ) -> BoxFuture<'a, Result<Vec<Result<Assessment, Error>>, Error>> {
        let requests = requests.to_vec();
        Box::pin(self.work(move |app| {
            let outcomes = app.assess_batch(&requests).map_err(refused)?;
            Ok(outcomes
                .into_iter()
                .map(|o| rounded(o.map_err(refused)?))
                .collect())
        }))
    }

    fn read_lines<'a>(&'a self, text: &'a str) -> BoxFuture<'a, Result<Vec<LineReading>, Error>> {
        let text = text.to_owned();
        Box::pin(self.work(move |app| {
            let lines = app.read(&text).map_err(refused)?;
            readings(v1::ReadLinesResponse {
                readings: lines.iter().map(Into::into).collect(),
            })
        }))
    }

    fn foods<'a>(&'a self, query: &'a FoodQuery) -> BoxFuture<'a, Result<FoodList, Error>> {
        let FoodQuery {
            query,
            page_size,
            page_token,
        } = query.clone();
        Box::pin(self.work(move |app| {
            let page_size = page_size.map_or(0, u32::from);
            let tamis_app::FoodList {
                foods,
                next_page_token,
            } = app
                .foods(&tamis_app::FoodQuery {
                    query,
                    page_size,
                    page_token,
                })
                .map_err(refused)?;
            Ok(FoodList {
                foods,
                next_page_token,
            })
        }))
    }

    fn food<'a>(&'a self, id: &'a FoodId) -> BoxFuture<'a, Result<FoodPage, Error>> {
        let id = id.clone();
        Box::pin(self.work(move |app| {
            let page = app.food(id.as_str()).map_err(refused)?;
            v1::FoodPage::from(&page)
                .try_into()
                .map_err(Error::unexpected)
        }))
    }

    fn render_ticket<'a>(
        &'a self,
        request: &'a AssessmentRequest,
        layout: TicketLayout,
    ) -> BoxFuture<'a, Result<RenderedTicket, Error>> {
        let request = request.clone();
        Box::pin(self.work(move |app| {
            let TicketLayout { kind, columns } = layout;
            let columns = columns
                .map_or(Ok(Columns::MM80_COARSE), Columns::new)
                .map_err(|e| {
                    Error::new(ErrorKind::InvalidRequest, e.to_string())
                        .with_reason(Reason::FieldInvalid.row().word)
                        .with_violations([("/layout/columns".to_owned(), e.to_string())])
                })?;
            let layout = match kind {
                TicketKind::Kitchen => Layout::Kitchen(columns),
                TicketKind::Tray => Layout::Tray(columns),
            };
            let rendered = app.render_ticket(&request, layout).map_err(refused)?;
            Ok(RenderedTicket {
                text: rendered.text,
                assessment: rounded(rendered.assessment)?,
            })
        }))
    }
}

fn rounded(answer: Assessment) -> Result<Assessment, Error> {
    assessment(Some(answer.into()))
}

fn refused(error: Refusal) -> Error {
    let row = error.reason.row();
    let kind = match row.http_status {
        404 => ErrorKind::NotFound,
        429 => ErrorKind::Overloaded,
        503 => ErrorKind::Unavailable,
        504 => ErrorKind::DeadlineExceeded,
        400..500 => ErrorKind::InvalidRequest,
        _ => ErrorKind::Internal,
    };
    let after = (row.retryable == Retryable::Yes).then_some(std::time::Duration::ZERO);
    Error::new(kind, error.detail)
        .with_reason(row.word)
        .with_violations(
            error
                .violations
                .into_iter()
                .map(|v| (v.field, v.description)),
        )
        .with_retry_after(after)
}
