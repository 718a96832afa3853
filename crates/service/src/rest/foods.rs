//! The catalogue, for reading.

use axum::extract::{Path, State};
use axum::{Extension, Json as Answer};
use tamis_wire::problem::Problem;
use tamis_wire::v1;

use super::extract::Asked;
use super::openapi::Problems;
use super::problem::Refusal;
use crate::bridge;
use crate::call::{Call, Doors};

/// Lists foods whose name or synonym matches a query, page by page.
#[utoipa::path(
    get, path = "/v1/foods", tag = "foods", operation_id = "list_foods",
    params(
        ("query" = Option<String>, Query, description = "Words as a kitchen writes them; none lists every food."),
        ("page_size" = Option<i32>, Query, minimum = 0, description = "Foods on a page: 50 where nothing or 0 is said, at most 200."),
        ("page_token" = Option<String>, Query, description = "The token of the page, from the answer before."),
    ),
    responses((status = 200, description = "A page of foods.", body = v1::ListFoodsResponse), Problems),
)]
pub async fn list(
    State(doors): State<Doors>,
    Extension(call): Extension<Call>,
    Asked(asked): Asked<v1::ListFoodsRequest>,
) -> Result<Answer<v1::ListFoodsResponse>, Refusal> {
    let app = doors.app().clone();
    let answer = call.work(move || bridge::foods(&app, asked)).await?;
    Ok(Answer(answer))
}

/// Shows everything known of one food: states, composition, measures, and the evidence.
#[utoipa::path(
    get, path = "/v1/foods/{id}", tag = "foods", operation_id = "get_food",
    params(("id" = String, Path, description = "The id of the food, for instance `scallion-green`.")),
    responses(
        (status = 200, description = "The food.", body = v1::FoodPage),
        (status = 404, description = "There is no such food.", body = Problem, content_type = "application/problem+json"),
        Problems,
    ),
)]
pub async fn get(
    State(doors): State<Doors>,
    Extension(call): Extension<Call>,
    Path(id): Path<String>,
) -> Result<Answer<v1::FoodPage>, Refusal> {
    let app = doors.app().clone();
    let answer = call.work(move || bridge::food(&app, &id)).await?;
    Ok(Answer(answer))
}
