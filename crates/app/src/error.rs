//! Errors of the use cases, and the one table that both transports read.

use std::fmt;

/// Why a request could not be answered.
///
/// What a dish lacks is not an error: it stands in the answer and rules `refer`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reason {
    /// Not JSON, not a message, not a card.
    RequestMalformed,
    /// A field has a value that is not accepted.
    FieldInvalid,
    /// The body or file is larger than the limit.
    RequestTooLarge,
    /// The batch holds more requests than the limit.
    BatchTooLarge,
    /// Cards, lines or sub-recipes beyond the limits of count or depth.
    TooDeep,
    /// Sub-recipes that lead back to themselves.
    SubRecipeCycle,
    /// A sub-recipe without a usable yield.
    YieldInvalid,
    /// No such food in the catalogue.
    FoodUnknown,
    /// A page token that was not given out.
    PageTokenInvalid,
    /// No such ticket layout.
    LayoutUnknown,
    /// A content type that is not accepted.
    UnsupportedMediaType,
    /// No such path.
    NotFound,
    /// The path exists, not with this method.
    MethodNotAllowed,
    /// The answer took too long.
    DeadlineExceeded,
    /// Too many requests at once.
    Overloaded,
    /// The server is stopping.
    ShuttingDown,
    /// A fault of ours.
    Internal,
}

/// Whether asking again, unchanged, can help.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Retryable {
    /// It can, after a pause.
    Yes,
    /// It cannot.
    No,
}

/// One row of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReasonRow {
    /// The word in both transports; it never changes.
    pub word: &'static str,
    /// Status of the REST answer.
    pub http_status: u16,
    /// Code of the gRPC answer, by number of `google.rpc.Code`.
    pub grpc_code: i32,
    /// A short title.
    pub title: &'static str,
    /// Whether to try again.
    pub retryable: Retryable,
}

const INVALID_ARGUMENT: i32 = 3;
const DEADLINE_EXCEEDED: i32 = 4;
const NOT_FOUND: i32 = 5;
const RESOURCE_EXHAUSTED: i32 = 8;
const UNIMPLEMENTED: i32 = 12;
const INTERNAL: i32 = 13;
const UNAVAILABLE: i32 = 14;

macro_rules! table {
    ($($reason:ident: $word:literal, $http:literal, $grpc:ident, $retry:ident, $title:literal;)+) => {
        impl Reason {
            /// Every reason.
            pub const ALL: &'static [Self] = &[$(Self::$reason),+];

            /// The row of the table.
            #[must_use]
            pub const fn row(self) -> &'static ReasonRow {
                match self {
                    $(Self::$reason => &ReasonRow {
                        word: $word,
                        http_status: $http,
                        grpc_code: $grpc,
                        title: $title,
                        retryable: Retryable::$retry,
                    }),+
                }
            }
        }
    };
}

table! {
    RequestMalformed: "REQUEST_MALFORMED", 400, INVALID_ARGUMENT, No, "The request could not be read";
    FieldInvalid: "FIELD_INVALID", 400, INVALID_ARGUMENT, No, "A field has a value that is not accepted";
    RequestTooLarge: "REQUEST_TOO_LARGE", 413, RESOURCE_EXHAUSTED, No, "The request is larger than the limit";
    BatchTooLarge: "BATCH_TOO_LARGE", 400, INVALID_ARGUMENT, No, "The batch holds more requests than the limit";
    TooDeep: "TOO_DEEP", 400, INVALID_ARGUMENT, No, "More cards, lines or levels than the limit";
    SubRecipeCycle: "SUB_RECIPE_CYCLE", 400, INVALID_ARGUMENT, No, "Sub-recipes lead back to themselves";
    YieldInvalid: "YIELD_INVALID", 400, INVALID_ARGUMENT, No, "A yield cannot be used";
    FoodUnknown: "FOOD_UNKNOWN", 404, NOT_FOUND, No, "No such food in the catalogue";
    PageTokenInvalid: "PAGE_TOKEN_INVALID", 400, INVALID_ARGUMENT, No, "The page token was not given out by this service";
    LayoutUnknown: "LAYOUT_UNKNOWN", 400, INVALID_ARGUMENT, No, "No such ticket layout";
    UnsupportedMediaType: "UNSUPPORTED_MEDIA_TYPE", 415, INVALID_ARGUMENT, No, "The content type is not accepted";
    NotFound: "NOT_FOUND", 404, NOT_FOUND, No, "No such path";
    MethodNotAllowed: "METHOD_NOT_ALLOWED", 405, UNIMPLEMENTED, No, "The path exists, not with this method";
    DeadlineExceeded: "DEADLINE_EXCEEDED", 504, DEADLINE_EXCEEDED, Yes, "The answer took too long";
    Overloaded: "OVERLOADED", 429, RESOURCE_EXHAUSTED, Yes, "Too many requests at once";
    ShuttingDown: "SHUTTING_DOWN", 503, UNAVAILABLE, Yes, "The service is stopping";
    Internal: "INTERNAL", 500, INTERNAL, No, "A fault of the service";
}

impl Reason {
    /// The problem type of RFC 9457.
    #[must_use]
    pub fn type_uri(self) -> String {
        format!(
            "urn:tamis:reason:{}",
            self.row().word.to_lowercase().replace('_', "-")
        )
    }

    /// Finds a reason by its word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|r| r.row().word == word)
    }
}

/// A field that was not accepted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Violation {
    /// JSON pointer into the request, for instance `/dish/lines/3`; or `line 4, column 7` of a file.
    pub field: String,
    /// What is wrong and what would be accepted.
    pub description: String,
}

/// A request that could not be answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Error {
    /// Why, from the closed list.
    pub reason: Reason,
    /// A sentence for a person; it may change.
    pub detail: String,
    /// The dynamic values of the sentence; keys stay.
    pub metadata: Vec<(&'static str, String)>,
    /// The fields at fault.
    pub violations: Vec<Violation>,
}

impl Error {
    /// An error with its sentence.
    #[must_use]
    pub fn new(reason: Reason, detail: impl Into<String>) -> Self {
        Self {
            reason,
            detail: detail.into(),
            metadata: Vec::new(),
            violations: Vec::new(),
        }
    }

    /// Adds a dynamic value.
    #[must_use]
    #[allow(clippy::needless_pass_by_value)]
    pub fn with(mut self, key: &'static str, value: impl ToString) -> Self {
        self.metadata.push((key, value.to_string()));
        self
    }

    /// Names a field at fault.
    #[must_use]
    pub fn at(mut self, field: impl Into<String>, description: impl Into<String>) -> Self {
        self.violations.push(Violation {
            field: field.into(),
            description: description.into(),
        });
        self
    }

    /// The same error with a prefix before each field, as an item of a list.
    #[must_use]
    pub fn under(mut self, prefix: &str) -> Self {
        for violation in &mut self.violations {
            violation.field.insert_str(0, prefix);
        }
        self
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.reason.row().word, self.detail)?;
        for violation in &self.violations {
            write!(f, "\n  {}: {}", violation.field, violation.description)?;
        }
        Ok(())
    }
}

impl std::error::Error for Error {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_unique_and_upper_snake() {
        let mut words: Vec<_> = Reason::ALL.iter().map(|r| r.row().word).collect();
        for word in &words {
            assert!(
                word.bytes().all(|b| b.is_ascii_uppercase() || b == b'_'),
                "{word}"
            );
        }
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), Reason::ALL.len());
    }
}
