//! Messages of the wire to the use cases and back: the one way that REST, gRPC and the command line
//! take, so that they cannot disagree.

use tamis_app::error::{Error, Reason};
use tamis_app::{App, FoodQuery, limits};
use tamis_scoring::request::AssessmentRequest;
use tamis_tickets::{Columns, Layout};
use tamis_wire::{ConversionErrors, v1};

/// Assesses one request.
///
/// # Errors
/// When a field is not accepted, or the use case refuses.
pub fn assess(app: &App, request: v1::AssessmentRequest) -> Result<v1::Assessment, Error> {
    Ok((&app.assess(&request_of(request)?)?).into())
}

/// Assesses a batch; each item has its own outcome, in order.
///
/// # Errors
/// When the batch is too large.
pub fn batch(app: &App, batch: v1::BatchAssessRequest) -> Result<v1::BatchAssessResponse, Error> {
    let count = batch.requests.len();
    if count > limits::MAX_BATCH {
        return Err(Error::new(
            Reason::BatchTooLarge,
            format!(
                "The batch holds {count} requests; at most {} are accepted.",
                limits::MAX_BATCH
            ),
        )
        .with("count", count)
        .with("limit", limits::MAX_BATCH));
    }
    let mut refused = Vec::new();
    let mut taken = Vec::new();
    for request in batch.requests {
        match request_of(request) {
            Ok(request) => {
                taken.push(request);
                refused.push(None);
            }
            Err(error) => refused.push(Some(error)),
        }
    }
    let mut answers = app.assess_batch(&taken)?.into_iter();
    let results = (0..).zip(refused).map(|(index, refused)| {
        let outcome = match refused {
            Some(error) => Err(error),
            None => answers.next().unwrap_or_else(|| Err(crate::call::fault())),
        };
        let (assessment, error) = match outcome {
            Ok(assessment) => (Some((&assessment).into()), None),
            Err(error) => (None, Some(item_error(error))),
        };
        v1::BatchAssessResult {
            index,
            assessment,
            error,
        }
    });
    Ok(v1::BatchAssessResponse {
        results: results.collect(),
    })
}

/// Lists foods.
///
/// # Errors
/// When the page size or the page token is not accepted.
pub fn foods(app: &App, asked: v1::ListFoodsRequest) -> Result<v1::ListFoodsResponse, Error> {
    let page_size = u32::try_from(asked.page_size).map_err(|_| {
        Error::new(
            Reason::FieldInvalid,
            "A page cannot hold a negative number of foods.",
        )
        .at(
            "/page_size",
            format!("{} is not accepted; 0 or more is", asked.page_size),
        )
    })?;
    let list = app.foods(&FoodQuery {
        query: asked.query,
        page_size,
        page_token: asked.page_token,
    })?;
    Ok(v1::ListFoodsResponse {
        foods: list.foods.iter().map(Into::into).collect(),
        next_page_token: list.next_page_token,
    })
}

/// Shows one food.
///
/// # Errors
/// When there is no such food.
pub fn food(app: &App, id: &str) -> Result<v1::FoodPage, Error> {
    Ok((&app.food(id)?).into())
}

/// Shows what is understood of recipe lines.
///
/// # Errors
/// When the text is over a limit.
pub fn read(app: &App, asked: &v1::ReadLinesRequest) -> Result<v1::ReadLinesResponse, Error> {
    let readings = app.read(&asked.text)?;
    Ok(v1::ReadLinesResponse {
        readings: readings.iter().map(Into::into).collect(),
    })
}

/// Assesses a request and renders its ticket.
///
/// # Errors
/// When a field is not accepted, or the use case refuses.
pub fn ticket(
    app: &App,
    asked: v1::RenderTicketRequest,
) -> Result<v1::RenderTicketResponse, Error> {
    let layout = layout_of(asked.layout.unwrap_or_default())?;
    let request = request_of(required(asked.request)?).map_err(|e| e.under("/request"))?;
    let rendered = app
        .render_ticket(&request, layout)
        .map_err(|e| e.under("/request"))?;
    Ok(v1::RenderTicketResponse {
        text: rendered.text,
        assessment: Some((&rendered.assessment).into()),
    })
}

/// A message that must be there.
///
/// # Errors
/// When it is not.
pub fn required(request: Option<v1::AssessmentRequest>) -> Result<v1::AssessmentRequest, Error> {
    request.ok_or_else(|| {
        Error::new(Reason::FieldInvalid, "The request holds nothing to assess.")
            .at("/request", "is required: a dish, a drink or a sitting")
    })
}

/// The request of the domain in a message.
///
/// # Errors
/// When fields are not accepted; all of them are named.
pub fn request_of(message: v1::AssessmentRequest) -> Result<AssessmentRequest, Error> {
    message
        .try_into()
        .map_err(|errors: ConversionErrors| invalid(errors))
}

fn layout_of(layout: v1::TicketLayout) -> Result<Layout, Error> {
    let Ok(kind) = v1::TicketKind::try_from(layout.kind) else {
        return Err(Error::new(
            Reason::LayoutUnknown,
            format!("There is no ticket layout with the number {}.", layout.kind),
        )
        .with("layout", layout.kind)
        .at("/layout/kind", "accepted: kitchen, tray"));
    };
    let columns = match layout.columns {
        None => Columns::MM80_COARSE,
        Some(given) => u16::try_from(given)
            .ok()
            .and_then(|c| Columns::new(c).ok())
            .ok_or_else(|| {
                let (least, most) = (Columns::NARROWEST.get(), Columns::WIDEST.get());
                Error::new(
                    Reason::FieldInvalid,
                    format!("A ticket is {least} to {most} columns wide."),
                )
                .with("columns", given)
                .at(
                    "/layout/columns",
                    format!("{given} is not accepted; accepted: {least} to {most}"),
                )
            })?,
    };
    Ok(match kind {
        v1::TicketKind::Unspecified | v1::TicketKind::Kitchen => Layout::Kitchen(columns),
        v1::TicketKind::Tray => Layout::Tray(columns),
    })
}

fn invalid(errors: ConversionErrors) -> Error {
    let count = errors.errors.len() + errors.more;
    let detail = if count == 1 {
        "A field has a value that is not accepted.".to_owned()
    } else {
        format!("{count} fields have values that are not accepted.")
    };
    errors.errors.into_iter().fold(
        Error::new(Reason::FieldInvalid, detail).with("count", count),
        |error, e| error.at(e.field, e.description),
    )
}

/// An error of one item.
#[must_use]
pub fn item_error(error: Error) -> v1::ItemError {
    v1::ItemError {
        reason: error.reason.row().word.to_owned(),
        detail: error.detail,
        violations: error
            .violations
            .into_iter()
            .map(|v| v1::FieldViolation {
                field: v.field,
                description: v.description,
            })
            .collect(),
    }
}
