//! What is in 100 g of one food in one state.

use std::cmp::Ordering;

use crate::estimate::Concentration;
use crate::evidence::Grade;
use crate::processing::Retention;
use crate::quantity::GramsPer100g;
use crate::subgroup::Analyte;

/// What is known of one analyte.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Content {
    /// There is none, by nature: no lactose in a leaf, no sugar in an oil.
    Absent,
    /// A mean with a spread.
    Known(Concentration, Grade),
    /// Nobody measured it, but physics puts a ceiling on it.
    AtMost(GramsPer100g),
    /// Not known, and nothing useful bounds it. Never read as zero.
    Unknown,
}

/// The contents of a food, one per analyte.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Composition {
    contents: [Content; Analyte::COUNT],
}

impl Composition {
    /// Nothing is known.
    pub const UNKNOWN: Self = Self {
        contents: [Content::Unknown; Analyte::COUNT],
    };
    /// Nothing fermentable by nature, such as salt.
    pub const ABSENT: Self = Self {
        contents: [Content::Absent; Analyte::COUNT],
    };

    /// The same composition with one content replaced.
    #[must_use]
    pub fn with(mut self, analyte: Analyte, content: Content) -> Self {
        self.contents[analyte.index()] = content;
        self
    }

    /// What is known of an analyte.
    #[must_use]
    pub const fn content(&self, analyte: Analyte) -> Content {
        self.contents[analyte.index()]
    }

    pub(crate) fn canonical_order(&self, other: &Self) -> Ordering {
        let key = |content: &Content| match content {
            Content::Absent => (0, 0.0, 0.0),
            Content::Known(c, _) => (1, c.raw_mean(), c.cv2()),
            Content::AtMost(c) => (2, c.get(), 0.0),
            Content::Unknown => (3, 0.0, 0.0),
        };
        let by_content = |(a, b)| {
            let ((i, x, u), (j, y, v)): ((u8, f64, f64), (u8, f64, f64)) = (key(a), key(b));
            i.cmp(&j).then(x.total_cmp(&y)).then(u.total_cmp(&v))
        };
        self.contents
            .iter()
            .zip(&other.contents)
            .map(by_content)
            .find(|o| o.is_ne())
            .unwrap_or(Ordering::Equal)
    }

    /// The composition per 100 g of the food as weighed in, counting only what a process leaves
    /// and what it makes.
    #[must_use]
    pub fn retained(&self, retention: &Retention) -> Self {
        let mut out = *self;
        for &analyte in Analyte::ALL {
            let slot = &mut out.contents[analyte.index()];
            *slot = retention.of(analyte).apply(*slot);
        }
        for gain in retention.gains() {
            let had = out.content(gain.to());
            out.contents[gain.to().index()] = gain.add(self.content(gain.from()), had);
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unknown_is_not_absent() {
        let c = Composition::UNKNOWN.with(Analyte::Lactose, Content::Absent);
        assert_eq!(c.content(Analyte::Lactose), Content::Absent);
        assert_eq!(c.content(Analyte::Fructans), Content::Unknown);
    }
}
