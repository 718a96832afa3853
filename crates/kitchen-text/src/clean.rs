//! Takes out of a line what no kitchen meant to write: markup, control characters, characters
//! that hide or turn text. What was taken out is said.

use crate::doubt::{Doubt, DoubtKind};
use crate::number::Span;

/// Tags that part words; any other tag vanishes between them.
const PARTING_TAGS: [&str; 8] = ["br", "p", "li", "div", "td", "tr", "ul", "ol"];
/// A tag longer than this is taken for text with a stray `<`.
const TAG_BYTES: usize = 200;
/// The longest entity, without `&` and `;`.
const ENTITY_BYTES: usize = 10;

const ENTITIES: [(&str, char); 31] = [
    ("amp", '&'),
    ("lt", '<'),
    ("gt", '>'),
    ("quot", '"'),
    ("apos", '\''),
    ("nbsp", ' '),
    ("frac12", '½'),
    ("frac14", '¼'),
    ("frac34", '¾'),
    ("frac13", '⅓'),
    ("frac23", '⅔'),
    ("frac18", '⅛'),
    ("times", '×'),
    ("deg", '°'),
    ("ndash", '–'),
    ("mdash", '—'),
    ("minus", '−'),
    ("rarr", '→'),
    ("ldquo", '“'),
    ("rdquo", '”'),
    ("rsquo", '’'),
    ("lsquo", '‘'),
    ("hellip", '…'),
    ("eacute", 'é'),
    ("egrave", 'è'),
    ("ecirc", 'ê'),
    ("ntilde", 'ñ'),
    ("ouml", 'ö'),
    ("uuml", 'ü'),
    ("auml", 'ä'),
    ("ccedil", 'ç'),
];

/// The text as it is shown, and what was taken out of it.
pub(crate) fn clean(raw: &str) -> (String, Vec<Doubt>) {
    let mut out = String::with_capacity(raw.len());
    let mut removed: Vec<(DoubtKind, usize, String)> = Vec::new();
    let mut rest = raw;
    while let Some(c) = rest.chars().next() {
        if c == '<'
            && let Some((tag, after)) = tag(rest)
        {
            if parts_words(tag) {
                push_space(&mut out);
            }
            note(&mut removed, DoubtKind::MarkupRemoved, out.len(), tag);
            rest = after;
            continue;
        }
        if c == '&'
            && let Some((decoded, name, after)) = entity(rest)
        {
            note(&mut removed, DoubtKind::MarkupRemoved, out.len(), name);
            push(&mut out, &mut removed, decoded);
            rest = after;
            continue;
        }
        push(&mut out, &mut removed, c);
        rest = &rest[c.len_utf8()..];
    }
    let kept = out.trim_end().len();
    out.truncate(kept);
    let doubts = removed
        .into_iter()
        .map(|(kind, at, what)| {
            let at = at.min(out.len());
            Doubt::new(kind, Span::new(at, at), format!("taken out: {what}"))
        })
        .collect();
    (out, doubts)
}

fn push(out: &mut String, removed: &mut Vec<(DoubtKind, usize, String)>, c: char) {
    match c {
        '\u{202A}'..='\u{202E}'
        | '\u{2066}'..='\u{2069}'
        | '\u{200E}'
        | '\u{200F}'
        | '\u{061C}' => {
            note(removed, DoubtKind::DirectionRemoved, out.len(), &escaped(c));
        }
        '\u{200B}'..='\u{200D}' | '\u{2060}'..='\u{2064}' | '\u{FEFF}' | '\u{00AD}' => {
            note(removed, DoubtKind::InvisibleRemoved, out.len(), &escaped(c));
        }
        '\u{2044}' | '\u{2215}' => out.push('/'),
        c if c.is_whitespace() => push_space(out),
        c if c.is_control() => {
            note(removed, DoubtKind::ControlRemoved, out.len(), &escaped(c));
        }
        c => out.push(c),
    }
}

/// One doubt a kind is enough: it lists what was taken out, up to a few.
fn note(removed: &mut Vec<(DoubtKind, usize, String)>, kind: DoubtKind, at: usize, what: &str) {
    match removed.iter_mut().find(|r| r.0 == kind) {
        Some(r) if r.2.len() < 60 => {
            r.2.push(' ');
            r.2.extend(what.chars().take(30));
        }
        Some(_) => {}
        None => removed.push((kind, at, what.chars().take(30).collect())),
    }
}

fn push_space(out: &mut String) {
    if !out.is_empty() && !out.ends_with(' ') {
        out.push(' ');
    }
}

fn escaped(c: char) -> String {
    format!("U+{:04X}", u32::from(c))
}

fn tag(text: &str) -> Option<(&str, &str)> {
    let inner = text.strip_prefix('<')?;
    let first = inner.chars().next()?;
    if !(first.is_ascii_alphabetic() || first == '/' || first == '!') {
        return None;
    }
    let end = inner.bytes().take(TAG_BYTES).position(|b| b == b'>')?;
    Some((text.get(..end + 2)?, text.get(end + 2..)?))
}

fn parts_words(tag: &str) -> bool {
    let name: String = tag
        .chars()
        .filter(|c| c.is_ascii_alphabetic())
        .take(6)
        .collect::<String>()
        .to_ascii_lowercase();
    PARTING_TAGS.iter().any(|t| name == *t)
}

fn entity(text: &str) -> Option<(char, &str, &str)> {
    let inner = text.strip_prefix('&')?;
    let end = inner.bytes().take(ENTITY_BYTES).position(|b| b == b';')?;
    let name = inner.get(..end)?;
    let decoded = match name.strip_prefix('#') {
        Some(code) => {
            let code = match code.strip_prefix(['x', 'X']) {
                Some(hex) => u32::from_str_radix(hex, 16).ok()?,
                None => code.parse().ok()?,
            };
            char::from_u32(code)?
        }
        None => ENTITIES.iter().find(|(n, _)| *n == name)?.1,
    };
    Some((decoded, text.get(..end + 2)?, inner.get(end + 1..)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_goes_and_is_said() {
        let (text, doubts) = clean("<b>2 cups</b> milk<br>&frac12; tsp");
        assert_eq!(text, "2 cups milk ½ tsp");
        assert_eq!(doubts.len(), 1);
        assert_eq!(doubts[0].kind, DoubtKind::MarkupRemoved);
        assert!(doubts[0].tried.contains("<b>"));
    }

    #[test]
    fn entities_are_decoded_once() {
        assert_eq!(
            clean("salt &amp;amp; &#189; &#xBD; &bogus;").0,
            "salt &amp; ½ ½ &bogus;"
        );
        assert_eq!(clean("&lt;b&gt;oats").0, "<b>oats");
    }

    #[test]
    fn less_than_is_no_tag() {
        assert_eq!(clean("salt < 2 g, a<3").0, "salt < 2 g, a<3");
    }

    #[test]
    fn hidden_characters_go_and_each_kind_is_said() {
        let (text, doubts) = clean("ri\u{0}ce\u{1b}@ \u{202E}oats\u{200D} \t 2\u{a0}g");
        assert_eq!(text, "rice@ oats 2 g");
        let kinds: Vec<_> = doubts.iter().map(|d| d.kind).collect();
        assert_eq!(
            kinds,
            [
                DoubtKind::ControlRemoved,
                DoubtKind::DirectionRemoved,
                DoubtKind::InvisibleRemoved
            ]
        );
    }
}
