//! Every row of the table of reasons through the REST door, and what goes with every answer.

use std::collections::HashSet;

use axum::Router;
use axum::body::Body;
use axum::http::header::{ALLOW, CACHE_CONTROL, CONTENT_TYPE, HeaderMap, RETRY_AFTER};
use axum::http::{Request, StatusCode};
use axum::routing::get;
use http_body_util::BodyExt;
use serde_json::{Value, json};
use tamis_app::App;
use tamis_app::error::{Reason, Retryable};
use tamis_app::limits;
use tamis_catalogue::Catalogue;
use tamis_wire::v1;
use tower::ServiceExt;

use super::{guarded, router};
use crate::call::{Doors, REQUEST_ID};

fn app() -> App {
    App::new(Catalogue::embedded().unwrap())
}

struct Answered {
    status: StatusCode,
    headers: HeaderMap,
    body: Vec<u8>,
}

impl Answered {
    fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap()
    }

    /// Holds the answer against the row of its reason.
    fn assert_problem(&self, reason: Reason) -> Value {
        let row = reason.row();
        let problem = self.json();
        assert_eq!(problem["reason"], row.word, "{problem}");
        assert_eq!(self.status.as_u16(), row.http_status);
        assert_eq!(problem["status"], row.http_status);
        assert_eq!(problem["title"], row.title);
        assert_eq!(problem["type"], reason.type_uri());
        assert_eq!(problem["domain"], "tamis");
        assert_eq!(self.headers[CONTENT_TYPE], "application/problem+json");
        assert_eq!(self.headers[CACHE_CONTROL], "no-store");
        assert_eq!(
            problem["request_id"],
            self.headers[REQUEST_ID].to_str().unwrap()
        );
        assert_eq!(
            self.headers.contains_key(RETRY_AFTER),
            row.retryable == Retryable::Yes
        );
        assert!(!problem["detail"].as_str().unwrap().is_empty());
        problem
    }
}

async fn send(router: Router, request: Request<Body>) -> Answered {
    let response = router.oneshot(request).await.unwrap();
    let (parts, body) = response.into_parts();
    Answered {
        status: parts.status,
        headers: parts.headers,
        body: body.collect().await.unwrap().to_bytes().to_vec(),
    }
}

fn post(path: &str, body: impl Into<Body>) -> Request<Body> {
    Request::post(path)
        .header(CONTENT_TYPE, "application/json")
        .body(body.into())
        .unwrap()
}

fn ask(path: &str) -> Request<Body> {
    Request::get(path).body(Body::empty()).unwrap()
}

fn dish(lines: &[&str]) -> Value {
    json!({"dish": {"name": "Rice bowl", "portions": 4, "lines": lines}})
}

/// The requests that lead to a reason through the routes of the service.
fn refused() -> Vec<(Reason, Request<Body>)> {
    let assess = "/v1/assessments";
    let card = |name: &str, line: &str| json!({"name": name, "makes": "1 kg", "lines": [line]});
    let mut nested = card("Level 9", "1 kg rice");
    for level in (0..9).rev() {
        nested = json!({"name": format!("Level {level}"), "makes": "1 kg",
            "lines": ["1 kg rice"], "sub_recipes": [nested]});
    }
    let cycle = json!({"dish": {"name": "Soup", "portions": 1, "lines": ["100 g Sauce A"],
        "sub_recipes": [card("Sauce A", "100 g Sauce B"), card("Sauce B", "100 g Sauce A")]}});
    let no_yield = json!({"dish": {"name": "Soup", "portions": 1, "lines": ["100 g Sauce A"],
        "sub_recipes": [{"name": "Sauce A", "makes": "0 kg", "lines": ["1 kg tomato"]}]}});
    let empty_batch = json!({"requests": vec![json!({}); limits::MAX_BATCH + 1]});
    let layout = json!({"request": dish(&["300 g rice"]), "layout": {"kind": "bill"}});
    let plain = Request::post(assess)
        .header(CONTENT_TYPE, "text/plain")
        .body(Body::from("{}"))
        .unwrap();
    vec![
        (Reason::RequestMalformed, post(assess, "{\"dish\": ")),
        (
            Reason::FieldInvalid,
            post(
                assess,
                "{\"dish\": {\"name\": \"Soup\", \"portions\": -1, \"lines\": [\"1 cup rice\"]}}",
            ),
        ),
        (
            Reason::FieldInvalid,
            post(assess, "{\"diner\": {\"fase\": \"restriction\"}}"),
        ),
        (Reason::FieldInvalid, ask("/v1/foods?page_size=-1")),
        (Reason::FieldInvalid, ask("/v1/foods?page_size=ten")),
        (Reason::FieldInvalid, ask("/v1/foods?pagesize=10")),
        (
            Reason::RequestTooLarge,
            post(assess, vec![b' '; limits::MAX_BODY_BYTES + 1]),
        ),
        (
            Reason::BatchTooLarge,
            post("/v1/assessments:batch", empty_batch.to_string()),
        ),
        (
            Reason::TooDeep,
            post(assess, json!({"dish": nested}).to_string()),
        ),
        (Reason::SubRecipeCycle, post(assess, cycle.to_string())),
        (Reason::YieldInvalid, post(assess, no_yield.to_string())),
        (Reason::FoodUnknown, ask("/v1/foods/moon-dust")),
        (
            Reason::PageTokenInvalid,
            ask("/v1/foods?page_token=moon-dust"),
        ),
        (
            Reason::LayoutUnknown,
            post("/v1/tickets:render", layout.to_string()),
        ),
        (Reason::UnsupportedMediaType, plain),
        (Reason::NotFound, ask("/v1/dishes")),
        (Reason::MethodNotAllowed, ask(assess)),
    ]
}

#[tokio::test(start_paused = true)]
async fn every_reason_reaches_the_caller_as_its_row_says() {
    let doors = Doors::new(app());
    let mut seen = HashSet::new();
    for (reason, request) in refused() {
        send(router(doors.clone()), request)
            .await
            .assert_problem(reason);
        seen.insert(reason);
    }

    let faulty = Router::new()
        .route("/panic", get(|| async { explode() }))
        .route("/slow", get(std::future::pending::<&'static str>));
    let faulty = guarded(faulty, doors.clone());
    let answered = send(faulty.clone(), ask("/panic")).await;
    let problem = answered.assert_problem(Reason::Internal);
    assert!(!problem.to_string().contains("secret"), "{problem}");
    send(faulty, ask("/slow"))
        .await
        .assert_problem(Reason::DeadlineExceeded);
    let full = Doors::with_slots(app(), 0);
    send(router(full), ask("/v1/foods"))
        .await
        .assert_problem(Reason::Overloaded);
    doors.stop();
    send(router(doors), ask("/v1/foods"))
        .await
        .assert_problem(Reason::ShuttingDown);
    seen.extend([
        Reason::Internal,
        Reason::DeadlineExceeded,
        Reason::Overloaded,
        Reason::ShuttingDown,
    ]);
    let all: HashSet<_> = Reason::ALL.iter().copied().collect();
    assert_eq!(seen, all);
}

fn explode() -> &'static str {
    panic!("secret words of a request")
}

#[tokio::test]
async fn a_wrong_method_is_told_the_right_one() {
    let answered = send(router(Doors::new(app())), ask("/v1/assessments")).await;
    answered.assert_problem(Reason::MethodNotAllowed);
    assert_eq!(answered.headers[ALLOW], "POST");
}

#[tokio::test]
async fn a_fault_in_a_body_names_its_place() {
    let body = "{\"dish\": {\"name\": \"Soup\",\n \"lines\": [\"1 cup rice\", 7]}}";
    let answered = send(router(Doors::new(app())), post("/v1/assessments", body)).await;
    let problem = answered.assert_problem(Reason::FieldInvalid);
    assert_eq!(problem["errors"][0]["pointer"], "/dish/lines/1");
    assert_eq!(problem["metadata"]["line"], "2");
}

#[tokio::test]
async fn an_assessment_is_answered_with_the_id_of_the_caller() {
    let mut request = post(
        "/v1/assessments",
        dish(&["300 g rice", "2 cloves garlic"]).to_string(),
    );
    request
        .headers_mut()
        .insert(REQUEST_ID, "pass-7".parse().unwrap());
    let answered = send(router(Doors::new(app())), request).await;
    assert_eq!(answered.status, StatusCode::OK, "{}", answered.json());
    assert_eq!(answered.headers[REQUEST_ID], "pass-7");
    assert_eq!(answered.headers[CACHE_CONTROL], "no-store");
    let assessment: v1::Assessment = serde_json::from_slice(&answered.body).unwrap();
    assert_eq!(assessment.name, "Rice bowl");
    assert_eq!(assessment.loads.len(), 9);
    assert!(!assessment.cautions.is_empty());
}

#[tokio::test]
async fn a_batch_answers_each_item_in_order_also_those_refused() {
    let batch = json!({"requests": [dish(&["300 g rice"]), {}, dish(&["2 cloves garlic"])]});
    let request = post("/v1/assessments:batch", batch.to_string());
    let answered = send(router(Doors::new(app())), request).await;
    let results = &answered.json()["results"];
    assert_eq!(results[0]["index"], 0);
    assert_eq!(
        results[0]["assessment"]["contributions"][0]["line"],
        "300 g rice"
    );
    assert_eq!(results[1]["error"]["reason"], "FIELD_INVALID");
    assert_eq!(results[1]["assessment"], Value::Null);
    assert_eq!(
        results[2]["assessment"]["contributions"][0]["line"],
        "2 cloves garlic"
    );
}

#[tokio::test]
async fn foods_page_through_to_the_end_without_a_gap() {
    let router = router(Doors::new(app()));
    let mut ids = Vec::new();
    let mut token = String::new();
    loop {
        let path = format!("/v1/foods?page_size=200&page_token={token}");
        let page = send(router.clone(), ask(&path)).await.json();
        for food in page["foods"].as_array().unwrap() {
            ids.push(food["id"].as_str().unwrap().to_owned());
        }
        token = page["next_page_token"].as_str().unwrap().to_owned();
        if token.is_empty() {
            break;
        }
    }
    let unique: HashSet<_> = ids.iter().collect();
    assert_eq!(unique.len(), ids.len());
    assert!(ids.len() > 200, "{}", ids.len());
    let food = send(router, ask(&format!("/v1/foods/{}", ids[0]))).await;
    assert_eq!(food.json()["id"], ids[0].as_str());
}

#[tokio::test]
async fn probes_answer_when_all_places_are_taken_and_readiness_ends_with_the_service() {
    let doors = Doors::with_slots(app(), 0);
    for path in ["/healthz", "/readyz"] {
        assert_eq!(
            send(router(doors.clone()), ask(path)).await.status,
            StatusCode::OK
        );
    }
    doors.stop();
    assert_eq!(
        send(router(doors.clone()), ask("/healthz")).await.status,
        StatusCode::OK
    );
    send(router(doors), ask("/readyz"))
        .await
        .assert_problem(Reason::ShuttingDown);
}
