//! Text hygiene: any string to printable ASCII, with an account of what was lost.

use std::fmt;

use unicode_normalization::char::{decompose_compatible, is_combining_mark};

/// The most characters of one field that are read; the rest is cut and reported.
const FIELD_LIMIT: usize = 2000;

/// Something of the card that the paper does not show as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loss {
    /// The field it stood in, in plain words.
    pub field: &'static str,
    /// What happened to it.
    pub kind: LossKind,
    /// How many characters, or items for [`LossKind::Omitted`].
    pub count: usize,
}

/// What happened to a character or an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LossKind {
    /// Has no ASCII fallback: shown as `?`.
    Replaced,
    /// A control character: shown as `.`.
    Control,
    /// Invisible or turning the direction of text: dropped.
    Hidden,
    /// Did not fit: cut, with `..` in its place.
    Cut,
    /// An item that has no room, or no place on this layout.
    Omitted,
}

impl fmt::Display for Loss {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let s = if self.count == 1 { "" } else { "s" };
        write!(f, "{}: {} ", self.field, self.count)?;
        match self.kind {
            LossKind::Replaced => write!(f, "character{s} shown as ?"),
            LossKind::Control => write!(f, "control character{s} shown as ."),
            LossKind::Hidden => write!(f, "hidden character{s} dropped"),
            LossKind::Cut => write!(f, "character{s} cut"),
            LossKind::Omitted => write!(f, "not shown"),
        }
    }
}

/// Cleans fields and remembers what was lost.
#[derive(Debug, Default)]
pub(crate) struct Hygiene {
    losses: Vec<Loss>,
}

impl Hygiene {
    /// Counts a loss, together with others of the same kind in the same field.
    pub(crate) fn lose(&mut self, field: &'static str, kind: LossKind, count: usize) {
        if count == 0 {
            return;
        }
        match self
            .losses
            .iter_mut()
            .find(|l| l.field == field && l.kind == kind)
        {
            Some(loss) => loss.count += count,
            None => self.losses.push(Loss { field, kind, count }),
        }
    }

    pub(crate) fn into_losses(self) -> Vec<Loss> {
        self.losses
    }

    /// The text in printable ASCII, runs of white space as one space.
    pub(crate) fn clean(&mut self, field: &'static str, text: &str) -> String {
        let mut out = String::with_capacity(text.len().min(FIELD_LIMIT));
        let mut read = text.chars();
        let mut folded_digit = false;
        for c in read.by_ref().take(FIELD_LIMIT) {
            let after_digit = out.ends_with(|p: char| p.is_ascii_digit());
            match fold(c) {
                Folded::Space => {
                    if !out.is_empty() && !out.ends_with(' ') {
                        out.push(' ');
                    }
                    folded_digit = false;
                }
                Folded::Same(c) => {
                    if folded_digit && c.is_ascii_digit() {
                        out.push(' ');
                    }
                    out.push(c);
                    folded_digit = false;
                }
                Folded::As(text) => {
                    // 1½ is `1 1/2`, never `11/2`.
                    let digit = text.starts_with(|c: char| c.is_ascii_digit());
                    if digit && after_digit {
                        out.push(' ');
                    }
                    out.push_str(&text);
                    folded_digit = digit;
                }
                Folded::Accent if out.ends_with(|p: char| p.is_ascii_alphabetic()) => {}
                Folded::Accent | Folded::None => {
                    out.push('?');
                    self.lose(field, LossKind::Replaced, 1);
                }
                Folded::Control => {
                    out.push('.');
                    self.lose(field, LossKind::Control, 1);
                }
                Folded::Hidden => self.lose(field, LossKind::Hidden, 1),
            }
        }
        let rest = read.count();
        if rest > 0 {
            self.lose(field, LossKind::Cut, rest);
            out.push_str("..");
        }
        out.truncate(out.trim_end().len());
        out
    }

    /// The text cut to a width with `..` at the end; the text must be clean, the width at least 2.
    pub(crate) fn cut(&mut self, field: &'static str, mut text: String, width: usize) -> String {
        if text.len() > width {
            let keep = text[..width - 2].trim_end().len();
            self.lose(field, LossKind::Cut, text.len() - keep);
            text.truncate(keep);
            text.push_str("..");
        }
        text
    }

    /// Cleans and cuts.
    pub(crate) fn short(&mut self, field: &'static str, text: &str, width: usize) -> String {
        let clean = self.clean(field, text);
        self.cut(field, clean, width)
    }
}

enum Folded {
    Same(char),
    As(String),
    Space,
    /// A mark on the letter before it.
    Accent,
    Control,
    Hidden,
    None,
}

fn fold(c: char) -> Folded {
    match c {
        '!'..='~' => return Folded::Same(c),
        '\t' | '\n' | '\r' | '\u{2028}' | '\u{2029}' => return Folded::Space,
        _ if c.is_whitespace() && !c.is_control() => return Folded::Space,
        _ if c.is_control() => return Folded::Control,
        _ if is_hidden(c) => return Folded::Hidden,
        _ => {}
    }
    if let Some(text) = fallback(c) {
        return Folded::As(text.to_owned());
    }
    if is_combining_mark(c) {
        return Folded::Accent;
    }
    let mut text = String::new();
    let mut printable = true;
    decompose_compatible(c, |part| match part {
        ' '..='~' => text.push(part),
        // A stroke through a sign changes its meaning; an accent on a letter does not.
        _ if is_combining_mark(part) => {
            printable &= text.ends_with(|p: char| p.is_ascii_alphabetic());
        }
        _ => match fallback(part) {
            Some(known) => text.push_str(known),
            None => printable = false,
        },
    });
    if printable && !text.is_empty() {
        Folded::As(text)
    } else {
        Folded::None
    }
}

/// What stands for a character that does not decompose into ASCII.
fn fallback(c: char) -> Option<&'static str> {
    Some(match c {
        '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{2043}' => "-",
        '\u{2018}'..='\u{201B}' | '\u{2032}' | '\u{00B4}' | '\u{02BC}' => "'",
        '\u{201C}'..='\u{201F}' | '\u{2033}' | '«' | '»' => "\"",
        '\u{2044}' | '\u{2215}' | '÷' => "/",
        '≤' | '⩽' => "<=",
        '≥' | '⩾' => ">=",
        '≠' => "!=",
        '≈' | '∼' | '≅' => "~",
        '±' => "+/-",
        '×' | '✕' | '✖' => "x",
        '·' | '•' | '∙' | '●' | '▪' => "*",
        '°' => "deg",
        'µ' | 'μ' => "u",
        '→' | '➔' => "->",
        '←' => "<-",
        '€' => "EUR",
        '£' => "GBP",
        '¥' => "JPY",
        '¢' => "c",
        '©' => "(c)",
        '®' => "(r)",
        'ß' => "ss",
        'ẞ' => "SS",
        'æ' => "ae",
        'Æ' => "AE",
        'œ' => "oe",
        'Œ' => "OE",
        'ø' => "o",
        'Ø' => "O",
        'ł' => "l",
        'Ł' => "L",
        'đ' | 'ð' => "d",
        'Đ' | 'Ð' => "D",
        'þ' => "th",
        'Þ' => "Th",
        'ı' => "i",
        'ħ' => "h",
        _ => return None,
    })
}

/// Characters without ink, and those that turn the direction of what follows.
fn is_hidden(c: char) -> bool {
    matches!(c,
        '\u{AD}' | '\u{34F}' | '\u{61C}' | '\u{115F}' | '\u{1160}' | '\u{17B4}' | '\u{17B5}'
        | '\u{180B}'..='\u{180F}' | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}'
        | '\u{2060}'..='\u{206F}' | '\u{3164}' | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}'
        | '\u{FFA0}' | '\u{FFF0}'..='\u{FFFB}' | '\u{1D173}'..='\u{1D17A}'
        | '\u{E0000}'..='\u{E0FFF}')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clean(text: &str) -> (String, Vec<Loss>) {
        let mut hygiene = Hygiene::default();
        let out = hygiene.clean("name", text);
        (out, hygiene.into_losses())
    }

    #[test]
    fn what_has_a_fallback_is_not_a_loss() {
        for (given, expected) in [
            ("1½ cups", "1 1/2 cups"),
            ("½ cup", "1/2 cup"),
            ("⅓2", "1/3 2"),
            ("≤ 5 g", "<= 5 g"),
            ("crème brûlée", "creme brulee"),
            ("cre\u{301}me", "creme"),
            ("5–6 °C", "5-6 degC"),
            ("Spätzle & Grießbrei", "Spatzle & Griessbrei"),
            ("ﬁsh\u{a0}“n” chips…", "fish \"n\" chips..."),
            ("10 m²", "10 m2"),
            ("10²", "10 2"),
            ("line\nbreak\ttab", "line break tab"),
        ] {
            assert_eq!(clean(given), (expected.to_owned(), vec![]), "{given}");
        }
    }

    #[test]
    fn a_struck_sign_is_not_read_as_the_sign() {
        assert_eq!(clean("a ≠ b").0, "a != b");
        assert_eq!(clean("a ≮ b").0, "a ? b");
        assert_eq!(clean("a =\u{338} b").0, "a =? b");
    }

    #[test]
    fn printer_codes_cannot_pass() {
        let (out, losses) = clean("\x1b@\u{0}\u{9b}x\u{7f}");
        assert_eq!(out, ".@..x.");
        let expected = Loss {
            field: "name",
            kind: LossKind::Control,
            count: 4,
        };
        assert_eq!(losses, [expected]);
    }

    #[test]
    fn hidden_and_foreign_characters_are_counted() {
        let (out, losses) = clean("a\u{202e}b\u{200b}c\u{feff} 🌶 白菜");
        assert_eq!(out, "abc ? ??");
        let counts: Vec<_> = losses.iter().map(|l| (l.kind, l.count)).collect();
        assert_eq!(counts, [(LossKind::Hidden, 3), (LossKind::Replaced, 3)]);
    }

    #[test]
    fn long_text_is_cut_and_says_so() {
        let mut hygiene = Hygiene::default();
        let out = hygiene.short("name", &"x".repeat(5000), 10);
        assert_eq!(out, "xxxxxxxx..");
        let lost: usize = hygiene.into_losses().iter().map(|l| l.count).sum();
        assert!(lost >= 5000 - 8);
    }
}
