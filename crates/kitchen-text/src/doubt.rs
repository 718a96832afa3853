//! What stays open after a line was read, and what is wrong with it.

use std::fmt;

use crate::limits;
use crate::number::Span;

/// Why a reading is open to doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DoubtKind {
    /// The unit has two meanings, such as `oz`, `cl`, `stk` or `1 #10`.
    AmbiguousUnit,
    /// `T` and `t` differ only in case.
    SpoonCase,
    /// A spelling that is seldom met, read by its likeness.
    UnusualSpelling,
    /// Two amounts that should be the same differ by more than 5 %.
    MismatchedEquivalents,
    /// A number or a name that can be read in more than one way.
    SeveralReadings,
    /// More than one amount in a line; only the first is used.
    SeveralAmounts,
    /// No number: `to taste`, `as needed`, `a glug`, or no amount at all.
    Unquantified,
    /// A unit without a number was taken as one of it.
    ImpliedOne,
    /// Said to be approximate.
    Approximate,
    /// The number was above the limit and stands at the limit.
    Capped,
    /// A comma was read as the decimal sign.
    DecimalComma,
    /// `whatever milk we have`: the kitchen picks.
    OpenChoice,
    /// A share of something that the line does not name.
    Percent,
    /// Draining is left to the cook.
    DrainUnclear,
    /// A bracket or quotation mark that is not closed.
    Unclosed,
    /// Markup was taken out.
    MarkupRemoved,
    /// Control characters were taken out.
    ControlRemoved,
    /// Characters that turn the direction of writing were taken out.
    DirectionRemoved,
    /// Characters without width were taken out.
    InvisibleRemoved,
    /// A spreadsheet formula, kept as text and never evaluated.
    Formula,
}

/// How much a doubt matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// The reading stands; the reader may want to know.
    Note,
    /// Another reading would change the dish: somebody should look.
    Open,
}

impl DoubtKind {
    /// How much it matters.
    #[must_use]
    pub const fn weight(self) -> Weight {
        match self {
            Self::AmbiguousUnit
            | Self::MismatchedEquivalents
            | Self::SeveralReadings
            | Self::SeveralAmounts
            | Self::Unquantified
            | Self::Capped
            | Self::OpenChoice
            | Self::Percent
            | Self::DrainUnclear
            | Self::Formula => Weight::Open,
            Self::SpoonCase
            | Self::UnusualSpelling
            | Self::ImpliedOne
            | Self::Approximate
            | Self::DecimalComma
            | Self::Unclosed
            | Self::MarkupRemoved
            | Self::ControlRemoved
            | Self::DirectionRemoved
            | Self::InvisibleRemoved => Weight::Note,
        }
    }

    /// The doubt in kebab-case.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::AmbiguousUnit => "ambiguous-unit",
            Self::SpoonCase => "spoon-case",
            Self::UnusualSpelling => "unusual-spelling",
            Self::MismatchedEquivalents => "mismatched-equivalents",
            Self::SeveralReadings => "several-readings",
            Self::SeveralAmounts => "several-amounts",
            Self::Unquantified => "unquantified",
            Self::ImpliedOne => "implied-one",
            Self::Approximate => "approximate",
            Self::Capped => "capped",
            Self::DecimalComma => "decimal-comma",
            Self::OpenChoice => "open-choice",
            Self::Percent => "percent",
            Self::DrainUnclear => "drain-unclear",
            Self::Unclosed => "unclosed",
            Self::MarkupRemoved => "markup-removed",
            Self::ControlRemoved => "control-removed",
            Self::DirectionRemoved => "direction-removed",
            Self::InvisibleRemoved => "invisible-removed",
            Self::Formula => "formula",
        }
    }
}

/// One open point of a reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// Why.
    pub kind: DoubtKind,
    /// Where in the cleaned text of the line.
    pub span: Span,
    /// What was tried, and what else it could mean.
    pub tried: String,
}

impl Doubt {
    pub(crate) fn new(kind: DoubtKind, span: Span, tried: impl Into<String>) -> Self {
        Self {
            kind,
            span,
            tried: tried.into(),
        }
    }
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.kind.as_str(), self.tried)
    }
}

/// What is wrong with a line. The line still stands in the result.
///
/// Columns count characters of the cleaned line from 1.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LineFault {
    /// Nothing to read.
    #[error("column 1: the line is empty; an amount and a food are accepted, such as `300 g rice`")]
    Empty,
    /// An amount, but no food.
    #[error(
        "column {column}: no food is named; an amount and a food are accepted, such as `300 g rice`"
    )]
    NoFood {
        /// Where the food was looked for.
        column: usize,
    },
    /// An amount below zero.
    #[error("column {column}: `{found}` is below zero; zero or more is accepted")]
    Negative {
        /// Where it stands.
        column: usize,
        /// What stands there.
        found: String,
    },
    /// Not a finite number.
    #[error(
        "column {column}: `{found}` is not a finite number; digits are accepted, such as `1.5` or `1 1/2`"
    )]
    NotFinite {
        /// Where it stands.
        column: usize,
        /// What stands there.
        found: String,
    },
    /// A number above the limit.
    #[error("column {column}: `{found}` is too large; at most {limit} is accepted", limit = limits::QUANTITY)]
    TooLarge {
        /// Where it stands.
        column: usize,
        /// What stands there.
        found: String,
    },
    /// A line longer than the limit.
    #[error("column {column}: the line has {chars} characters; at most {limit} are read", limit = limits::LINE_CHARS)]
    TooLong {
        /// The first column that was not read.
        column: usize,
        /// How long the line is.
        chars: usize,
    },
}
