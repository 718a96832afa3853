//! Start and stop of the servers.

use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use clap::Args;
use tamis_app::App;
use tamis_app::ports::StoreError;
use tokio::signal::unix::{Signal, SignalKind, signal};

use crate::call::Doors;
use crate::demo::{self, DemoError};
use crate::listen::{self, BindError, Speaks};
use crate::store::SqliteStore;
use crate::{cli, console, grpc, rest};

const REST: SocketAddr = SocketAddr::new(std::net::IpAddr::V4(Ipv4Addr::LOCALHOST), 8080);
const GRPC: SocketAddr = SocketAddr::new(std::net::IpAddr::V4(Ipv4Addr::LOCALHOST), 50051);
const DRAIN_SECONDS: u64 = 10;

/// Where to listen, and what to keep.
#[derive(Debug, Args)]
pub struct ServeOptions {
    /// Address of REST; port 0 takes any free one.
    #[arg(long, env = "TAMIS_REST", default_value_t = REST)]
    rest: SocketAddr,
    /// Address of gRPC; port 0 takes any free one.
    #[arg(long, env = "TAMIS_GRPC", default_value_t = GRPC)]
    grpc: SocketAddr,
    /// The file of the store; without one, menus live as long as the server.
    #[arg(long, env = "TAMIS_STORE")]
    store: Option<PathBuf>,
    /// Load the menus of the demonstration and print what the pass would read.
    #[arg(long, env = "TAMIS_DEMO")]
    demo: bool,
    /// Seconds that requests under way have to end when the server stops.
    #[arg(long, env = "TAMIS_DRAIN", default_value_t = DRAIN_SECONDS, value_name = "SECONDS",
        value_parser = clap::value_parser!(u64).range(0..=3600))]
    drain: u64,
}

/// The options of a start without a command, for clap to read the environment.
#[derive(Debug, clap::Parser)]
#[command(name = "tamis", color = clap::ColorChoice::Never)]
struct Demonstration {
    #[command(flatten)]
    options: ServeOptions,
}

impl ServeOptions {
    /// The options of a start without a command: the environment, and the demonstration.
    #[must_use]
    pub fn demonstration() -> Self {
        use clap::Parser;
        let options = Demonstration::parse_from(["tamis"]).options;
        Self {
            demo: true,
            ..options
        }
    }
}

/// The servers did not start.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// An address is taken.
    #[error(transparent)]
    Bind(#[from] BindError),
    /// The store cannot be used.
    #[error("{}{}", .0, cause(.0))]
    Store(#[from] StoreError),
    /// The demonstration failed.
    #[error(transparent)]
    Demo(#[from] DemoError),
    /// The descriptors of the services cannot be read.
    #[error("the descriptors of the services cannot be read: {0}")]
    Reflection(#[from] tonic_reflection::server::Error),
    /// The system refused something.
    #[error("the server could not start: {0}")]
    System(#[from] std::io::Error),
}

fn cause(error: &StoreError) -> String {
    std::error::Error::source(error).map_or_else(String::new, |source| format!(": {source}"))
}

/// Serves until told to stop.
///
/// # Errors
/// When the servers cannot start.
pub fn run(app: App, options: &ServeOptions) -> Result<(), ServeError> {
    tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()?
        .block_on(serve(app, options))
}

async fn serve(app: App, options: &ServeOptions) -> Result<(), ServeError> {
    let mut stop = Stop::listen()?;
    let rest = listen::bind(options.rest, "REST", "--rest or TAMIS_REST").await?;
    let grpc = listen::bind(options.grpc, "gRPC", "--grpc or TAMIS_GRPC").await?;
    let store = match &options.store {
        Some(file) => SqliteStore::open(file).await?,
        None => SqliteStore::in_memory().await?,
    };
    if options.demo {
        let page = demo::run(&app, &store).await?;
        cli::print(&page)?;
    }

    let addresses = format!(
        "REST on http://{rest}\ngRPC on http://{grpc}\nConsole on http://{rest}/\n",
        rest = rest.local_addr()?,
        grpc = grpc.local_addr()?
    );
    let doors = Doors::new(app);
    let menus = Arc::new(store.clone());
    let (grpc_routes, health) = grpc::router(doors.clone()).await?;
    let drain = Duration::from_secs(options.drain);
    let rest = tokio::spawn(listen::serve(
        rest,
        rest::router(doors.clone()).merge(console::router(doors.clone(), menus)),
        Speaks::Both,
        doors.stopped(),
        drain,
    ));
    let grpc = tokio::spawn(listen::serve(
        grpc,
        grpc_routes,
        Speaks::Http2,
        doors.stopped(),
        drain,
    ));
    health.ready().await;
    cli::print(&addresses)?;
    tracing::info!(catalogue = doors.app().catalogue_version(), "ready");

    stop.told().await;
    tracing::info!(drain_seconds = options.drain, "stopping");
    health.stopping().await;
    doors.stop();
    tokio::select! {
        (rest, grpc) = async { tokio::join!(rest, grpc) } => {
            let cut = |ended: Result<Result<(), usize>, _>| ended.map_or(0, |r| r.err().unwrap_or(0));
            let connections = cut(rest) + cut(grpc);
            if connections > 0 {
                tracing::warn!(connections, "some connections did not end in time and are cut off");
            }
        }
        () = stop.told() => tracing::warn!("told to stop a second time: stopping at once"),
    }
    store.close().await;
    tracing::info!("stopped");
    Ok(())
}

/// The signals that mean "stop".
struct Stop {
    terminate: Signal,
    interrupt: Signal,
}

impl Stop {
    fn listen() -> Result<Self, std::io::Error> {
        Ok(Self {
            terminate: signal(SignalKind::terminate())?,
            interrupt: signal(SignalKind::interrupt())?,
        })
    }

    async fn told(&mut self) {
        tokio::select! {
            _ = self.terminate.recv() => {}
            _ = self.interrupt.recv() => {}
        }
    }
}
