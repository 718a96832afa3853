//! Gathers the fields of a message that cannot be converted.

use std::fmt;

use tamis_scoring::allergens::{Allergen, Allergens};
use tamis_scoring::quantity::{IdError, QuantityError};

use crate::v1;
use crate::words::{DomainEnum, WireEnum};

/// One field that could not be converted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ConversionError {
    /// JSON pointer into the message, for instance `/dish/portions`; empty for the whole of it.
    pub field: String,
    /// What is wrong, and what would be accepted.
    pub description: String,
}

/// The fields of a message that could not be converted; at least one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ConversionErrors {
    /// The fields, in the order of the message, at most [`Self::SHOWN`].
    pub errors: Vec<ConversionError>,
    /// How many more there were.
    pub more: usize,
}

impl ConversionErrors {
    /// How many errors are kept; a message can be wrong in more places than a person reads.
    pub const SHOWN: usize = 50;

    /// The same errors with a prefix before each field, for a message inside another.
    #[must_use]
    pub fn under(mut self, prefix: &str) -> Self {
        for error in &mut self.errors {
            error.field.insert_str(0, prefix);
        }
        self
    }
}

impl fmt::Display for ConversionErrors {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, ConversionError { field, description }) in self.errors.iter().enumerate() {
            let separator = if i == 0 { "" } else { "; " };
            let field = if field.is_empty() {
                "the message"
            } else {
                field
            };
            write!(f, "{separator}{field}: {description}")?;
        }
        if self.more > 0 {
            write!(f, "; and {} more", self.more)?;
        }
        Ok(())
    }
}

impl std::error::Error for ConversionErrors {}

/// A fault that was noted; the conversion goes on with the next field.
#[derive(Debug, Clone, Copy)]
pub(super) struct Noted;

/// A converted field, or the knowledge that its fault was noted.
pub(super) type Converted<T> = Result<T, Noted>;

/// The faults found so far, and where in the message the conversion stands.
#[derive(Debug, Default)]
pub(super) struct Faults {
    pointer: String,
    errors: Vec<ConversionError>,
    more: usize,
}

impl Faults {
    /// Converts a message, and gives its value only where there was no fault.
    pub(super) fn gather<T>(
        convert: impl FnOnce(&mut Self) -> Converted<T>,
    ) -> Result<T, ConversionErrors> {
        let mut faults = Self::default();
        let converted = convert(&mut faults);
        let Self {
            pointer: _,
            errors,
            more,
        } = faults;
        match converted {
            Ok(value) if errors.is_empty() => Ok(value),
            _ => Err(ConversionErrors { errors, more }),
        }
    }

    /// Notes a fault of the field where the conversion stands.
    pub(super) fn note(&mut self, description: impl fmt::Display) -> Noted {
        if self.errors.len() < ConversionErrors::SHOWN {
            self.errors.push(ConversionError {
                field: self.pointer.clone(),
                description: description.to_string(),
            });
        } else {
            self.more += 1;
        }
        Noted
    }

    /// Steps into a field or an item.
    pub(super) fn at<T>(
        &mut self,
        segment: impl fmt::Display,
        convert: impl FnOnce(&mut Self) -> Converted<T>,
    ) -> Converted<T> {
        let length = self.pointer.len();
        self.pointer.push('/');
        self.pointer.push_str(&segment.to_string());
        let converted = convert(self);
        self.pointer.truncate(length);
        converted
    }

    pub(super) fn quantity<Q>(
        &mut self,
        field: &str,
        value: f64,
        new: fn(f64) -> Result<Q, QuantityError>,
    ) -> Converted<Q> {
        self.at(field, |f| new(value).map_err(|e| f.note(e)))
    }

    pub(super) fn optional_quantity<Q>(
        &mut self,
        field: &str,
        value: Option<f64>,
        new: fn(f64) -> Result<Q, QuantityError>,
    ) -> Converted<Option<Q>> {
        value.map(|v| self.quantity(field, v, new)).transpose()
    }

    pub(super) fn id<I>(
        &mut self,
        field: &str,
        text: &str,
        new: fn(&str) -> Result<I, IdError>,
    ) -> Converted<I> {
        self.at(field, |f| new(text).map_err(|e| f.note(e)))
    }

    pub(super) fn optional_id<I>(
        &mut self,
        field: &str,
        text: Option<&str>,
        new: fn(&str) -> Result<I, IdError>,
    ) -> Converted<Option<I>> {
        text.map(|t| self.id(field, t, new)).transpose()
    }

    /// A number that counts and therefore cannot be negative.
    pub(super) fn count(&mut self, field: &str, value: i32) -> Converted<u32> {
        self.at(field, |f| {
            u32::try_from(value).map_err(|_| f.note(format_args!("must be 0 or more, got {value}")))
        })
    }

    /// An enum field; `None` where it is unspecified.
    pub(super) fn optional_word<E: DomainEnum>(
        &mut self,
        field: &str,
        value: i32,
    ) -> Converted<Option<E::Domain>> {
        self.at(field, |f| match E::try_from(value) {
            Ok(known) => Ok(known.domain()),
            Err(_) => Err(f.note_word::<E>(format_args!("number {value}"))),
        })
    }

    /// An enum field that must be specified.
    pub(super) fn word<E: DomainEnum>(&mut self, field: &str, value: i32) -> Converted<E::Domain> {
        match self.optional_word::<E>(field, value)? {
            Some(value) => Ok(value),
            None => self.at(field, |f| Err(f.note_word::<E>("nothing"))),
        }
    }

    fn note_word<E: WireEnum>(&mut self, given: impl fmt::Display) -> Noted {
        let accepted = E::accepted().join(", ");
        self.note(format_args!(
            "{given} is not {}; accepted: {accepted}",
            E::NAME
        ))
    }

    /// Converts every item, also after a fault.
    pub(super) fn list<W, D>(
        &mut self,
        field: &str,
        items: Vec<W>,
        mut convert: impl FnMut(&mut Self, W) -> Converted<D>,
    ) -> Converted<Vec<D>> {
        self.at(field, |f| {
            let mut converted = Vec::with_capacity(items.len());
            let mut fault = None;
            for (i, item) in items.into_iter().enumerate() {
                match f.at(i, |f| convert(f, item)) {
                    Ok(value) => converted.push(value),
                    Err(noted) => fault = Some(noted),
                }
            }
            fault.map_or(Ok(converted), Err)
        })
    }

    pub(super) fn allergens(&mut self, field: &str, values: Vec<i32>) -> Converted<Allergens> {
        let allergens: Vec<Allergen> = self.list(field, values, |f, value| {
            match v1::Allergen::try_from(value)
                .ok()
                .and_then(DomainEnum::domain)
            {
                Some(allergen) => Ok(allergen),
                None => Err(f.note_word::<v1::Allergen>(format_args!("number {value}"))),
            }
        })?;
        Ok(allergens.into_iter().collect())
    }

    /// A message that must be there.
    pub(super) fn required<W, D>(
        &mut self,
        field: &str,
        message: Option<W>,
        convert: impl FnOnce(&mut Self, W) -> Converted<D>,
    ) -> Converted<D> {
        self.at(field, |f| match message {
            Some(message) => convert(f, message),
            None => Err(f.note("is missing")),
        })
    }

    /// A message that may be absent.
    pub(super) fn optional<W, D>(
        &mut self,
        field: &str,
        message: Option<W>,
        convert: impl FnOnce(&mut Self, W) -> Converted<D>,
    ) -> Converted<Option<D>> {
        message
            .map(|m| self.at(field, |f| convert(f, m)))
            .transpose()
    }
}
