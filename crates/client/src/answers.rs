//! Messages and the types of this client, the same for every way.

use tamis_wire::scoring::assessment::Assessment;
use tamis_wire::scoring::reading::LineReading;
use tamis_wire::scoring::request::AssessmentRequest;
use tamis_wire::v1;

use crate::error::{Error, ErrorKind};
use crate::model::{FoodList, FoodQuery, RenderedTicket, TicketKind, TicketLayout};

/// The name by which this client introduces itself.
pub(crate) const USER_AGENT: &str = concat!("tamis-client/", env!("CARGO_PKG_VERSION"), " (rust)");

pub(crate) fn unexpected(what: &str) -> Error {
    Error::new(
        ErrorKind::UnexpectedAnswer,
        format!("the answer is not one of this version: {what}"),
    )
}

pub(crate) fn assessment(message: Option<v1::Assessment>) -> Result<Assessment, Error> {
    message
        .ok_or_else(|| unexpected("it holds no assessment"))?
        .try_into()
        .map_err(Error::unexpected)
}

pub(crate) fn outcome(
    message: Option<v1::Assessment>,
    error: Option<v1::ItemError>,
) -> Result<Assessment, Error> {
    match error {
        Some(error) => Err(Error::of_item(error).without_prefix("/request")),
        None => assessment(message),
    }
}

pub(crate) fn readings(answer: v1::ReadLinesResponse) -> Result<Vec<LineReading>, Error> {
    let v1::ReadLinesResponse { readings } = answer;
    readings
        .into_iter()
        .map(|r| r.try_into().map_err(Error::unexpected))
        .collect()
}

pub(crate) fn list_foods(query: &FoodQuery) -> v1::ListFoodsRequest {
    let FoodQuery {
        query,
        page_size,
        page_token,
    } = query;
    v1::ListFoodsRequest {
        query: query.clone(),
        page_size: page_size.map_or(0, i32::from),
        page_token: page_token.clone(),
    }
}

pub(crate) fn food_list(answer: v1::ListFoodsResponse) -> Result<FoodList, Error> {
    let v1::ListFoodsResponse {
        foods,
        next_page_token,
    } = answer;
    let foods = foods
        .into_iter()
        .map(|f| f.try_into().map_err(Error::unexpected))
        .collect::<Result<_, _>>()?;
    Ok(FoodList {
        foods,
        next_page_token,
    })
}

pub(crate) fn render_ticket(
    request: &AssessmentRequest,
    layout: TicketLayout,
) -> v1::RenderTicketRequest {
    let TicketLayout { kind, columns } = layout;
    let kind = match kind {
        TicketKind::Kitchen => v1::TicketKind::Kitchen,
        TicketKind::Tray => v1::TicketKind::Tray,
    };
    v1::RenderTicketRequest {
        request: Some(request.into()),
        layout: Some(v1::TicketLayout {
            kind: kind.into(),
            columns: columns.map(i32::from),
        }),
    }
}

pub(crate) fn ticket(answer: v1::RenderTicketResponse) -> Result<RenderedTicket, Error> {
    let v1::RenderTicketResponse {
        text,
        assessment: printed,
    } = answer;
    Ok(RenderedTicket {
        text,
        assessment: assessment(printed)?,
    })
}
