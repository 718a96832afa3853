//! What the doors cost: the built program against a handler that does nothing, in one run.
//!
//! The empty handler is this program again in another process: the same transport crates, the same
//! request, and an answer of the same bytes, made once. So each ratio is the whole service over bare
//! transport. `cargo bench -p tamis-tests` prints a Markdown table.

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::body::Bytes;
use axum::http::header::CONTENT_TYPE;
use axum::routing::post;
use futures_util::stream::{self, StreamExt};
use tamis_app::App;
use tamis_catalogue::Catalogue;
use tamis_tests::server::Server;
use tamis_tests::{build, case, http};
use tamis_wire::v1;
use tamis_wire::v1::assessment_service_client::AssessmentServiceClient;
use tamis_wire::v1::assessment_service_server::{AssessmentService, AssessmentServiceServer};
use tonic::transport::Channel;
use tonic::{Request, Response, Status, Streaming};

const RUNS: usize = 7;
const CALLS: usize = 400;
const EMPTY: &str = "--empty-server";
const PATH: &str = "/v1/assessments";

/// A dish of twelve lines.
const DISH: &str = r#"{"dish": {"name": "Chicken and vegetables", "portions": 4, "lines": [
    "600 g chicken breast", "300 g white rice, dry", "2 tbsp olive oil", "3 cloves garlic", "1 medium onion, diced",
    "2 medium carrots", "200 g button mushrooms", "1 red pepper", "400 g canned tomatoes", "1 tbsp soy sauce",
    "1 tsp paprika", "10 g parsley"]}, "diner": {"phase": "restriction"}}"#;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    if arguments.next().as_deref() == Some(EMPTY) {
        let answer = arguments.next().ok_or("the answer is wanted")?;
        return runtime()?.block_on(empty_server(&std::fs::read_to_string(answer)?));
    }
    // `cargo test --benches` only wants to know that it starts.
    if std::env::args().any(|a| a == "--test") {
        return Ok(());
    }
    measure()
}

fn runtime() -> Result<tokio::runtime::Runtime, std::io::Error> {
    tokio::runtime::Builder::new_multi_thread()
        .worker_threads(1)
        .enable_all()
        .build()
}

fn median(mut runs: Vec<f64>) -> f64 {
    runs.sort_by(f64::total_cmp);
    runs[runs.len() / 2]
}

fn measure() -> Result<(), Box<dyn std::error::Error>> {
    let program = build(&["--release"]);
    let mut ready = Vec::new();
    for _ in 0..RUNS {
        let begun = Instant::now();
        let server = Server::with(&program, &["serve"], &[]);
        server.ready();
        ready.push(begun.elapsed().as_secs_f64() * 1e3);
    }
    let tamis = Server::with(&program, &["serve"], &[]);
    tamis.ready();
    std::thread::sleep(Duration::from_secs(1));
    let idle = memory(tamis.id())?;

    let answer = http::post(tamis.rest, PATH, DISH);
    if answer.status != 200 {
        return Err(format!("the dish is refused: {}", answer.text()).into());
    }
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("answer.json");
    std::fs::write(&file, &answer.body)?;
    let empty = Empty::start(&file)?;

    // The two servers take turns, so that a slow moment of the machine meets both.
    let mut times: BTreeMap<(&str, &str), Vec<f64>> = BTreeMap::new();
    for run in 0..=RUNS {
        for (who, rest, grpc) in [
            ("tamis", tamis.rest, tamis.grpc),
            ("empty", empty.rest, empty.grpc),
        ] {
            let unary = rest_unary(rest, answer.body.len())?;
            let (rpc, stream) = runtime()?.block_on(grpc_calls(grpc))?;
            // The first round warms up.
            if run > 0 {
                times.entry((who, "REST unary")).or_default().push(unary);
                times.entry((who, "gRPC unary")).or_default().push(rpc);
                times
                    .entry((who, "gRPC stream, a message"))
                    .or_default()
                    .push(stream);
            }
        }
    }

    println!(
        "| call, dish of 12 lines, answer of {} bytes | tamis, µs | empty handler, µs | ratio |",
        answer.body.len()
    );
    println!("| --- | --- | --- | --- |");
    for door in ["REST unary", "gRPC unary", "gRPC stream, a message"] {
        let of = |who| median(times[&(who, door)].clone()) * 1e6;
        println!(
            "| {door} | {:.0} | {:.0} | {:.2} |",
            of("tamis"),
            of("empty"),
            of("tamis") / of("empty")
        );
    }
    println!();
    println!("| figure | median of {RUNS} |");
    println!("| --- | --- |");
    let (read, parsed) = lines()?;
    println!("| recipe lines read and matched, a second, one core | {read:.0} |");
    println!("| recipe lines read, a second, one core | {parsed:.0} |");
    println!("| assessment in process, µs | {:.0} |", in_process()? * 1e6);
    println!("| start to ready, ms | {:.0} |", median(ready));
    println!("| idle memory (VmRSS), MiB | {idle:.1} |");
    println!(
        "| memory after the calls (VmRSS), MiB | {:.1} |",
        memory(tamis.id())?
    );
    Ok(())
}

/// Resident memory of a process in MiB.
fn memory(id: u32) -> Result<f64, Box<dyn std::error::Error>> {
    let status = std::fs::read_to_string(format!("/proc/{id}/status"))?;
    let line = status
        .lines()
        .find_map(|l| l.strip_prefix("VmRSS:"))
        .ok_or("no VmRSS")?;
    Ok(line.trim().trim_end_matches(" kB").parse::<f64>()? / 1024.0)
}

/// Seconds of one call on one connection that is kept.
fn rest_unary(to: SocketAddr, wanted: usize) -> Result<f64, Box<dyn std::error::Error>> {
    let mut out = TcpStream::connect(to)?;
    out.set_nodelay(true)?;
    let mut input = BufReader::new(out.try_clone()?);
    let request = format!(
        "POST {PATH} HTTP/1.1\r\nhost: {to}\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n{DISH}",
        DISH.len()
    );
    let mut body = Vec::new();
    let begun = Instant::now();
    for _ in 0..CALLS {
        out.write_all(request.as_bytes())?;
        let mut status = String::new();
        input.read_line(&mut status)?;
        if !status.contains(" 200 ") {
            return Err(format!("refused: {status}").into());
        }
        let mut length = 0;
        loop {
            let mut line = String::new();
            input.read_line(&mut line)?;
            if line.trim().is_empty() {
                break;
            }
            if let Some(value) = line.to_lowercase().strip_prefix("content-length:") {
                length = value.trim().parse()?;
            }
        }
        if length != wanted {
            return Err(format!("{length} bytes instead of {wanted}").into());
        }
        body.resize(length, 0);
        input.read_exact(&mut body)?;
    }
    Ok(begun.elapsed().as_secs_f64() / CALLS as f64)
}

/// Seconds of one unary call, and of one message of a stream in both directions.
async fn grpc_calls(to: SocketAddr) -> Result<(f64, f64), Box<dyn std::error::Error>> {
    let channel = Channel::from_shared(format!("http://{to}"))?
        .connect()
        .await?;
    let mut stub = AssessmentServiceClient::new(channel);
    let request: v1::AssessmentRequest = serde_json::from_str(DISH)?;
    let begun = Instant::now();
    for _ in 0..CALLS {
        stub.assess(v1::AssessRequest {
            request: Some(request.clone()),
        })
        .await?;
    }
    let unary = begun.elapsed().as_secs_f64() / CALLS as f64;
    let asked = move |sequence| v1::AssessStreamRequest {
        sequence,
        request: Some(request.clone()),
    };
    let begun = Instant::now();
    let count = i64::try_from(CALLS)?;
    let mut answers = stub
        .assess_stream(stream::iter((0..count).map(asked)))
        .await?
        .into_inner();
    let mut got = 0;
    while let Some(answer) = answers.message().await? {
        if answer.assessment.is_none() {
            return Err("an item was refused".into());
        }
        got += 1;
    }
    if got != CALLS {
        return Err(format!("{got} of {CALLS} answers").into());
    }
    Ok((unary, begun.elapsed().as_secs_f64() / CALLS as f64))
}

/// Recipe lines a second: read and matched to foods, and only read.
fn lines() -> Result<(f64, f64), Box<dyn std::error::Error>> {
    const TIMES: usize = 20;
    let app = App::new(Catalogue::embedded().map_err(|e| e.to_string())?);
    let text = case("lines.txt");
    let count = text.lines().count() * TIMES;
    let (mut read, mut parsed) = (Vec::new(), Vec::new());
    for _ in 0..RUNS {
        let begun = Instant::now();
        for _ in 0..TIMES {
            std::hint::black_box(
                app.read(std::hint::black_box(&text))
                    .map_err(|e| e.to_string())?,
            );
        }
        read.push(count as f64 / begun.elapsed().as_secs_f64());
        let begun = Instant::now();
        for _ in 0..TIMES {
            for (i, line) in text.lines().enumerate() {
                std::hint::black_box(tamis_kitchen_text::read_line(
                    std::hint::black_box(line),
                    i + 1,
                ));
            }
        }
        parsed.push(count as f64 / begun.elapsed().as_secs_f64());
    }
    Ok((median(read), median(parsed)))
}

/// Seconds of one assessment without a door.
fn in_process() -> Result<f64, Box<dyn std::error::Error>> {
    let app = App::new(Catalogue::embedded().map_err(|e| e.to_string())?);
    let request = tamis_client::from_json(DISH)?;
    let mut runs = Vec::new();
    for _ in 0..RUNS {
        let begun = Instant::now();
        for _ in 0..CALLS {
            std::hint::black_box(
                app.assess(std::hint::black_box(&request))
                    .map_err(|e| e.to_string())?,
            );
        }
        runs.push(begun.elapsed().as_secs_f64() / CALLS as f64);
    }
    Ok(median(runs))
}

/// The empty server in another process.
struct Empty {
    rest: SocketAddr,
    grpc: SocketAddr,
    child: Child,
}

impl Empty {
    fn start(answer: &std::path::Path) -> Result<Self, Box<dyn std::error::Error>> {
        let mut child = Command::new(std::env::current_exe()?)
            .arg(EMPTY)
            .arg(answer)
            .stdout(Stdio::piped())
            .spawn()?;
        let mut out = BufReader::new(child.stdout.take().ok_or("no pipe")?);
        let mut line = String::new();
        out.read_line(&mut line)?;
        let (rest, grpc) = line
            .trim()
            .split_once(' ')
            .ok_or("two addresses are wanted")?;
        Ok(Self {
            rest: rest.parse()?,
            grpc: grpc.parse()?,
            child,
        })
    }
}

impl Drop for Empty {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

async fn empty_server(answer: &str) -> Result<(), Box<dyn std::error::Error>> {
    let assessment: v1::Assessment = serde_json::from_str(answer)?;
    let body = Bytes::from(answer.to_owned());
    let router = axum::Router::new().route(
        PATH,
        post(move |_request: Bytes| async move { ([(CONTENT_TYPE, "application/json")], body) }),
    );
    let rest = tokio::net::TcpListener::bind("127.0.0.1:0").await?;
    let grpc = tokio::net::TcpListener::bind("127.0.0.1:0").await?;
    println!("{} {}", rest.local_addr()?, grpc.local_addr()?);
    std::io::stdout().flush()?;
    let service = AssessmentServiceServer::new(EmptyService {
        assessment: Arc::new(assessment),
    });
    let routes = tonic::service::Routes::new(service).into_axum_router();
    tokio::try_join!(async { axum::serve(tapped(rest), router).await }, async {
        axum::serve(tapped(grpc), routes).await
    },)?;
    Ok(())
}

/// Without the delay that gathers small packets, as the program has it.
fn tapped(listener: tokio::net::TcpListener) -> impl axum::serve::Listener<Addr = SocketAddr> {
    use axum::serve::ListenerExt;
    listener.tap_io(|stream| {
        let _ = stream.set_nodelay(true);
    })
}

struct EmptyService {
    assessment: Arc<v1::Assessment>,
}

#[tonic::async_trait]
impl AssessmentService for EmptyService {
    type AssessStreamStream = stream::BoxStream<'static, Result<v1::AssessStreamResponse, Status>>;

    async fn assess(
        &self,
        _: Request<v1::AssessRequest>,
    ) -> Result<Response<v1::AssessResponse>, Status> {
        Ok(Response::new(v1::AssessResponse {
            assessment: Some((*self.assessment).clone()),
        }))
    }

    async fn assess_stream(
        &self,
        request: Request<Streaming<v1::AssessStreamRequest>>,
    ) -> Result<Response<Self::AssessStreamStream>, Status> {
        let assessment = Arc::clone(&self.assessment);
        let answers = request.into_inner().map(move |asked| {
            Ok(v1::AssessStreamResponse {
                sequence: asked?.sequence,
                assessment: Some((*assessment).clone()),
                error: None,
            })
        });
        Ok(Response::new(answers.boxed()))
    }

    async fn batch_assess(
        &self,
        _: Request<v1::BatchAssessRequest>,
    ) -> Result<Response<v1::BatchAssessResponse>, Status> {
        Err(Status::unimplemented("not measured"))
    }
}
