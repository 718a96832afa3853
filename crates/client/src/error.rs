//! The one error of this client.

use std::error::Error as StdError;
use std::fmt;
use std::sync::Arc;
use std::time::Duration;

use tamis_wire::{ConversionErrors, v1};

/// What went wrong, as far as a caller acts on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum ErrorKind {
    /// The client was set up with something that it cannot use.
    Configuration,
    /// The request is not accepted; asking again unchanged cannot help.
    InvalidRequest,
    /// There is no such food or path.
    NotFound,
    /// The service is asked too much at once.
    Overloaded,
    /// The service cannot be reached, or is stopping.
    Unavailable,
    /// The answer took longer than a deadline of the caller or of the service.
    DeadlineExceeded,
    /// The service failed.
    Internal,
    /// What came back is not an answer of this version of the service.
    UnexpectedAnswer,
}

/// One field that was not accepted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Violation {
    /// JSON pointer into the request, for instance `/dish/lines/3`.
    pub field: String,
    /// What is wrong, and what would be accepted.
    pub description: String,
}

/// A call that was not answered. Cheap to clone.
#[derive(Clone)]
pub struct Error(Box<Inner>);

#[derive(Debug, Clone)]
struct Inner {
    kind: ErrorKind,
    detail: String,
    reason: Option<String>,
    violations: Vec<Violation>,
    retryable: Retryable,
    retry_after: Option<Duration>,
    request_id: Option<String>,
    attempts: u32,
    source: Option<Arc<dyn StdError + Send + Sync>>,
}

/// Whether asking again, unchanged, can help.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Retryable {
    Yes,
    No,
}

impl Error {
    pub(crate) fn new(kind: ErrorKind, detail: impl Into<String>) -> Self {
        let retryable = match kind {
            ErrorKind::Unavailable | ErrorKind::DeadlineExceeded => Retryable::Yes,
            _ => Retryable::No,
        };
        Self(Box::new(Inner {
            kind,
            detail: detail.into(),
            reason: None,
            violations: Vec::new(),
            retryable,
            retry_after: None,
            request_id: None,
            attempts: 1,
            source: None,
        }))
    }

    pub(crate) fn caused_by(mut self, source: impl Into<Box<dyn StdError + Send + Sync>>) -> Self {
        self.0.source = Some(Arc::from(source.into()));
        self
    }

    pub(crate) fn with_reason(mut self, reason: impl Into<String>) -> Self {
        let reason = reason.into();
        self.0.reason = (!reason.is_empty()).then_some(reason);
        self
    }

    pub(crate) fn with_violations(
        mut self,
        violations: impl IntoIterator<Item = (String, String)>,
    ) -> Self {
        self.0.violations = violations
            .into_iter()
            .map(|(field, description)| Violation { field, description })
            .collect();
        self
    }

    /// A service that says when to come back also says that coming back can help.
    pub(crate) fn with_retry_after(mut self, after: Option<Duration>) -> Self {
        if after.is_some() {
            self.0.retryable = Retryable::Yes;
            self.0.retry_after = after;
        }
        self
    }

    pub(crate) fn with_request_id(mut self, id: Option<String>) -> Self {
        self.0.request_id = id.filter(|id| !id.is_empty());
        self
    }

    pub(crate) fn after_attempts(mut self, attempts: u32) -> Self {
        self.0.attempts = attempts;
        self
    }

    /// Leaves out the name of the argument before each field, where a caller knows only the
    /// argument itself.
    pub(crate) fn without_prefix(mut self, prefix: &str) -> Self {
        for violation in &mut self.0.violations {
            if let Some(rest) = violation.field.strip_prefix(prefix)
                && rest.starts_with('/')
            {
                violation.field = rest.to_owned();
            }
        }
        self
    }

    /// A request that was found wrong before it was sent.
    pub(crate) fn refused_here(errors: ConversionErrors) -> Self {
        let detail = errors.to_string();
        Self::new(ErrorKind::InvalidRequest, detail)
            .with_reason("FIELD_INVALID")
            .with_violations(errors.errors.into_iter().map(|e| (e.field, e.description)))
    }

    /// An answer that does not hold what an answer must.
    pub(crate) fn unexpected(errors: ConversionErrors) -> Self {
        Self::new(
            ErrorKind::UnexpectedAnswer,
            "the answer is not one of this version",
        )
        .caused_by(errors)
    }

    /// The error of one item of a batch or a stream.
    pub(crate) fn of_item(error: v1::ItemError) -> Self {
        let v1::ItemError {
            reason,
            detail,
            violations,
        } = error;
        let kind = match reason.as_str() {
            "OVERLOADED" => ErrorKind::Overloaded,
            "SHUTTING_DOWN" => ErrorKind::Unavailable,
            "DEADLINE_EXCEEDED" => ErrorKind::DeadlineExceeded,
            "INTERNAL" => ErrorKind::Internal,
            "FOOD_UNKNOWN" | "NOT_FOUND" => ErrorKind::NotFound,
            _ => ErrorKind::InvalidRequest,
        };
        let mut error = Self::new(kind, detail)
            .with_reason(reason)
            .with_violations(violations.into_iter().map(|v| (v.field, v.description)));
        if kind == ErrorKind::Overloaded {
            error.0.retryable = Retryable::Yes;
        }
        error
    }

    /// What went wrong.
    #[must_use]
    pub fn kind(&self) -> ErrorKind {
        self.0.kind
    }

    /// The reason from the closed list of the service, such as `FIELD_INVALID`; `None` where the
    /// service did not answer.
    #[must_use]
    pub fn reason(&self) -> Option<&str> {
        self.0.reason.as_deref()
    }

    /// The fields at fault.
    #[must_use]
    pub fn violations(&self) -> &[Violation] {
        &self.0.violations
    }

    /// Whether asking again, unchanged, can help.
    #[must_use]
    pub fn is_retryable(&self) -> bool {
        self.0.retryable == Retryable::Yes
    }

    /// How long the service asks to wait before the next try.
    #[must_use]
    pub fn retry_after(&self) -> Option<Duration> {
        self.0.retry_after
    }

    /// The id under which the service knows the call; quote it when asking its operator.
    #[must_use]
    pub fn request_id(&self) -> Option<&str> {
        self.0.request_id.as_deref()
    }

    /// How often the call was tried.
    #[must_use]
    pub fn attempts(&self) -> u32 {
        self.0.attempts
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.detail)?;
        for Violation { field, description } in &self.0.violations {
            write!(f, "; {field}: {description}")?;
        }
        Ok(())
    }
}

impl fmt::Debug for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Inner {
            kind,
            detail,
            reason,
            violations,
            retryable,
            retry_after,
            request_id,
            attempts,
            source,
        } = &*self.0;
        f.debug_struct("Error")
            .field("kind", kind)
            .field("detail", detail)
            .field("reason", reason)
            .field("violations", violations)
            .field("retryable", retryable)
            .field("retry_after", retry_after)
            .field("request_id", request_id)
            .field("attempts", attempts)
            .field("source", source)
            .finish()
    }
}

impl StdError for Error {
    fn source(&self) -> Option<&(dyn StdError + 'static)> {
        self.0
            .source
            .as_deref()
            .map(|e| e as &(dyn StdError + 'static))
    }
}
