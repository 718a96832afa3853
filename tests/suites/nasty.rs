//! Forty nasty inputs and what is wanted of each, and the ways in which a door can be abused.
//!
//! The numbers are those of the list; what a later feature would do with one stands as a comment
//! beside what is refused today.

mod doors;
mod lines;
mod recipes;

use serde_json::{Value, json};
use tamis_tests::http::{self, Answer};
use tamis_tests::server::Server;

/// An answer that must be a problem of RFC 9457 with this status and reason.
fn problem(answer: &Answer, status: u16, reason: &str) -> Value {
    assert_eq!(
        answer.status,
        status,
        "{}",
        String::from_utf8_lossy(&answer.body)
    );
    assert_eq!(answer.header("content-type"), "application/problem+json");
    let problem = answer.json();
    assert_eq!(problem["reason"], reason, "{problem}");
    assert_eq!(problem["status"], status, "{problem}");
    let kind = format!(
        "urn:tamis:reason:{}",
        reason.to_lowercase().replace('_', "-")
    );
    assert_eq!(problem["type"], kind, "{problem}");
    for member in ["title", "detail", "instance", "request_id"] {
        assert!(
            problem[member].as_str().is_some_and(|t| !t.is_empty()),
            "no {member}: {problem}"
        );
    }
    assert_eq!(
        problem["request_id"],
        answer.header("x-request-id"),
        "{problem}"
    );
    problem
}

fn post(request: &Value) -> Answer {
    http::post(
        Server::shared().rest,
        "/v1/assessments",
        request.to_string(),
    )
}

fn dish(card: Value) -> Value {
    json!({"dish": card})
}

fn refused(request: &Value, reason: &str, pointer: &str) -> Value {
    let problem = problem(&post(request), 400, reason);
    let named = problem["errors"]
        .as_array()
        .expect("errors")
        .iter()
        .any(|e| e["pointer"] == pointer);
    assert!(named, "{pointer} is not named: {problem}");
    problem
}

fn answered(request: &Value) -> Value {
    let answer = post(request);
    assert_eq!(
        answer.status,
        200,
        "{}",
        String::from_utf8_lossy(&answer.body)
    );
    answer.json()
}

/// Whether some text of an array mentions a word.
fn mentions(rows: &Value, word: &str) -> bool {
    rows.to_string()
        .to_lowercase()
        .contains(&word.to_lowercase())
}
