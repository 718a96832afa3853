//! The error body of REST: a problem of RFC 9457.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// The media type of [`Problem`].
pub const MEDIA_TYPE: &str = "application/problem+json";

/// The `domain` of every problem, and of `google.rpc.ErrorInfo` over gRPC.
pub const DOMAIN: &str = "tamis";

/// Why a request could not be answered, as RFC 9457 has it, with members of ours.
///
/// Over gRPC the same facts travel in `google.rpc.Status`: `reason`, `domain` and `metadata` in
/// `ErrorInfo`, `errors` in `BadRequest`, `request_id` in `RequestInfo`.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Problem {
    /// Names the kind of problem, for instance `urn:tamis:reason:field-invalid`.
    #[serde(rename = "type")]
    pub type_uri: String,
    /// A short title, the same for every problem of the kind.
    pub title: String,
    /// The status of the answer.
    pub status: u16,
    /// A sentence for a person; its wording may change.
    pub detail: String,
    /// The path that was asked for.
    pub instance: String,
    /// The reason from the closed list of the service, for instance `FIELD_INVALID`.
    pub reason: String,
    /// Who gives the reason its meaning: `tamis`.
    pub domain: String,
    /// The dynamic values of `detail`, by name.
    pub metadata: BTreeMap<String, String>,
    /// Id of the request, as in the header `x-request-id`.
    pub request_id: String,
    /// The fields at fault; empty where the problem is about no field.
    pub errors: Vec<ErrorItem>,
}

/// One field that was not accepted.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ErrorItem {
    /// JSON pointer into the request, for instance `/dish/lines/3`.
    pub pointer: String,
    /// What is wrong, and what would be accepted.
    pub detail: String,
}
