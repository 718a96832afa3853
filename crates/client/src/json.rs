//! The JSON of the interface, for callers that keep or pass on requests and answers.

use tamis_wire::scoring::assessment::Assessment;
use tamis_wire::scoring::request::AssessmentRequest;
use tamis_wire::v1;

use crate::error::{Error, ErrorKind};

/// Writes an answer as the JSON that REST gives and `tamis assess --json` prints, byte for byte.
///
/// # Errors
/// When the answer cannot be written, which no answer of this client is known to do.
pub fn to_json(assessment: &Assessment) -> Result<String, Error> {
    serde_json::to_string(&v1::Assessment::from(assessment)).map_err(|e| {
        Error::new(
            ErrorKind::UnexpectedAnswer,
            "the answer cannot be written as JSON",
        )
        .caused_by(e)
    })
}

/// Reads a request as REST and `tamis assess` take it.
///
/// ```
/// let request = tamis_client::from_json(
///     r#"{"dish": {"name": "Rice bowl", "portions": 4, "lines": ["300 g rice"]}}"#,
/// )?;
/// let error = tamis_client::from_json(r#"{"dish": {"portions": -4}}"#).unwrap_err();
/// assert_eq!(error.violations()[0].field, "/dish/portions");
/// # Ok::<_, tamis_client::Error>(())
/// ```
///
/// # Errors
/// When the text is not JSON, or has fields that are not accepted.
pub fn from_json(text: &str) -> Result<AssessmentRequest, Error> {
    let message: v1::AssessmentRequest = serde_json::from_str(text).map_err(|e| {
        Error::new(
            ErrorKind::InvalidRequest,
            format!("the request cannot be read: {e}"),
        )
        .caused_by(e)
    })?;
    message.try_into().map_err(Error::refused_here)
}
