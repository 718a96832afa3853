//! What one request carries on its way through a door, and what all requests share.

use std::hash::{BuildHasher, Hasher, RandomState};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, LazyLock, OnceLock};
use std::time::Duration;

use axum::http::HeaderMap;
use tamis_app::App;
use tamis_app::error::{Error, Reason};
use tamis_app::limits;
use tokio::sync::{OwnedSemaphorePermit, Semaphore, watch};
use tokio::time::Instant;

/// The header with the id of a request, in both directions and at both doors.
pub const REQUEST_ID: &str = "x-request-id";
const REQUEST_ID_CHARS: usize = 64;

/// Whether requests are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Readiness {
    /// They are.
    Ready,
    /// No new ones: the service is stopping.
    Stopping,
}

/// What all requests share.
#[derive(Clone)]
pub struct Doors {
    app: App,
    readiness: Arc<watch::Sender<Readiness>>,
    slots: Arc<Semaphore>,
}

impl Doors {
    /// Doors that are ready.
    #[must_use]
    pub fn new(app: App) -> Self {
        Self::with_slots(app, limits::MAX_CONCURRENT)
    }

    /// Doors that let so many requests in at once.
    #[must_use]
    pub fn with_slots(app: App, slots: usize) -> Self {
        Self {
            app,
            readiness: Arc::new(watch::Sender::new(Readiness::Ready)),
            slots: Arc::new(Semaphore::new(slots)),
        }
    }

    /// The use cases.
    #[must_use]
    pub const fn app(&self) -> &App {
        &self.app
    }

    /// Whether requests are taken.
    #[must_use]
    pub fn readiness(&self) -> Readiness {
        *self.readiness.borrow()
    }

    /// Takes no new requests from here on.
    pub fn stop(&self) {
        self.readiness.send_replace(Readiness::Stopping);
    }

    /// Waits until the service is stopping.
    pub fn stopped(&self) -> impl Future<Output = ()> + Send + use<> {
        let mut readiness = self.readiness.subscribe();
        async move {
            // An error means that the doors are gone, which is as good as stopped.
            let _ = readiness.wait_for(|r| *r == Readiness::Stopping).await;
        }
    }

    /// Lets a request in.
    ///
    /// # Errors
    /// `OVERLOADED` when all places are taken, `SHUTTING_DOWN` when the service is stopping.
    pub fn admit(&self, id: String, time: Time) -> Result<Call, Error> {
        if self.readiness() == Readiness::Stopping {
            return Err(stopping());
        }
        match Arc::clone(&self.slots).try_acquire_owned() {
            Ok(slot) => Ok(Call::new(id, time, Some(slot))),
            Err(_) => Err(Error::new(
                Reason::Overloaded,
                "As many requests as this server works on at once are under way; try again later.",
            )),
        }
    }
}

/// The error of a service that is stopping.
#[must_use]
pub fn stopping() -> Error {
    Error::new(
        Reason::ShuttingDown,
        "The service is stopping and takes no new requests.",
    )
}

/// How long a call may take: as long as the caller waits, and no longer than the limit.
#[derive(Debug, Clone, Copy, Default)]
pub struct Time {
    /// How long the caller waits, where the caller said so.
    pub asked: Option<Duration>,
}

impl Time {
    /// The time that one answer may take.
    #[must_use]
    pub fn allowed(self) -> Duration {
        self.asked
            .map_or(limits::DEADLINE, |asked| asked.min(limits::DEADLINE))
    }
}

/// One request: its id, its deadline, and its place among those worked on at once.
#[derive(Debug, Clone)]
pub struct Call(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    id: String,
    time: Time,
    begun: Instant,
    reason: OnceLock<Reason>,
    _slot: Option<OwnedSemaphorePermit>,
}

impl Call {
    /// A call that begins now; without a place for probes, which are always let in.
    #[must_use]
    pub fn new(id: String, time: Time, slot: Option<OwnedSemaphorePermit>) -> Self {
        Self(Arc::new(Inner {
            id,
            time,
            begun: Instant::now(),
            reason: OnceLock::new(),
            _slot: slot,
        }))
    }

    /// Its id.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.0.id
    }

    /// When its answer is due.
    #[must_use]
    pub fn deadline(&self) -> Instant {
        self.0.begun + self.0.time.allowed()
    }

    /// When the caller stops waiting, where the caller said so.
    #[must_use]
    pub fn given_up(&self) -> Option<Instant> {
        self.0.begun.checked_add(self.0.time.asked?)
    }

    /// Notes why it failed, for the journal; the first reason stays.
    pub fn failed(&self, reason: Reason) {
        let _ = self.0.reason.set(reason);
    }

    /// Why it failed.
    #[must_use]
    pub fn reason(&self) -> Option<Reason> {
        self.0.reason.get().copied()
    }

    /// The error of an answer that took too long.
    #[must_use]
    pub fn late(&self) -> Error {
        let milliseconds = self.0.time.allowed().as_millis();
        Error::new(
            Reason::DeadlineExceeded,
            format!("The answer was not ready within {milliseconds} ms."),
        )
        .with("deadline_ms", milliseconds)
    }

    /// Computes away from the threads that move bytes. The place of the call is held until the
    /// work is done, even where nobody waits for it any more.
    ///
    /// # Errors
    /// Those of the work; `INTERNAL` when it panicked.
    pub async fn work<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> Result<T, Error> + Send + 'static,
    ) -> Result<T, Error> {
        let held = self.clone();
        let done = tokio::task::spawn_blocking(move || {
            let _held = held;
            work()
        });
        match done.await {
            Ok(result) => result,
            Err(_) => Err(fault()),
        }
    }
}

/// The error of a fault of ours: it says nothing of what went wrong, the journal does.
#[must_use]
pub fn fault() -> Error {
    Error::new(
        Reason::Internal,
        "The service failed at this request. Please report the request id.",
    )
}

/// The id that came with a request, where it is usable, or a new one.
#[must_use]
pub fn request_id(headers: &HeaderMap) -> String {
    headers
        .get(REQUEST_ID)
        .and_then(|value| value.to_str().ok())
        .filter(|id| {
            (1..=REQUEST_ID_CHARS).contains(&id.len())
                && id
                    .bytes()
                    .all(|b| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_' | b'.'))
        })
        .map_or_else(new_id, str::to_owned)
}

/// Ids need to be unlike each other, not hard to guess.
fn new_id() -> String {
    static KEYS: LazyLock<RandomState> = LazyLock::new(RandomState::new);
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let mut hasher = KEYS.build_hasher();
    hasher.write_u64(COUNT.fetch_add(1, Ordering::Relaxed));
    format!("{:016x}", hasher.finish())
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    fn given(value: &str) -> String {
        let mut headers = HeaderMap::new();
        headers.insert(REQUEST_ID, HeaderValue::from_str(value).unwrap());
        request_id(&headers)
    }

    #[test]
    fn a_usable_id_is_kept_and_any_other_replaced() {
        assert_eq!(given("pass-7.b_2"), "pass-7.b_2");
        for bad in ["", "two words", "a\"b", &"x".repeat(65)] {
            let id = given(bad);
            assert_eq!(id.len(), 16, "{id}");
        }
        assert_ne!(request_id(&HeaderMap::new()), request_id(&HeaderMap::new()));
    }
}
