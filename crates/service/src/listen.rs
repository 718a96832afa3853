//! Accepting connections, the same for both doors, and letting them end.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use hyper_util::rt::{TokioExecutor, TokioIo, TokioTimer};
use hyper_util::server::conn::auto::Builder;
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, watch};

/// Connections of one door at once; more wait in the queue of the system.
const MAX_CONNECTIONS: usize = 1_024;
/// Requests under way on one connection.
const MAX_STREAMS: u32 = 128;
/// Bytes of all header fields of one request.
const MAX_HEADER_BYTES: u32 = 16 * 1024;
/// How long a new connection may stay silent, and a header may take.
const HEADER_TIME: Duration = Duration::from_secs(10);
/// How often a quiet HTTP/2 connection is asked whether it still lives, and how long it may think.
const KEEP_ALIVE: (Duration, Duration) = (Duration::from_secs(30), Duration::from_secs(10));
/// Pause after the system refused a connection, for instance for want of file handles.
const REFUSED: Duration = Duration::from_millis(100);

/// Which versions of HTTP a door speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Speaks {
    /// HTTP/1.1 and HTTP/2.
    Both,
    /// HTTP/2 only.
    Http2,
}

/// An address that cannot be listened on.
#[derive(Debug, thiserror::Error)]
#[error(
    "cannot listen on {address} for {door}: {source}; \
     another address is chosen by {option}, and port 0 takes any free one"
)]
pub struct BindError {
    address: SocketAddr,
    door: &'static str,
    option: &'static str,
    #[source]
    source: std::io::Error,
}

/// Takes an address.
///
/// # Errors
/// When the address is in use or not ours.
pub async fn bind(
    address: SocketAddr,
    door: &'static str,
    option: &'static str,
) -> Result<TcpListener, BindError> {
    TcpListener::bind(address)
        .await
        .map_err(|source| BindError {
            address,
            door,
            option,
            source,
        })
}

/// Accepts connections until told to stop, then lets those under way end.
///
/// # Errors
/// How many connections were cut off, when they did not end within `drain`.
pub async fn serve(
    listener: TcpListener,
    router: Router,
    speaks: Speaks,
    stop: impl Future<Output = ()>,
    drain: Duration,
) -> Result<(), usize> {
    let mut stop = std::pin::pin!(stop);
    let graceful = GracefulShutdown::new();
    let closing = watch::Sender::new(());
    let places = Arc::new(Semaphore::new(MAX_CONNECTIONS));
    let builder = Arc::new(builder(speaks));
    loop {
        let accepted = tokio::select! {
            biased;
            () = &mut stop => break,
            accepted = accept(&listener, &places) => accepted,
        };
        let Some((stream, place)) = accepted else {
            tokio::time::sleep(REFUSED).await;
            continue;
        };
        let service = TowerToHyperService::new(router.clone());
        let watcher = graceful.watcher();
        let builder = Arc::clone(&builder);
        let mut closing = closing.subscribe();
        tokio::spawn(async move {
            let _place = place;
            let _ = stream.set_nodelay(true);
            // Until its first byte a connection is nobody's, and must not delay a stop.
            let mut first = [0];
            let first = tokio::time::timeout(HEADER_TIME, stream.peek(&mut first));
            let first = tokio::select! {
                first = first => first,
                _ = closing.changed() => return,
            };
            if !matches!(first, Ok(Ok(1))) {
                return;
            }
            let connection = builder
                .serve_connection(TokioIo::new(stream), service)
                .into_owned();
            if let Err(error) = watcher.watch(connection).await {
                tracing::debug!(%error, "connection ended early");
            }
        });
    }
    drop((listener, closing));
    let open = graceful.count();
    tokio::time::timeout(drain, graceful.shutdown())
        .await
        .map_err(|_| open)
}

type Place = tokio::sync::OwnedSemaphorePermit;

async fn accept(listener: &TcpListener, places: &Arc<Semaphore>) -> Option<(TcpStream, Place)> {
    let place = Arc::clone(places).acquire_owned().await.ok()?;
    match listener.accept().await {
        Ok((stream, _)) => Some((stream, place)),
        Err(error) => {
            tracing::warn!(%error, "a connection could not be accepted");
            None
        }
    }
}

fn builder(speaks: Speaks) -> Builder<TokioExecutor> {
    let mut builder = Builder::new(TokioExecutor::new());
    builder
        .http1()
        .timer(TokioTimer::new())
        .header_read_timeout(HEADER_TIME);
    builder
        .http2()
        .timer(TokioTimer::new())
        .keep_alive_interval(KEEP_ALIVE.0)
        .keep_alive_timeout(KEEP_ALIVE.1)
        .max_concurrent_streams(MAX_STREAMS)
        .max_header_list_size(MAX_HEADER_BYTES);
    match speaks {
        Speaks::Both => builder,
        Speaks::Http2 => builder.http2_only(),
    }
}
