//! The way in and out, the same at both doors: an id, a place, a deadline, a net for panics, and
//! one line in the journal.

use std::panic::AssertUnwindSafe;
use std::time::{Duration, Instant};

use axum::body::Body;
use axum::extract::{MatchedPath, Request, State};
use axum::http::header::{CACHE_CONTROL, HeaderName, HeaderValue, X_CONTENT_TYPE_OPTIONS};
use axum::http::{HeaderMap, Method};
use axum::middleware::Next;
use axum::response::Response;
use futures_util::FutureExt;
use http_body_util::BodyExt;
use tamis_app::error::{Error, Reason};
use tonic::{Code, Status};

use crate::call::{Call, Doors, REQUEST_ID, Time, fault, request_id};
use crate::{grpc, rest};

/// The REST door.
pub async fn rest(State(doors): State<Doors>, request: Request, next: Next) -> Response {
    let id = request_id(request.headers());
    let route = request
        .extensions()
        .get::<MatchedPath>()
        .map_or("unmatched", MatchedPath::as_str)
        .to_owned();
    let path = request.uri().path().to_owned();
    let probe = rest::is_probe(&route);
    let mut line = Line::begin(request.method().clone(), route, id.clone(), probe);
    let admitted = if probe {
        Ok(Call::new(id.clone(), Time::default(), None))
    } else {
        doors.admit(id.clone(), Time::default())
    };
    let answered = match admitted {
        Ok(call) => attend(&call, request, next).await,
        Err(error) => Err(error),
    };
    let mut response = match answered {
        Ok(response) => rest::problem::finish(response, &path, &id),
        Err(error) => rest::problem::render(&error, &path, &id),
    };
    line.reason = response.extensions().get::<Reason>().copied();
    line.status = response.status().as_u16().to_string();
    line.fault = response.status().is_server_error();
    mark(response.headers_mut(), &id);
    response
}

/// The gRPC door.
pub async fn grpc(State(doors): State<Doors>, request: Request, next: Next) -> Response {
    let id = request_id(request.headers());
    let route = grpc_route(request.uri().path());
    let probe = grpc::is_probe(&route);
    let mut line = Line::begin(request.method().clone(), route, id.clone(), probe);
    let time = Time {
        asked: grpc_timeout(request.headers()),
    };
    let admitted = if probe {
        Ok(Call::new(id.clone(), time, None))
    } else {
        doors.admit(id.clone(), time)
    };
    let mut response = match admitted {
        Err(error) => {
            line.reason = Some(error.reason);
            grpc::status::status(&error, &id).into_http()
        }
        Ok(call) => {
            let answered = attend(&call, request, next).await;
            let response = grpc::status::finish(answered, &call);
            line.call = Some(call);
            response
        }
    };
    mark(response.headers_mut(), &id);
    if let Some(status) = Status::from_header_map(response.headers()) {
        line.set_code(status.code());
        return response;
    }
    // The code of a call that went well so far stands in the trailers.
    let (parts, body) = response.into_parts();
    let body = body.map_frame(move |frame| {
        if let Some(status) = frame.trailers_ref().and_then(Status::from_header_map) {
            line.set_code(status.code());
        }
        frame
    });
    Response::from_parts(parts, Body::new(body))
}

/// Runs the rest of the way within the deadline; a panic becomes an error.
async fn attend(call: &Call, mut request: Request, next: Next) -> Result<Response, Error> {
    request.extensions_mut().insert(call.clone());
    let answered = AssertUnwindSafe(next.run(request)).catch_unwind();
    if call.deadline() <= tokio::time::Instant::now() {
        // Timers are coarser than an assessment: who does not wait at all gets no answer.
        call.failed(Reason::DeadlineExceeded);
        return Err(call.late());
    }
    let result = match tokio::time::timeout_at(call.deadline(), answered).await {
        Ok(Ok(response)) => return Ok(response),
        Ok(Err(_)) => fault(),
        Err(_) => call.late(),
    };
    call.failed(result.reason);
    Err(result)
}

fn mark(headers: &mut HeaderMap, id: &str) {
    if let Ok(value) = HeaderValue::from_str(id) {
        headers.insert(HeaderName::from_static(REQUEST_ID), value);
    }
    headers.insert(CACHE_CONTROL, HeaderValue::from_static("no-store"));
    headers.insert(X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
}

/// A full method name is safe to write down; anything else in its place is not.
fn grpc_route(path: &str) -> String {
    let plain = path.len() <= 100
        && path
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || matches!(b, b'/' | b'.' | b'_'));
    if plain { path } else { "unmatched" }.to_owned()
}

/// The deadline of the caller: up to eight digits and a unit. Anything else counts as none.
fn grpc_timeout(headers: &HeaderMap) -> Option<Duration> {
    let text = headers.get("grpc-timeout")?.to_str().ok()?;
    let (digits, unit) = text.split_at_checked(text.len().checked_sub(1)?)?;
    if digits.len() > 8 || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let count: u64 = digits.parse().ok()?;
    match unit {
        "H" => Some(Duration::from_secs(count * 3_600)),
        "M" => Some(Duration::from_secs(count * 60)),
        "S" => Some(Duration::from_secs(count)),
        "m" => Some(Duration::from_millis(count)),
        "u" => Some(Duration::from_micros(count)),
        "n" => Some(Duration::from_nanos(count)),
        _ => None,
    }
}

/// One line in the journal, written when the answer is complete or given up.
struct Line {
    begun: Instant,
    method: Method,
    route: String,
    id: String,
    probe: bool,
    status: String,
    fault: bool,
    reason: Option<Reason>,
    call: Option<Call>,
}

impl Line {
    fn begin(method: Method, route: String, id: String, probe: bool) -> Self {
        Self {
            begun: Instant::now(),
            method,
            route,
            id,
            probe,
            status: "cancelled".to_owned(),
            fault: false,
            reason: None,
            call: None,
        }
    }

    fn set_code(&mut self, code: Code) {
        self.status = format!("{code:?}");
        self.fault = matches!(code, Code::Internal | Code::Unknown | Code::DataLoss);
    }
}

impl Drop for Line {
    fn drop(&mut self) {
        let reason = self.reason.or_else(|| self.call.as_ref()?.reason());
        let reason = reason.map_or("-", |r| r.row().word);
        let duration_us = u64::try_from(self.begun.elapsed().as_micros()).unwrap_or(u64::MAX);
        macro_rules! line {
            ($level:expr) => {
                tracing::event!(
                    $level,
                    method = self.method.as_str(),
                    route = self.route,
                    status = self.status,
                    reason,
                    duration_us,
                    request_id = self.id,
                    "request"
                )
            };
        }
        if self.fault {
            line!(tracing::Level::ERROR);
        } else if self.probe {
            line!(tracing::Level::DEBUG);
        } else {
            line!(tracing::Level::INFO);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn timeout(text: &str) -> Option<Duration> {
        let mut headers = HeaderMap::new();
        headers.insert("grpc-timeout", HeaderValue::from_str(text).unwrap());
        grpc_timeout(&headers)
    }

    #[test]
    fn timeouts_of_callers_are_read_in_every_unit() {
        assert_eq!(timeout("2S"), Some(Duration::from_secs(2)));
        assert_eq!(timeout("250m"), Some(Duration::from_millis(250)));
        assert_eq!(
            timeout("99999999H").map(|d| d.as_secs()),
            Some(99_999_999 * 3_600)
        );
        for bad in ["", "S", "1", "1s", "-1S", "999999999S", "1.5S"] {
            assert_eq!(timeout(bad).filter(|d| !d.is_zero()), None, "{bad}");
        }
    }

    #[test]
    fn only_method_names_are_written_down() {
        assert_eq!(grpc_route("/tamis.v1.Foods/Get"), "/tamis.v1.Foods/Get");
        assert_eq!(grpc_route("/room 12, Mrs. Smith"), "unmatched");
    }
}
