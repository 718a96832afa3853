//! The paper: how wide it is, and which of the two tickets stands on it.

use std::fmt;

use tamis_scoring::subgroup::WordError;

/// The width of the paper in character columns, from 24 to 80.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Columns(u16);

/// A width that no ticket fits on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ColumnsError {
    /// The width that was given.
    pub given: u16,
}

impl fmt::Display for ColumnsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} columns are not a ticket width; accepted: {} to {}, usually 32, 42 or 48",
            self.given,
            Columns::NARROWEST.get(),
            Columns::WIDEST.get()
        )
    }
}

impl std::error::Error for ColumnsError {}

impl Columns {
    /// The narrowest that is laid out.
    pub const NARROWEST: Self = Self(24);
    /// Paper of 58 mm.
    pub const MM58: Self = Self(32);
    /// Paper of 80 mm at 180 dots per inch.
    pub const MM80_COARSE: Self = Self(42);
    /// Paper of 80 mm at 203 dots per inch.
    pub const MM80: Self = Self(48);
    /// The widest that is laid out; a terminal.
    pub const WIDEST: Self = Self(80);

    /// Checks and wraps a width.
    ///
    /// # Errors
    /// When it lies outside 24 to 80.
    pub const fn new(columns: u16) -> Result<Self, ColumnsError> {
        if columns >= Self::NARROWEST.0 && columns <= Self::WIDEST.0 {
            Ok(Self(columns))
        } else {
            Err(ColumnsError { given: columns })
        }
    }

    /// The width as a number.
    #[must_use]
    pub const fn get(self) -> u16 {
        self.0
    }

    pub(crate) const fn width(self) -> usize {
        self.0 as usize
    }
}

/// Which ticket, on which paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Layout {
    /// For the line of a restaurant: table, seat, course, and nothing about the guest.
    Kitchen(Columns),
    /// For the tray line of a hospital: bed, meal, place in the cart, an opaque tag.
    Tray(Columns),
}

impl Layout {
    /// Reads the word of the interface.
    ///
    /// # Errors
    /// When the word is neither `kitchen` nor `tray`.
    pub fn from_word(word: &str, columns: Columns) -> Result<Self, WordError> {
        match word {
            "kitchen" => Ok(Self::Kitchen(columns)),
            "tray" => Ok(Self::Tray(columns)),
            _ => Err(WordError {
                given: word.chars().take(60).collect(),
                what: "a ticket layout",
                accepted: &["kitchen", "tray"],
            }),
        }
    }

    /// The word of the interface.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Kitchen(_) => "kitchen",
            Self::Tray(_) => "tray",
        }
    }

    /// The width of the paper.
    #[must_use]
    pub const fn columns(self) -> Columns {
        match self {
            Self::Kitchen(columns) | Self::Tray(columns) => columns,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_outside_the_paper_are_refused() {
        assert_eq!(Columns::new(32), Ok(Columns::MM58));
        assert_eq!(Columns::new(23), Err(ColumnsError { given: 23 }));
        assert_eq!(Columns::new(81), Err(ColumnsError { given: 81 }));
    }

    #[test]
    fn words_come_back() {
        for word in ["kitchen", "tray"] {
            let layout = Layout::from_word(word, Columns::MM80).unwrap();
            assert_eq!((layout.word(), layout.columns()), (word, Columns::MM80));
        }
        let error = Layout::from_word("bill", Columns::MM80).unwrap_err();
        assert!(error.to_string().ends_with("accepted: kitchen, tray"));
    }
}
