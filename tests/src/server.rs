//! The program as a server, on ports of the system's choice.

use std::io::{BufRead, BufReader, Read};
use std::net::SocketAddr;
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

use crate::http;

/// A running server; it is ended with the value.
#[derive(Debug)]
pub struct Server {
    /// Where REST listens.
    pub rest: SocketAddr,
    /// Where gRPC listens.
    pub grpc: SocketAddr,
    /// What it printed before its addresses.
    pub printed: String,
    child: Child,
}

impl Server {
    /// Starts `tamis serve`.
    #[must_use]
    pub fn start() -> Self {
        Self::with(crate::tamis(), &["serve"], &[])
    }

    /// One server for all tests that only ask.
    #[must_use]
    pub fn shared() -> &'static Self {
        static SERVER: OnceLock<Server> = OnceLock::new();
        SERVER.get_or_init(|| {
            let server = Self::start();
            reap(server.child.id());
            server
        })
    }

    /// Starts a program with arguments and environment of the test's choice, and waits until it has
    /// printed both addresses.
    ///
    /// # Panics
    /// When it does not start.
    #[must_use]
    pub fn with(program: &Path, arguments: &[&str], environment: &[(&str, &str)]) -> Self {
        let mut child = Command::new(program)
            .args(arguments)
            .env("TAMIS_REST", "127.0.0.1:0")
            .env("TAMIS_GRPC", "127.0.0.1:0")
            .env("TAMIS_LOG", "warn")
            .envs(environment.iter().copied())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit())
            .spawn()
            .expect("the program runs");
        let mut out = BufReader::new(child.stdout.take().expect("a pipe"));
        let mut printed = String::new();
        let mut address = |prefix: &str| loop {
            let mut line = String::new();
            let read = out.read_line(&mut line).expect("output in UTF-8");
            assert!(
                read > 0,
                "the server ended before it printed its addresses:\n{printed}"
            );
            if let Some(address) = line.trim_end().strip_prefix(prefix) {
                break address.parse().expect("an address");
            }
            printed += &line;
        };
        let rest = address("REST on http://");
        let grpc = address("gRPC on http://");
        // What it prints later must not stop it for want of a reader.
        std::thread::spawn(move || {
            let mut rest = Vec::new();
            let _ = out.read_to_end(&mut rest);
        });
        Self {
            rest,
            grpc,
            printed,
            child,
        }
    }

    /// Its process id.
    #[must_use]
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// Waits until `/readyz` says so.
    ///
    /// # Panics
    /// When it does not within ten seconds.
    pub fn ready(&self) {
        let begun = Instant::now();
        while http::get(self.rest, "/readyz").status != 200 {
            assert!(begun.elapsed() < Duration::from_secs(10), "not ready");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// Tells it to stop, as a service manager does.
    ///
    /// # Panics
    /// When the signal cannot be sent.
    pub fn tell_to_stop(&self) {
        let sent = Command::new("kill")
            .args(["-TERM", &self.id().to_string()])
            .status();
        assert!(sent.is_ok_and(|s| s.success()), "the signal was not sent");
    }

    /// Waits until it has ended.
    ///
    /// # Panics
    /// When it does not within `time`.
    pub fn ended(&mut self, time: Duration) -> ExitStatus {
        let begun = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().expect("a child of ours") {
                return status;
            }
            assert!(
                begun.elapsed() < time,
                "the server has not ended after {time:?}"
            );
            std::thread::sleep(Duration::from_millis(10));
        }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Ends a process when this one ends: a value in a static is never dropped.
fn reap(id: u32) {
    let own = std::process::id();
    let watch =
        format!("while kill -0 {own} 2>/dev/null; do sleep 1; done; kill -KILL {id} 2>/dev/null");
    let _ = Command::new("sh")
        .args(["-c", &watch])
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
}
