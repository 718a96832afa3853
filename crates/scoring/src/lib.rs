//! The scoring core of tamis: grams of each fermentable subgroup in a portion, and the ruling.
//!
//! Pure and deterministic: no input or output, no clock, no randomness, no global state. The same
//! inputs give the same bits on every platform, since all transcendental functions come from
//! `libm`. Dishes arrive as components in grams with their composition; what a food is, and how a
//! kitchen writes it, is not known here.
//!
//! The way through: [`composition`] → [`processing`] → [`dish`] → [`loads`] → [`cutoffs`] →
//! [`ruling`] → [`amendments`]. [`request`] and [`assessment`] are the plain data that go in and
//! come out of the use cases around this core.

pub mod allergens;
pub mod amendments;
pub mod assessment;
pub mod composition;
pub mod cutoffs;
pub mod diner;
pub mod dish;
pub mod drinks;
pub mod estimate;

pub mod evidence;
pub mod foods;
#[cfg(test)]
mod laws;
pub mod loads;
mod parts;
pub mod processing;
pub mod quantity;
pub mod reading;
pub mod request;
pub mod ruling;
mod screen;
pub mod subgroup;
