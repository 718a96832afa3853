//! What is understood of recipe lines, without an assessment.

use axum::extract::State;
use axum::{Extension, Json as Answer};
use tamis_wire::v1;

use super::extract::Json;
use super::openapi::Problems;
use super::problem::Refusal;
use crate::bridge;
use crate::call::{Call, Doors};

/// Shows what is understood of each line of a card, or of bare ingredient lines.
#[utoipa::path(
    post, path = "/v1/readings", tag = "readings", operation_id = "read_lines",
    request_body(content = v1::ReadLinesRequest, description = "A card in plain text, or ingredient lines."),
    responses((status = 200, description = "One reading a line.", body = v1::ReadLinesResponse), Problems),
)]
pub async fn read(
    State(doors): State<Doors>,
    Extension(call): Extension<Call>,
    Json(request): Json<v1::ReadLinesRequest>,
) -> Result<Answer<v1::ReadLinesResponse>, Refusal> {
    let app = doors.app().clone();
    let answer = call.work(move || bridge::read(&app, &request)).await?;
    Ok(Answer(answer))
}
