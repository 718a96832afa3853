//! Whether the process lives, and whether it takes requests.

use axum::extract::State;
use tamis_wire::problem::Problem;

use super::problem::Refusal;
use crate::call::{Doors, Readiness, stopping};

/// Path of [`healthz`].
pub const HEALTHZ: &str = "/healthz";
/// Path of [`readyz`].
pub const READYZ: &str = "/readyz";

/// Says that the process lives.
#[utoipa::path(
    get, path = "/healthz", tag = "operations", operation_id = "healthz",
    responses((status = 200, description = "The process lives.", body = str, content_type = "text/plain")),
)]
pub async fn healthz() -> &'static str {
    "alive\n"
}

/// Says whether requests are taken: the catalogue is loaded, the store is open, and the service is
/// not stopping.
#[utoipa::path(
    get, path = "/readyz", tag = "operations", operation_id = "readyz",
    responses(
        (status = 200, description = "Requests are taken.", body = str, content_type = "text/plain"),
        (status = 503, description = "The service is stopping.", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub async fn readyz(State(doors): State<Doors>) -> Result<&'static str, Refusal> {
    match doors.readiness() {
        Readiness::Ready => Ok("ready\n"),
        Readiness::Stopping => Err(stopping().into()),
    }
}
