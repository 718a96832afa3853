//! A client of HTTP/1.1 that sends whatever bytes a test wants and shows what came back. It is our
//! own so that a broken request is as easy to send as a right one.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::Duration;

use serde_json::Value;

const PATIENCE: Duration = Duration::from_secs(30);

/// An answer.
#[derive(Debug)]
pub struct Answer {
    /// Its status.
    pub status: u16,
    /// Its header fields, names in lower case.
    pub headers: Vec<(String, String)>,
    /// Its body.
    pub body: Vec<u8>,
}

impl Answer {
    /// A header field; empty where there is none.
    #[must_use]
    pub fn header(&self, name: &str) -> &str {
        self.headers
            .iter()
            .find(|(n, _)| n == name)
            .map_or("", |(_, value)| value)
    }

    /// The body as text.
    ///
    /// # Panics
    /// When it is not UTF-8.
    #[must_use]
    pub fn text(&self) -> &str {
        std::str::from_utf8(&self.body).expect("a body in UTF-8")
    }

    /// The body as JSON.
    ///
    /// # Panics
    /// When it is not.
    #[must_use]
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("{e}: {self:?}"))
    }
}

/// Asks with a method and a path.
///
/// # Panics
/// When no answer comes.
#[must_use]
pub fn send(
    to: SocketAddr,
    method: &str,
    path: &str,
    headers: &[(&str, &str)],
    body: &[u8],
) -> Answer {
    let mut head = format!("{method} {path} HTTP/1.1\r\nhost: {to}\r\nconnection: close\r\n");
    for (name, value) in headers {
        head += &format!("{name}: {value}\r\n");
    }
    head += &format!("content-length: {}\r\n\r\n", body.len());
    raw(to, &[head.as_bytes(), body].concat())
}

/// Posts JSON.
#[must_use]
pub fn post(to: SocketAddr, path: &str, body: impl AsRef<[u8]>) -> Answer {
    send(
        to,
        "POST",
        path,
        &[("content-type", "application/json")],
        body.as_ref(),
    )
}

/// Gets a path.
#[must_use]
pub fn get(to: SocketAddr, path: &str) -> Answer {
    send(to, "GET", path, &[], b"")
}

/// Sends bytes as they are and reads the answer to its end.
///
/// # Panics
/// When no answer comes.
#[must_use]
pub fn raw(to: SocketAddr, bytes: &[u8]) -> Answer {
    let mut stream = connect(to);
    // A server that refuses early may close before all is sent; its answer still counts.
    let _ = stream.write_all(bytes);
    finish(&mut stream)
}

/// Connects.
///
/// # Panics
/// When that fails.
#[must_use]
pub fn connect(to: SocketAddr) -> TcpStream {
    let stream = TcpStream::connect_timeout(&to, PATIENCE).expect("the server listens");
    stream.set_read_timeout(Some(PATIENCE)).expect("a timeout");
    stream.set_write_timeout(Some(PATIENCE)).expect("a timeout");
    stream
}

/// Reads the answer to its end.
///
/// # Panics
/// When it is none.
#[must_use]
pub fn finish(stream: &mut TcpStream) -> Answer {
    let mut bytes = Vec::new();
    let mut chunk = [0; 16 * 1024];
    loop {
        match stream.read(&mut chunk) {
            Ok(0) => break,
            Ok(n) => bytes.extend_from_slice(&chunk[..n]),
            Err(_) if complete(&bytes) => break,
            Err(error) => panic!(
                "no whole answer: {error}: {}",
                String::from_utf8_lossy(&bytes)
            ),
        }
        if complete(&bytes) {
            break;
        }
    }
    parse(&bytes).unwrap_or_else(|| panic!("no answer: {}", String::from_utf8_lossy(&bytes)))
}

fn complete(bytes: &[u8]) -> bool {
    parse(bytes).is_some_and(
        |answer| match answer.header("content-length").parse::<usize>() {
            Ok(length) => answer.body.len() >= length,
            Err(_) => bytes.ends_with(b"0\r\n\r\n"),
        },
    )
}

fn parse(bytes: &[u8]) -> Option<Answer> {
    let end = bytes.windows(4).position(|w| w == b"\r\n\r\n")?;
    let head = std::str::from_utf8(&bytes[..end]).ok()?;
    let mut lines = head.split("\r\n");
    let status = lines.next()?.split(' ').nth(1)?.parse().ok()?;
    let headers: Vec<(String, String)> = lines
        .filter_map(|line| line.split_once(':'))
        .map(|(name, value)| (name.to_lowercase(), value.trim().to_owned()))
        .collect();
    let mut body = bytes[end + 4..].to_vec();
    if headers
        .iter()
        .any(|(n, v)| n == "transfer-encoding" && v.contains("chunked"))
    {
        body = unchunk(&body);
    }
    Some(Answer {
        status,
        headers,
        body,
    })
}

fn unchunk(mut bytes: &[u8]) -> Vec<u8> {
    let mut body = Vec::new();
    while let Some(end) = bytes.windows(2).position(|w| w == b"\r\n") {
        let size = std::str::from_utf8(&bytes[..end])
            .ok()
            .and_then(|t| usize::from_str_radix(t, 16).ok());
        let Some(size) = size.filter(|&s| s > 0 && bytes.len() >= end + 2 + s) else {
            break;
        };
        body.extend_from_slice(&bytes[end + 2..end + 2 + size]);
        bytes = bytes.get(end + 4 + size..).unwrap_or_default();
    }
    body
}
