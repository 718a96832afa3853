//! The fermentable subgroups, and the analytes a laboratory measures.

use std::fmt;

macro_rules! words {
    ($name:ident, $expected:literal, { $($variant:ident = $word:literal),+ $(,)? }) => {
        impl $name {
            /// Every value, in the order of the interface.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word of the interface.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }

            /// Reads the word of the interface.
            ///
            /// # Errors
            /// When the word is not one of [`Self::ALL`].
            pub fn from_word(word: &str) -> Result<Self, $crate::subgroup::WordError> {
                match word {
                    $($word => Ok(Self::$variant),)+
                    _ => Err($crate::subgroup::WordError {
                        given: word.chars().take(60).collect(),
                        what: $expected,
                        accepted: &[$($word),+],
                    }),
                }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.word())
            }
        }
    };
}
pub(crate) use words;

/// A word that is none of a closed list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WordError {
    /// The word that was given, cut to 60 characters.
    pub given: String,
    /// What kind of word was wanted.
    pub what: &'static str,
    /// The words that would be accepted.
    pub accepted: &'static [&'static str],
}

impl fmt::Display for WordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "'{}' is not {}; accepted: {}",
            self.given,
            self.what,
            self.accepted.join(", ")
        )
    }
}

impl std::error::Error for WordError {}

/// A row of the answer: one of the seven subgroups, or a total that has a published cut-off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subgroup {
    /// Fructans: chains of fructose, from kestose to inulin.
    Fructans,
    /// Galacto-oligosaccharides: raffinose, stachyose, verbascose and their kin.
    Galactans,
    /// Fructans and galactans together, as the published cut-off counts them.
    TotalOligosaccharides,
    /// Lactose.
    Lactose,
    /// Free fructose over free glucose, of the whole portion.
    ExcessFructose,
    /// Sorbitol.
    Sorbitol,
    /// Mannitol.
    Mannitol,
    /// Xylitol, maltitol, isomalt, lactitol, erythritol and the rest.
    OtherPolyols,
    /// Sorbitol, mannitol and other polyols together, as the published cut-off counts them.
    TotalPolyols,
}

words!(Subgroup, "a subgroup", {
    Fructans = "fructans",
    Galactans = "galactans",
    TotalOligosaccharides = "total_oligosaccharides",
    Lactose = "lactose",
    ExcessFructose = "excess_fructose",
    Sorbitol = "sorbitol",
    Mannitol = "mannitol",
    OtherPolyols = "other_polyols",
    TotalPolyols = "total_polyols",
});

impl Subgroup {
    /// How many rows an answer has.
    pub const COUNT: usize = 9;

    pub(crate) const fn index(self) -> usize {
        self as usize
    }

    /// The total this subgroup is counted in, if the published cut-off is on a total.
    #[must_use]
    pub const fn total(self) -> Option<Self> {
        match self {
            Self::Fructans | Self::Galactans => Some(Self::TotalOligosaccharides),
            Self::Sorbitol | Self::Mannitol | Self::OtherPolyols => Some(Self::TotalPolyols),
            _ => None,
        }
    }

    /// Words a cook reads.
    #[must_use]
    pub const fn plain_words(self) -> &'static str {
        match self {
            Self::Fructans => "fructans",
            Self::Galactans => "galactans",
            Self::TotalOligosaccharides => "fructans and galactans",
            Self::Lactose => "lactose",
            Self::ExcessFructose => "excess fructose",
            Self::Sorbitol => "sorbitol",
            Self::Mannitol => "mannitol",
            Self::OtherPolyols => "other polyols",
            Self::TotalPolyols => "polyols",
        }
    }
}

/// What a laboratory measures, in grams per 100 g.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Analyte {
    /// Fructans.
    Fructans,
    /// Galacto-oligosaccharides.
    Galactans,
    /// Lactose.
    Lactose,
    /// Free fructose.
    Fructose,
    /// Free glucose.
    Glucose,
    /// Sorbitol.
    Sorbitol,
    /// Mannitol.
    Mannitol,
    /// Polyols other than sorbitol and mannitol.
    OtherPolyols,
}

words!(Analyte, "an analyte that carries a load", {
    Fructans = "fructans",
    Galactans = "galactans",
    Lactose = "lactose",
    Fructose = "fructose",
    Glucose = "glucose",
    Sorbitol = "sorbitol",
    Mannitol = "mannitol",
    OtherPolyols = "other_polyols",
});

impl Analyte {
    /// How many analytes carry a load.
    pub const COUNT: usize = 8;

    pub(crate) const fn index(self) -> usize {
        self as usize
    }
}
