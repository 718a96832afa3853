//! Tickets in plain text.

use axum::extract::State;
use axum::{Extension, Json as Answer};
use tamis_app::error::Reason;
use tamis_wire::v1;

use super::extract::Json;
use super::openapi::Problems;
use super::problem::Refusal;
use crate::bridge;
use crate::call::{Call, Doors};

/// Assesses a request and renders the ticket that the cook reads.
#[utoipa::path(
    post, path = "/v1/tickets:render", tag = "tickets", operation_id = "render_ticket",
    request_body(content = v1::RenderTicketRequest, description = "What to assess, and the paper."),
    responses((status = 200, description = "The ticket and its assessment.", body = v1::RenderTicketResponse), Problems),
)]
pub async fn render(
    State(doors): State<Doors>,
    Extension(call): Extension<Call>,
    request: Result<Json<v1::RenderTicketRequest>, Refusal>,
) -> Result<Answer<v1::RenderTicketResponse>, Refusal> {
    let Json(request) = request.map_err(unknown_layout)?;
    let app = doors.app().clone();
    let answer = call.work(move || bridge::ticket(&app, request)).await?;
    Ok(Answer(answer))
}

/// A word that names no layout has a reason of its own, as its number has over gRPC.
fn unknown_layout(mut refusal: Refusal) -> Refusal {
    if refusal
        .0
        .violations
        .iter()
        .any(|v| v.field == "/layout/kind")
    {
        refusal.0.reason = Reason::LayoutUnknown;
    }
    refusal
}
