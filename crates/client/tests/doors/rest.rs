//! Over REST.

use std::time::{Duration, Instant};

use axum::Router;
use axum::extract::{Json, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use futures_util::{StreamExt, stream};
use tamis_client::scoring::quantity::FoodId;
use tamis_client::{Client, ErrorKind, FoodQuery, TicketLayout};
use tamis_wire::problem::{ErrorItem, Problem};
use tamis_wire::v1;

use crate::script::{Script, Step, answer, dish, patient};

async fn step(script: &Script) -> Result<(), Response> {
    let problem = |status: StatusCode, reason: &str, errors: Vec<ErrorItem>| {
        let body = Problem {
            status: status.as_u16(),
            detail: "A sentence.".into(),
            reason: reason.into(),
            request_id: "call-7".into(),
            errors,
            ..Default::default()
        };
        (status, Json(body)).into_response()
    };
    match script.next() {
        Step::Answer => Ok(()),
        Step::Refuse => Err(problem(
            StatusCode::BAD_REQUEST,
            "FIELD_INVALID",
            vec![ErrorItem {
                pointer: "/dish/portions".into(),
                detail: "must be over 0".into(),
            }],
        )),
        Step::Stopping => Err(problem(
            StatusCode::SERVICE_UNAVAILABLE,
            "SHUTTING_DOWN",
            Vec::new(),
        )),
        Step::Overloaded => {
            let mut response = problem(StatusCode::TOO_MANY_REQUESTS, "OVERLOADED", Vec::new());
            response
                .headers_mut()
                .insert(header::RETRY_AFTER, "1".parse().unwrap());
            Err(response)
        }
        Step::OverloadedForNow => Err(problem(
            StatusCode::TOO_MANY_REQUESTS,
            "OVERLOADED",
            Vec::new(),
        )),
        Step::Fault => Err((StatusCode::INTERNAL_SERVER_ERROR, "not a problem").into_response()),
        Step::Silent => std::future::pending().await,
    }
}

async fn assess(
    State(script): State<Script>,
    Json(request): Json<v1::AssessmentRequest>,
) -> Result<Json<v1::Assessment>, Response> {
    step(&script).await?;
    Ok(Json(answer(request).unwrap()))
}

async fn batch(
    State(script): State<Script>,
    Json(batch): Json<v1::BatchAssessRequest>,
) -> Result<Json<v1::BatchAssessResponse>, Response> {
    step(&script).await?;
    let results = (0..)
        .zip(batch.requests)
        .map(|(index, request)| match answer(request) {
            Ok(a) => v1::BatchAssessResult {
                index,
                assessment: Some(a),
                error: None,
            },
            Err(e) => v1::BatchAssessResult {
                index,
                assessment: None,
                error: Some(e),
            },
        });
    Ok(Json(v1::BatchAssessResponse {
        results: results.collect(),
    }))
}

async fn ticket(Json(request): Json<v1::RenderTicketRequest>) -> Json<v1::RenderTicketResponse> {
    let layout = request.layout.unwrap();
    Json(v1::RenderTicketResponse {
        text: format!("{:?} {:?}", layout.kind(), layout.columns),
        assessment: Some(answer(request.request.unwrap()).unwrap()),
    })
}

/// Two pages of one food each, whatever is asked for.
async fn foods(Query(asked): Query<v1::ListFoodsRequest>) -> Json<v1::ListFoodsResponse> {
    let (id, next) = match asked.page_token.as_str() {
        "" => ("garlic", "second"),
        _ => ("garlic-shoot", ""),
    };
    Json(v1::ListFoodsResponse {
        foods: vec![v1::FoodSummary {
            id: id.into(),
            name: asked.query,
            class: v1::FoodClass::Vegetable.into(),
            states: Vec::new(),
        }],
        next_page_token: next.into(),
    })
}

async fn food(Path(id): Path<String>) -> Json<serde_json::Value> {
    // A newer service may say more than this client knows.
    Json(serde_json::json!({"id": id, "class": "vegetable", "colour": "white"}))
}

async fn client(script: &Script) -> Client {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    let routes = Router::new()
        .route("/v1/assessments", post(assess))
        .route("/v1/assessments:batch", post(batch))
        .route("/v1/tickets:render", post(ticket))
        .route("/v1/foods", get(foods))
        .route("/v1/foods/{id}", get(food))
        .with_state(script.clone());
    tokio::spawn(async move { axum::serve(listener, routes).await });
    patient(format!("http://{address}")).build().unwrap()
}

#[tokio::test]
async fn an_answer_comes_back_as_the_domain() {
    let answer = client(&Script::default())
        .await
        .assess(&dish("Rice bowl"))
        .await
        .unwrap();
    assert_eq!(answer.name, "Rice bowl");
    assert_eq!(answer.portion, None, "unknown stays unknown");
}

#[tokio::test]
async fn a_refusal_is_read_from_the_problem_and_not_repeated() {
    let script = Script::of([Step::Refuse]);
    let error = client(&script)
        .await
        .assess(&dish("Rice bowl"))
        .await
        .unwrap_err();
    assert_eq!(error.kind(), ErrorKind::InvalidRequest);
    assert_eq!(error.reason(), Some("FIELD_INVALID"));
    assert_eq!(error.violations()[0].field, "/dish/portions");
    assert_eq!(error.request_id(), Some("call-7"));
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
        start.elapsed() >= Duration::from_secs(1),
        "the pause asked for is kept"
    );
}

#[tokio::test]
async fn overload_without_a_pause_and_a_fault_are_not_tried_again() {
    for (step, kind) in [
        (Step::OverloadedForNow, ErrorKind::Overloaded),
        (Step::Fault, ErrorKind::Internal),
    ] {
        let script = Script::of([step]);
        let error = client(&script)
            .await
            .assess(&dish("Rice bowl"))
            .await
            .unwrap_err();
        assert_eq!(error.kind(), kind);
        assert!(!error.is_retryable());
        assert_eq!(script.calls(), 1);
    }
}

#[tokio::test]
async fn many_keep_their_order_and_each_its_outcome() {
    let script = Script::default();
    let names: Vec<String> = (0..100)
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
    let got: Vec<_> = outcomes
        .iter()
        .map(|o| o.as_ref().map_or("bad", |a| a.name.as_str()))
        .collect();
    assert_eq!(got, names);
    assert_eq!(script.calls(), 4, "a hundred requests in windows of 32");
}

#[tokio::test]
async fn a_call_that_fails_is_the_outcome_of_each_request_in_it() {
    let script = Script::of([Step::Fault]);
    let client = client(&script).await;
    let requests = [dish("one"), dish("two")];
    let outcomes: Vec<_> = client.assess_many(stream::iter(requests)).collect().await;
    assert_eq!(outcomes.len(), 2);
    assert!(
        outcomes
            .iter()
            .all(|o| o.as_ref().is_err_and(|e| e.kind() == ErrorKind::Internal))
    );
}

#[tokio::test]
async fn foods_come_page_after_page() {
    let client = client(&Script::default()).await;
    let foods: Vec<_> = client
        .all_foods(FoodQuery::new("gar lic&x"))
        .collect()
        .await;
    let foods: Vec<_> = foods.into_iter().map(Result::unwrap).collect();
    assert_eq!(
        foods.iter().map(|f| f.id.as_str()).collect::<Vec<_>>(),
        ["garlic", "garlic-shoot"]
    );
    assert_eq!(foods[0].name, "gar lic&x", "the query arrives as written");
    let page = client.food(&FoodId::new("garlic").unwrap()).await.unwrap();
    assert_eq!(page.id.as_str(), "garlic");
}

#[tokio::test]
async fn a_ticket_is_laid_out_as_asked() {
    let client = client(&Script::default()).await;
    let layout = TicketLayout {
        columns: Some(32),
        ..TicketLayout::default()
    };
    let ticket = client
        .render_ticket(&dish("Rice bowl"), layout)
        .await
        .unwrap();
    assert_eq!(ticket.text, "Kitchen Some(32)");
    assert_eq!(ticket.assessment.name, "Rice bowl");
}

#[tokio::test]
async fn no_such_path_is_not_found() {
    let error = client(&Script::default())
        .await
        .read_lines("2 cloves garlic")
        .await
        .unwrap_err();
    assert_eq!(error.kind(), ErrorKind::NotFound);
}
