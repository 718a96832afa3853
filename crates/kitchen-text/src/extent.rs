//! How long and how far: `18 h`, `4h or 18h`, `by half`, `to 1/3`.

use crate::figure::figure;
use crate::method::clauses;
use crate::number::Number;
use crate::phrase::{any, find};
use crate::reader::Reader;
use crate::scan::scan;
use crate::step::{Hours, Step, Warmth};
use crate::unit;

/// The first length of time in a sentence.
pub(crate) fn hours_of(sentence: &str) -> Option<Hours> {
    clauses(sentence)
        .into_iter()
        .find_map(|c| hours(c.of(sentence)))
}

/// The first length of time in a clause.
pub(crate) fn hours(words: &str) -> Option<Hours> {
    if any(words, &["overnight", "o/n"]) {
        return Some(Hours {
            low: Number::known(8.0),
            high: Number::known(16.0),
        });
    }
    let tokens = scan(words);
    let r = Reader {
        text: words,
        tokens: &tokens,
    };
    let mut i = 0;
    while i < tokens.len() {
        let Some(low) = figure(r, i) else {
            i += 1;
            continue;
        };
        let mut next = low.next;
        let own = in_hours(r.word(next));
        let after = next + usize::from(own.is_some());
        let joined = r.mark(after, '-') || matches!(r.word(after), "to" | "or");
        let mut high = None;
        if joined && let Some(second) = figure(r, after + 1) {
            next = second.next;
            high = Some(second);
        }
        let last = in_hours(r.word(next));
        if let (Some(high), Some(factor)) = (&high, last) {
            let low = low.value * own.unwrap_or(factor);
            let high = high.value * factor;
            return Some(Hours {
                low: Number::held(low.min(high)),
                high: Number::held(low.max(high)),
            });
        }
        if let Some(factor) = own {
            let value = Number::held(low.value * factor);
            return Some(Hours {
                low: value,
                high: value,
            });
        }
        i = low.next;
    }
    None
}

fn in_hours(word: &str) -> Option<f64> {
    Some(match word {
        "h" | "hr" | "hrs" | "hour" | "hours" => 1.0,
        "min" | "mins" | "minute" | "minutes" => 1.0 / 60.0,
        "d" | "day" | "days" => 24.0,
        "wk" | "wks" | "week" | "weeks" => 168.0,
        "month" | "months" | "mth" | "mths" => 730.5,
        "year" | "years" | "yr" | "yrs" => 8766.0,
        _ => return None,
    })
}

/// How warm a sentence says it is, in degrees Celsius: a figure, or a word. A cold room is read as 2
/// to 6, a room as 18 to 25 (common practice, no source).
pub(crate) fn warmth(sentence: &str) -> Option<Warmth> {
    let tokens = scan(sentence);
    let r = Reader {
        text: sentence,
        tokens: &tokens,
    };
    let mut i = 0;
    while i < tokens.len() {
        let Some(found) = figure(r, i) else {
            i += 1;
            continue;
        };
        let after = found.next + usize::from(r.mark(found.next, '°'));
        let celsius = match r.word(after) {
            "c" | "degc" => Some(found.value),
            "f" | "degf" => Some((found.value - 32.0) / 1.8),
            _ => None,
        };
        if let Some(celsius) = celsius {
            let value = Number::held(celsius.max(0.0));
            return Some(Warmth {
                low: value,
                high: value,
            });
        }
        i = found.next;
    }
    let cold = [
        "cold",
        "fridge",
        "chill",
        "chilled",
        "refrigerate",
        "refrigerated",
        "retard",
        "walk-in",
        "cooler",
    ];
    let room = ["room temp", "room temperature", "ambient"];
    let (low, high) = if any(sentence, &cold) {
        (2.0, 6.0)
    } else if any(sentence, &room) {
        (18.0, 25.0)
    } else {
        return None;
    };
    Some(Warmth {
        low: Number::known(low),
        high: Number::known(high),
    })
}

/// A dose in milligrams per litre: `100 mg/l`, `0.3 %`, read as ten grams a litre for each per cent.
pub(crate) fn dose(sentence: &str) -> Option<Number> {
    let tokens = scan(sentence);
    let r = Reader {
        text: sentence,
        tokens: &tokens,
    };
    let mut i = 0;
    while i < tokens.len() {
        let Some(found) = figure(r, i) else {
            i += 1;
            continue;
        };
        if r.mark(found.next, '%') {
            return Some(Number::held(found.value * 10_000.0));
        }
        let per_litre = r.word(found.next + 1) == "per"
            && matches!(r.word(found.next + 2), "l" | "litre" | "liter" | "kg");
        match r.word(found.next) {
            "mg/l" | "mg/litre" | "mg/kg" => return Some(Number::held(found.value)),
            "g/l" | "g/litre" | "g/kg" => return Some(Number::held(found.value * 1000.0)),
            "mg" if per_litre => return Some(Number::held(found.value)),
            "g" if per_litre => return Some(Number::held(found.value * 1000.0)),
            _ => i = found.next,
        }
    }
    None
}

/// `by half`, `to a third`, `by 1/3`, `to 50 %`.
pub(crate) fn reduction(words: &str) -> Option<Step> {
    let at = ["reduce", "reduced", "reducing", "boil down", "cook down"]
        .iter()
        .find_map(|w| find(words, w))?;
    let rest = words[at.end..].trim();
    let (make, said): (fn(Number) -> Step, &str) = if let Some(by) = find(rest, "by") {
        (Step::ReduceBy, &rest[by.end..])
    } else if let Some(to) = find(rest, "to") {
        (Step::ReduceTo, &rest[to.end..])
    } else {
        (Step::ReduceUnclear, rest)
    };
    share(said.trim()).map(make)
}

fn share(said: &str) -> Option<Number> {
    let said = ["about ", "approx ", "a ", "one "]
        .iter()
        .fold(said, |s, lead| s.strip_prefix(lead).unwrap_or(s));
    let named = [
        ("half", 0.5),
        ("third", 1.0 / 3.0),
        ("two thirds", 2.0 / 3.0),
        ("two-thirds", 2.0 / 3.0),
        ("quarter", 0.25),
        ("three quarters", 0.75),
        ("three-quarters", 0.75),
    ];
    if let Some((_, value)) = named
        .iter()
        .find(|(n, _)| find(said, n).is_some_and(|s| s.start == 0))
    {
        return Some(Number::known(*value));
    }
    let tokens = scan(said);
    let r = Reader {
        text: said,
        tokens: &tokens,
    };
    let f = figure(r, 0)?;
    let percent = r.mark(f.next, '%');
    let measured = unit::of_word(r.word(f.next)).is_some();
    let value = if percent { f.value / 100.0 } else { f.value };
    (!measured && value > 0.0 && value < 1.0).then(|| Number::held(value))
}
