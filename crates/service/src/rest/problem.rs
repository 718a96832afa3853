//! Errors of the REST door: problem details of RFC 9457, all from the one table of reasons.

use std::sync::Arc;

use axum::body::Body;
use axum::http::StatusCode;
use axum::http::header::{CONTENT_LENGTH, CONTENT_TYPE, HeaderValue, RETRY_AFTER};
use axum::response::{IntoResponse, Response};
use tamis_app::error::{Error, Reason, Retryable};
use tamis_app::limits;
use tamis_wire::problem::{DOMAIN, ErrorItem, MEDIA_TYPE, Problem};

/// Seconds to wait before asking again, where that can help.
pub const RETRY_SECONDS: u64 = 1;
/// Fields at fault that one answer names.
pub const MAX_VIOLATIONS: usize = 50;

/// An error on its way out; the guard of the door writes it down with the id of the request.
#[derive(Debug)]
pub struct Refusal(pub Error);

impl From<Error> for Refusal {
    fn from(error: Error) -> Self {
        Self(error)
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let mut response = status(self.0.reason).into_response();
        response.extensions_mut().insert(Arc::new(self.0));
        response
    }
}

fn status(reason: Reason) -> StatusCode {
    StatusCode::from_u16(reason.row().http_status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
}

/// Turns whatever error a response carries into a problem; leaves an answer as it is.
pub fn finish(mut response: Response, path: &str, request_id: &str) -> Response {
    let error = match response.extensions_mut().remove::<Arc<Error>>() {
        Some(error) => error,
        None if response.status().is_client_error() || response.status().is_server_error() => {
            Arc::new(foreign(response.status()))
        }
        None => return response,
    };
    let mut rendered = render(&error, path, request_id);
    // What the framework says in headers stays, such as the methods that are allowed.
    for (name, value) in response.headers() {
        if name != CONTENT_TYPE && name != CONTENT_LENGTH {
            rendered.headers_mut().insert(name, value.clone());
        }
    }
    rendered
}

/// An error that the framework answered by itself.
fn foreign(status: StatusCode) -> Error {
    match status {
        StatusCode::NOT_FOUND => Error::new(
            Reason::NotFound,
            "There is no such path; the paths are listed at /openapi.json.",
        ),
        StatusCode::METHOD_NOT_ALLOWED => Error::new(
            Reason::MethodNotAllowed,
            "This path does not take this method; the header `allow` lists those it takes.",
        ),
        StatusCode::PAYLOAD_TOO_LARGE => too_large(),
        StatusCode::UNSUPPORTED_MEDIA_TYPE => Error::new(
            Reason::UnsupportedMediaType,
            "This content type is not accepted.",
        ),
        status if status.is_client_error() => {
            Error::new(Reason::RequestMalformed, "The request could not be read.")
        }
        _ => crate::call::fault(),
    }
}

/// The error of a body over the limit.
#[must_use]
pub fn too_large() -> Error {
    Error::new(
        Reason::RequestTooLarge,
        format!("The body is larger than {} bytes.", limits::MAX_BODY_BYTES),
    )
    .with("max_bytes", limits::MAX_BODY_BYTES)
}

/// Writes an error down.
#[must_use]
pub fn render(error: &Error, path: &str, request_id: &str) -> Response {
    let row = error.reason.row();
    let problem = Problem {
        type_uri: error.reason.type_uri(),
        title: row.title.to_owned(),
        status: row.http_status,
        detail: error.detail.clone(),
        instance: path.to_owned(),
        reason: row.word.to_owned(),
        domain: DOMAIN.to_owned(),
        metadata: error
            .metadata
            .iter()
            .map(|(key, value)| ((*key).to_owned(), value.clone()))
            .collect(),
        request_id: request_id.to_owned(),
        errors: error
            .violations
            .iter()
            .take(MAX_VIOLATIONS)
            .map(|v| ErrorItem {
                pointer: v.field.clone(),
                detail: v.description.clone(),
            })
            .collect(),
    };
    // Strings and numbers always encode.
    let body = serde_json::to_vec(&problem).unwrap_or_default();
    let mut response = Response::new(Body::from(body));
    *response.status_mut() = status(error.reason);
    let headers = response.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(MEDIA_TYPE));
    if row.retryable == Retryable::Yes {
        headers.insert(RETRY_AFTER, HeaderValue::from(RETRY_SECONDS));
    }
    response.extensions_mut().insert(error.reason);
    response
}
