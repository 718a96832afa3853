//! One number as kitchens write it: `1½`, `1 1/2`, `1-1/2`, `1,5`, `1.500`, `1e9`, `half a`.

use crate::doubt::{Doubt, DoubtKind, LineFault};
use crate::limits;
use crate::number::Span;
use crate::reader::Reader;
use crate::scan::Kind;

/// A number, the token after it, and what is to be said about it. The value is finite and
/// within the limits.
#[derive(Debug, Clone)]
pub(crate) struct Figure {
    pub value: f64,
    pub next: usize,
    pub doubts: Vec<Doubt>,
    pub fault: Option<LineFault>,
}

impl Figure {
    const fn plain(value: f64, next: usize) -> Self {
        Self {
            value,
            next,
            doubts: Vec::new(),
            fault: None,
        }
    }
}

/// The number that starts at token `i`.
pub(crate) fn figure(r: Reader<'_>, i: usize) -> Option<Figure> {
    let token = r.tokens.get(i)?;
    match token.kind {
        Kind::Vulgar(value) => Some(Figure::plain(value, i + 1)),
        Kind::Word => worded(r, i),
        Kind::Digits => written(r, i),
        _ => None,
    }
}

fn written(r: Reader<'_>, i: usize) -> Option<Figure> {
    let text = r.tokens[i].span.of(r.text);
    // `00 flour` is a grade of flour.
    if text.len() > 1 && text.bytes().all(|b| b == b'0') {
        return None;
    }
    if let Some((value, next)) = fraction(r, i) {
        return Some(if value.is_finite() {
            Figure::plain(value, next)
        } else {
            let fault = LineFault::NotFinite {
                column: column(r, i),
                found: r.span(i, next).of(r.text).into(),
            };
            Figure {
                value: 0.0,
                next,
                doubts: Vec::new(),
                fault: Some(fault),
            }
        });
    }
    let mut figure = decimal(r, i);
    let (joint, spaced) = match r.tokens.get(i + 1) {
        Some(t) if t.is_mark('-') => (i + 2, t.parted),
        Some(_) if matches!(r.word(i + 1), "and" | "&") => (i + 2, false),
        _ => (i + 1, false),
    };
    if figure.value.fract() == 0.0
        && let Some((part, next)) = fraction(r, joint).filter(|(f, _)| *f > 0.0 && *f < 1.0)
    {
        if spaced {
            let tried = format!(
                "read as {}; a range is also written so",
                figure.value + part
            );
            figure.doubts.push(Doubt::new(
                DoubtKind::SeveralReadings,
                r.span(i, next),
                tried,
            ));
        }
        figure.value += part;
        figure.next = next;
    }
    Some(figure)
}

/// `1/2` or `½` at token `i`.
fn fraction(r: Reader<'_>, i: usize) -> Option<(f64, usize)> {
    let token = r.tokens.get(i)?;
    if let Kind::Vulgar(value) = token.kind {
        return Some((value, i + 1));
    }
    if token.kind != Kind::Digits || !r.mark(i + 1, '/') {
        return None;
    }
    let below = r.tokens.get(i + 2).filter(|t| t.kind == Kind::Digits)?;
    if r.tokens[i + 1].parted || below.parted {
        return None;
    }
    let above: f64 = token.span.of(r.text).parse().ok()?;
    let below: f64 = below.span.of(r.text).parse().ok()?;
    // `70/30` and `50/50` are ratios. Nothing over nothing is let through to be refused.
    let divides = below <= 32.0 || above < below;
    divides.then_some((
        if below == 0.0 {
            f64::INFINITY
        } else {
            above / below
        },
        i + 3,
    ))
}

/// Digits with points and commas, whose meaning differs between countries.
fn decimal(r: Reader<'_>, i: usize) -> Figure {
    let span = r.tokens[i].span;
    let text = span.of(r.text);
    let commas = text.matches(',').count();
    let points = text.matches('.').count();
    let last_group = text.rsplit([',', '.']).next().map_or(0, str::len);
    let no_lead = text.starts_with('0') || text.starts_with('.');
    let mut doubts = Vec::new();
    let mut doubt = |kind, tried: String| doubts.push(Doubt::new(kind, span, tried));
    let plain = match (commas, points) {
        (0, 0) => text.to_owned(),
        (0, 1) if last_group == 3 && !no_lead && !text.contains(['e', 'E']) => {
            let grouped = text.replace('.', "");
            doubt(
                DoubtKind::SeveralReadings,
                format!(
                    "read as {text} with a decimal point; {grouped} if the point groups thousands"
                ),
            );
            text.to_owned()
        }
        (0, 1) => text.to_owned(),
        (1, 0) if last_group == 3 && !no_lead => {
            let grouped = text.replace(',', "");
            doubt(
                DoubtKind::SeveralReadings,
                format!(
                    "read as {grouped}; {} if the comma is decimal",
                    text.replace(',', ".")
                ),
            );
            grouped
        }
        (1, 0) => {
            let point = text.replace(',', ".");
            doubt(DoubtKind::DecimalComma, format!("read as {point}"));
            point
        }
        (_, 0) => text.replace(',', ""),
        (0, _) => {
            let grouped = text.replace('.', "");
            doubt(
                DoubtKind::SeveralReadings,
                format!("read as {grouped}: the points group thousands"),
            );
            grouped
        }
        _ if text.rfind(',') > text.rfind('.') => {
            let point = text.replace('.', "").replace(',', ".");
            doubt(DoubtKind::DecimalComma, format!("read as {point}"));
            point
        }
        _ => text.replace(',', ""),
    };
    let value = plain.parse::<f64>().unwrap_or(f64::INFINITY);
    let mut figure = Figure {
        value,
        next: i + 1,
        doubts,
        fault: None,
    };
    if value > limits::QUANTITY {
        let tried = format!("held at {}", limits::QUANTITY);
        figure
            .doubts
            .push(Doubt::new(DoubtKind::Capped, span, tried));
        figure.fault = Some(LineFault::TooLarge {
            column: column(r, i),
            found: text.chars().take(40).collect(),
        });
        figure.value = limits::QUANTITY;
    }
    figure
}

fn worded(r: Reader<'_>, i: usize) -> Option<Figure> {
    let word = r.word(i);
    // Words count only where a line or a bracket starts: `one` elsewhere is rarely an amount.
    if i > 0 || word.len() > 8 {
        return None;
    }
    let value = match word.to_lowercase().as_str() {
        "half" | "½" => {
            let skip = usize::from(matches!(r.word(i + 1), "a" | "an"));
            return Some(Figure::plain(0.5, i + 1 + skip));
        }
        "a" | "an" | "one" | "ein" | "eine" | "un" | "une" => 1.0,
        "two" => 2.0,
        "three" => 3.0,
        "four" => 4.0,
        "five" => 5.0,
        "six" => 6.0,
        "seven" => 7.0,
        "eight" => 8.0,
        "nine" => 9.0,
        "ten" => 10.0,
        "eleven" => 11.0,
        "twelve" => 12.0,
        _ => return None,
    };
    Some(Figure::plain(value, i + 1))
}

fn column(r: Reader<'_>, i: usize) -> usize {
    r.tokens
        .get(i)
        .map_or(Span::default(), |t| t.span)
        .column(r.text)
}
