//! The tests of the whole, through the doors that users go through.

mod demo;
mod facts;
mod handbook;
mod nasty;
mod parity;
mod structure;
mod usda;
