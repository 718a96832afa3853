//! Assessments: nothing is stored.

use axum::extract::State;
use axum::{Extension, Json as Answer};
use tamis_wire::v1;

use super::extract::Json;
use super::openapi::Problems;
use super::problem::Refusal;
use crate::bridge;
use crate::call::{Call, Doors};

/// Assesses one dish, drink or sitting for one diner. What the data cannot settle is no error: it
/// rules `refer`.
#[utoipa::path(
    post, path = "/v1/assessments", tag = "assessments", operation_id = "assess",
    request_body(content = v1::AssessmentRequest, description = "A dish, a drink or a sitting, and for whom."),
    responses((status = 200, description = "The assessment.", body = v1::Assessment), Problems),
)]
pub async fn assess(
    State(doors): State<Doors>,
    Extension(call): Extension<Call>,
    Json(request): Json<v1::AssessmentRequest>,
) -> Result<Answer<v1::Assessment>, Refusal> {
    let app = doors.app().clone();
    let answer = call.work(move || bridge::assess(&app, request)).await?;
    Ok(Answer(answer))
}

/// Assesses up to 1000 requests. Each has its own outcome, in the order of the requests.
#[utoipa::path(
    post, path = "/v1/assessments:batch", tag = "assessments", operation_id = "batch_assess",
    request_body(content = v1::BatchAssessRequest, description = "The requests, at most 1000."),
    responses(
        (status = 200, description = "One outcome for each request.", body = v1::BatchAssessResponse),
        Problems,
    ),
)]
pub async fn batch(
    State(doors): State<Doors>,
    Extension(call): Extension<Call>,
    Json(request): Json<v1::BatchAssessRequest>,
) -> Result<Answer<v1::BatchAssessResponse>, Refusal> {
    let app = doors.app().clone();
    let answer = call.work(move || bridge::batch(&app, request)).await?;
    Ok(Answer(answer))
}
