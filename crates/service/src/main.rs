//! The `tamis` binary: the command line, and the REST and gRPC servers.

mod bridge;
mod call;
mod cli;
mod console;
mod demo;
mod grpc;
mod guard;
mod listen;
mod rest;
mod serve;
mod store;
mod telemetry;

fn main() -> std::process::ExitCode {
    cli::main()
}
