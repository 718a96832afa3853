//! What the pass reads: kitchen and tray tickets, the pass sheet of a menu, and the full answer for
//! one dish, laid out as plain text.
//!
//! Everything that comes out is printable ASCII and newlines, no line wider than the paper, whatever
//! the names on the card hold: no byte of a card ever reaches a printer as a command. What the paper
//! could not show is listed in [`Loss`]es or said on the page itself.
//!
//! A kitchen ticket goes to a guest's station: it carries nothing about the guest but table, seat
//! and course. Neither ticket knows a name.

mod answer;
pub mod figures;
mod layout;
mod page;
mod plot;
mod sheet;
mod text;
mod ticket;
mod wording;

pub use answer::answer;
pub use layout::{Columns, ColumnsError, Layout};
pub use page::{Line, Role};
pub use sheet::pass_sheet;
pub use text::{Loss, LossKind};
pub use ticket::{Ticket, TicketContext, render};
