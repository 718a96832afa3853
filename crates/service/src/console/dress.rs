//! Problems as pages, and the headers that every answer of the console has.
//!
//! The guard of the REST door writes every error as a problem of RFC 9457. Here the same problem,
//! with its status, becomes a page that a person reads; what stood in a form stands in it again.

use std::sync::{Arc, OnceLock};

use axum::body::Body;
use axum::extract::Request;
use axum::http::HeaderMap;
use axum::http::header::{
    CONTENT_LENGTH, CONTENT_SECURITY_POLICY, CONTENT_TYPE, HeaderValue, REFERRER_POLICY,
};
use axum::middleware::Next;
use axum::response::Response;
use http_body_util::BodyExt;
use tamis_wire::problem::{MEDIA_TYPE, Problem};

use super::pages::{Filled, Form, Refused};
use super::render;

const POLICY: &str = "default-src 'none'; style-src 'self'; form-action 'self'; \
    base-uri 'none'; frame-ancestors 'none'";

/// What a form held, from the moment it was read; lives as long as its request.
#[derive(Debug, Clone, Default)]
pub struct Kept(Arc<OnceLock<Filled>>);

impl Kept {
    /// Keeps it for the page of an error.
    pub fn keep(&self, filled: &Filled) {
        let _ = self.0.set(filled.clone());
    }
}

/// Turns problems into pages and sets the headers.
pub async fn dress(mut request: Request, next: Next) -> Response {
    let kept = Kept::default();
    request.extensions_mut().insert(kept.clone());
    let mut response = next.run(request).await;
    if is_problem(response.headers()) {
        response = page(response, kept.0.get()).await;
    }
    let headers = response.headers_mut();
    headers.insert(CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY));
    // Addresses hold what was chosen for a diner.
    headers.insert(REFERRER_POLICY, HeaderValue::from_static("no-referrer"));
    response
}

fn is_problem(headers: &HeaderMap) -> bool {
    headers.get(CONTENT_TYPE).is_some_and(|v| v == MEDIA_TYPE)
}

async fn page(response: Response, filled: Option<&Filled>) -> Response {
    let (mut parts, body) = response.into_parts();
    let Ok(body) = body
        .collect()
        .await
        .map(http_body_util::Collected::to_bytes)
    else {
        return Response::from_parts(parts, Body::empty());
    };
    let written = serde_json::from_slice::<Problem>(&body)
        .ok()
        .and_then(|problem| match filled {
            Some(filled) => render(&Form {
                refused: Some(Refused::from(problem)),
                ..Form::of(filled)
            })
            .ok(),
            None => render(&Refused::from(problem)).ok(),
        });
    let Some(text) = written else {
        return Response::from_parts(parts, Body::from(body));
    };
    parts.headers.remove(CONTENT_LENGTH);
    parts.headers.insert(
        CONTENT_TYPE,
        HeaderValue::from_static("text/html; charset=utf-8"),
    );
    Response::from_parts(parts, Body::from(text))
}
