//! What a scripted service answers, and what it saw.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use tamis_client::scoring::request::{AssessmentRequest, Subject};
use tamis_client::{Card, Client, ClientBuilder};
use tamis_wire::v1;

/// One answer of the script.
#[derive(Clone, Copy)]
pub enum Step {
    /// Answers.
    Answer,
    /// Refuses a field.
    Refuse,
    /// Is stopping.
    Stopping,
    /// Is asked too much, and says when to come back.
    Overloaded,
    /// Is asked too much, and does not say when to come back.
    OverloadedForNow,
    /// Fails.
    Fault,
    /// Does not answer.
    Silent,
}

/// A script that is shared between a server and its test; without steps it answers.
#[derive(Clone, Default)]
pub struct Script(Arc<Mutex<State>>);

#[derive(Default)]
struct State {
    steps: VecDeque<Step>,
    calls: u32,
    timeouts: Vec<String>,
}

impl Script {
    pub fn of(steps: impl IntoIterator<Item = Step>) -> Self {
        let script = Self::default();
        script.0.lock().unwrap().steps.extend(steps);
        script
    }

    pub fn next(&self) -> Step {
        let mut state = self.0.lock().unwrap();
        state.calls += 1;
        state.steps.pop_front().unwrap_or(Step::Answer)
    }

    pub fn saw_timeout(&self, timeout: &str) {
        self.0.lock().unwrap().timeouts.push(timeout.to_owned());
    }

    pub fn calls(&self) -> u32 {
        self.0.lock().unwrap().calls
    }

    pub fn timeouts(&self) -> Vec<String> {
        self.0.lock().unwrap().timeouts.clone()
    }
}

pub fn dish(name: &str) -> AssessmentRequest {
    Card::new(name).lines(["300 g rice"]).into_dish()
}

/// An answer that carries the name of the dish back; a dish named `bad` is refused.
pub fn answer(request: v1::AssessmentRequest) -> Result<v1::Assessment, v1::ItemError> {
    let request = AssessmentRequest::try_from(request).expect("a request of this client");
    let Subject::Dish(card) = request.subject else {
        panic!("the tests only send dishes")
    };
    if card.name == "bad" {
        return Err(v1::ItemError {
            reason: "FIELD_INVALID".into(),
            detail: "A field has a value that is not accepted.".into(),
            violations: vec![v1::FieldViolation {
                field: "/dish/name".into(),
                description: "is not accepted".into(),
            }],
        });
    }
    Ok(v1::Assessment {
        name: card.name,
        kind: v1::SubjectKind::Dish.into(),
        ruling: v1::Ruling::Refer.into(),
        excess_fructose: Some(v1::ExcessFructose {
            netting: v1::Netting::Portion.into(),
            ..Default::default()
        }),
        ..Default::default()
    })
}

pub fn patient(endpoint: String) -> ClientBuilder {
    Client::builder(endpoint)
        .attempt_deadline(Duration::from_secs(2))
        .operation_deadline(Duration::from_secs(5))
}
