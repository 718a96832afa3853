//! The pages and their templates. Everything a template prints is escaped.

use askama::Template;
use serde::Deserialize;
use tamis_app::limits;
use tamis_wire::problem::{ErrorItem, Problem};

use super::answer::Answer;
use super::choices::{Choices, Options};
use super::sheet::Sheet;

/// The pass sheets.
#[derive(Template)]
#[template(path = "console/menus.html")]
pub struct Menus {
    /// The lists of the form.
    pub options: Options,
    /// For whom, in a sentence.
    pub settings: String,
    /// One a menu.
    pub sheets: Vec<Sheet>,
    /// The version of the catalogue.
    pub catalogue: String,
}

/// One dish of a menu.
#[derive(Template)]
#[template(path = "console/dish.html")]
pub struct Dish {
    /// The lists of the form.
    pub options: Options,
    /// For whom, in a sentence.
    pub settings: String,
    /// The query string of the way back.
    pub back: String,
    /// The name of the menu.
    pub menu: String,
    /// The answer.
    pub answer: Answer,
}

/// The form for a card, with answers or an error where there are any.
#[derive(Template)]
#[template(path = "console/assess.html")]
pub struct Form {
    /// The title of the page.
    pub title: String,
    /// The text of the form.
    pub card: String,
    /// The lists of the form.
    pub options: Options,
    /// For whom, in a sentence; empty without answers.
    pub settings: String,
    /// Why there is no answer.
    pub refused: Option<Refused>,
    /// One a dish or drink of the text.
    pub answers: Vec<Answer>,
}

impl Form {
    const MAX_CHARS: usize = limits::MAX_BODY_BYTES / 4;

    /// The form as it was filled in.
    #[must_use]
    pub fn of(filled: &Filled) -> Self {
        Self {
            title: "Assess a recipe card".to_owned(),
            card: filled.card.clone(),
            options: filled.choices().options(),
            settings: String::new(),
            refused: None,
            answers: Vec::new(),
        }
    }
}

impl Default for Form {
    fn default() -> Self {
        Self::of(&Filled::default())
    }
}

/// What was filled in. Fields are spelt out because a form cannot nest them.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Filled {
    /// The recipe card, or several.
    pub card: String,
    phase: String,
    challenge: String,
    confidence: String,
}

impl Filled {
    /// For whom.
    #[must_use]
    pub fn choices(&self) -> Choices {
        Choices {
            phase: self.phase.clone(),
            challenge: self.challenge.clone(),
            confidence: self.confidence.clone(),
        }
    }
}

/// Why there is no answer.
#[derive(Template)]
#[template(path = "console/problem.html")]
pub struct Refused {
    /// What went wrong, in a few words.
    pub title: String,
    /// The status of the answer.
    pub status: u16,
    /// What went wrong, in a sentence; empty where the faults say it.
    pub detail: String,
    /// The single faults, each with its place.
    pub faults: Vec<String>,
    /// To name when asking for help.
    pub request_id: String,
}

impl From<Problem> for Refused {
    fn from(problem: Problem) -> Self {
        let faults: Vec<String> = problem.errors.iter().map(fault).collect();
        let said = faults.iter().any(|f| f.contains(&problem.detail));
        Self {
            title: problem.title,
            status: problem.status,
            detail: if said { String::new() } else { problem.detail },
            faults,
            request_id: problem.request_id,
        }
    }
}

/// Faults of a card begin with their line and column; all others are said with their field.
fn fault(item: &ErrorItem) -> String {
    if item.pointer.is_empty() || item.detail.starts_with(&item.pointer) {
        item.detail.clone()
    } else {
        format!("{}: {}", item.pointer, item.detail)
    }
}
