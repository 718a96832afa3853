//! Assessments: one, a batch, or a stream of them.

use std::pin::Pin;
use std::time::Duration;

use futures_util::{Stream, StreamExt, stream};
use tamis_app::error::Error;
use tamis_wire::v1;
use tamis_wire::v1::assessment_service_server::AssessmentService;
use tokio::time::{Instant, timeout_at};
use tonic::{Request, Response, Status, Streaming};

use super::status::{fail, foreign};
use super::{Services, answer, call_of};
use crate::bridge;
use crate::call::{Call, Doors, Readiness, stopping};

/// Items of one stream worked on at once; further ones wait with the caller.
const IN_FLIGHT: usize = 4;
/// How long a stream may be silent: it holds a place that others could use.
const IDLE: Duration = Duration::from_secs(60);

type Answers = Pin<Box<dyn Stream<Item = Result<v1::AssessStreamResponse, Status>> + Send>>;

#[tonic::async_trait]
impl AssessmentService for Services {
    async fn assess(
        &self,
        request: Request<v1::AssessRequest>,
    ) -> Result<Response<v1::AssessResponse>, Status> {
        answer(&self.0, request, |app, message| {
            let assessment = bridge::required(message.request)
                .and_then(|r| bridge::assess(app, r).map_err(|e| e.under("/request")))?;
            Ok(v1::AssessResponse {
                assessment: Some(assessment),
            })
        })
        .await
    }

    async fn batch_assess(
        &self,
        request: Request<v1::BatchAssessRequest>,
    ) -> Result<Response<v1::BatchAssessResponse>, Status> {
        answer(&self.0, request, bridge::batch).await
    }

    type AssessStreamStream = Answers;

    async fn assess_stream(
        &self,
        request: Request<Streaming<v1::AssessStreamRequest>>,
    ) -> Result<Response<Answers>, Status> {
        let call = call_of(&request);
        let doors = self.0.clone();
        // Items that were taken when the service stops are still answered.
        let items = request.into_inner().take_until(doors.stopped());
        let answers = {
            let (doors, call) = (doors.clone(), call.clone());
            items.map(move |item| one(doors.clone(), call.clone(), item))
        };
        Ok(Response::new(bounded(
            answers.buffered(IN_FLIGHT),
            doors,
            call,
        )))
    }
}

/// Answers one item; its error is part of the answer, and the stream goes on.
async fn one(
    doors: Doors,
    call: Call,
    item: Result<v1::AssessStreamRequest, Status>,
) -> Result<v1::AssessStreamResponse, Status> {
    let item = item.map_err(|status| fail(&foreign(&status), &call))?;
    let app = doors.app().clone();
    let work = call.work(move || {
        let request = bridge::required(item.request)?;
        bridge::assess(&app, request).map_err(|e| e.under("/request"))
    });
    let outcome = match tokio::time::timeout(tamis_app::limits::DEADLINE, work).await {
        Ok(outcome) => outcome,
        Err(_) => Err(call.late()),
    };
    let (assessment, error) = match outcome {
        Ok(assessment) => (Some(assessment), None),
        Err(error) => (None, Some(bridge::item_error(error))),
    };
    Ok(v1::AssessStreamResponse {
        sequence: item.sequence,
        assessment,
        error,
    })
}

/// Ends a stream at its first error, when the caller no longer waits, when it is silent for too
/// long, and when the service stops.
fn bounded<S>(answers: S, doors: Doors, call: Call) -> Answers
where
    S: Stream<Item = Result<v1::AssessStreamResponse, Status>> + Send + 'static,
{
    let end = |error: &Error, call: &Call| Some((Err(fail(error, call)), None));
    Box::pin(stream::unfold(Some(Box::pin(answers)), move |answers| {
        let (doors, call) = (doors.clone(), call.clone());
        async move {
            let mut answers = answers?;
            let silent = Instant::now() + IDLE;
            let until = call
                .given_up()
                .map_or(silent, |given_up| given_up.min(silent));
            match timeout_at(until, answers.next()).await {
                Ok(Some(Ok(answer))) => Some((Ok(answer), Some(answers))),
                Ok(Some(Err(status))) => Some((Err(status), None)),
                Ok(None) if doors.readiness() == Readiness::Stopping => end(&stopping(), &call),
                Ok(None) => None,
                Err(_) => end(&call.late(), &call),
            }
        }
    }))
}
