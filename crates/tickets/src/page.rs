//! A page of lines that never grow wider than the paper.

use crate::layout::Columns;

/// A space at which a line is not broken, as between a number and its unit. It is put in by our own
/// words only: cleaned text has no control characters.
const NO_BREAK: char = '\x1f';

/// What a line is for, so that a printer can set it off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// Where the plate goes.
    Place,
    /// The dish and its code.
    Title,
    /// The ruling.
    Ruling,
    /// Allergens, as recorded.
    Allergens,
    /// Something the cook does.
    Action,
    /// Grams and what they are held against.
    Figures,
    /// What is unknown or goes to the dietitian.
    Query,
    /// A practice note.
    Note,
    /// The caution, catalogue and policy.
    Caution,
    /// A line across the paper, or an empty one.
    Rule,
}

/// One line of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// What it is for.
    pub role: Role,
    /// Printable ASCII, at most as wide as the paper. A line that continues an item, prose apart,
    /// starts with a space.
    pub text: String,
}

/// Collects lines.
#[derive(Debug)]
pub(crate) struct Page {
    width: usize,
    lines: Vec<Line>,
}

impl Page {
    pub(crate) const fn new(columns: Columns) -> Self {
        Self {
            width: columns.width(),
            lines: Vec::new(),
        }
    }

    pub(crate) const fn width(&self) -> usize {
        self.width
    }

    /// A paragraph; its further lines are indented by two.
    pub(crate) fn text(&mut self, role: Role, text: &str) {
        self.hang(role, "", 2, text);
    }

    /// Prose, flush left.
    pub(crate) fn prose(&mut self, role: Role, text: &str) {
        self.hang(role, "", 0, text);
    }

    /// A paragraph beside a lead such as a verb, which is never parted from the first word.
    pub(crate) fn beside(&mut self, role: Role, lead: &str, text: &str) {
        self.hang(role, lead, lead.len(), text);
    }

    /// A lead, then text whose further lines are indented. Lead and indent are at most a third of
    /// the paper.
    pub(crate) fn hang(&mut self, role: Role, lead: &str, indent: usize, text: &str) {
        let mut head = lead.to_owned();
        for part in wrap(text, self.width - lead.len(), self.width - indent) {
            let text = (head + &part).replace(NO_BREAK, " ").trim_end().to_owned();
            self.lines.push(Line { role, text });
            head = " ".repeat(indent);
        }
    }

    /// A line that was measured already; what is too long is cut.
    pub(crate) fn row(&mut self, role: Role, text: &str) {
        let mut text = text.trim_end().to_owned();
        text.truncate(self.width);
        self.lines.push(Line { role, text });
    }

    pub(crate) fn rule(&mut self) {
        self.row(Role::Rule, &"-".repeat(self.width));
    }

    /// An empty line and a heading.
    pub(crate) fn heading(&mut self, role: Role, text: &str) {
        self.row(Role::Rule, "");
        self.text(role, text);
    }

    pub(crate) fn into_lines(self) -> Vec<Line> {
        self.lines
    }

    pub(crate) fn into_text(self) -> String {
        joined(&self.lines)
    }
}

/// The lines as one text, each ended by a newline.
pub(crate) fn joined(lines: &[Line]) -> String {
    let mut text = String::new();
    for line in lines {
        text.push_str(&line.text);
        text.push('\n');
    }
    text
}

/// Parts set apart by two spaces, broken only between them.
pub(crate) fn spaced<P: AsRef<str>>(parts: &[P]) -> String {
    let parts: Vec<String> = parts.iter().map(|p| whole(p.as_ref())).collect();
    parts.join(&format!("{NO_BREAK} "))
}

/// Our own words, kept on one line.
pub(crate) fn whole(text: &str) -> String {
    text.chars()
        .map(|c| if c == ' ' { NO_BREAK } else { c })
        .collect()
}

/// Breaks ASCII text at spaces; a word wider than the line is broken anywhere. Empty text gives one
/// empty line.
fn wrap(text: &str, first: usize, rest: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let mut word = word;
        loop {
            let width = if lines.is_empty() { first } else { rest };
            let gap = usize::from(!line.is_empty());
            if line.len() + gap + word.len() <= width {
                if gap == 1 {
                    line.push(' ');
                }
                line.push_str(word);
                break;
            }
            if line.is_empty() {
                let (head, tail) = word.split_at(width);
                // A figure too wide for the line loses its unit rather than its last digit.
                match head.rfind(NO_BREAK) {
                    Some(at) => {
                        lines.push(head[..at].to_owned());
                        word = &word[at + 1..];
                    }
                    None => {
                        lines.push(head.to_owned());
                        word = tail;
                    }
                }
            } else {
                lines.push(std::mem::take(&mut line));
            }
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_wrap_and_long_ones_break() {
        assert_eq!(wrap("ab cd ef", 5, 5), ["ab cd", "ef"]);
        assert_eq!(wrap("a bcdefghij k", 4, 4), ["a", "bcde", "fghi", "j k"]);
        assert_eq!(wrap("", 4, 4), [""]);
        assert_eq!(
            wrap("0.31\x1fto\x1f1.15\x1fg", 8, 8),
            ["0.31\x1fto", "1.15\x1fg"]
        );
    }

    #[test]
    fn a_verb_keeps_its_item() {
        let mut page = Page::new(Columns::NARROWEST);
        page.beside(Role::Action, "NO      ", "pickled-red-onion-and-more");
        assert_eq!(
            page.into_text(),
            "NO      pickled-red-onio\n        n-and-more\n"
        );
    }

    #[test]
    fn a_number_keeps_its_unit() {
        let mut page = Page::new(Columns::NARROWEST);
        page.text(
            Role::Figures,
            &format!("fructans and more {}", whole("0.20 g")),
        );
        assert_eq!(page.into_text(), "fructans and more 0.20 g\n");
        let mut page = Page::new(Columns::NARROWEST);
        page.text(
            Role::Figures,
            &format!("fructans and others {}", whole("0.20 g")),
        );
        assert_eq!(page.into_text(), "fructans and others\n  0.20 g\n");
    }
}
