//! Files and standard input, and the requests in them.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use tamis_app::cards::{CardFormat, requests_from_bytes};
use tamis_app::limits;
use tamis_kitchen_text::FileError;
use tamis_scoring::request::AssessmentRequest;
use tamis_wire::v1;

use super::Failure;
use super::diner::DinerOptions;
use crate::bridge;
use crate::rest::extract::parse;

const UTF8_MARK: &[u8] = b"\xef\xbb\xbf";

/// A file that cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum InputError {
    /// It cannot be read.
    #[error("{name} cannot be read: {source}")]
    Unreadable {
        /// The file.
        name: String,
        /// Why.
        #[source]
        source: std::io::Error,
    },
    /// It is over the limit.
    #[error("{name} is larger than {} bytes, the limit", limits::MAX_FILE_BYTES)]
    TooLarge {
        /// The file.
        name: String,
    },
    /// It is not text.
    #[error("{name} is not text: {error}")]
    NotText {
        /// The file.
        name: String,
        /// Where and why.
        error: FileError,
    },
    /// It holds no card.
    #[error("{name} holds no recipe card")]
    Empty {
        /// The file.
        name: String,
    },
}

/// How cards are written in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Cards in plain text, with `===` between them.
    Text,
    /// A request of the API, or a list of them.
    Json,
    /// One ingredient line a row.
    Csv,
}

/// Which file, and how it is written.
#[derive(Debug, Args)]
pub struct CardFile {
    /// The file, or `-` for standard input.
    pub file: PathBuf,
    /// How the file is written; by its name, else by its first character.
    #[arg(long)]
    pub format: Option<Format>,
}

impl CardFile {
    /// The requests in the file, for the diner of the options.
    ///
    /// # Errors
    /// When the file or a request in it cannot be used.
    pub fn requests(&self, diner: &DinerOptions) -> Result<Vec<AssessmentRequest>, Failure> {
        let bytes = bytes(&self.file)?;
        let mut requests = match self.format.unwrap_or_else(|| guess(&self.file, &bytes)) {
            Format::Json => from_json(&bytes)?,
            Format::Text => from_cards(&bytes, CardFormat::PlainText)?,
            Format::Csv => from_cards(&bytes, CardFormat::Csv)?,
        };
        if requests.is_empty() {
            return Err(InputError::Empty {
                name: name(&self.file),
            }
            .into());
        }
        for request in &mut requests {
            diner.apply(request)?;
        }
        Ok(requests)
    }
}

fn from_cards(bytes: &[u8], format: CardFormat) -> Result<Vec<AssessmentRequest>, Failure> {
    let (diner, policy) = DinerOptions::defaults();
    Ok(requests_from_bytes(bytes, format, &diner, &policy)?)
}

fn from_json(bytes: &[u8]) -> Result<Vec<AssessmentRequest>, Failure> {
    let bytes = bytes.strip_prefix(UTF8_MARK).unwrap_or(bytes);
    if first(bytes) != Some(b'[') {
        return Ok(vec![bridge::request_of(parse(bytes)?)?]);
    }
    let messages: Vec<v1::AssessmentRequest> = parse(bytes)?;
    let requests = messages.into_iter().enumerate().map(|(place, message)| {
        bridge::request_of(message).map_err(|error| error.under(&format!("/{place}")))
    });
    Ok(requests.collect::<Result<_, _>>()?)
}

fn guess(file: &Path, bytes: &[u8]) -> Format {
    let extension = file.extension().map(|e| e.to_string_lossy().to_lowercase());
    match extension.as_deref() {
        Some("json") => Format::Json,
        Some("csv") => Format::Csv,
        _ if matches!(first(bytes), Some(b'{' | b'[')) => Format::Json,
        _ => Format::Text,
    }
}

/// The first byte that says something.
fn first(bytes: &[u8]) -> Option<u8> {
    let bytes = bytes.strip_prefix(UTF8_MARK).unwrap_or(bytes);
    bytes.trim_ascii_start().first().copied()
}

fn name(file: &Path) -> String {
    if file == Path::new("-") {
        "standard input".to_owned()
    } else {
        file.display().to_string()
    }
}

/// The text of a file or of standard input, in any encoding that kitchens send.
///
/// # Errors
/// When it cannot be read, is too large, or is not text.
pub fn text(file: &Path) -> Result<String, InputError> {
    let (text, _) =
        tamis_kitchen_text::decode(&bytes(file)?).map_err(|error| InputError::NotText {
            name: name(file),
            error,
        })?;
    Ok(text)
}

fn bytes(file: &Path) -> Result<Vec<u8>, InputError> {
    let mut bytes = Vec::new();
    let most = limits::MAX_FILE_BYTES as u64 + 1;
    let read = if file == Path::new("-") {
        std::io::stdin().lock().take(most).read_to_end(&mut bytes)
    } else {
        File::open(file).and_then(|f| f.take(most).read_to_end(&mut bytes))
    };
    read.map_err(|source| InputError::Unreadable {
        name: name(file),
        source,
    })?;
    if bytes.len() > limits::MAX_FILE_BYTES {
        return Err(InputError::TooLarge { name: name(file) });
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_format_follows_the_name_then_the_content() {
        assert_eq!(guess(Path::new("week.JSON"), b"x"), Format::Json);
        assert_eq!(guess(Path::new("week.csv"), b"{"), Format::Csv);
        assert_eq!(guess(Path::new("-"), b"\xef\xbb\xbf \n[{}]"), Format::Json);
        assert_eq!(
            guess(Path::new("soup.txt"), b"Soup\nserves 4"),
            Format::Text
        );
    }
}
