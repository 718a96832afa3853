//! Cuts a cleaned line into numbers, words, marks, brackets and quotations.

use crate::number::Span;

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Kind {
    /// Digits, with points and commas as written, maybe an exponent.
    Digits,
    /// One character that is a fraction, such as `½`.
    Vulgar(f64),
    Word,
    /// Any other single character.
    Mark(char),
    /// `->` or `→`.
    Arrow,
    /// From the opening to the closing bracket; the inner text is one byte in on each side.
    Bracket,
    /// From the opening to the closing quotation mark.
    Quote,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Token {
    pub kind: Kind,
    pub span: Span,
    /// Whether white space (or nothing) stands before it.
    pub parted: bool,
    /// False for the opening mark of a bracket or quotation that is never closed.
    pub closed: bool,
}

impl Token {
    pub fn is_mark(self, c: char) -> bool {
        self.kind == Kind::Mark(c)
    }

    /// The inside of a bracket or a quotation.
    pub fn inner(self, text: &str) -> Span {
        let whole = self.span.of(text);
        let open = whole.chars().next().map_or(0, char::len_utf8);
        let close = whole.chars().next_back().map_or(0, char::len_utf8);
        let end = (self.span.end - close).max(self.span.start + open);
        Span::new(self.span.start + open, end)
    }
}

pub(crate) fn scan(text: &str) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut at = 0;
    let mut parted = true;
    while let Some(c) = text[at..].chars().next() {
        if c.is_whitespace() {
            at += c.len_utf8();
            parted = true;
            continue;
        }
        let before = tokens.last().map(|t| t.kind).filter(|_| !parted);
        let (kind, end, closed) = lex(text, at, c, before);
        tokens.push(Token {
            kind,
            span: Span::new(at, end),
            parted,
            closed,
        });
        at = end;
        parted = false;
    }
    tokens
}

/// The token at `at`; `before` is the kind of the token that touches it.
fn lex(text: &str, at: usize, c: char, before: Option<Kind>) -> (Kind, usize, bool) {
    let after_digit = before == Some(Kind::Digits);
    let rest = &text[at..];
    let next = rest[c.len_utf8()..].chars().next();
    let one = at + c.len_utf8();
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    match c {
        '(' | '[' | '{' => match closing(rest, c) {
            Some(end) => (Kind::Bracket, at + end, true),
            None => (Kind::Mark(c), one, false),
        },
        '"' if after_digit && !rest[1..].contains('"') => (Kind::Mark('"'), one, true),
        '"' | '“' | '”' | '„' => match rest[c.len_utf8()..].find(['"', '“', '”']) {
            Some(i) => {
                let start = one + i;
                (
                    Kind::Quote,
                    start + text[start..].chars().next().map_or(0, char::len_utf8),
                    true,
                )
            }
            None => (Kind::Mark('"'), one, false),
        },
        '-' if next == Some('>') => (Kind::Arrow, at + 2, true),
        '→' => (Kind::Arrow, one, true),
        '×' => (Kind::Mark('x'), one, true),
        '–' | '—' | '−' | '‐' | '‑' => (Kind::Mark('-'), one, true),
        'x' | 'X' if multiplies(after_digit, next) => (Kind::Mark('x'), one, true),
        // `.5`, but `No.10`
        '.' if digit(next) && before != Some(Kind::Word) => (Kind::Digits, at + digits(rest), true),
        _ if c.is_ascii_digit() => (Kind::Digits, at + digits(rest), true),
        _ => match vulgar(c) {
            Some(value) => (Kind::Vulgar(value), one, true),
            None if starts_word(c) => (Kind::Word, at + word(rest), true),
            None => (Kind::Mark(c), one, true),
        },
    }
}

/// `x` between numbers, before a number, or after one and alone.
fn multiplies(after_digit: bool, next: Option<char>) -> bool {
    match next {
        Some(c) if c.is_ascii_digit() || c == '#' => true,
        Some(c) if c.is_whitespace() => true,
        None => after_digit,
        Some(_) => false,
    }
}

fn closing(rest: &str, open: char) -> Option<usize> {
    let close = match open {
        '(' => ')',
        '[' => ']',
        _ => '}',
    };
    let mut depth = 0_usize;
    for (i, c) in rest.char_indices() {
        if c == open {
            depth += 1;
        } else if c == close {
            depth -= 1;
            if depth == 0 {
                return Some(i + c.len_utf8());
            }
        }
    }
    None
}

/// How far a number reaches: digits, points and commas between digits, an exponent.
fn digits(rest: &str) -> usize {
    let b = rest.as_bytes();
    let is_digit = |i: usize| b.get(i).is_some_and(u8::is_ascii_digit);
    let mut i = 0;
    while is_digit(i) || (matches!(b.get(i), Some(b'.' | b',')) && is_digit(i + 1)) {
        i += 1;
    }
    if matches!(b.get(i), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(b.get(i + 1), Some(b'+' | b'-')));
        let mut j = i + 1 + sign;
        let start = j;
        while is_digit(j) {
            j += 1;
        }
        if j > start && !b.get(j).is_some_and(u8::is_ascii_alphabetic) {
            return j;
        }
    }
    i
}

fn starts_word(c: char) -> bool {
    c.is_alphabetic() || (!c.is_ascii() && !c.is_numeric()) || c == '&'
}

fn word(rest: &str) -> usize {
    let mut end = 0;
    let mut previous = ' ';
    let mut chars = rest.char_indices().peekable();
    while let Some((i, c)) = chars.next() {
        let next = chars.peek().map(|&(_, c)| c);
        let letter_next = next.is_some_and(|c| c.is_alphabetic());
        let code = rest[..i]
            .chars()
            .all(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || c == '-');
        let tool = matches!(&rest[..i], "sp" | "Sp");
        let goes_on = i == 0
            || match c {
                '×' | '–' | '—' | '−' | '→' | '“' | '”' | '½' | '¼' | '¾' => false,
                'x' | 'X'
                    if next.is_some_and(|c| c.is_ascii_digit()) && !previous.is_alphabetic() =>
                {
                    false
                }
                _ if c.is_ascii_digit() => {
                    code || tool || (previous.is_ascii_digit() && previous != ' ')
                }
                _ if c.is_alphabetic() || c == '\'' || c == '’' => true,
                '-' if next.is_some_and(|c| c.is_ascii_digit()) => code,
                '-' | '/' | '&' | '.' => letter_next,
                _ => !c.is_ascii() && !c.is_whitespace() && vulgar(c).is_none(),
            };
        if !goes_on {
            break;
        }
        end = i + c.len_utf8();
        previous = c;
    }
    end
}

fn vulgar(c: char) -> Option<f64> {
    Some(match c {
        '½' => 0.5,
        '¼' => 0.25,
        '¾' => 0.75,
        '⅓' => 1.0 / 3.0,
        '⅔' => 2.0 / 3.0,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        '⅕' => 0.2,
        '⅖' => 0.4,
        '⅗' => 0.6,
        '⅘' => 0.8,
        '⅙' => 1.0 / 6.0,
        '⅚' => 5.0 / 6.0,
        '⅑' => 1.0 / 9.0,
        '⅒' => 0.1,
        '⅐' => 1.0 / 7.0,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(text: &str) -> Vec<&str> {
        scan(text).iter().map(|t| t.span.of(text)).collect()
    }

    #[test]
    fn cuts_where_kitchens_leave_no_space() {
        assert_eq!(cut("2x4oz"), ["2", "x", "4", "oz"]);
        assert_eq!(cut("450g/1lb"), ["450", "g", "/", "1", "lb"]);
        assert_eq!(cut("600g-900g"), ["600", "g", "-", "900", "g"]);
        assert_eq!(cut("🧅 x2, 🧄x3"), ["🧅", "x", "2", ",", "🧄", "x", "3"]);
        assert_eq!(cut("たまねぎ200g"), ["たまねぎ", "200", "g"]);
        assert_eq!(cut("1½ c"), ["1", "½", "c"]);
    }

    #[test]
    fn keeps_codes_and_joined_words() {
        assert_eq!(cut("SB-02 3 gal"), ["SB-02", "3", "gal"]);
        assert_eq!(
            cut("w/o onion-free S&P q.s."),
            ["w/o", "onion-free", "S&P", "q.s", "."]
        );
        assert_eq!(cut("1 A10 tin"), ["1", "A10", "tin"]);
        assert_eq!(cut("12\" pizza"), ["12", "\"", "pizza"]);
    }

    #[test]
    fn brackets_nest_and_may_stay_open() {
        assert_eq!(cut("a (b (c)) d"), ["a", "(b (c))", "d"]);
        let open = scan("a (b");
        assert!(open[1].is_mark('(') && !open[1].closed);
        assert_eq!(cut("a (b"), ["a", "(", "b"]);
    }
}
