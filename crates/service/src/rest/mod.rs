//! The REST door under `/v1`: JSON in, JSON out, problems of RFC 9457.

mod assessments;
pub mod extract;
mod foods;
pub mod openapi;
mod probes;
pub mod problem;
mod readings;
mod tickets;

#[cfg(test)]
mod tests;

use axum::Router;
use axum::middleware::from_fn_with_state;

use crate::call::Doors;
use crate::guard;

/// The routes of the door, with the guard around them.
pub fn router(doors: Doors) -> Router {
    let (router, _) = openapi::routes().split_for_parts();
    guarded(router, doors)
}

fn guarded(router: Router<Doors>, doors: Doors) -> Router {
    router
        .fallback(nothing_here)
        .layer(from_fn_with_state(doors.clone(), guard::rest))
        .with_state(doors)
}

/// Whether a route is asked by machines that watch the service; such a route is always let in.
#[must_use]
pub fn is_probe(route: &str) -> bool {
    matches!(route, probes::HEALTHZ | probes::READYZ)
}

async fn nothing_here() -> axum::http::StatusCode {
    axum::http::StatusCode::NOT_FOUND
}
