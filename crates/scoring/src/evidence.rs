//! Where a number comes from, and how far to trust it.

use crate::quantity::SourceId;
use crate::subgroup::words;

/// How good the evidence for a number is; later is weaker.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grade {
    /// Read in the primary source or an official table.
    Measured,
    /// Read in a tabulation that cites another.
    Secondary,
    /// From memory of the literature, not seen.
    Recalled,
    /// Bounded by physics or botany, or taken from measured relatives.
    Inferred,
    /// Taught by practitioners, without a source.
    Practice,
}

words!(Grade, "a grade of evidence", {
    Measured = "measured",
    Secondary = "secondary",
    Recalled = "recalled",
    Inferred = "inferred",
    Practice = "practice",
});

impl Grade {
    /// The weaker of two.
    #[must_use]
    pub fn weaker(self, other: Self) -> Self {
        self.max(other)
    }

    /// Whether a number of this grade can only be trusted loosely: inferred or weaker.
    #[must_use]
    pub fn is_loose(self) -> bool {
        self >= Self::Inferred
    }
}

/// One observation behind a number.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// The source in the catalogue's list.
    pub source: SourceId,
    /// Table, row or key in the source.
    pub locator: String,
    /// How good it is.
    pub grade: Grade,
    /// How many samples the source reports.
    pub samples: Option<u32>,
    /// What a reader should know: assay, cultivar, reasoning.
    pub note: String,
}
