//! The gRPC door: the four services of `tamis.v1`, health and reflection.

mod assessments;
mod foods;
mod readings;
pub mod status;
mod tickets;

#[cfg(test)]
mod tests;

use axum::Router;
use axum::middleware::from_fn_with_state;
use tamis_app::App;
use tamis_app::error::Error;
use tamis_app::limits;
use tamis_wire::v1::assessment_service_server::AssessmentServiceServer;
use tamis_wire::v1::food_service_server::FoodServiceServer;
use tamis_wire::v1::reading_service_server::ReadingServiceServer;
use tamis_wire::v1::ticket_service_server::TicketServiceServer;
use tonic::server::NamedService;
use tonic::service::Routes;
use tonic::{Request, Response, Status};
use tonic_health::ServingStatus;
use tonic_health::pb::health_server::HealthServer;
use tonic_health::server::{HealthReporter, HealthService};

use crate::call::{Call, Doors, Time, request_id};
use crate::guard;

/// Bytes of one answer; a batch of a thousand is the largest.
const MAX_ANSWER_BYTES: usize = 64 * 1024 * 1024;

/// The services, each over the same doors.
#[derive(Clone)]
struct Services(Doors);

/// What health says of the whole server, and of each service by name.
const NAMES: [&str; 5] = [
    "",
    AssessmentServiceServer::<Services>::NAME,
    FoodServiceServer::<Services>::NAME,
    ReadingServiceServer::<Services>::NAME,
    TicketServiceServer::<Services>::NAME,
];

/// What callers are told about the services before they ask.
#[derive(Clone)]
pub struct Health(HealthReporter);

impl Health {
    async fn not_yet() -> Self {
        let health = Self(HealthReporter::new());
        health.set(ServingStatus::NotServing).await;
        health
    }

    /// The services answer from now on.
    pub async fn ready(&self) {
        self.set(ServingStatus::Serving).await;
    }

    /// The services are stopping.
    pub async fn stopping(&self) {
        self.set(ServingStatus::NotServing).await;
    }

    async fn set(&self, status: ServingStatus) {
        for name in NAMES {
            self.0.set_service_status(name, status).await;
        }
    }
}

/// The routes of the door with the guard around them, and the health that they report, which is
/// "not serving" until told otherwise.
///
/// # Errors
/// When the descriptors of the services cannot be read.
pub async fn router(doors: Doors) -> Result<(Router, Health), tonic_reflection::server::Error> {
    let health = Health::not_yet().await;
    let reflection = tonic_reflection::server::Builder::configure()
        .register_encoded_file_descriptor_set(tamis_wire::FILE_DESCRIPTOR_SET)
        .register_encoded_file_descriptor_set(tonic_health::pb::FILE_DESCRIPTOR_SET)
        .build_v1()?;
    let services = Services(doors.clone());
    macro_rules! limited {
        ($server:ident) => {
            $server::new(services.clone())
                .max_decoding_message_size(limits::MAX_BODY_BYTES)
                .max_encoding_message_size(MAX_ANSWER_BYTES)
        };
    }
    let router = Routes::new(limited!(AssessmentServiceServer))
        .add_service(limited!(FoodServiceServer))
        .add_service(limited!(ReadingServiceServer))
        .add_service(limited!(TicketServiceServer))
        .add_service(HealthServer::new(HealthService::from_health_reporter(
            health.0.clone(),
        )))
        .add_service(reflection)
        .into_axum_router()
        .layer(from_fn_with_state(doors, guard::grpc));
    Ok((router, health))
}

/// Whether a method is asked by machines that watch the service; it is always let in.
#[must_use]
pub fn is_probe(route: &str) -> bool {
    route.starts_with("/grpc.health.v1.Health/")
}

fn call_of<M>(request: &Request<M>) -> Call {
    match request.extensions().get::<Call>() {
        Some(call) => call.clone(),
        // Only where the services are used without the guard.
        None => Call::new(
            request_id(request.metadata().as_ref()),
            Time::default(),
            None,
        ),
    }
}

/// Answers a unary call.
async fn answer<M, A>(
    doors: &Doors,
    request: Request<M>,
    work: impl FnOnce(&App, M) -> Result<A, Error> + Send + 'static,
) -> Result<Response<A>, Status>
where
    M: Send + 'static,
    A: Send + 'static,
{
    let call = call_of(&request);
    let app = doors.app().clone();
    let message = request.into_inner();
    match call.work(move || work(&app, message)).await {
        Ok(answer) => Ok(Response::new(answer)),
        Err(error) => Err(status::fail(&error, &call)),
    }
}
