//! The way over REST.

use std::time::Duration;

use futures_util::future::BoxFuture;
use reqwest::header::{HeaderMap, RETRY_AFTER};
use reqwest::{Method, RequestBuilder, Response, StatusCode, Url};
use serde::Serialize;
use serde::de::DeserializeOwned;
use tamis_wire::problem::Problem;
use tamis_wire::scoring::assessment::Assessment;
use tamis_wire::scoring::foods::FoodPage;
use tamis_wire::scoring::quantity::FoodId;
use tamis_wire::scoring::reading::LineReading;
use tamis_wire::scoring::request::AssessmentRequest;
use tamis_wire::v1;

use crate::answers::{
    USER_AGENT, assessment, food_list, list_foods, outcome, readings, render_ticket, ticket,
    unexpected,
};
use crate::assessor::Assessor;
use crate::error::{Error, ErrorKind};
use crate::model::{FoodList, FoodQuery, RenderedTicket, TicketLayout};
use crate::retry::Patience;

/// Asks a service over REST.
#[derive(Debug)]
pub struct RestClient {
    base: Url,
    http: reqwest::Client,
    patience: Patience,
}

impl RestClient {
    pub(crate) fn new(endpoint: &str, patience: Patience) -> Result<Self, Error> {
        let wrong = |e: Box<dyn std::error::Error + Send + Sync>| {
            Error::new(
                ErrorKind::Configuration,
                format!("'{endpoint}' is no endpoint; accepted: http://host:port"),
            )
            .caused_by(e)
        };
        let base = Url::parse(&format!("{}/", endpoint.trim_end_matches('/')))
            .map_err(|e| wrong(e.into()))?;
        let http = reqwest::Client::builder()
            .user_agent(USER_AGENT)
            .connect_timeout(patience.connect)
            .redirect(reqwest::redirect::Policy::none())
            .build()
            .map_err(|e| wrong(e.into()))?;
        Ok(Self {
            base,
            http,
            patience,
        })
    }

    async fn post<A: DeserializeOwned>(
        &self,
        path: &str,
        message: &(impl Serialize + Sync),
    ) -> Result<A, Error> {
        self.call(Method::POST, path, |r| r.json(message)).await
    }

    async fn call<A: DeserializeOwned>(
        &self,
        method: Method,
        path: &str,
        fill: impl Fn(RequestBuilder) -> RequestBuilder + Sync,
    ) -> Result<A, Error> {
        let url = self.base.join(path).map_err(|e| {
            Error::new(ErrorKind::InvalidRequest, format!("'{path}' is no path")).caused_by(e)
        })?;
        self.patience
            .call(async |allowed| {
                let request = self
                    .http
                    .request(method.clone(), url.clone())
                    .timeout(allowed);
                let response = fill(request).send().await.map_err(not_answered)?;
                if !response.status().is_success() {
                    return Err(refused(response).await);
                }
                let body = response.bytes().await.map_err(not_answered)?;
                serde_json::from_slice(&body)
                    .map_err(|e| unexpected("it cannot be read").caused_by(e))
            })
            .await
    }
}

impl Assessor for RestClient {
    fn assess<'a>(
        &'a self,
        request: &'a AssessmentRequest,
    ) -> BoxFuture<'a, Result<Assessment, Error>> {
        Box::pin(async move {
            let message = v1::AssessmentRequest::from(request);
            assessment(Some(self.post("v1/assessments", &message).await?))
        })
    }

    fn assess_batch<'a>(
        &'a self,
        requests: &'a [AssessmentRequest],
    ) -> BoxFuture<'a, Result<Vec<Result<Assessment, Error>>, Error>> {
        Box::pin(async move {
            let message = v1::BatchAssessRequest {
                requests: requests.iter().map(Into::into).collect(),
            };
            let v1::BatchAssessResponse { results } =
                self.post("v1/assessments:batch", &message).await?;
            let in_order = (0..).zip(&results).all(|(i, r)| r.index == i);
            if results.len() != requests.len() || !in_order {
                return Err(unexpected(&format!(
                    "{} results for {} requests, or out of order",
                    results.len(),
                    requests.len()
                )));
            }
            Ok(results
                .into_iter()
                .map(|r| outcome(r.assessment, r.error))
                .collect())
        })
    }

    fn read_lines<'a>(&'a self, text: &'a str) -> BoxFuture<'a, Result<Vec<LineReading>, Error>> {
        Box::pin(async move {
            let message = v1::ReadLinesRequest {
                text: text.to_owned(),
            };
            readings(self.post("v1/readings", &message).await?)
        })
    }

    fn foods<'a>(&'a self, query: &'a FoodQuery) -> BoxFuture<'a, Result<FoodList, Error>> {
        Box::pin(async move {
            let message = list_foods(query);
            food_list(
                self.call(Method::GET, "v1/foods", |r| r.query(&message))
                    .await?,
            )
        })
    }

    fn food<'a>(&'a self, id: &'a FoodId) -> BoxFuture<'a, Result<FoodPage, Error>> {
        Box::pin(async move {
            let page: v1::FoodPage = self
                .call(Method::GET, &format!("v1/foods/{id}"), |r| r)
                .await?;
            page.try_into().map_err(Error::unexpected)
        })
    }

    fn render_ticket<'a>(
        &'a self,
        request: &'a AssessmentRequest,
        layout: TicketLayout,
    ) -> BoxFuture<'a, Result<RenderedTicket, Error>> {
        Box::pin(async move {
            let message = render_ticket(request, layout);
            ticket(self.post("v1/tickets:render", &message).await?)
        })
    }
}

/// The service was not reached, or went away within its answer.
fn not_answered(error: reqwest::Error) -> Error {
    let (kind, detail) = if error.is_connect() {
        (ErrorKind::Unavailable, "the service cannot be reached")
    } else if error.is_timeout() {
        (ErrorKind::DeadlineExceeded, "no answer within the deadline")
    } else if error.is_builder() {
        (ErrorKind::InvalidRequest, "the request cannot be written")
    } else {
        (ErrorKind::Unavailable, "the connection was lost")
    };
    Error::new(kind, detail).caused_by(error)
}

/// The service answered with an error.
async fn refused(response: Response) -> Error {
    let status = response.status();
    let after = retry_after(response.headers());
    let id = response
        .headers()
        .get("x-request-id")
        .and_then(|v| v.to_str().ok())
        .map(str::to_owned);
    let kind = match status {
        StatusCode::NOT_FOUND => ErrorKind::NotFound,
        StatusCode::TOO_MANY_REQUESTS => ErrorKind::Overloaded,
        StatusCode::BAD_GATEWAY | StatusCode::SERVICE_UNAVAILABLE => ErrorKind::Unavailable,
        StatusCode::GATEWAY_TIMEOUT => ErrorKind::DeadlineExceeded,
        s if s.is_client_error() => ErrorKind::InvalidRequest,
        s if s.is_server_error() => ErrorKind::Internal,
        _ => ErrorKind::UnexpectedAnswer,
    };
    let body = response.bytes().await.unwrap_or_default();
    let error = match serde_json::from_slice::<Problem>(&body) {
        Ok(problem) => Error::new(kind, problem.detail)
            .with_reason(problem.reason)
            .with_violations(problem.errors.into_iter().map(|e| (e.pointer, e.detail)))
            .with_request_id(Some(problem.request_id).filter(|i| !i.is_empty()).or(id)),
        // Something between us and the service answered, or another service.
        Err(_) => {
            Error::new(kind, format!("the service answered with {status}")).with_request_id(id)
        }
    };
    match kind {
        ErrorKind::Overloaded | ErrorKind::Unavailable | ErrorKind::DeadlineExceeded => {
            error.with_retry_after(after)
        }
        _ => error,
    }
}

/// The pause that the service asks for, in whole seconds; a date is not read.
fn retry_after(headers: &HeaderMap) -> Option<Duration> {
    let seconds = headers
        .get(RETRY_AFTER)?
        .to_str()
        .ok()?
        .trim()
        .parse()
        .ok()?;
    Some(Duration::from_secs(seconds))
}
