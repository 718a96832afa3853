//! The journal on standard error: one line a request, never what a request says.

use tracing_subscriber::EnvFilter;

/// The environment variable with the filter, for instance `tamis=debug`.
pub const FILTER_VARIABLE: &str = "TAMIS_LOG";

/// The filter is not one.
#[derive(Debug, thiserror::Error)]
#[error("{FILTER_VARIABLE} is not a filter: {0}; accepted for instance: warn, info, tamis=debug")]
pub struct FilterError(String);

/// Starts the journal, with `default` where the environment says nothing.
///
/// # Errors
/// When the environment holds a filter that cannot be read.
pub fn start(default: &str) -> Result<(), FilterError> {
    let filter = match std::env::var(FILTER_VARIABLE) {
        Ok(text) => EnvFilter::try_new(text).map_err(|e| FilterError(e.to_string()))?,
        Err(_) => EnvFilter::new(default),
    };
    // A second start, as in tests, keeps the first.
    let _ = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .with_ansi(false)
        .with_target(false)
        .try_init();
    // The text of a panic may quote what a request says; its place does not.
    std::panic::set_hook(Box::new(|info| match info.location() {
        Some(place) => tracing::error!(file = place.file(), line = place.line(), "panic"),
        None => tracing::error!("panic"),
    }));
    Ok(())
}
