//! What the composition tables hold: the analytes that carry a load, and what bounds them.

use tamis_scoring::subgroup::{Analyte, WordError};

/// A column of the composition tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Constituent {
    Analyte(Analyte),
    Sucrose,
    TotalPolyols,
    Water,
    Carbohydrate,
    TotalSugars,
    Starch,
    Fibre,
    Protein,
    Ethanol,
    Salt,
}

const ACCEPTED: &[&str] = &[
    "fructans",
    "galactans",
    "lactose",
    "fructose",
    "glucose",
    "sorbitol",
    "mannitol",
    "other_polyols",
    "sucrose",
    "total_polyols",
    "water",
    "carbohydrate",
    "total_sugars",
    "starch",
    "fibre",
    "protein",
    "ethanol",
    "salt",
];

impl Constituent {
    pub(crate) fn from_word(word: &str) -> Result<Self, WordError> {
        Ok(match word {
            "sucrose" => Self::Sucrose,
            "total_polyols" => Self::TotalPolyols,
            "water" => Self::Water,
            "carbohydrate" => Self::Carbohydrate,
            "total_sugars" => Self::TotalSugars,
            "starch" => Self::Starch,
            "fibre" => Self::Fibre,
            "protein" => Self::Protein,
            "ethanol" => Self::Ethanol,
            "salt" => Self::Salt,
            _ => Self::Analyte(Analyte::from_word(word).map_err(|e| WordError {
                given: e.given,
                what: "an analyte",
                accepted: ACCEPTED,
            })?),
        })
    }

    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Analyte(a) => a.word(),
            Self::Sucrose => "sucrose",
            Self::TotalPolyols => "total_polyols",
            Self::Water => "water",
            Self::Carbohydrate => "carbohydrate",
            Self::TotalSugars => "total_sugars",
            Self::Starch => "starch",
            Self::Fibre => "fibre",
            Self::Protein => "protein",
            Self::Ethanol => "ethanol",
            Self::Salt => "salt",
        }
    }
}
