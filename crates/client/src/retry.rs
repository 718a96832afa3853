//! Deadlines and repeated attempts, the same for every transport.

use std::future::Future;
use std::time::Duration;

use tokio::time::{Instant, sleep, timeout};

use crate::error::{Error, ErrorKind};

/// How patient a client is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Patience {
    /// For a connection.
    pub(crate) connect: Duration,
    /// For one attempt.
    pub(crate) attempt: Duration,
    /// For a call with all its attempts and the pauses between them.
    pub(crate) operation: Duration,
    /// Attempts of one call, at least one.
    pub(crate) attempts: u32,
}

impl Default for Patience {
    fn default() -> Self {
        Self {
            connect: Duration::from_secs(3),
            attempt: Duration::from_secs(12),
            operation: Duration::from_secs(30),
            attempts: 3,
        }
    }
}

/// The longest first pause; it doubles with each attempt up to [`LONGEST_PAUSE`].
const FIRST_PAUSE: Duration = Duration::from_millis(100);
const LONGEST_PAUSE: Duration = Duration::from_secs(5);

impl Patience {
    /// Makes a call until it is answered, fails for good, or patience ends.
    ///
    /// The attempt is told how long it may take, to pass that on to the service, and is dropped
    /// when it takes longer.
    pub(crate) async fn call<T, F>(
        &self,
        mut attempt: impl FnMut(Duration) -> F,
    ) -> Result<T, Error>
    where
        F: Future<Output = Result<T, Error>>,
    {
        let end = Instant::now() + self.operation;
        let mut tried = 0;
        loop {
            tried += 1;
            let allowed = self
                .attempt
                .min(end.saturating_duration_since(Instant::now()));
            let outcome = timeout(allowed, attempt(allowed)).await;
            let error = match outcome {
                Ok(Ok(answer)) => return Ok(answer),
                Ok(Err(error)) => error,
                Err(elapsed) => Error::new(
                    ErrorKind::DeadlineExceeded,
                    format!("no answer within {allowed:?}"),
                )
                .caused_by(elapsed),
            }
            .after_attempts(tried);
            if !error.is_retryable() || tried >= self.attempts {
                return Err(error);
            }
            let pause = pause(tried, error.retry_after());
            if Instant::now() + pause >= end {
                return Err(error);
            }
            sleep(pause).await;
        }
    }
}

/// A pause of full jitter, so that callers do not come back all at once; at least what the service
/// asked for.
fn pause(tried: u32, asked: Option<Duration>) -> Duration {
    let longest = FIRST_PAUSE
        .saturating_mul(2u32.saturating_pow(tried.saturating_sub(1)))
        .min(LONGEST_PAUSE);
    asked.unwrap_or_default() + longest.mul_f64(fastrand::f64())
}
