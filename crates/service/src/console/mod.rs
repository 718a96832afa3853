//! The web console, on the port of REST: pass sheets of the stored menus, the answer for one dish,
//! and a form for a card that is assessed and not kept.
//!
//! Pages are made here and need nothing but their own stylesheet. The console computes nothing of a
//! dish: it shows what the app answers, and places marks on a plot.

mod answer;
mod choices;
mod dress;
mod forest;
mod line;
mod pages;
mod sheet;

#[cfg(test)]
mod tests;

use std::sync::Arc;

use askama::Template;
use axum::extract::{DefaultBodyLimit, Form, Path, State};
use axum::http::header::CONTENT_TYPE;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::response::{Html, IntoResponse};
use axum::routing::get;
use axum::{Extension, Router};
use tamis_app::error::{Error, Reason};
use tamis_app::ports::{MenuStore, StoreError};
use tamis_app::{App, CardFormat, limits, requests_from_text};
use tamis_scoring::request::AssessmentRequest;

use crate::call::{Call, Doors, fault};
use crate::guard;
use crate::rest::extract::Asked;
use crate::rest::problem::Refusal;
use answer::Answer;
use choices::{Choices, Chosen};
use dress::Kept;
use sheet::Sheet;

/// Cards that one form may hold: the page with their answers must stay readable.
const MAX_CARDS: usize = 12;
const STYLE: &str = include_str!("console.css");

#[derive(Clone)]
struct Console {
    doors: Doors,
    menus: Arc<dyn MenuStore>,
}

/// The pages, with the guard of the REST door around them.
pub fn router(doors: Doors, menus: Arc<dyn MenuStore>) -> Router {
    Router::new()
        .route("/", get(pass_sheets))
        .route("/dishes/{menu}/{index}", get(dish))
        .route("/assess", get(form).post(assess))
        .route("/console.css", get(style))
        .layer(DefaultBodyLimit::max(limits::MAX_BODY_BYTES))
        .layer(from_fn_with_state(doors.clone(), guard::rest))
        .layer(from_fn(dress::dress))
        .with_state(Console { doors, menus })
}

/// The pass sheets of the stored menus.
async fn pass_sheets(
    State(console): State<Console>,
    Extension(call): Extension<Call>,
    Asked(choices): Asked<Choices>,
) -> Result<Html<String>, Refusal> {
    let chosen = choices.chosen()?;
    let menus = console.menus.menus().await.map_err(|e| unstored(&e))?;
    let app = console.doors.app().clone();
    let page = call
        .work(move || {
            let sheets = menus.iter().map(|m| Sheet::of(&app, m, &chosen)).collect();
            render(&pages::Menus {
                options: choices.options(),
                settings: chosen.sentence(),
                sheets,
                catalogue: app.catalogue_version().to_owned(),
            })
        })
        .await?;
    Ok(Html(page))
}

/// The answer for one dish of a stored menu; dishes count from 1.
async fn dish(
    State(console): State<Console>,
    Extension(call): Extension<Call>,
    Path((menu, index)): Path<(String, String)>,
    Asked(choices): Asked<Choices>,
) -> Result<Html<String>, Refusal> {
    let chosen = choices.chosen()?;
    let menus = console.menus.menus().await.map_err(|e| unstored(&e))?;
    let Some(menu) = menus.into_iter().find(|m| m.id == menu) else {
        return Err(missing("There is no such menu; the pass sheets list those there are.").into());
    };
    let app = console.doors.app().clone();
    let page = call
        .work(move || {
            let requests = cards(&menu.cards, &chosen)?;
            let request = index
                .parse::<usize>()
                .ok()
                .and_then(|index| requests.get(index.checked_sub(1)?))
                .ok_or_else(|| {
                    missing(format!(
                        "{} has {} dishes and drinks, counted from 1.",
                        menu.name,
                        requests.len()
                    ))
                })?;
            render(&pages::Dish {
                options: choices.options(),
                settings: chosen.sentence(),
                back: chosen.query(),
                menu: menu.name.clone(),
                answer: Answer::of(&app, request, answer::Place::Page)?,
            })
        })
        .await?;
    Ok(Html(page))
}

/// The empty form.
async fn form() -> Result<Html<String>, Refusal> {
    Ok(Html(render(&pages::Form::default())?))
}

/// Assesses the cards of the form. They are not kept, and neither is the answer.
async fn assess(
    State(console): State<Console>,
    Extension(call): Extension<Call>,
    Extension(kept): Extension<Kept>,
    Form(filled): Form<pages::Filled>,
) -> Result<Html<String>, Refusal> {
    kept.keep(&filled);
    let app = console.doors.app().clone();
    let page = call
        .work(move || {
            let answers = answers(&app, &filled)?;
            render(&pages::Form {
                title: "Assessment of a recipe card".to_owned(),
                settings: filled.choices().chosen()?.sentence(),
                answers,
                ..pages::Form::of(&filled)
            })
        })
        .await?;
    Ok(Html(page))
}

fn answers(app: &App, filled: &pages::Filled) -> Result<Vec<Answer>, Error> {
    let chosen = filled.choices().chosen()?;
    let requests = cards(&filled.card, &chosen)?;
    match requests.len() {
        0 => Err(Error::new(
            Reason::RequestMalformed,
            "The cards only refer to each other; at least one dish or drink is needed.",
        )),
        count if count > MAX_CARDS => Err(Error::new(
            Reason::TooDeep,
            format!(
                "The text holds {count} dishes and drinks; this form takes {MAX_CARDS}. \
                 The command `tamis audit` takes a whole menu."
            ),
        )),
        _ => (1..)
            .zip(&requests)
            .map(|(n, request)| Answer::of(app, request, answer::Place::Section(n)))
            .collect(),
    }
}

async fn style() -> impl IntoResponse {
    ([(CONTENT_TYPE, "text/css; charset=utf-8")], STYLE)
}

fn cards(text: &str, chosen: &Chosen) -> Result<Vec<AssessmentRequest>, Error> {
    requests_from_text(text, CardFormat::PlainText, &chosen.diner, &chosen.policy)
}

fn missing(detail: impl Into<String>) -> Error {
    Error::new(Reason::NotFound, detail)
}

/// The journal says what happened to the store, the page does not.
fn unstored(error: &StoreError) -> Error {
    tracing::error!(error = %error, "the menus could not be read");
    fault()
}

fn render(page: &impl Template) -> Result<String, Error> {
    page.render().map_err(|error| {
        tracing::error!(error = %error, "a page could not be written");
        fault()
    })
}
