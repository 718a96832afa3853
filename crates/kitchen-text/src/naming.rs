//! One line on its way to structure: the food, and the phrases beside it.

use crate::doubt::{Doubt, DoubtKind, LineFault};
use crate::limits;
use crate::line::ReadLine;
use crate::method::steps_of_phrase;
use crate::number::Span;
use crate::phrase::{self, Negation};
use crate::reading::Reading;
use crate::scan::{Kind, scan};

impl Reading<'_> {
    /// Cuts what is left into the food, which is given, and the phrases beside it.
    pub(crate) fn segments(&mut self) -> String {
        let amount = self.used.first().map(|u| u.0);
        let mut parts: Vec<String> = Vec::new();
        let mut current = String::new();
        let mut gap = false;
        for (i, token) in self.tokens.iter().enumerate() {
            let parting = self.parts(i);
            // Food before the amount is complete: what follows is what was done to it.
            let complete = amount == Some(i) && !current.ends_with(" of");
            if (parting || complete) && current.chars().any(|c| !c.is_ascii_punctuation()) {
                parts.push(std::mem::take(&mut current));
            }
            let spent = self.used.iter().any(|u| u.0 <= i && i < u.1);
            if parting || spent || matches!(token.kind, Kind::Bracket | Kind::Quote) {
                gap = true;
                continue;
            }
            if !current.is_empty() && (gap || token.parted) {
                current.push(' ');
            }
            current.push_str(token.span.of(self.text));
            gap = false;
        }
        parts.push(current);
        let mut parts: Vec<String> = parts
            .into_iter()
            .filter(|p| !trimmed(p).is_empty())
            .collect();
        // `boneless, skinless chicken breasts`: qualities alone name no food.
        let named = parts
            .iter()
            .position(|p| !phrase::only_qualities(p))
            .unwrap_or(0);
        let food = if parts.is_empty() {
            String::new()
        } else {
            parts.remove(named)
        };
        self.phrases.extend(parts);
        food
    }

    /// Whether token `i` parts a line.
    fn parts(&self, i: usize) -> bool {
        let Some(token) = self.tokens.get(i) else {
            return false;
        };
        let next_parted = self.tokens.get(i + 1).is_none_or(|t| t.parted);
        match token.kind {
            Kind::Arrow | Kind::Mark(',' | ';' | '*' | '|') => true,
            Kind::Mark('-') => token.parted && next_parted,
            Kind::Mark('.') => next_parted,
            _ => false,
        }
    }

    pub(crate) fn brackets(&mut self) {
        let tokens = self.tokens;
        for (i, token) in tokens.iter().enumerate() {
            if self.used.iter().any(|u| u.0 <= i && i < u.1) {
                continue;
            }
            let inner = token.inner(self.text).of(self.text).trim();
            match token.kind {
                Kind::Quote => self.quoted(inner),
                Kind::Bracket => self.bracketed(inner, 1),
                _ => {}
            }
        }
    }

    fn quoted(&mut self, inner: &str) {
        let lists = inner.contains(',') || inner.to_ascii_lowercase().contains("contains");
        if self.line.statement.is_none() && lists {
            self.line.statement = Some(inner.to_owned());
        } else if !inner.is_empty() {
            self.phrases.push(inner.to_owned());
        }
    }

    fn bracketed(&mut self, inner: &str, depth: usize) {
        let tokens = scan(inner);
        if let Some(quote) = tokens
            .iter()
            .position(|t| t.kind == Kind::Quote)
            .filter(|_| depth < limits::BRACKET_DEPTH)
        {
            let lead = inner[..tokens[quote].span.start]
                .trim()
                .trim_end_matches(':')
                .trim();
            if !is_label(lead) && !is_amount(lead) {
                self.phrases.push(lead.to_owned());
            }
            let last = tokens
                .iter()
                .rposition(|t| t.kind == Kind::Quote)
                .unwrap_or(quote);
            let mut loose = String::new();
            for (i, token) in tokens.iter().enumerate().skip(quote) {
                let text = token.inner(inner).of(inner).trim();
                if token.kind == Kind::Quote {
                    self.quoted(text);
                } else if token.kind == Kind::Bracket {
                    self.bracketed(text, depth + 1);
                } else if i < last {
                    if token.parted {
                        loose.push(' ');
                    }
                    loose.push_str(token.span.of(inner));
                }
            }
            let loose = loose.trim_matches([' ', ';', ',', '.', ':']);
            if !loose.is_empty() {
                self.phrases.push(loose.to_owned());
            }
            let tail = tokens
                .iter()
                .rposition(|t| t.kind == Kind::Quote)
                .map_or("", |q| &inner[tokens[q].span.end..]);
            let tail = tail.trim_matches([' ', ';', ',', '.']);
            if !tail.is_empty() {
                self.phrases.push(tail.to_owned());
            }
            return;
        }
        if let Some((_, list)) = inner.split_once(':')
            && list.matches(',').count() >= 2
            && self.line.statement.is_none()
        {
            self.line.statement = Some(list.trim().to_owned());
            let lead = inner[..inner.len() - list.len()]
                .trim_end_matches(':')
                .trim();
            if !is_label(lead) {
                self.phrases.push(lead.to_owned());
            }
            return;
        }
        if !inner.is_empty() {
            self.phrases.push(inner.to_owned());
        }
    }

    /// Takes marks out of the food, and sorts the phrases.
    pub(crate) fn name_food(&mut self, food: &str) {
        let mut food = trimmed(food).to_owned();
        for lead in ["garnish", "optional", "sub", "opt"] {
            if let Some(rest) = strip_word(&food, lead)
                .filter(|r| !r.is_empty() && (lead != "sub" || food.contains(':')))
            {
                let rest = trimmed(rest).to_owned();
                self.phrases.push(food[..lead.len()].to_owned());
                food = rest;
            }
        }
        food = strip_word(&food, "of").unwrap_or(&food).to_owned();
        self.choose(&mut food);
        if let Some(out) = phrase::without(&food) {
            self.line.negation = Negation::Line;
            food = out.to_owned();
        } else {
            let free = phrase::free_of(&food);
            if !free.is_empty() {
                self.line.negation = Negation::Within(free);
            }
        }
        if self.line.negation == Negation::None {
            food = self.uncut(&food);
        }
        let codes: Vec<&str> = food
            .split(' ')
            .filter(|w| phrase::is_code(w, false))
            .collect();
        if let Some(code) = codes.first() {
            self.line.reference = Some((*code).to_owned());
            let rest = food
                .split(' ')
                .filter(|w| w != code)
                .collect::<Vec<_>>()
                .join(" ");
            if rest.chars().any(char::is_alphabetic) {
                food = rest;
            }
        }
        self.line.food_text = trimmed(&food).to_owned();
        let (food, others) = alternatives(&self.line.food_text);
        let whole = Span::new(0, self.text.len());
        for other in others {
            if other.contains(|c: char| c.is_ascii_digit()) {
                let tried = format!("`or {other}` is another amount of it, and not used");
                self.line
                    .doubts
                    .push(Doubt::new(DoubtKind::SeveralAmounts, whole, tried));
            } else {
                self.phrases.push(other);
            }
        }
        self.line.alternatives = food;
        if let [only] = self.line.alternatives.as_slice() {
            self.line.food_text = only.clone();
            self.line.alternatives.clear();
        }
        for text in std::mem::take(&mut self.phrases) {
            self.sort_phrase(trimmed(&text));
        }
    }

    /// `use whatever milk we have` leaves the choice to the kitchen.
    fn choose(&mut self, food: &mut String) {
        let lower = food.to_ascii_lowercase();
        let Some(span) = ["whatever", "any available", "whichever"]
            .iter()
            .find_map(|w| phrase::find(&lower, w))
        else {
            return;
        };
        let tail = &food[span.end..];
        let end = ["we have", "is open", "on hand", "available", "in stock"]
            .iter()
            .find_map(|w| phrase::find(&tail.to_ascii_lowercase(), w))
            .map_or(tail.len(), |s| s.start);
        let named = tail[..end].trim().to_owned();
        let whole = Span::new(0, self.text.len());
        self.line.doubts.push(Doubt::new(
            DoubtKind::OpenChoice,
            whole,
            format!("`{food}` leaves the choice open"),
        ));
        if !named.is_empty() {
            self.phrases.push(std::mem::replace(food, named));
        }
    }

    /// Takes sizes and words of cutting from both ends of the food.
    fn uncut(&mut self, food: &str) -> String {
        let mut words: Vec<&str> = food.split_whitespace().collect();
        let is_cut = |w: &str| phrase::is_cut(w);
        let small_dice = |w: &[&str]| {
            w.len() > 1 && (is_cut(w[1]) || w[1].starts_with("dic") || w[1].starts_with("dc"))
        };
        while words.len() > 1 {
            if !small_dice(&words)
                && let Some(size) = phrase::size_of(words[0])
            {
                self.line.size = size;
                words.remove(0);
            } else if let Some(size) = words.last().and_then(|w| phrase::size_of(w)) {
                self.line.size = size;
                words.pop();
            } else {
                break;
            }
        }
        let lead = words
            .iter()
            .take_while(|w| is_cut(w) || phrase::is_adverb(w) || phrase::size_of(w).is_some())
            .count();
        let lead = if words[..lead].iter().any(|w| is_cut(w)) && lead < words.len() {
            lead
        } else {
            0
        };
        let tail = words
            .iter()
            .rev()
            .take_while(|w| is_cut(w) || phrase::is_adverb(w))
            .count();
        let tail =
            if tail + lead < words.len() && words[words.len() - tail..].iter().any(|w| is_cut(w)) {
                tail
            } else {
                0
            };
        for moved in [&words[words.len() - tail..], &words[..lead]] {
            if !moved.is_empty() {
                self.phrases.insert(0, moved.join(" "));
            }
        }
        words[lead..words.len() - tail].join(" ")
    }

    fn sort_phrase(&mut self, text: &str) {
        if text.is_empty() {
            return;
        }
        let mut text = text;
        let (first, rest) = text.split_once(' ').unwrap_or((text, ""));
        if let Some(size) =
            phrase::size_of(first).filter(|_| !rest.starts_with("dic") && !rest.starts_with("dc"))
        {
            self.line.size = size;
            text = rest.trim();
            if text.is_empty() {
                return;
            }
        }
        if phrase::is_code(text, true) {
            self.line.reference.get_or_insert_with(|| text.to_owned());
            return;
        }
        if self.line.reference.is_none()
            && let Some(code) = text.split(' ').find(|w| phrase::is_code(w, false))
        {
            self.line.reference = Some(code.to_owned());
        }
        if phrase::is_condition(text) {
            self.line.conditions.push(text.to_owned());
            return;
        }
        let mut out: Vec<String> = phrase::without(text)
            .map(str::to_owned)
            .into_iter()
            .collect();
        out.extend(phrase::free_of(text));
        if !out.is_empty() {
            match &mut self.line.negation {
                Negation::Within(all) => all.append(&mut out),
                Negation::Line => {}
                none @ Negation::None => *none = Negation::Within(out),
            }
        }
        self.line.preparation.push(text.to_owned());
    }

    pub(crate) fn finish(mut self) -> ReadLine {
        if self.line.food_text.is_empty() {
            // A line such as `(SB-02) 3 gal` or `"oats"` has its food in a bracket.
            if let Some(code) = &self.line.reference {
                self.line.food_text.clone_from(code);
            } else if !self.line.preparation.is_empty() {
                self.line.food_text = self.line.preparation.remove(0);
            } else {
                let column = self.text.chars().count() + 1;
                self.line.faults.push(LineFault::NoFood { column });
            }
        }
        if self.line.negation == Negation::Line {
            // What is left out needs no amount.
            self.line
                .doubts
                .retain(|d| d.kind != DoubtKind::Unquantified);
        }
        self.line.steps = self
            .line
            .preparation
            .iter()
            .flat_map(|p| steps_of_phrase(p, self.text))
            .collect();
        self.line
    }
}

fn trimmed(text: &str) -> &str {
    text.trim()
        .trim_matches(|c: char| c.is_whitespace() || ",;:.*|/-–—~+()[]{}\"“”".contains(c))
        .trim()
}

fn strip_word<'t>(text: &'t str, word: &str) -> Option<&'t str> {
    let head = text.get(..word.len())?;
    let rest = text.get(word.len()..)?;
    let ends = rest.starts_with(|c: char| c.is_whitespace() || c == ':');
    (head.eq_ignore_ascii_case(word) && ends).then(|| rest.trim_start_matches([' ', ':']).trim())
}

/// Whether a text only says that a statement follows.
fn is_label(text: &str) -> bool {
    matches!(
        text.to_ascii_lowercase().as_str(),
        "" | "label" | "statement" | "statement only" | "ingredients"
    )
}

/// Whether a text is numbers and units alone: `14 oz`.
fn is_amount(text: &str) -> bool {
    let words = text
        .split(|c: char| !c.is_alphabetic())
        .filter(|w| !w.is_empty());
    let plain = text
        .chars()
        .all(|c| c.is_ascii() || c.is_alphabetic() || c.is_numeric());
    text.starts_with(|c: char| c.is_ascii_digit())
        && plain
        && words.into_iter().all(|w| crate::unit::of_word(w).is_some())
}

/// The foods that a text offers, and the qualities it offers beside them: `lager or ale`,
/// `Zwiebel/cebolla/onion`.
fn alternatives(food: &str) -> (Vec<String>, Vec<String>) {
    let kept = ["half/half", "half & half", "w/", "s/d", "n/a"];
    let lower = food.to_ascii_lowercase();
    if kept.iter().any(|k| lower.contains(k)) {
        return (Vec::new(), Vec::new());
    }
    let spread = [" or ", " OR ", " oder ", " ou ", "/"]
        .iter()
        .fold(food.to_owned(), |f, or| f.replace(or, "\u{1f}"));
    let all: Vec<String> = spread
        .split('\u{1f}')
        .map(|w| trimmed(w).to_owned())
        .filter(|w| !w.is_empty())
        .collect();
    // `fresh or canned broth`, `thyme or 1 teaspoon dried`: a quality is no food of its own.
    let names = |part: &String| {
        part.chars().any(|c| c.is_alphabetic() || !c.is_ascii()) && !phrase::only_qualities(part)
    };
    let (foods, others): (Vec<String>, Vec<String>) = all.into_iter().partition(names);
    if foods.len() + others.len() < 2 || foods.is_empty() {
        return (Vec::new(), Vec::new());
    }
    (foods, others)
}
