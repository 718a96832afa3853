//! The way over gRPC.

use std::sync::OnceLock;
use std::time::Duration;

use futures_util::future::BoxFuture;
use futures_util::stream;
use tamis_wire::scoring::assessment::Assessment;
use tamis_wire::scoring::foods::FoodPage;
use tamis_wire::scoring::quantity::FoodId;
use tamis_wire::scoring::reading::LineReading;
use tamis_wire::scoring::request::AssessmentRequest;
use tamis_wire::v1;
use tamis_wire::v1::assessment_service_client::AssessmentServiceClient;
use tamis_wire::v1::food_service_client::FoodServiceClient;
use tamis_wire::v1::reading_service_client::ReadingServiceClient;
use tamis_wire::v1::ticket_service_client::TicketServiceClient;
use tonic::transport::{Channel, Endpoint};
use tonic::{Code, Request, Status};
use tonic_types::StatusExt;

use crate::answers::{
    USER_AGENT, assessment, food_list, list_foods, outcome, readings, render_ticket, ticket,
    unexpected,
};
use crate::assessor::Assessor;
use crate::error::{Error, ErrorKind};
use crate::model::{FoodList, FoodQuery, RenderedTicket, TicketLayout};
use crate::retry::Patience;

/// Bytes of one answer; a sitting with all its evidence stays far below.
const MAX_ANSWER_BYTES: usize = 16 * 1024 * 1024;

/// Asks a service over gRPC.
///
/// The connection is made with the first call, and anew when it is lost.
#[derive(Debug)]
pub struct GrpcClient {
    endpoint: Endpoint,
    // A channel starts a task, which `build` must not.
    channel: OnceLock<Channel>,
    patience: Patience,
}

impl GrpcClient {
    pub(crate) fn new(authority: &str, patience: Patience) -> Result<Self, Error> {
        let endpoint = Endpoint::from_shared(format!("http://{authority}"))
            .and_then(|e| e.user_agent(USER_AGENT))
            .map_err(|e| {
                Error::new(
                    ErrorKind::Configuration,
                    format!("'grpc://{authority}' is no endpoint; accepted: grpc://host:port"),
                )
                .caused_by(e)
            })?
            .connect_timeout(patience.connect)
            .http2_keep_alive_interval(Duration::from_secs(30))
            .keep_alive_timeout(Duration::from_secs(10))
            .tcp_nodelay(true);
        Ok(Self {
            endpoint,
            channel: OnceLock::new(),
            patience,
        })
    }

    fn channel(&self) -> Channel {
        self.channel
            .get_or_init(|| self.endpoint.connect_lazy())
            .clone()
    }

    fn assessments(&self) -> AssessmentServiceClient<Channel> {
        AssessmentServiceClient::new(self.channel()).max_decoding_message_size(MAX_ANSWER_BYTES)
    }

    async fn stream(
        &self,
        messages: Vec<v1::AssessStreamRequest>,
        allowed: Duration,
    ) -> Result<Vec<Result<Assessment, Error>>, Error> {
        let count = messages.len();
        let mut answers = self
            .assessments()
            .assess_stream(timed(stream::iter(messages), allowed))
            .await
            .map_err(|s| failed(&s))?
            .into_inner();
        let mut outcomes = Vec::with_capacity(count);
        for expected in (0..).take(count) {
            match answers.message().await.map_err(|s| failed(&s))? {
                Some(answer) if answer.sequence == expected => {
                    outcomes.push(outcome(answer.assessment, answer.error));
                }
                Some(answer) => {
                    return Err(unexpected(&format!(
                        "item {} was answered where item {expected} was due",
                        answer.sequence
                    )));
                }
                None => {
                    let detail = format!("the stream ended after {expected} of {count} answers");
                    return Err(Error::new(ErrorKind::Unavailable, detail));
                }
            }
        }
        Ok(outcomes)
    }
}

impl Assessor for GrpcClient {
    fn assess<'a>(
        &'a self,
        request: &'a AssessmentRequest,
    ) -> BoxFuture<'a, Result<Assessment, Error>> {
        Box::pin(async move {
            let message = v1::AssessRequest {
                request: Some(request.into()),
            };
            let answer = self
                .patience
                .call(async |allowed| {
                    let request = timed(message.clone(), allowed);
                    self.assessments()
                        .assess(request)
                        .await
                        .map_err(|s| failed(&s))
                })
                .await
                .map_err(|e| e.without_prefix("/request"))?;
            assessment(answer.into_inner().assessment)
        })
    }

    fn assess_batch<'a>(
        &'a self,
        requests: &'a [AssessmentRequest],
    ) -> BoxFuture<'a, Result<Vec<Result<Assessment, Error>>, Error>> {
        Box::pin(async move {
            let messages: Vec<_> = (0..)
                .zip(requests)
                .map(|(sequence, request)| v1::AssessStreamRequest {
                    sequence,
                    request: Some(request.into()),
                })
                .collect();
            self.patience
                .call(|allowed| self.stream(messages.clone(), allowed))
                .await
        })
    }

    fn read_lines<'a>(&'a self, text: &'a str) -> BoxFuture<'a, Result<Vec<LineReading>, Error>> {
        Box::pin(async move {
            let answer = self
                .patience
                .call(async |allowed| {
                    let message = v1::ReadLinesRequest {
                        text: text.to_owned(),
                    };
                    ReadingServiceClient::new(self.channel())
                        .max_decoding_message_size(MAX_ANSWER_BYTES)
                        .read_lines(timed(message, allowed))
                        .await
                        .map_err(|s| failed(&s))
                })
                .await?;
            readings(answer.into_inner())
        })
    }

    fn foods<'a>(&'a self, query: &'a FoodQuery) -> BoxFuture<'a, Result<FoodList, Error>> {
        Box::pin(async move {
            let answer = self
                .patience
                .call(async |allowed| {
                    FoodServiceClient::new(self.channel())
                        .list_foods(timed(list_foods(query), allowed))
                        .await
                        .map_err(|s| failed(&s))
                })
                .await?;
            food_list(answer.into_inner())
        })
    }

    fn food<'a>(&'a self, id: &'a FoodId) -> BoxFuture<'a, Result<FoodPage, Error>> {
        Box::pin(async move {
            let answer = self
                .patience
                .call(async |allowed| {
                    let message = v1::GetFoodRequest { id: id.to_string() };
                    FoodServiceClient::new(self.channel())
                        .max_decoding_message_size(MAX_ANSWER_BYTES)
                        .get_food(timed(message, allowed))
                        .await
                        .map_err(|s| failed(&s))
                })
                .await?;
            let food = answer
                .into_inner()
                .food
                .ok_or_else(|| unexpected("it holds no food"))?;
            food.try_into().map_err(Error::unexpected)
        })
    }

    fn render_ticket<'a>(
        &'a self,
        request: &'a AssessmentRequest,
        layout: TicketLayout,
    ) -> BoxFuture<'a, Result<RenderedTicket, Error>> {
        Box::pin(async move {
            let message = render_ticket(request, layout);
            let answer = self
                .patience
                .call(async |allowed| {
                    TicketServiceClient::new(self.channel())
                        .max_decoding_message_size(MAX_ANSWER_BYTES)
                        .render_ticket(timed(message.clone(), allowed))
                        .await
                        .map_err(|s| failed(&s))
                })
                .await?;
            ticket(answer.into_inner())
        })
    }
}

/// A request with its deadline, sent as `grpc-timeout`.
fn timed<M>(message: M, allowed: Duration) -> Request<M> {
    let mut request = Request::new(message);
    request.set_timeout(allowed);
    request
}

fn failed(status: &Status) -> Error {
    let details = status.get_error_details();
    // A lost connection surfaces as `Unknown` with the transport's error behind it.
    let lost = status.code() == Code::Unknown
        && std::error::Error::source(status).is_some_and(|e| e.is::<tonic::transport::Error>());
    let kind = match status.code() {
        Code::Unavailable => ErrorKind::Unavailable,
        _ if lost => ErrorKind::Unavailable,
        Code::DeadlineExceeded => ErrorKind::DeadlineExceeded,
        // A local deadline of the transport arrives as a cancellation.
        Code::Cancelled => ErrorKind::DeadlineExceeded,
        Code::InvalidArgument | Code::OutOfRange | Code::FailedPrecondition => {
            ErrorKind::InvalidRequest
        }
        Code::NotFound => ErrorKind::NotFound,
        Code::ResourceExhausted if details.retry_info().is_some() => ErrorKind::Overloaded,
        Code::ResourceExhausted => ErrorKind::InvalidRequest,
        Code::Internal | Code::Unknown | Code::DataLoss => ErrorKind::Internal,
        _ => ErrorKind::UnexpectedAnswer,
    };
    let reason = details
        .error_info()
        .map(|i| i.reason.clone())
        .unwrap_or_default();
    let violations = details
        .bad_request()
        .map(|b| b.field_violations.clone())
        .unwrap_or_default()
        .into_iter()
        .map(|v| (v.field, v.description));
    let detail = if status.message().is_empty() {
        format!("the service answered with {}", status.code().description())
    } else {
        status.message().to_owned()
    };
    Error::new(kind, detail)
        .with_reason(reason)
        .with_violations(violations)
        .with_retry_after(details.retry_info().and_then(|i| i.retry_delay))
        .with_request_id(details.request_info().map(|i| i.request_id.clone()))
        .caused_by(status.clone())
}
