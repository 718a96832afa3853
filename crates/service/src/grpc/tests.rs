//! The gRPC door: rows of the table of reasons, the stream, health and reflection. The clients talk
//! to the routes themselves, without a network.

use std::time::Duration;

use axum::Router;
use futures_util::{StreamExt, stream};
use tamis_app::App;
use tamis_app::error::Reason;
use tamis_catalogue::Catalogue;
use tamis_wire::v1;
use tamis_wire::v1::assessment_service_client::AssessmentServiceClient;
use tamis_wire::v1::food_service_client::FoodServiceClient;
use tamis_wire::v1::ticket_service_client::TicketServiceClient;
use tonic::{Code, Request, Status};
use tonic_health::pb::HealthCheckRequest;
use tonic_health::pb::health_check_response::ServingStatus;
use tonic_health::pb::health_client::HealthClient;
use tonic_reflection::pb::v1::ServerReflectionRequest;
use tonic_reflection::pb::v1::server_reflection_client::ServerReflectionClient;
use tonic_reflection::pb::v1::server_reflection_request::MessageRequest;
use tonic_reflection::pb::v1::server_reflection_response::MessageResponse;
use tonic_types::StatusExt;

use super::{Health, router};
use crate::call::Doors;

async fn routes(doors: Doors) -> (Router, Health) {
    router(doors).await.unwrap()
}

fn doors() -> Doors {
    Doors::new(App::new(Catalogue::embedded().unwrap()))
}

fn dish(line: &str) -> v1::AssessmentRequest {
    v1::AssessmentRequest {
        dish: Some(v1::RecipeCard {
            name: "Rice bowl".to_owned(),
            portions: Some(4.0),
            lines: vec![line.to_owned()],
            ..Default::default()
        }),
        ..Default::default()
    }
}

fn assess(line: &str) -> v1::AssessRequest {
    v1::AssessRequest {
        request: Some(dish(line)),
    }
}

fn assert_row(status: &Status, reason: Reason) {
    let row = reason.row();
    let info = status.get_details_error_info().unwrap();
    assert_eq!(info.reason, row.word, "{status}");
    assert_eq!(info.domain, "tamis");
    assert_eq!(status.code(), Code::from(row.grpc_code));
    let request = status.get_details_request_info().unwrap();
    assert!(!request.request_id.is_empty());
    let retry = status.get_details_retry_info().is_some();
    assert_eq!(retry, row.retryable == tamis_app::error::Retryable::Yes);
}

#[tokio::test]
async fn a_dish_is_assessed() {
    let (router, _) = routes(doors()).await;
    let answer = AssessmentServiceClient::new(router)
        .assess(assess("300 g rice"))
        .await
        .unwrap();
    assert!(answer.metadata().contains_key("x-request-id"));
    let assessment = answer.into_inner().assessment.unwrap();
    assert_eq!(assessment.loads.len(), 9);
}

#[tokio::test]
async fn refusals_carry_their_row_and_the_fields_at_fault() {
    let (router, _) = routes(doors()).await;
    let mut client = AssessmentServiceClient::new(router.clone());
    let missing = client
        .assess(v1::AssessRequest::default())
        .await
        .unwrap_err();
    assert_row(&missing, Reason::FieldInvalid);
    let violations = missing.get_details_bad_request().unwrap().field_violations;
    assert_eq!(violations[0].field, "/request");

    let mut negative = dish("300 g rice");
    negative.dish.as_mut().unwrap().portions = Some(-1.0);
    let negative = v1::AssessRequest {
        request: Some(negative),
    };
    let negative = client.assess(negative).await.unwrap_err();
    assert_row(&negative, Reason::FieldInvalid);
    let violations = negative.get_details_bad_request().unwrap().field_violations;
    assert_eq!(violations[0].field, "/request/dish/portions");

    let unknown = FoodServiceClient::new(router.clone())
        .get_food(v1::GetFoodRequest {
            id: "moon-dust".to_owned(),
        })
        .await
        .unwrap_err();
    assert_row(&unknown, Reason::FoodUnknown);

    let bill = v1::RenderTicketRequest {
        request: Some(dish("300 g rice")),
        layout: Some(v1::TicketLayout {
            kind: 7,
            columns: None,
        }),
    };
    let bill = TicketServiceClient::new(router)
        .render_ticket(bill)
        .await
        .unwrap_err();
    assert_row(&bill, Reason::LayoutUnknown);
}

#[tokio::test]
async fn errors_of_the_framework_take_the_same_form() {
    let (router, _) = routes(doors()).await;
    let mut client = AssessmentServiceClient::new(router.clone());
    let large = client
        .assess(assess(&"x".repeat(2 * 1024 * 1024)))
        .await
        .unwrap_err();
    assert_row(&large, Reason::RequestTooLarge);

    let mut nested = v1::RecipeCard::default();
    for _ in 0..200 {
        nested = v1::RecipeCard {
            sub_recipes: vec![nested],
            ..Default::default()
        };
    }
    let mut deep = dish("300 g rice");
    deep.dish = Some(nested);
    let deep = client
        .assess(v1::AssessRequest {
            request: Some(deep),
        })
        .await
        .unwrap_err();
    assert_row(&deep, Reason::RequestMalformed);

    let mut other = tonic::client::Grpc::new(router);
    other.ready().await.unwrap();
    let codec = tonic_prost::ProstCodec::<v1::AssessRequest, v1::AssessResponse>::default();
    let path = "/tamis.v1.AssessmentService/Taste".parse().unwrap();
    let unknown = other
        .unary(Request::new(assess("300 g rice")), path, codec)
        .await
        .unwrap_err();
    assert_row(&unknown, Reason::MethodNotAllowed);
}

#[tokio::test]
async fn a_full_or_stopping_server_says_so() {
    let app = App::new(Catalogue::embedded().unwrap());
    let (router, _) = routes(Doors::with_slots(app, 0)).await;
    let full = AssessmentServiceClient::new(router)
        .assess(assess("300 g rice"))
        .await;
    assert_row(&full.unwrap_err(), Reason::Overloaded);

    let doors = doors();
    let (router, _) = routes(doors.clone()).await;
    doors.stop();
    let stopping = AssessmentServiceClient::new(router)
        .assess(assess("300 g rice"))
        .await;
    assert_row(&stopping.unwrap_err(), Reason::ShuttingDown);
}

#[tokio::test]
async fn a_caller_that_does_not_wait_is_told_that_it_is_late() {
    let (router, _) = routes(doors()).await;
    let mut client = AssessmentServiceClient::new(router);
    let mut request = Request::new(assess("300 g rice"));
    request.set_timeout(Duration::ZERO);
    assert_row(
        &client.assess(request).await.unwrap_err(),
        Reason::DeadlineExceeded,
    );

    // A stream that hears nothing more ends when its caller's time is over.
    let mut request = Request::new(stream::pending());
    request.set_timeout(Duration::from_millis(50));
    let mut answers = client.assess_stream(request).await.unwrap().into_inner();
    let late = answers.message().await.unwrap_err();
    assert_row(&late, Reason::DeadlineExceeded);
}

#[tokio::test]
async fn a_stream_answers_in_order_and_goes_on_after_an_error() {
    let (router, _) = routes(doors()).await;
    let count = 200;
    let items = stream::iter((0..count).map(|sequence| v1::AssessStreamRequest {
        sequence,
        request: (sequence % 7 != 3).then(|| dish("300 g rice")),
    }));
    let answers = AssessmentServiceClient::new(router)
        .assess_stream(items)
        .await
        .unwrap();
    let answers: Vec<_> = answers.into_inner().map(Result::unwrap).collect().await;
    assert_eq!(answers.len() as i64, count);
    for (sequence, answer) in (0..).zip(&answers) {
        assert_eq!(answer.sequence, sequence);
        let refused = sequence % 7 == 3;
        assert_eq!(answer.assessment.is_none(), refused);
        assert_eq!(
            answer.error.as_ref().map(|e| e.reason.as_str()),
            refused.then_some("FIELD_INVALID")
        );
    }
}

#[tokio::test]
async fn a_stream_ends_with_the_service() {
    let doors = doors();
    let (router, _) = routes(doors.clone()).await;
    let items = stream::once(async {
        v1::AssessStreamRequest {
            sequence: 1,
            request: Some(dish("300 g rice")),
        }
    })
    .chain(stream::pending());
    let answers = AssessmentServiceClient::new(router)
        .assess_stream(items)
        .await
        .unwrap();
    let mut answers = answers.into_inner();
    assert_eq!(answers.message().await.unwrap().unwrap().sequence, 1);
    doors.stop();
    assert_row(&answers.message().await.unwrap_err(), Reason::ShuttingDown);
}

#[tokio::test]
async fn health_follows_the_service() {
    let (router, health) = routes(doors()).await;
    let mut client = HealthClient::new(router);
    let mut asked = async |service: &str| {
        let request = HealthCheckRequest {
            service: service.to_owned(),
        };
        client.check(request).await.map(|a| a.into_inner().status())
    };
    for service in ["", "tamis.v1.AssessmentService", "tamis.v1.FoodService"] {
        assert_eq!(asked(service).await.unwrap(), ServingStatus::NotServing);
    }
    health.ready().await;
    for service in ["", "tamis.v1.ReadingService", "tamis.v1.TicketService"] {
        assert_eq!(asked(service).await.unwrap(), ServingStatus::Serving);
    }
    health.stopping().await;
    assert_eq!(asked("").await.unwrap(), ServingStatus::NotServing);
    assert_eq!(
        asked("tamis.v2.Oven").await.unwrap_err().code(),
        Code::NotFound
    );
}

#[tokio::test]
async fn reflection_lists_the_services() {
    let (router, _) = routes(doors()).await;
    let request = ServerReflectionRequest {
        host: String::new(),
        message_request: Some(MessageRequest::ListServices(String::new())),
    };
    let answers = ServerReflectionClient::new(router)
        .server_reflection_info(stream::iter([request]))
        .await
        .unwrap();
    let answer = answers.into_inner().message().await.unwrap().unwrap();
    let Some(MessageResponse::ListServicesResponse(list)) = answer.message_response else {
        panic!("no list: {answer:?}");
    };
    let names: Vec<_> = list.service.iter().map(|s| s.name.as_str()).collect();
    for service in [
        "AssessmentService",
        "FoodService",
        "ReadingService",
        "TicketService",
    ] {
        assert!(
            names.contains(&format!("tamis.v1.{service}").as_str()),
            "{names:?}"
        );
    }
}
