//! Amounts: `1-1/2 c`, `8 to 10 cloves`, `6 x 400 g tins`, `1 #10 can`, `4 lb 5 oz`.

use std::fmt;

use crate::number::{Number, Span};
use crate::unit::Unit;

/// How much of a unit.
#[derive(Debug, Clone, PartialEq)]
pub enum Quantity {
    /// One number.
    Exact(Number),
    /// From a lower to a higher number.
    Range {
        /// The lower end.
        low: Number,
        /// The higher end.
        high: Number,
    },
    /// No number, in the kitchen's word: `to taste`, `q.s.`, `a glug`.
    Unquantified(String),
}

impl Quantity {
    /// The lower and the higher end; the same twice for one number; none without a number.
    #[must_use]
    pub const fn bounds(&self) -> Option<(Number, Number)> {
        match self {
            Self::Exact(n) => Some((*n, *n)),
            Self::Range { low, high } => Some((*low, *high)),
            Self::Unquantified(_) => None,
        }
    }

    pub(crate) fn times(&self, factor: Number) -> Self {
        let by = |n: Number| Number::held(n.get() * factor.get());
        match self {
            Self::Exact(n) => Self::Exact(by(*n)),
            Self::Range { low, high } => Self::Range {
                low: by(*low),
                high: by(*high),
            },
            Self::Unquantified(word) => Self::Unquantified(word.clone()),
        }
    }

    pub(crate) fn of(low: f64, high: f64) -> Self {
        let (low, high) = (Number::held(low), Number::held(high));
        if low == high {
            Self::Exact(low)
        } else {
            Self::Range { low, high }
        }
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Exact(n) => n.fmt(f),
            Self::Range { low, high } => write!(f, "{low}-{high}"),
            Self::Unquantified(word) => f.write_str(word),
        }
    }
}

/// A quantity of a unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// How much.
    pub quantity: Quantity,
    /// Of what.
    pub unit: Unit,
}

/// An amount as written: so many of a unit, each of which may hold a measure.
#[derive(Debug, Clone, PartialEq)]
pub struct Amount {
    /// How much.
    pub quantity: Quantity,
    /// Of what.
    pub unit: Unit,
    /// What each one holds: 400 g in `6 x 400 g tins`.
    pub each: Option<Measure>,
    /// Where it stands in the text that was read.
    pub span: Span,
}

impl Amount {
    /// The whole amount in grams, where its unit (or what each one holds) is one of mass.
    #[must_use]
    pub fn grams(&self) -> Option<Quantity> {
        self.whole(Unit::grams)
    }

    /// The whole amount in millilitres, where its unit (or what each one holds) is one of volume.
    #[must_use]
    pub fn millilitres(&self) -> Option<Quantity> {
        self.whole(Unit::millilitres)
    }

    fn whole(&self, factor: impl Fn(Unit) -> Option<Number>) -> Option<Quantity> {
        let Some(each) = &self.each else {
            self.quantity.bounds()?;
            return factor(self.unit).map(|f| self.quantity.times(f));
        };
        let (low, high) = self.quantity.bounds()?;
        let (each_low, each_high) = each.quantity.times(factor(each.unit)?).bounds()?;
        Some(Quantity::of(
            low.get() * each_low.get(),
            high.get() * each_high.get(),
        ))
    }

    pub(crate) const fn unquantified(word: String, span: Span) -> Self {
        Self {
            quantity: Quantity::Unquantified(word),
            unit: Unit::Unstated,
            each: None,
            span,
        }
    }
}
