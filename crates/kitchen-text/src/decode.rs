//! Bytes of a file to text: UTF-8, UTF-16 with or without its mark, Windows-1252.

use crate::card::FileError;
use crate::limits;

/// How a file was encoded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Encoding {
    /// UTF-8, with or without a byte order mark.
    Utf8,
    /// UTF-16, low byte first.
    Utf16Le,
    /// UTF-16, high byte first.
    Utf16Be,
    /// Windows-1252: the file is no UTF-8, and every byte means a character there.
    Windows1252,
}

/// Decodes a file.
///
/// # Errors
/// When the file is larger than [`limits::FILE_BYTES`], or in none of the encodings.
pub fn decode(bytes: &[u8]) -> Result<(String, Encoding), FileError> {
    if bytes.len() > limits::FILE_BYTES {
        return Err(FileError::TooLarge { bytes: bytes.len() });
    }
    let (encoding, body) = match bytes {
        [0xFF, 0xFE, 0, 0, ..] | [0, 0, 0xFE, 0xFF, ..] => {
            return Err(FileError::Encoding { at: 0 });
        }
        [0xEF, 0xBB, 0xBF, body @ ..] => (Encoding::Utf8, body),
        [0xFF, 0xFE, body @ ..] => (Encoding::Utf16Le, body),
        [0xFE, 0xFF, body @ ..] => (Encoding::Utf16Be, body),
        _ => (guess(bytes), bytes),
    };
    let table = match encoding {
        Encoding::Utf8 => {
            return match std::str::from_utf8(body) {
                Ok(text) => Ok((text.to_owned(), encoding)),
                Err(e) => Err(FileError::Encoding {
                    at: e.valid_up_to(),
                }),
            };
        }
        Encoding::Utf16Le => encoding_rs::UTF_16LE,
        Encoding::Utf16Be => encoding_rs::UTF_16BE,
        Encoding::Windows1252 => encoding_rs::WINDOWS_1252,
    };
    let text = table
        .decode_without_bom_handling_and_without_replacement(body)
        .ok_or(FileError::Encoding { at: 0 })?;
    // The five bytes that Windows-1252 leaves free come out as control characters.
    if encoding == Encoding::Windows1252
        && let Some(at) = body
            .iter()
            .position(|b| matches!(b, 0x81 | 0x8D | 0x8F | 0x90 | 0x9D))
    {
        return Err(FileError::Encoding { at });
    }
    Ok((text.into_owned(), encoding))
}

/// UTF-16 without a mark shows as every other byte being zero.
fn guess(bytes: &[u8]) -> Encoding {
    let head = &bytes[..bytes.len().min(512)];
    let zeros = |from: usize| {
        head.iter()
            .skip(from)
            .step_by(2)
            .filter(|b| **b == 0)
            .count()
    };
    let (even, odd) = (zeros(0), zeros(1));
    let many = head.len() / 4;
    if bytes.len().is_multiple_of(2) && many > 0 && odd >= many && even == 0 {
        Encoding::Utf16Le
    } else if bytes.len().is_multiple_of(2) && many > 0 && even >= many && odd == 0 {
        Encoding::Utf16Be
    } else if std::str::from_utf8(bytes).is_ok() {
        Encoding::Utf8
    } else {
        Encoding::Windows1252
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utf16(text: &str, low_first: bool) -> Vec<u8> {
        text.encode_utf16()
            .flat_map(|u| {
                if low_first {
                    u.to_le_bytes()
                } else {
                    u.to_be_bytes()
                }
            })
            .collect()
    }

    #[test]
    fn every_encoding_gives_the_same_text() {
        let text = "½ cup milk; crème 20 ml";
        let marked: Vec<u8> = [&[0xEF, 0xBB, 0xBF], text.as_bytes()].concat();
        assert_eq!(
            decode(text.as_bytes()).unwrap(),
            (text.into(), Encoding::Utf8)
        );
        assert_eq!(decode(&marked).unwrap(), (text.into(), Encoding::Utf8));
        for (low, encoding) in [(true, Encoding::Utf16Le), (false, Encoding::Utf16Be)] {
            assert_eq!(decode(&utf16(text, low)).unwrap(), (text.into(), encoding));
            let mark = utf16("\u{FEFF}", low);
            assert_eq!(
                decode(&[mark, utf16(text, low)].concat()).unwrap(),
                (text.into(), encoding)
            );
        }
        let single: Vec<u8> = text
            .chars()
            .map(|c| u8::try_from(u32::from(c)).unwrap())
            .collect();
        assert_eq!(
            decode(&single).unwrap(),
            (text.into(), Encoding::Windows1252)
        );
    }

    #[test]
    fn refuses_what_is_in_no_encoding() {
        assert_eq!(
            decode(&[b'a', 0x81, 0xFF]),
            Err(FileError::Encoding { at: 1 })
        );
        assert!(matches!(
            decode(&[0xFF, 0xFE, 0, 0, 65, 0, 0, 0]),
            Err(FileError::Encoding { .. })
        ));
        assert!(matches!(
            decode(&vec![b'a'; limits::FILE_BYTES + 1]),
            Err(FileError::TooLarge { .. })
        ));
    }
}
