//! Numbers that a kitchen can mean, and where they stand in a text.

use std::fmt;

use crate::limits;

/// A finite number from 0 to [`limits::QUANTITY`].
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Number(f64);

/// A number that no kitchen can mean.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NumberError {
    /// NaN or an infinity.
    #[error("a finite number is needed")]
    NotFinite,
    /// Below zero.
    #[error("{0} is below zero; zero or more is accepted")]
    Negative(f64),
    /// Above the limit.
    #[error("{0} is too large; at most {limit} is accepted", limit = limits::QUANTITY)]
    TooLarge(f64),
}

impl Number {
    /// One.
    pub const ONE: Self = Self(1.0);

    /// Checks and wraps a number.
    ///
    /// # Errors
    /// When the number is not finite, below zero, or above [`limits::QUANTITY`].
    pub fn new(value: f64) -> Result<Self, NumberError> {
        if !value.is_finite() {
            Err(NumberError::NotFinite)
        } else if value < 0.0 {
            Err(NumberError::Negative(value))
        } else if value > limits::QUANTITY {
            Err(NumberError::TooLarge(value))
        } else {
            Ok(Self(value))
        }
    }

    /// The number.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }

    /// For products of numbers already checked: what runs over the limit stays at it.
    pub(crate) fn held(value: f64) -> Self {
        Self(if value.is_nan() {
            0.0
        } else {
            value.clamp(0.0, limits::QUANTITY)
        })
    }

    pub(crate) const fn known(value: f64) -> Self {
        Self(value)
    }
}

impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

/// A stretch of bytes in a text, on character boundaries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span {
    /// The first byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    pub(crate) const fn new(start: usize, end: usize) -> Self {
        Self { start, end }
    }

    pub(crate) const fn shifted(self, by: usize) -> Self {
        Self {
            start: self.start + by,
            end: self.end + by,
        }
    }

    pub(crate) fn to(self, other: Self) -> Self {
        Self {
            start: self.start.min(other.start),
            end: self.end.max(other.end),
        }
    }

    /// The stretch of `text`; empty where the span does not fit it.
    #[must_use]
    pub fn of(self, text: &str) -> &str {
        text.get(self.start..self.end).unwrap_or_default()
    }

    /// The column of the first character in `text`, counted in characters from 1.
    #[must_use]
    pub fn column(self, text: &str) -> usize {
        text.get(..self.start)
            .map_or(1, |before| before.chars().count() + 1)
    }
}
