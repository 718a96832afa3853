//! The client of tamis.
//!
//! A [`Client`] asks a running service over gRPC or REST, or the use cases inside this process
//! (feature `in-process`), and gives the same types of the domain whichever way it went. It is
//! cheap to clone and is shared between tasks.
//!
//! ```no_run
//! use tamis_client::{Card, Client};
//! use tamis_client::scoring::quantity::Portions;
//!
//! # async fn run() -> Result<(), Box<dyn std::error::Error>> {
//! let client = Client::builder("grpc://127.0.0.1:50051").build()?;
//! let bowl = Card::new("Rice bowl")
//!     .portions(Portions::new(4.0)?)
//!     .lines(["300 g rice", "2 cloves garlic"])
//!     .into_dish();
//! let answer = client.assess(&bowl).await?;
//! println!("{}: {}", answer.name, answer.ruling);
//! for reason in &answer.reasons {
//!     println!("  {reason}");
//! }
//! # Ok(())
//! # }
//! ```
//!
//! Without a service, `Client::new(InProcess::embedded()?)` gives a client with the same answers.
//!
//! Every call has three deadlines, all finite ([`ClientBuilder`]), and is tried again only where
//! the service says that this can help: all calls are free of side effects. Errors are one type,
//! [`Error`].
//!
//! What the data cannot settle is no error: the answer rules `refer` and says why. Low-FODMAP is
//! not gluten-free, and no answer is an allergen statement or medical advice; pass the `cautions`
//! of an answer on to whoever reads it.

mod answers;
mod assessor;
mod builder;
mod card;
mod client;
mod error;
mod grpc;
#[cfg(feature = "in-process")]
mod in_process;
mod json;
mod model;
mod rest;
mod retry;

pub use assessor::Assessor;
pub use builder::ClientBuilder;
pub use card::Card;
pub use client::Client;
pub use error::{Error, ErrorKind, Violation};
pub use grpc::GrpcClient;
#[cfg(feature = "in-process")]
pub use in_process::InProcess;
pub use json::{from_json, to_json};
pub use model::{FoodList, FoodQuery, RenderedTicket, TicketKind, TicketLayout};
pub use rest::RestClient;
pub use tamis_wire::scoring;
