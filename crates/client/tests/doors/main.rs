//! The client against scripted services on loopback.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod grpc;
mod rest;
mod script;
