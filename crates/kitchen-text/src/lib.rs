//! Kitchen text to structure: recipe lines, amounts, cards, menus and methods.
//!
//! Knows how kitchens write, not what foods are: matching a food, weighing a clove and computing
//! with either is left to others. Nothing is dropped in silence: what was not understood stands
//! in the result with a doubt or a fault, and where it stands.
//!
//! ```
//! use tamis_kitchen_text::{read_line, Drained};
//!
//! let line = read_line("2 x 400 g tins chickpeas, drained and rinsed", 1);
//! assert_eq!(line.food_text, "chickpeas");
//! assert_eq!(line.drained, Drained::Rinsed);
//! let grams = line.amounts[0].grams().and_then(|q| q.bounds());
//! assert_eq!(grams.map(|(low, _)| low.get()), Some(800.0));
//! ```

mod amount;
mod card;
mod clean;
mod decode;
mod doubt;
mod extent;
mod figure;
pub mod limits;
mod line;
mod making;
mod menu;
mod method;
mod naming;
mod number;
mod packs;
mod phrase;
mod reader;
mod reading;
mod scan;
mod step;
mod unit;
mod unit_reader;

pub use amount::{Amount, Measure, Quantity};
pub use card::{Card, CardError, Extent, FileError, Kind, Service, read_cards};
pub use decode::{Encoding, decode};
pub use doubt::{Doubt, DoubtKind, LineFault, Weight};
pub use line::{ReadLine, read_line};
pub use menu::read_menu;
pub use method::{MethodSentence, read_method};
pub use number::{Number, NumberError, Span};
pub use phrase::{Basis, Drained, Negation, Part, Placement, Size};
pub use step::{Culture, Hours, MethodStep, Solids, Step, Terms, Warmth};
pub use unit::{Bowl, CanSize, Count, Pack, Unit};
