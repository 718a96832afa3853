//! The binary as a process: it starts, says where it listens, answers, and stops when told to.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test stops at the first surprise"
)]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::process::{Child, Command, Output, Stdio};
use std::time::Duration;

fn tamis(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tamis"));
    command.args(arguments).stdin(Stdio::null());
    for variable in [
        "TAMIS_REST",
        "TAMIS_GRPC",
        "TAMIS_STORE",
        "TAMIS_DEMO",
        "TAMIS_DRAIN",
        "TAMIS_LOG",
    ] {
        command.env_remove(variable);
    }
    command
}

fn run(arguments: &[&str], input: &str) -> Output {
    let mut child = tamis(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that refuses before it reads has closed its end.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

struct Server {
    child: Child,
    rest: SocketAddr,
    grpc: SocketAddr,
    /// Everything printed before the addresses.
    page: String,
}

impl Server {
    fn start(more: &[&str]) -> Self {
        let ports = ["serve", "--rest", "127.0.0.1:0", "--grpc", "127.0.0.1:0"];
        let mut child = tamis(&[&ports, more].concat())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let mut page = String::new();
        let mut address = |door: &str| loop {
            let line = lines.next().expect("the server ended early").unwrap();
            match line.strip_prefix(door) {
                Some(address) => break address.parse().unwrap(),
                None => page += &(line + "\n"),
            }
        };
        let (rest, grpc) = (address("REST on http://"), address("gRPC on http://"));
        Self {
            child,
            rest,
            grpc,
            page,
        }
    }

    fn get(&self, path: &str) -> String {
        let mut stream = TcpStream::connect(self.rest).unwrap();
        let request = format!("GET {path} HTTP/1.1\r\nhost: tamis\r\nconnection: close\r\n\r\n");
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    }

    fn stop(mut self, signal: &str) -> (Option<i32>, String) {
        let pid = self.child.id().to_string();
        assert!(
            Command::new("kill")
                .args([signal, &pid])
                .status()
                .unwrap()
                .success()
        );
        let status = self.child.wait().unwrap();
        let mut journal = String::new();
        self.child
            .stderr
            .take()
            .unwrap()
            .read_to_string(&mut journal)
            .unwrap();
        (status.code(), journal)
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // A test that failed leaves no server behind.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn it_answers_and_stops_with_zero_on_either_signal() {
    for signal in ["-TERM", "-INT"] {
        let server = Server::start(&[]);
        assert!(server.get("/readyz").starts_with("HTTP/1.1 200"));
        assert!(
            server
                .get("/v1/foods?query=patient+of+room+12")
                .starts_with("HTTP/1.1 200")
        );
        // A connection that says nothing does not keep the server.
        let _silent = TcpStream::connect(server.grpc).unwrap();
        let (code, journal) = server.stop(signal);
        assert_eq!(code, Some(0), "{journal}");
        assert!(journal.contains("route=\"/v1/foods\""), "{journal}");
        assert!(!journal.contains("room"), "{journal}");
    }
}

#[test]
fn a_request_under_way_is_answered_before_it_stops() {
    let server = Server::start(&[]);
    let body = r#"{"dish": {"name": "Bowl", "portions": 1, "lines": ["300 g rice"]}}"#;
    let (first, rest) = body.split_at(10);
    let mut stream = TcpStream::connect(server.rest).unwrap();
    let head = format!(
        "POST /v1/assessments HTTP/1.1\r\nhost: tamis\r\ncontent-type: application/json\r\n\
         content-length: {}\r\n\r\n{first}",
        body.len()
    );
    stream.write_all(head.as_bytes()).unwrap();
    std::thread::sleep(Duration::from_millis(300));
    let address = server.rest;
    let stopping = std::thread::spawn(move || server.stop("-TERM"));
    std::thread::sleep(Duration::from_millis(300));
    assert!(
        TcpStream::connect(address).is_err(),
        "new connections are refused"
    );
    stream.write_all(rest.as_bytes()).unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
    let (code, journal) = stopping.join().unwrap();
    assert_eq!(code, Some(0));
    assert!(journal.contains("route=\"/v1/assessments\""), "{journal}");
    assert!(!journal.contains("Bowl"), "{journal}");
}

#[test]
fn the_command_line_answers_with_the_bytes_of_the_api() {
    let server = Server::start(&[]);
    let body =
        r#"{"dish": {"name": "Bowl", "portions": 4, "lines": ["300 g rice", "2 cloves garlic"]}}"#;
    let mut stream = TcpStream::connect(server.rest).unwrap();
    let request = format!(
        "POST /v1/assessments HTTP/1.1\r\nhost: tamis\r\ncontent-type: application/json\r\n\
         connection: close\r\ncontent-length: {}\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(request.as_bytes()).unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    let (_, of_the_api) = answer.split_once("\r\n\r\n").unwrap();
    let printed = run(&["assess", "--json", "-"], body);
    assert_eq!(
        String::from_utf8(printed.stdout).unwrap(),
        format!("{of_the_api}\n")
    );
    server.stop("-TERM");
}

#[test]
fn a_request_that_never_ends_is_cut_off_after_the_drain() {
    let server = Server::start(&["--drain", "1"]);
    let mut stream = TcpStream::connect(server.rest).unwrap();
    stream
        .write_all(b"POST /v1/assessments HTTP/1.1\r\nhost: tamis\r\ncontent-type: application/json\r\ncontent-length: 50\r\n\r\n{")
        .unwrap();
    std::thread::sleep(Duration::from_millis(300));
    let (code, journal) = server.stop("-TERM");
    assert_eq!(code, Some(0), "{journal}");
    assert!(journal.contains("cut off"), "{journal}");
}

#[test]
fn a_busy_port_is_an_error_that_says_what_to_do() {
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let output = run(&["serve", "--rest", &address, "--grpc", "127.0.0.1:0"], "");
    let message = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{message}");
    assert!(
        message.contains(&address) && message.contains("--rest"),
        "{message}"
    );
    assert!(output.stdout.is_empty());
}

#[test]
fn the_demonstration_comes_out_of_the_store_onto_the_pass() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("menus.sqlite");
    let file = file.to_str().unwrap();
    let server = Server::start(&["--demo", "--store", file]);
    for words in ["Alder Bay", "Brindlewick", "ALTER"] {
        assert!(
            server.page.contains(words),
            "no {words} in:\n{}",
            server.page
        );
    }
    assert!(server.page.is_ascii());
    assert_eq!(server.stop("-TERM").0, Some(0));
    // A second start finds the file and loads the same menus again.
    let server = Server::start(&["--demo", "--store", file]);
    assert!(server.page.contains("Alder Bay"));
    assert_eq!(server.stop("-TERM").0, Some(0));
}

#[test]
fn the_exit_code_says_what_became_of_the_dishes() {
    let out = run(
        &["assess", "-"],
        "Rice bowl\nserves 1\n\n75 g rice, cooked\n",
    );
    assert_eq!(
        out.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    let held = run(&["assess", "-"], "Mystery\nserves 1\n\n75 g moon dust\n");
    assert_eq!(
        held.status.code(),
        Some(1),
        "{}",
        String::from_utf8_lossy(&held.stderr)
    );
    for (arguments, input) in [
        (vec!["assess", "-"], ""),
        (vec!["assess", "no-such-file"], ""),
        (vec!["assess", "-", "--format", "json"], "{\"dish\": 1}"),
        (
            vec!["assess", "-", "--phase", "strict"],
            "Rice\nserves 1\n\n75 g rice\n",
        ),
        (
            vec!["assess", "-", "--challenge", "lactose"],
            "Rice\nserves 1\n\n75 g rice\n",
        ),
    ] {
        let refused = run(&arguments, input);
        assert_eq!(refused.status.code(), Some(2), "{arguments:?}");
        assert!(refused.stdout.is_empty(), "{arguments:?}");
        assert!(!refused.stderr.is_empty(), "{arguments:?}");
    }
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    let mut child = tamis(&["foods"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(
        output.stderr.is_empty(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

#[test]
fn a_file_over_the_limit_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("menu.txt");
    std::fs::write(&file, vec![b'x'; 16 * 1024 * 1024 + 1]).unwrap();
    let output = run(&["audit", file.to_str().unwrap()], "");
    assert_eq!(output.status.code(), Some(2));
    let message = String::from_utf8(output.stderr).unwrap();
    assert!(message.contains("16777216"), "{message}");
}
