//! Messages to the domain and back.
//!
//! A message becomes a value of the domain by `TryFrom`, which reports every field at fault at
//! once; a value of the domain becomes a message by `From`. Every struct is taken apart field by
//! field, so that a new field does not compile until it is converted.
//!
//! Numbers of answers are rounded on the way out ([`crate::number::round`]); those of requests are
//! left as the caller wrote them.

mod answer;
mod faults;
mod foods;
mod reading;
mod request;

pub use faults::{ConversionError, ConversionErrors};

use tamis_scoring::allergens::Allergens;

use crate::v1;

fn allergens(of: Allergens) -> Vec<i32> {
    of.iter().map(|a| v1::Allergen::from(a).into()).collect()
}

/// A count of the domain as the signed number of the wire.
fn count(of: u32) -> i32 {
    i32::try_from(of).unwrap_or(i32::MAX)
}

fn word<E: Into<i32>>(of: impl Into<E>) -> i32 {
    of.into().into()
}

fn optional_word<E: Into<i32> + Default, D: Into<E>>(of: Option<D>) -> i32 {
    of.map(Into::into).unwrap_or_default().into()
}

/// The same conversions for values that are not needed afterwards.
macro_rules! owned {
    ($($domain:ty => $wire:ident),+ $(,)?) => { $(
        impl From<$domain> for v1::$wire {
            fn from(value: $domain) -> Self {
                Self::from(&value)
            }
        }
    )+ };
}

owned! {
    tamis_scoring::assessment::Assessment => Assessment,
    tamis_scoring::foods::FoodPage => FoodPage,
    tamis_scoring::foods::FoodSummary => FoodSummary,
    tamis_scoring::reading::LineReading => LineReading,
    tamis_scoring::request::AssessmentRequest => AssessmentRequest,
}
