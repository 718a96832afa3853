//! Bodies and query strings, read with errors that say where the fault is.

use axum::body::Bytes;
use axum::extract::{FromRequest, FromRequestParts, Query, Request};
use axum::http::header::CONTENT_TYPE;
use axum::http::request::Parts;
use http_body_util::{BodyExt, LengthLimitError, Limited};
use serde::de::DeserializeOwned;
use serde_json::Value;
use serde_json::error::Category;
use serde_path_to_error::{Path, Segment};
use tamis_app::error::{Error, Reason};
use tamis_app::limits;

use super::problem::{Refusal, too_large};

/// A body in JSON.
#[derive(Debug)]
pub struct Json<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Json<T> {
    type Rejection = Refusal;

    async fn from_request(request: Request, _: &S) -> Result<Self, Refusal> {
        let content_type = request.headers().get(CONTENT_TYPE);
        let content_type = content_type.map(|v| v.to_str().unwrap_or_default());
        if !content_type.is_some_and(is_json) {
            let given = content_type.unwrap_or("none");
            return Err(Error::new(
                Reason::UnsupportedMediaType,
                format!(
                    "The content type is {}; application/json is accepted.",
                    clip(given)
                ),
            )
            .with("content_type", clip(given))
            .into());
        }
        let body = collect(request).await?;
        let value = parse(&body).map_err(Refusal)?;
        let first = body.iter().find(|byte| !byte.is_ascii_whitespace());
        if first == Some(&b'[') {
            return Err(Refusal(list_for_object("")));
        }
        Ok(Self(value))
    }
}

fn is_json(content_type: &str) -> bool {
    let (media, parameters) = content_type.split_once(';').unwrap_or((content_type, ""));
    let media = media.trim().to_ascii_lowercase();
    let charset = parameters
        .split(';')
        .filter_map(|p| p.trim().split_once('='))
        .find(|(name, _)| name.eq_ignore_ascii_case("charset"));
    let is_utf8 = charset.is_none_or(|(_, c)| c.trim_matches('"').eq_ignore_ascii_case("utf-8"));
    is_utf8
        && (media == "application/json"
            || (media.starts_with("application/") && media.ends_with("+json")))
}

async fn collect(request: Request) -> Result<Bytes, Refusal> {
    let limited = Limited::new(request.into_body(), limits::MAX_BODY_BYTES);
    match limited.collect().await {
        Ok(collected) => Ok(collected.to_bytes()),
        Err(error) if error.is::<LengthLimitError>() => Err(Refusal(too_large())),
        Err(_) => Err(Refusal(Error::new(
            Reason::RequestMalformed,
            "The body ended before it was complete.",
        ))),
    }
}

/// Reads JSON.
///
/// # Errors
/// `REQUEST_MALFORMED` for what is no JSON, `FIELD_INVALID` for a value that does not fit; with the
/// place in either case.
pub fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Error> {
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    let value = serde_path_to_error::deserialize(&mut reader).map_err(|error| {
        let pointer = pointer(error.path());
        fault(error.inner(), pointer)
    })?;
    reader.end().map_err(|error| fault(&error, String::new()))?;
    // Deserialising takes a list of values for an object; a caller who sends one has lost the names.
    if let Some(pointer) = serde_json::from_slice(bytes)
        .ok()
        .and_then(|v| misplaced_list(&v))
    {
        return Err(list_for_object(&pointer));
    }
    Ok(value)
}

fn list_for_object(pointer: &str) -> Error {
    Error::new(
        Reason::FieldInvalid,
        "A list stands where an object is accepted.",
    )
    .at(pointer, "a list; an object with named fields is accepted")
}

/// Where a list stands in place of an object of the interface.
fn misplaced_list(value: &Value) -> Option<String> {
    const OBJECTS: [&str; 6] = ["dish", "drink", "diner", "policy", "request", "layout"];
    const LISTS_OF_OBJECTS: [&str; 4] = ["sub_recipes", "tolerances", "sitting", "requests"];
    let below = |step: &str, inner: &Value| misplaced_list(inner).map(|p| format!("/{step}{p}"));
    match value {
        Value::Object(fields) => fields.iter().find_map(|(key, inner)| match inner {
            Value::Array(_) if OBJECTS.contains(&key.as_str()) => Some(format!("/{key}")),
            Value::Array(items) if LISTS_OF_OBJECTS.contains(&key.as_str()) => {
                let list = items.iter().position(Value::is_array);
                list.map(|i| format!("/{key}/{i}"))
                    .or_else(|| below(key, inner))
            }
            inner => below(key, inner),
        }),
        Value::Array(items) => items
            .iter()
            .enumerate()
            .find_map(|(i, inner)| below(&i.to_string(), inner)),
        _ => None,
    }
}

fn fault(error: &serde_json::Error, pointer: String) -> Error {
    let (line, column) = (error.line(), error.column());
    let text = error.to_string();
    // The place is said by us, once.
    let what = text
        .rsplit_once(" at line ")
        .map_or(text.as_str(), |(what, _)| what);
    let place = format!("line {line}, column {column}");
    let (reason, detail) = match error.classify() {
        Category::Data => (
            Reason::FieldInvalid,
            format!("A field of the request does not fit, at {place}."),
        ),
        Category::Syntax | Category::Eof | Category::Io => (
            Reason::RequestMalformed,
            format!("The request is not JSON, at {place}."),
        ),
    };
    Error::new(reason, detail)
        .with("line", line)
        .with("column", column)
        .at(pointer, format!("{}, at {place}", clip(what)))
}

/// A JSON pointer of RFC 6901; empty for the whole.
fn pointer(path: &Path) -> String {
    let mut pointer = String::new();
    for segment in path {
        match segment {
            Segment::Seq { index } => pointer.push_str(&format!("/{index}")),
            Segment::Map { key } | Segment::Enum { variant: key } => {
                pointer.push('/');
                pointer.push_str(&clip(&key.replace('~', "~0").replace('/', "~1")));
            }
            Segment::Unknown => {}
        }
    }
    pointer
}

/// What a caller sent is quoted back in part only.
fn clip(text: &str) -> String {
    const CHARS: usize = 300;
    let mut clipped: String = text.chars().take(CHARS).collect();
    if clipped.len() < text.len() {
        clipped.push('…');
    }
    clipped
}

/// The query string.
#[derive(Debug)]
pub struct Asked<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequestParts<S> for Asked<T> {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Refusal> {
        match Query::<T>::from_request_parts(parts, state).await {
            Ok(Query(value)) => Ok(Self(value)),
            Err(rejection) => {
                let text = rejection.body_text();
                let what = text
                    .split_once(": ")
                    .map_or(text.as_str(), |(_, what)| what);
                Err(Error::new(
                    Reason::FieldInvalid,
                    "The query string has a parameter that is not accepted.",
                )
                .at("query string", clip(what))
                .into())
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tamis_wire::v1;

    fn refused(text: &str) -> Error {
        parse::<v1::AssessmentRequest>(text.as_bytes()).unwrap_err()
    }

    #[test]
    fn a_fault_is_named_by_its_pointer_line_and_column() {
        let error =
            refused("{\"dish\": {\"name\": \"Toast\",\n  \"lines\": [\"1 slice bread\", 7]}}");
        assert_eq!(error.reason, Reason::FieldInvalid);
        assert_eq!(error.violations[0].field, "/dish/lines/1");
        assert!(error.detail.contains("line 2"), "{error}");
    }

    #[test]
    fn broken_or_trailing_text_is_malformed() {
        for text in ["", "{", "{\"dish\": }", "{} {}", "\u{feff}{}"] {
            assert_eq!(refused(text).reason, Reason::RequestMalformed, "{text}");
        }
    }

    #[test]
    fn an_unknown_field_and_an_unknown_word_are_refused() {
        let error = refused("{\"dich\": {}}");
        assert!(error.violations[0].description.contains("dich"), "{error}");
        let error = refused("{\"diner\": {\"phase\": \"strict\"}}");
        assert_eq!(error.violations[0].field, "/diner/phase");
        assert!(
            error.violations[0].description.contains("restriction"),
            "{error}"
        );
    }

    #[test]
    fn nesting_without_end_is_refused() {
        let text = "[".repeat(100_000);
        assert_eq!(
            parse::<serde_json::Value>(text.as_bytes())
                .unwrap_err()
                .reason,
            Reason::RequestMalformed
        );
        let deep = format!(
            "{}{}",
            "{\"dish\":{\"sub_recipes\":[".repeat(200),
            "]}}".repeat(200)
        );
        assert!(parse::<v1::AssessmentRequest>(deep.as_bytes()).is_err());
    }

    #[test]
    fn json_in_another_charset_is_not_accepted() {
        assert!(is_json("application/json; charset=UTF-8"));
        assert!(is_json("Application/JSON"));
        assert!(is_json("application/merge-patch+json"));
        assert!(!is_json("application/json; charset=latin1"));
        assert!(!is_json("text/plain"));
    }
}
