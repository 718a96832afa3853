//! Standard output.

use std::io::{ErrorKind, Write};

use serde::Serialize;

use super::Failure;

/// Prints a text. A reader that has seen enough and went away is no error.
///
/// # Errors
/// When standard output cannot be written.
pub fn print(text: &str) -> Result<(), std::io::Error> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        result => result,
    }
}

/// Prints an object as one line of JSON, the bytes of the API and a line feed.
///
/// # Errors
/// When it cannot be encoded or written.
pub fn print_json<T: Serialize>(value: &T) -> Result<(), Failure> {
    print(&(serde_json::to_string(value)? + "\n"))?;
    Ok(())
}
