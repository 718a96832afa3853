//! Sets a client up.

use std::time::Duration;

use crate::client::Client;
use crate::error::{Error, ErrorKind};
use crate::grpc::GrpcClient;
use crate::rest::RestClient;
use crate::retry::Patience;

/// Sets a [`Client`] up.
///
/// ```
/// use std::time::Duration;
/// use tamis_client::{Client, ErrorKind};
///
/// let client = Client::builder("http://127.0.0.1:8080")
///     .connect_deadline(Duration::from_secs(1))
///     .attempt_deadline(Duration::from_secs(5))
///     .operation_deadline(Duration::from_secs(12))
///     .without_retries()
///     .build()?;
///
/// let error = Client::builder("https://127.0.0.1:8080").build().unwrap_err();
/// assert_eq!(error.kind(), ErrorKind::Configuration);
/// # Ok::<_, tamis_client::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct ClientBuilder {
    endpoint: String,
    patience: Patience,
}

impl ClientBuilder {
    pub(crate) fn new(endpoint: String) -> Self {
        Self {
            endpoint,
            patience: Patience::default(),
        }
    }

    /// How long a connection may take; 3 s unless told.
    #[must_use]
    pub const fn connect_deadline(mut self, deadline: Duration) -> Self {
        self.patience.connect = deadline;
        self
    }

    /// How long one attempt of a call may take; 12 s unless told. Over gRPC it is passed on to the
    /// service, which stops working when it has passed.
    #[must_use]
    pub const fn attempt_deadline(mut self, deadline: Duration) -> Self {
        self.patience.attempt = deadline;
        self
    }

    /// How long a call may take with all its attempts and the pauses between them; 30 s unless
    /// told.
    #[must_use]
    pub const fn operation_deadline(mut self, deadline: Duration) -> Self {
        self.patience.operation = deadline;
        self
    }

    /// How often a call is tried; three times unless told, and at least once.
    #[must_use]
    pub fn max_attempts(mut self, attempts: u32) -> Self {
        self.patience.attempts = attempts.max(1);
        self
    }

    /// Tries every call once.
    #[must_use]
    pub fn without_retries(self) -> Self {
        self.max_attempts(1)
    }

    /// A client; nothing is sent and nothing is started yet.
    ///
    /// # Errors
    /// When the endpoint is not `grpc://host:port` or `http://host:port`. Transport security is
    /// left to a proxy beside the caller.
    pub fn build(self) -> Result<Client, Error> {
        let Self { endpoint, patience } = self;
        if let Some(authority) = endpoint.strip_prefix("grpc://") {
            Ok(Client::new(GrpcClient::new(authority, patience)?))
        } else if endpoint.starts_with("http://") {
            Ok(Client::new(RestClient::new(&endpoint, patience)?))
        } else {
            Err(Error::new(
                ErrorKind::Configuration,
                format!(
                    "'{endpoint}' is no endpoint; accepted: grpc://host:port, http://host:port"
                ),
            ))
        }
    }
}
