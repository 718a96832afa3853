//! Errors of the gRPC door: `google.rpc.Status` with details, all from the one table of reasons.

use std::collections::HashMap;
use std::time::Duration;

use axum::response::Response;
use tamis_app::error::{Error, Reason, Retryable};
use tamis_app::limits;
use tamis_wire::problem::DOMAIN;
use tonic::{Code, Status};
use tonic_types::{ErrorDetails, StatusExt};

use crate::call::{Call, fault};
use crate::rest::problem::RETRY_SECONDS;

/// Fields at fault that one status names, and characters of each text: details travel in trailers,
/// which callers limit.
const MAX_VIOLATIONS: usize = 16;
const MAX_TEXT_CHARS: usize = 200;

/// The status of an error, and a note of it in the call for the journal.
#[must_use]
pub fn fail(error: &Error, call: &Call) -> Status {
    call.failed(error.reason);
    status(error, call.id())
}

/// The status of an error.
#[must_use]
pub fn status(error: &Error, request_id: &str) -> Status {
    let row = error.reason.row();
    let mut metadata: HashMap<String, String> = error
        .metadata
        .iter()
        .map(|(key, value)| ((*key).to_owned(), clip(value)))
        .collect();
    if error.violations.len() > MAX_VIOLATIONS {
        let count = error.violations.len().to_string();
        metadata.insert("violations_count".to_owned(), count);
    }
    let mut details = ErrorDetails::new();
    details.set_error_info(row.word, DOMAIN, metadata);
    for violation in error.violations.iter().take(MAX_VIOLATIONS) {
        details.add_bad_request_violation(clip(&violation.field), clip(&violation.description));
    }
    if row.retryable == Retryable::Yes {
        details.set_retry_info(Some(Duration::from_secs(RETRY_SECONDS)));
    }
    details.set_request_info(request_id, "");
    Status::with_error_details(Code::from(row.grpc_code), clip(&error.detail), details)
}

fn clip(text: &str) -> String {
    text.chars().take(MAX_TEXT_CHARS).collect()
}

/// Gives every error the form of ours, also those that the framework answered by itself.
pub fn finish(answered: Result<Response, Error>, call: &Call) -> Response {
    match answered {
        Err(error) => fail(&error, call).into_http(),
        Ok(response) => match Status::from_header_map(response.headers()) {
            Some(status) if status.code() != Code::Ok && call.reason().is_none() => {
                fail(&foreign(&status), call).into_http()
            }
            _ => response,
        },
    }
}

/// The error behind a status of the framework.
#[must_use]
pub fn foreign(status: &Status) -> Error {
    match status.code() {
        Code::Unimplemented => Error::new(
            Reason::MethodNotAllowed,
            "There is no such method; reflection lists those there are.",
        ),
        Code::NotFound => Error::new(Reason::NotFound, "There is no such service."),
        Code::OutOfRange | Code::ResourceExhausted => Error::new(
            Reason::RequestTooLarge,
            format!(
                "The message is larger than {} bytes.",
                limits::MAX_BODY_BYTES
            ),
        )
        .with("max_bytes", limits::MAX_BODY_BYTES),
        Code::InvalidArgument => malformed(),
        Code::Internal if status.message().contains("decode") => malformed(),
        _ => fault(),
    }
}

fn malformed() -> Error {
    Error::new(
        Reason::RequestMalformed,
        "The message is not one that this method takes, or nests too deep.",
    )
}
