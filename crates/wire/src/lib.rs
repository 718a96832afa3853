//! The wire of tamis.
//!
//! `proto/tamis/v1` is the one definition: [`v1`] is generated from it, and the same structs are
//! the JSON of REST, of the command line and of the SDK. Enum fields are numbers in protobuf and
//! words in JSON; both come from the words of the domain ([`words`]). [`convert`] turns messages
//! into the domain of `tamis-scoring` and back.

pub mod convert;
pub mod number;
pub mod problem;
pub mod words;

/// The messages, clients and servers of the package `tamis.v1`.
#[allow(clippy::all, clippy::pedantic, clippy::nursery)]
pub mod v1 {
    tonic::include_proto!("tamis.v1");
}

/// The descriptors of `tamis.v1`, encoded, for gRPC reflection.
pub const FILE_DESCRIPTOR_SET: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/tamis.v1.fds"));

pub use convert::{ConversionError, ConversionErrors};
pub use tamis_scoring as scoring;
