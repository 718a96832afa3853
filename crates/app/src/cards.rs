//! Files of cards to requests.
//!
//! The cards of one file know each other: a line may refer to any of them by code or name.

use tamis_kitchen_text::{Card, CardError, FileError, Kind, read_cards, read_menu};
use tamis_scoring::diner::{Diner, Policy};
use tamis_scoring::quantity::Portions;
use tamis_scoring::request::{AssessmentRequest, RecipeCard, Service, Subject};

use crate::error::{Error, Reason};

/// How a file of cards is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CardFormat {
    /// Cards in plain text, parted by lines of `===`.
    PlainText,
    /// A menu as CSV, one ingredient a row.
    Csv,
}

/// Reads a file of cards into one request for each dish and drink.
///
/// A card that other cards refer to and that states no portion is only a sub-recipe, and gives no
/// request of its own.
///
/// # Errors
/// When the file or one of its cards cannot be read: every fault with its line and column.
pub fn requests_from_text(
    text: &str,
    format: CardFormat,
    diner: &Diner,
    policy: &Policy,
) -> Result<Vec<AssessmentRequest>, Error> {
    requests_from_bytes(text.as_bytes(), format, diner, policy)
}

/// The same from bytes in any encoding that kitchens send: UTF-8, UTF-16, Windows-1252.
///
/// # Errors
/// As [`requests_from_text`], and when the encoding is not known.
pub fn requests_from_bytes(
    bytes: &[u8],
    format: CardFormat,
    diner: &Diner,
    policy: &Policy,
) -> Result<Vec<AssessmentRequest>, Error> {
    let read = match format {
        CardFormat::PlainText => {
            let (text, _) = tamis_kitchen_text::decode(bytes).map_err(|e| file_error(&e))?;
            read_cards(&text).map_err(|e| file_error(&e))?
        }
        CardFormat::Csv => read_menu(bytes).map_err(|e| file_error(&e))?,
    };
    let mut cards = Vec::with_capacity(read.len());
    let mut faults: Vec<CardError> = Vec::new();
    for card in read {
        match card {
            Ok(card) => cards.push(card),
            Err(fault) => faults.push(fault),
        }
    }
    if let Some(first) = faults.first() {
        let error = Error::new(Reason::RequestMalformed, first.to_string());
        return Err(faults.iter().take(50).fold(error, |e, fault| {
            // A fault begins with its place.
            let text = fault.to_string();
            match text.split_once(": ") {
                Some((place, what)) => e.at(place, what),
                None => e.at(format!("line {}", fault.line()), text),
            }
        }));
    }
    let recipes: Vec<(Kind, RecipeCard)> = cards.iter().map(|c| (c.kind, recipe(c))).collect();
    let uses: Vec<Vec<usize>> = cards.iter().map(|card| references(card, &cards)).collect();
    let mut requests = Vec::new();
    for (i, (kind, own)) in recipes.iter().enumerate() {
        let used = uses.iter().any(|u| u.contains(&i));
        if used && own.portion.is_none() && own.portions.is_none() {
            continue;
        }
        let mut card = own.clone();
        card.sub_recipes = reachable(i, &uses)
            .into_iter()
            .map(|j| recipes[j].1.clone())
            .collect();
        let subject = match kind {
            Kind::Dish => Subject::Dish(card),
            Kind::Drink => Subject::Drink(card),
        };
        requests.push(AssessmentRequest {
            subject,
            diner: diner.clone(),
            policy: policy.clone(),
        });
    }
    Ok(requests)
}

/// The ingredient lines of a text: those of its cards, or every line that is not empty.
pub(crate) fn ingredient_lines(text: &str) -> Vec<String> {
    // Bare lines have no name and header above an empty line.
    let bare = !text
        .trim()
        .lines()
        .any(|line| line.trim().is_empty() || line.starts_with("==="));
    if !bare && let Ok(cards) = read_cards(text) {
        let lines: Vec<String> = cards
            .into_iter()
            .flatten()
            .flat_map(|card| card.lines.into_iter().map(|line| line.text))
            .collect();
        if !lines.is_empty() {
            return lines;
        }
    }
    text.lines()
        .filter(|line| !line.trim().is_empty())
        .map(str::to_owned)
        .collect()
}

fn recipe(card: &Card) -> RecipeCard {
    RecipeCard {
        name: card.name.clone(),
        code: card.code.clone(),
        portions: card.serves.and_then(|n| Portions::new(n.get()).ok()),
        makes: card.makes.as_ref().map(|m| m.text.clone()),
        portion: card.portion.as_ref().map(|p| p.text.clone()),
        service: match card.service {
            tamis_kitchen_text::Service::MadeToOrder => Service::MadeToOrder,
            tamis_kitchen_text::Service::Batch => Service::Batch,
            tamis_kitchen_text::Service::Unstated => Service::Unstated,
        },
        lines: card.lines.iter().map(|line| line.text.clone()).collect(),
        method: card
            .method
            .iter()
            .map(|s| s.text.as_str())
            .collect::<Vec<_>>()
            .join("\n"),
        sub_recipes: Vec::new(),
    }
}

/// The places of the cards that a card's lines refer to.
fn references(card: &Card, all: &[Card]) -> Vec<usize> {
    let same = |a: &str, b: &str| a.trim().eq_ignore_ascii_case(b.trim());
    let mut found = Vec::new();
    for line in &card.lines {
        let names = |other: &Card| {
            let by_code = other.code.as_deref().is_some_and(|code| {
                line.reference.as_deref().is_some_and(|r| same(r, code))
                    || same(&line.food_text, code)
            });
            by_code || (same(&other.name, &line.food_text) && other.name != card.name)
        };
        found.extend(
            all.iter()
                .enumerate()
                .filter(|(_, c)| names(c))
                .map(|(i, _)| i),
        );
    }
    found.sort_unstable();
    found.dedup();
    found
}

/// All cards that one card leads to, itself among them only where the way comes back to it.
fn reachable(from: usize, uses: &[Vec<usize>]) -> Vec<usize> {
    let mut seen = vec![false; uses.len()];
    let mut open = uses[from].clone();
    while let Some(next) = open.pop() {
        if !seen[next] {
            seen[next] = true;
            open.extend(&uses[next]);
        }
    }
    (0..uses.len()).filter(|&i| seen[i]).collect()
}

fn file_error(fault: &FileError) -> Error {
    let reason = match fault {
        FileError::TooLarge { .. } => Reason::RequestTooLarge,
        FileError::TooManyCards => Reason::TooDeep,
        FileError::Empty
        | FileError::Encoding { .. }
        | FileError::Columns { .. }
        | FileError::Csv { .. } => Reason::RequestMalformed,
    };
    Error::new(reason, fault.to_string())
}
