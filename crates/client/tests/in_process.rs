//! The use cases inside this process.
#![cfg(feature = "in-process")]
#![allow(clippy::unwrap_used)]

use futures_util::{StreamExt, stream};
use tamis_client::scoring::quantity::Portions;
use tamis_client::scoring::request::AssessmentRequest;
use tamis_client::{
    Card, Client, ErrorKind, FoodQuery, InProcess, TicketKind, TicketLayout, from_json, to_json,
};

fn bowl(lines: &[&str]) -> AssessmentRequest {
    let card = Card::new("Rice bowl").portions(Portions::new(4.0).unwrap());
    card.lines(lines.iter().copied()).into_dish()
}

fn client() -> Client {
    Client::new(InProcess::embedded().unwrap())
}

#[tokio::test]
async fn an_answer_is_the_one_of_the_wire() {
    let client = client();
    let request = bowl(&["300 g rice", "2 cloves garlic"]);
    let answer = client.assess(&request).await.unwrap();
    assert!(!answer.contributions.is_empty());
    let written = to_json(&answer).unwrap();
    // Rounded once, an answer is written the same however often it crosses the wire.
    let again = client.assess(&request).await.unwrap();
    assert_eq!(to_json(&again).unwrap(), written);
    let json = r#"{"dish": {"name": "Rice bowl", "portions": 4,
                   "lines": ["300 g rice", "2 cloves garlic"]}}"#;
    assert_eq!(from_json(json).unwrap(), request);
}

#[tokio::test]
async fn many_keep_their_order() {
    let client = client();
    let requests: Vec<_> = (1..=40)
        .map(|i| bowl(&[&format!("{i}00 g rice")]))
        .collect();
    let many: Vec<_> = client
        .assess_many(stream::iter(requests.clone()))
        .collect()
        .await;
    assert_eq!(many.len(), requests.len());
    for (request, outcome) in requests.iter().zip(many) {
        assert_eq!(outcome.unwrap(), client.assess(request).await.unwrap());
    }
}

#[tokio::test]
async fn foods_lines_and_tickets() {
    let client = client();
    let foods: Vec<_> = client.all_foods(FoodQuery::new("garlic")).collect().await;
    let first = foods.into_iter().next().unwrap().unwrap();
    assert_eq!(client.food(&first.id).await.unwrap().id, first.id);

    let lines = client
        .read_lines("2 cloves garlic\n300 g rice")
        .await
        .unwrap();
    assert_eq!(lines.iter().map(|l| l.number).collect::<Vec<_>>(), [1, 2]);

    let layout = TicketLayout {
        kind: TicketKind::Tray,
        columns: Some(32),
    };
    let ticket = client
        .render_ticket(&bowl(&["300 g rice"]), layout)
        .await
        .unwrap();
    assert!(
        ticket.text.lines().all(|l| l.chars().count() <= 32),
        "{}",
        ticket.text
    );
}

#[tokio::test]
async fn a_refusal_has_its_reason() {
    let layout = TicketLayout {
        columns: Some(3),
        ..TicketLayout::default()
    };
    let error = client()
        .render_ticket(&bowl(&["300 g rice"]), layout)
        .await
        .unwrap_err();
    assert_eq!(error.kind(), ErrorKind::InvalidRequest);
    assert_eq!(error.violations()[0].field, "/layout/columns");
}
