//! One recipe line to structure. Total: every text gives a [`ReadLine`], and none of it is
//! dropped without a word.

use crate::amount::Amount;
use crate::clean::clean;
use crate::doubt::{Doubt, DoubtKind, LineFault};
use crate::limits;
use crate::number::Span;
use crate::phrase::{Basis, Drained, Negation, Part, Placement, Size};
use crate::reading::Reading;
use crate::scan::scan;
use crate::step::MethodStep;

/// What was understood of one recipe line.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadLine {
    /// The number of the line in its card or file.
    pub number: usize,
    /// The line as it is shown: markup and hidden characters taken out.
    pub text: String,
    /// The amounts: the first counts, the rest say the same in other units.
    pub amounts: Vec<Amount>,
    /// What is left to match with a food; words of state such as `cooked` stay in it.
    pub food_text: String,
    /// The foods to choose from, where the line offers several; else empty.
    pub alternatives: Vec<String>,
    /// What is done to the food, a phrase each, in the words of the line.
    pub preparation: Vec<String>,
    /// What the preparation means for the grams on the plate, as far as it is understood and
    /// [`drained`](Self::drained) does not say it.
    pub steps: Vec<MethodStep>,
    /// What happened to the liquid.
    pub drained: Drained,
    /// Weight before or after trimming.
    pub basis: Basis,
    /// The part of the plant.
    pub part: Part,
    /// The size of the pieces.
    pub size: Size,
    /// What is left out.
    pub negation: Negation,
    /// What the line hangs on: `omit for gf`.
    pub conditions: Vec<String>,
    /// Where the food goes.
    pub placement: Placement,
    /// The ingredient statement of a bought product, if the line quotes one.
    pub statement: Option<String>,
    /// The code of the sub-recipe that the line uses.
    pub reference: Option<String>,
    /// What stays open.
    pub doubts: Vec<Doubt>,
    /// What is wrong; the line stands all the same.
    pub faults: Vec<LineFault>,
}

/// Reads one line. `number` is the number it has in its card or file.
#[must_use]
pub fn read_line(raw: &str, number: usize) -> ReadLine {
    let mut line = blank(number);
    let (text, doubts) = clean(cut(raw, limits::LINE_CHARS * 4));
    line.doubts = doubts;
    let kept = cut(&text, limits::LINE_CHARS);
    if kept.len() < text.len() || raw.len() > cut(raw, limits::LINE_CHARS * 4).len() {
        let chars = raw.chars().count();
        line.faults.push(LineFault::TooLong {
            column: limits::LINE_CHARS + 1,
            chars,
        });
    }
    line.text = unbulleted(kept).to_owned();
    // Doubts of the cleaning move with the bullet that went, and stay within what was kept.
    let bullet = kept.find(&line.text).unwrap_or(0);
    let moved = |at: usize| at.saturating_sub(bullet).min(line.text.len());
    for doubt in &mut line.doubts {
        doubt.span = Span::new(moved(doubt.span.start), moved(doubt.span.end));
    }
    if says_nothing(&line.text) {
        line.faults.push(LineFault::Empty);
        return line;
    }
    if line.text.starts_with('=') {
        let span = Span::new(0, line.text.len());
        line.doubts.push(Doubt::new(
            DoubtKind::Formula,
            span,
            "kept as text, never evaluated",
        ));
        line.food_text = line.text.clone();
        return line;
    }
    let text = line.text.clone();
    let tokens = scan(&text);
    Reading {
        text: &text,
        tokens: &tokens,
        line,
        phrases: Vec::new(),
        used: Vec::new(),
    }
    .read()
}

fn blank(number: usize) -> ReadLine {
    ReadLine {
        number,
        text: String::new(),
        amounts: Vec::new(),
        food_text: String::new(),
        alternatives: Vec::new(),
        preparation: Vec::new(),
        steps: Vec::new(),
        drained: Drained::Unstated,
        basis: Basis::Unstated,
        part: Part::Unstated,
        size: Size::Unstated,
        negation: Negation::None,
        conditions: Vec::new(),
        placement: Placement::InDish,
        statement: None,
        reference: None,
        doubts: Vec::new(),
        faults: Vec::new(),
    }
}

fn cut(text: &str, chars: usize) -> &str {
    text.char_indices()
        .nth(chars)
        .map_or(text, |(at, _)| &text[..at])
}

fn unbulleted(text: &str) -> &str {
    let text = text.trim();
    ["• ", "* ", "- ", "– ", "· ", "+ ", "[ ] ", "☐ "]
        .iter()
        .find_map(|b| text.strip_prefix(b))
        .unwrap_or(text)
        .trim()
}

fn says_nothing(text: &str) -> bool {
    let bare = !text
        .chars()
        .any(|c| c.is_alphanumeric() || (!c.is_ascii() && !"–—•·…".contains(c)));
    bare || ["n/a", "na", "none", "nil", "tbd", "tbc"]
        .iter()
        .any(|w| text.eq_ignore_ascii_case(w))
}
