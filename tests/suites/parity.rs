//! One request through every door gives the same bytes: the core in this process, the command line,
//! REST, gRPC, and the SDK by each of its three ways. A request that is refused is refused with the
//! same reason everywhere, and with the same fields at fault where a door can name them.

use serde_json::Value;
use tamis_app::App;
use tamis_catalogue::Catalogue;
use tamis_client::{Client, InProcess, from_json, to_json};
use tamis_tests::server::Server;
use tamis_tests::{http, requests, run};
use tamis_wire::v1;
use tamis_wire::v1::assessment_service_client::AssessmentServiceClient;
use tonic::transport::Channel;
use tonic_types::StatusExt;

type Outcome = Result<String, String>;

fn runtime() -> tokio::runtime::Runtime {
    tokio::runtime::Builder::new_multi_thread()
        .worker_threads(1)
        .enable_all()
        .build()
        .expect("a runtime")
}

fn app() -> App {
    App::new(Catalogue::embedded().expect("the catalogue loads"))
}

fn core(app: &App, text: &str) -> Outcome {
    let message: v1::AssessmentRequest = serde_json::from_str(text).expect("a request");
    let request = message
        .try_into()
        .map_err(|_: tamis_wire::ConversionErrors| "FIELD_INVALID".to_owned())?;
    let answer = app
        .assess(&request)
        .map_err(|e| e.reason.row().word.to_owned())?;
    Ok(serde_json::to_string(&v1::Assessment::from(answer)).expect("JSON"))
}

fn command(text: &str) -> Outcome {
    let ran = run(&["assess", "--json", "-"], text);
    if ran.code == 2 {
        let word = ran
            .err
            .strip_prefix("tamis: ")
            .and_then(|e| e.split(':').next())
            .unwrap_or_default();
        return Err(word.to_owned());
    }
    Ok(ran.out.strip_suffix('\n').expect("one line").to_owned())
}

fn rest(server: &Server, text: &str) -> Outcome {
    let answer = http::post(server.rest, "/v1/assessments", text);
    if answer.status == 200 {
        return Ok(answer.text().to_owned());
    }
    Err(answer.json()["reason"]
        .as_str()
        .expect("a reason")
        .to_owned())
}

async fn channel(server: &Server) -> AssessmentServiceClient<Channel> {
    let channel = Channel::from_shared(format!("http://{}", server.grpc)).expect("an address");
    AssessmentServiceClient::new(channel.connect().await.expect("the server listens"))
}

fn reason(status: &tonic::Status) -> String {
    status
        .get_details_error_info()
        .map_or_else(|| format!("{status:?}"), |info| info.reason)
}

async fn grpc(client: &mut AssessmentServiceClient<Channel>, text: &str) -> Outcome {
    let request: v1::AssessmentRequest = serde_json::from_str(text).expect("a request");
    let asked = v1::AssessRequest {
        request: Some(request),
    };
    match client.assess(asked).await {
        Ok(answer) => {
            let assessment = answer.into_inner().assessment.expect("always present");
            Ok(serde_json::to_string(&assessment).expect("JSON"))
        }
        Err(status) => Err(reason(&status)),
    }
}

async fn sdk(client: &Client, text: &str) -> Outcome {
    let why = |e: tamis_client::Error| e.reason().unwrap_or("no reason").to_owned();
    let request = from_json(text).map_err(why)?;
    let answer = client.assess(&request).await.map_err(why)?;
    to_json(&answer).map_err(why)
}

#[test]
fn every_door_gives_the_same_bytes() {
    let server = Server::shared();
    let app = app();
    runtime().block_on(async {
        let mut stub = channel(server).await;
        let over_grpc = Client::builder(format!("grpc://{}", server.grpc))
            .build()
            .expect("a client");
        let over_rest = Client::builder(format!("http://{}", server.rest))
            .build()
            .expect("a client");
        let inside = Client::new(InProcess::new(app.clone()));
        let (mut answered, mut refused) = (0, 0);
        for (name, text) in requests() {
            let wanted = core(&app, &text);
            assert_eq!(
                wanted.is_err(),
                name.starts_with("refused-"),
                "{name}: {wanted:?}"
            );
            match &wanted {
                Ok(_) => answered += 1,
                Err(_) => refused += 1,
            }
            let doors = [
                ("command line", command(&text)),
                ("REST", rest(server, &text)),
                ("gRPC", grpc(&mut stub, &text).await),
                ("SDK over gRPC", sdk(&over_grpc, &text).await),
                ("SDK over REST", sdk(&over_rest, &text).await),
                ("SDK in process", sdk(&inside, &text).await),
            ];
            for (door, outcome) in doors {
                assert_eq!(outcome, wanted, "{name}: {door}");
            }
        }
        println!("{answered} answers and {refused} refusals, the same through seven doors");
        assert!(answered >= 10 && refused >= 3);
    });
}

#[test]
fn a_stream_answers_in_order_and_goes_on_after_a_refusal() {
    let server = Server::shared();
    let app = app();
    let cases = requests();
    runtime().block_on(async {
        let mut stub = channel(server).await;
        let asked: Vec<_> = (0..)
            .zip(&cases)
            .map(|(i, (_, text))| v1::AssessStreamRequest {
                sequence: 100 + i,
                request: Some(serde_json::from_str(text).expect("a request")),
            })
            .collect();
        let mut answers = stub
            .assess_stream(futures_util::stream::iter(asked))
            .await
            .expect("a stream")
            .into_inner();
        let mut place = 0;
        while let Some(answer) = answers.message().await.expect("the stream goes on") {
            let (name, text) = &cases[place];
            assert_eq!(
                answer.sequence,
                100 + i64::try_from(place).expect("small"),
                "{name}"
            );
            let outcome = match (answer.assessment, answer.error) {
                (Some(assessment), None) => Ok(serde_json::to_string(&assessment).expect("JSON")),
                (None, Some(error)) => Err(error.reason),
                both => panic!("{name}: {both:?}"),
            };
            assert_eq!(outcome, core(&app, text), "{name}");
            place += 1;
        }
        assert_eq!(place, cases.len());
    });
}

#[test]
fn fields_at_fault_are_the_same_over_rest_and_grpc() {
    let server = Server::shared();
    runtime().block_on(async {
        let mut stub = channel(server).await;
        for (name, text) in requests()
            .into_iter()
            .filter(|(name, _)| name.starts_with("refused-"))
        {
            let problem = http::post(server.rest, "/v1/assessments", &text).json();
            let over_rest: Vec<String> = problem["errors"]
                .as_array()
                .expect("errors")
                .iter()
                .map(|e| e["pointer"].as_str().expect("a pointer").to_owned())
                .collect();
            let request: v1::AssessmentRequest = serde_json::from_str(&text).expect("a request");
            let status = stub
                .assess(v1::AssessRequest {
                    request: Some(request),
                })
                .await
                .expect_err("refused");
            let over_grpc: Vec<String> = status
                .get_details_bad_request()
                .map(|b| b.field_violations.into_iter().map(|v| v.field).collect())
                .unwrap_or_default();
            // A message of gRPC holds the request in a field of that name.
            let bare: Vec<String> = over_grpc
                .iter()
                .map(|f| f.strip_prefix("/request").unwrap_or(f).to_owned())
                .collect();
            assert_eq!(bare, over_rest, "{name}");
            assert_eq!(
                reason(&status),
                problem["reason"].as_str().expect("a reason"),
                "{name}"
            );
        }
    });
}

#[test]
fn readings_foods_and_tickets_agree_too() {
    let server = Server::shared();
    let lines = tamis_tests::case("lines.txt");
    let by_command: Vec<Value> = tamis_tests::read(&lines);
    let body = serde_json::json!({"text": lines}).to_string();
    let by_rest = http::post(server.rest, "/v1/readings", body).json();
    assert_eq!(Value::from(by_command), by_rest["readings"]);
    for id in ["scallion-green", "milk-whole", "honey", "chickpea"] {
        let by_command = run(&["foods", id, "--json"], "");
        let by_rest = http::get(server.rest, &format!("/v1/foods/{id}"));
        assert_eq!(by_command.out.trim_end(), by_rest.text(), "{id}");
    }
    for (name, text) in requests()
        .into_iter()
        .filter(|(name, _)| !name.starts_with("refused-"))
    {
        let by_command = run(&["ticket", "-"], &text);
        let body = format!("{{\"request\": {text}}}");
        let by_rest = http::post(server.rest, "/v1/tickets:render", body);
        assert_eq!(by_rest.status, 200, "{name}: {by_rest:?}");
        assert_eq!(
            Value::from(by_command.out),
            by_rest.json()["text"],
            "{name}"
        );
    }
}

#[test]
fn the_same_question_twice_gives_the_same_bytes() {
    let app = app();
    let again = self::app();
    for (name, text) in requests() {
        assert_eq!(core(&app, &text), core(&app, &text), "{name}");
        assert_eq!(
            core(&app, &text),
            core(&again, &text),
            "{name}: another catalogue"
        );
    }
}
