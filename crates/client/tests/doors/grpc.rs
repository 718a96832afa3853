//! Over gRPC.

use std::error::Error as _;
use std::pin::Pin;
use std::time::{Duration, Instant};

use futures_util::{Stream, StreamExt, stream};
use tamis_client::{Client, ErrorKind};
use tamis_wire::v1;
use tamis_wire::v1::assessment_service_server::{AssessmentService, AssessmentServiceServer};
use tonic::{Code, Request, Response, Status, Streaming};
use tonic_types::{ErrorDetails, StatusExt};

use crate::script::{Script, Step, answer, dish, patient};

#[derive(Clone)]
struct Fake(Script);

impl Fake {
    async fn step<M>(&self, request: &Request<M>) -> Result<(), Status> {
        let timeout = request
            .metadata()
            .get("grpc-timeout")
            .map(|v| v.to_str().unwrap());
        self.0.saw_timeout(timeout.unwrap_or("none"));
        let fail = |code, reason: &str, details: ErrorDetails| {
            let mut details = details;
            details.set_error_info(reason, "tamis", std::collections::HashMap::new());
            details.set_request_info("call-7", "");
            Err(Status::with_error_details(code, "A sentence.", details))
        };
        match self.0.next() {
            Step::Answer => Ok(()),
            Step::Refuse => {
                let mut details = ErrorDetails::new();
                details.add_bad_request_violation("/request/dish/portions", "must be over 0");
                fail(Code::InvalidArgument, "FIELD_INVALID", details)
            }
            Step::Stopping => fail(Code::Unavailable, "SHUTTING_DOWN", ErrorDetails::new()),
            Step::Overloaded => {
                let details = ErrorDetails::with_retry_info(Some(Duration::from_millis(300)));
                fail(Code::ResourceExhausted, "OVERLOADED", details)
            }
            Step::OverloadedForNow => fail(
                Code::ResourceExhausted,
                "REQUEST_TOO_LARGE",
                ErrorDetails::new(),
            ),
            Step::Fault => fail(Code::Internal, "INTERNAL", ErrorDetails::new()),
            Step::Silent => std::future::pending().await,
        }
    }
}

#[tonic::async_trait]
impl AssessmentService for Fake {
    async fn assess(
        &self,
        request: Request<v1::AssessRequest>,
    ) -> Result<Response<v1::AssessResponse>, Status> {
        self.step(&request).await?;
        let assessment = answer(request.into_inner().request.unwrap()).unwrap();
        Ok(Response::new(v1::AssessResponse {
            assessment: Some(assessment),
        }))
    }

    async fn batch_assess(
        &self,
        _: Request<v1::BatchAssessRequest>,
    ) -> Result<Response<v1::BatchAssessResponse>, Status> {
        Err(Status::unimplemented("the client streams"))
    }

    type AssessStreamStream =
        Pin<Box<dyn Stream<Item = Result<v1::AssessStreamResponse, Status>> + Send>>;

    async fn assess_stream(
        &self,
        request: Request<Streaming<v1::AssessStreamRequest>>,
    ) -> Result<Response<Self::AssessStreamStream>, Status> {
        self.step(&request).await?;
        Ok(Response::new(Box::pin(request.into_inner().map(|item| {
            let v1::AssessStreamRequest { sequence, request } = item?;
            let (assessment, error) = match answer(request.unwrap()) {
                Ok(assessment) => (Some(assessment), None),
                Err(error) => (None, Some(error)),
            };
            Ok(v1::AssessStreamResponse {
                sequence,
                assessment,
                error,
            })
        }))))
    }
}

async fn serve(script: &Script) -> String {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    let routes = tonic::service::Routes::new(AssessmentServiceServer::new(Fake(script.clone())));
    tokio::spawn(async move { axum::serve(listener, routes.into_axum_router()).await });
    format!("grpc://{address}")
}

async fn client(script: &Script) -> Client {
    patient(serve(script).await).build().unwrap()
}

#[test]
fn building_needs_no_runtime_and_sends_nothing() {
    assert!(Client::builder("grpc://127.0.0.1:1").build().is_ok());
    for wrong in ["grpc://", "127.0.0.1:50051", "https://127.0.0.1", ""] {
        let error = Client::builder(wrong).build().unwrap_err();
        assert_eq!(error.kind(), ErrorKind::Configuration, "{wrong}: {error}");
    }
}

#[tokio::test]
async fn an_answer_comes_back_as_the_domain() {
    let script = Script::default();
    let answer = client(&script)
        .await
        .assess(&dish("Rice bowl"))
        .await
        .unwrap();
    assert_eq!(answer.name, "Rice bowl");
    assert_eq!(answer.portion, None, "unknown stays unknown");
    assert_ne!(script.timeouts(), ["none"], "the deadline is sent");
}

#[tokio::test]
async fn a_refusal_is_read_from_the_details_and_not_repeated() {
    let script = Script::of([Step::Refuse]);
    let error = client(&script)
        .await
        .assess(&dish("Rice bowl"))
        .await
        .unwrap_err();
    assert_eq!(error.kind(), ErrorKind::InvalidRequest);
    assert_eq!(error.reason(), Some("FIELD_INVALID"));
    assert_eq!(
        error.violations()[0].field,
        "/dish/portions",
        "a pointer into the request"
    );
    assert_eq!(error.request_id(), Some("call-7"));
    assert!(!error.is_retryable());
    assert!(error.source().is_some());
    assert_eq!(script.calls(), 1);
}

#[tokio::test]
async fn what_may_pass_is_tried_again() {
    let script = Script::of([Step::Stopping, Step::Overloaded]);
    let start = Instant::now();
    assert!(
        client(&script)
            .await
            .assess(&dish("Rice bowl"))
            .await
            .is_ok()
    );
    assert_eq!(script.calls(), 3);
    assert!(
        start.elapsed() >= Duration::from_millis(300),
        "the pause asked for is kept"
    );
}

#[tokio::test]
async fn patience_ends() {
    let script = Script::of([Step::Stopping; 10]);
    let error = client(&script)
        .await
        .assess(&dish("Rice bowl"))
        .await
        .unwrap_err();
    assert_eq!(
        (error.kind(), error.attempts()),
        (ErrorKind::Unavailable, 3)
    );
    assert_eq!(script.calls(), 3);

    let script = Script::of([Step::Stopping]);
    let once = patient(serve(&script).await)
        .without_retries()
        .build()
        .unwrap();
    assert_eq!(
        once.assess(&dish("Rice bowl"))
            .await
            .unwrap_err()
            .attempts(),
        1
    );
}

#[tokio::test]
async fn a_fault_and_a_limit_are_not_tried_again() {
    for (step, kind) in [
        (Step::Fault, ErrorKind::Internal),
        (Step::OverloadedForNow, ErrorKind::InvalidRequest),
    ] {
        let script = Script::of([step]);
        let error = client(&script)
            .await
            .assess(&dish("Rice bowl"))
            .await
            .unwrap_err();
        assert_eq!(error.kind(), kind);
        assert_eq!(script.calls(), 1);
    }
}

#[tokio::test]
async fn silence_ends_at_the_deadline() {
    let script = Script::of([Step::Silent; 2]);
    let client = Client::builder(serve(&script).await)
        .attempt_deadline(Duration::from_millis(200))
        .operation_deadline(Duration::from_secs(1))
        .max_attempts(2)
        .build()
        .unwrap();
    let start = Instant::now();
    let error = client.assess(&dish("Rice bowl")).await.unwrap_err();
    assert_eq!(error.kind(), ErrorKind::DeadlineExceeded);
    assert_eq!(error.attempts(), 2);
    assert!(
        start.elapsed() < Duration::from_millis(900),
        "{:?}",
        start.elapsed()
    );
}

#[tokio::test]
async fn nobody_there_is_unavailable() {
    // A port that was free a moment ago.
    let address = {
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
        listener.local_addr().unwrap()
    };
    for endpoint in [format!("grpc://{address}"), format!("http://{address}")] {
        let client = patient(endpoint).build().unwrap();
        let error = client.assess(&dish("Rice bowl")).await.unwrap_err();
        assert_eq!(
            (error.kind(), error.attempts()),
            (ErrorKind::Unavailable, 3),
            "{error:?}"
        );
    }
}

#[tokio::test]
async fn many_keep_their_order_and_each_its_outcome() {
    let script = Script::of([Step::Stopping]);
    let names: Vec<String> = (0..150)
        .map(|i| {
            if i == 70 {
                "bad".to_owned()
            } else {
                format!("dish {i}")
            }
        })
        .collect();
    let requests: Vec<_> = names.iter().map(|n| dish(n)).collect();
    let client = client(&script).await;
    let outcomes: Vec<_> = client.assess_many(stream::iter(requests)).collect().await;
    assert_eq!(outcomes.len(), names.len());
    for (name, outcome) in names.iter().zip(&outcomes) {
        match outcome {
            Ok(answer) => assert_eq!(&answer.name, name),
            Err(error) => {
                assert_eq!(name, "bad");
                assert_eq!(error.violations()[0].field, "/dish/name");
            }
        }
    }
}
