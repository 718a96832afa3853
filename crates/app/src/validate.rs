//! Limits of a request, checked before any work. All faults are told at once.

use tamis_scoring::diner::Phase;
use tamis_scoring::request::{AssessmentRequest, RecipeCard, Serving, Subject};

use crate::error::{Error, Reason};
use crate::limits::{
    MAX_CARDS, MAX_DEPTH, MAX_LINE_CHARS, MAX_LINES, MAX_METHOD_CHARS, MAX_NAME_CHARS, MAX_SITTING,
    MAX_TOLERANCES,
};

/// How many faults one answer tells.
const MAX_FAULTS: usize = 50;

/// Checks a request against the limits.
pub(crate) fn request(request: &AssessmentRequest) -> Result<(), Error> {
    let mut check = Check {
        faults: Vec::new(),
        cards: 0,
    };
    match &request.subject {
        Subject::Dish(card) => check.card("/dish", card, 0)?,
        Subject::Drink(card) => check.card("/drink", card, 0)?,
        Subject::Sitting(servings) => {
            if servings.is_empty() || servings.len() > MAX_SITTING {
                check.fault(
                    "/sitting",
                    format!("holds {}; 1 to {MAX_SITTING} are accepted", servings.len()),
                );
            }
            for (i, serving) in servings.iter().take(MAX_SITTING).enumerate() {
                match serving {
                    Serving::Dish(card) => check.card(&format!("/sitting/{i}/dish"), card, 0)?,
                    Serving::Drink(card) => check.card(&format!("/sitting/{i}/drink"), card, 0)?,
                }
            }
        }
    }
    let diner = &request.diner;
    if diner.tolerances.len() > MAX_TOLERANCES {
        check.fault(
            "/diner/tolerances",
            format!(
                "holds {}; at most {MAX_TOLERANCES} are accepted, one a subgroup",
                diner.tolerances.len()
            ),
        );
    }
    match (diner.phase, diner.challenge) {
        (Phase::Reintroduction, Some(_)) | (_, None) => {}
        (phase, Some(_)) => check.fault(
            "/diner/challenge",
            format!("a challenge belongs to the reintroduction phase, not to {phase}"),
        ),
    }
    if !diner.tolerances.is_empty() && diner.phase != Phase::Personalisation {
        check.fault(
            "/diner/tolerances",
            format!(
                "tolerances belong to the personalisation phase, not to {}",
                diner.phase
            ),
        );
    }
    if request.policy.name.chars().count() > MAX_NAME_CHARS {
        check.fault(
            "/policy/name",
            format!("longer than {MAX_NAME_CHARS} characters"),
        );
    }
    check.finish()
}

struct Check {
    faults: Vec<(String, String)>,
    cards: usize,
}

impl Check {
    fn fault(&mut self, field: impl Into<String>, description: impl Into<String>) {
        if self.faults.len() < MAX_FAULTS {
            self.faults.push((field.into(), description.into()));
        }
    }

    fn card(&mut self, at: &str, card: &RecipeCard, depth: usize) -> Result<(), Error> {
        self.cards += 1;
        if depth > MAX_DEPTH || self.cards > MAX_CARDS {
            return Err(Error::new(
                Reason::TooDeep,
                format!("more than {MAX_DEPTH} levels of sub-recipes or {MAX_CARDS} cards"),
            )
            .with("limit_depth", MAX_DEPTH)
            .with("limit_cards", MAX_CARDS)
            .at(at, "lies beyond the limit"));
        }
        if card.name.trim().is_empty() {
            self.fault(format!("{at}/name"), "is empty; a name is needed");
        }
        for (field, text) in [
            ("name", Some(&card.name)),
            ("code", card.code.as_ref()),
            ("makes", card.makes.as_ref()),
            ("portion", card.portion.as_ref()),
        ] {
            if text.is_some_and(|t| t.chars().count() > MAX_NAME_CHARS) {
                self.fault(
                    format!("{at}/{field}"),
                    format!("longer than {MAX_NAME_CHARS} characters"),
                );
            }
        }
        if card.portions.is_some_and(|p| p.get() <= 0.0) {
            self.fault(
                format!("{at}/portions"),
                "is 0; a number above 0 is accepted, fractions too",
            );
        }
        if card.lines.is_empty() {
            self.fault(
                format!("{at}/lines"),
                "is empty; at least one ingredient line is needed",
            );
        }
        if card.lines.len() > MAX_LINES {
            self.fault(
                format!("{at}/lines"),
                format!(
                    "holds {}; at most {MAX_LINES} are accepted",
                    card.lines.len()
                ),
            );
        }
        for (i, line) in card.lines.iter().take(MAX_LINES).enumerate() {
            if line.chars().count() > MAX_LINE_CHARS {
                self.fault(
                    format!("{at}/lines/{i}"),
                    format!("longer than {MAX_LINE_CHARS} characters"),
                );
            }
            if line.trim().is_empty() {
                self.fault(
                    format!("{at}/lines/{i}"),
                    "is empty; an amount and a food are accepted, such as `300 g rice`",
                );
            }
        }
        if card.method.chars().count() > MAX_METHOD_CHARS {
            self.fault(
                format!("{at}/method"),
                format!("longer than {MAX_METHOD_CHARS} characters"),
            );
        }
        for (i, sub) in card.sub_recipes.iter().enumerate() {
            self.card(&format!("{at}/sub_recipes/{i}"), sub, depth + 1)?;
        }
        Ok(())
    }

    fn finish(self) -> Result<(), Error> {
        let Some((field, description)) = self.faults.first() else {
            return Ok(());
        };
        let error = Error::new(Reason::FieldInvalid, format!("{field} {description}"));
        Err(self
            .faults
            .iter()
            .fold(error, |e, (field, description)| e.at(field, description)))
    }
}
