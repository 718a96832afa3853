//! The rows of `laws.csv`: laws in time, and what becomes of what is lost.

use tamis_scoring::evidence::Grade;
use tamis_scoring::processing::kinetics::{
    Bath, Celsius, Dosing, Form, Law, Parameter, Range, Warmth,
};
use tamis_scoring::processing::{Process, most_from};
use tamis_scoring::quantity::{Fraction, Hours, MilligramsPerLitre, Quantity, Ratio, SourceId};
use tamis_scoring::subgroup::Analyte;

use crate::fault::Faults;
use crate::schema_tools::{Scope, scope};
use crate::table::{At, Cells, read};

pub(crate) const LAWS: &[&str] = &[
    "process", "class", "family", "food", "analyte", "law", "low", "central", "high", "terms",
    "product", "reason", "source", "locator", "grade",
];

const TERMS: &str = "hours=FROM..TO|floor=SHARE|lag=HOURS|holds=RATIO|water=FROM..TO|usual=FROM..TO|at=CELSIUS|\
                     q10=RATIO|celsius=FROM..TO|dose=MG_PER_L|power=RATIO|doses=FROM..TO";

#[derive(Debug, Clone)]
pub(crate) struct LawRow {
    pub(crate) at: At,
    pub(crate) process: Process,
    pub(crate) scope: Scope,
    pub(crate) analytes: Vec<Analyte>,
    pub(crate) rule: Rule,
    pub(crate) reason: String,
    pub(crate) source: SourceId,
    pub(crate) locator: String,
    pub(crate) grade: Grade,
}

#[derive(Debug, Clone)]
pub(crate) enum Rule {
    Law(Law),
    /// The product, and its grams for each gram lost: low, central, high.
    Becomes(Analyte, (Ratio, Ratio, Ratio)),
}

impl LawRow {
    pub(crate) fn product(&self) -> Option<Analyte> {
        match self.rule {
            Rule::Becomes(product, _) => Some(product),
            Rule::Law(_) => None,
        }
    }
}

/// The `key=value` pairs of a cell; each is taken once.
struct Terms(Vec<(String, String)>);

impl Terms {
    fn take(&mut self, key: &str) -> Option<String> {
        let at = self.0.iter().position(|(k, _)| k == key)?;
        Some(self.0.swap_remove(at).1)
    }

    fn number(&mut self, key: &str, c: &mut Cells<'_>) -> Option<f64> {
        let text = self.take(key)?;
        let value = number(&text);
        if value.is_none() {
            c.fault(9, format!("'{key}={text}' holds no number"), TERMS);
        }
        value
    }

    fn range(&mut self, key: &str, c: &mut Cells<'_>) -> Option<(f64, f64)> {
        let text = self.take(key)?;
        let ends = text
            .split_once("..")
            .and_then(|(low, high)| Some((number(low)?, number(high)?)))
            .filter(|(low, high)| low <= high);
        if ends.is_none() {
            c.fault(9, format!("'{key}={text}' is no range"), TERMS);
        }
        ends
    }
}

fn number(text: &str) -> Option<f64> {
    text.trim()
        .parse::<f64>()
        .ok()
        .filter(|v| v.is_finite() && (-40.0..=1.0e6).contains(v))
}

pub(crate) fn laws(file: &str, bytes: &[u8], faults: &mut Faults, out: &mut Vec<LawRow>) {
    read(file, bytes, LAWS, faults, |c| {
        let process = c.parsed(0, Process::from_word);
        let scope = scope(c, 1);
        let analytes = c.list(4, Analyte::from_word);
        if analytes.is_empty() {
            c.required(4);
        }
        let word = c.required(5);
        let most = if word.as_deref() == Some("becomes") {
            2.0
        } else {
            1.0e5
        };
        let (low, central, high) = (
            c.needed(6, 0.0, most),
            c.needed(7, 0.0, most),
            c.needed(8, 0.0, most),
        );
        c.interval(6, 8, (low, high), central);
        let numbers = low.zip(central).zip(high).map(|((a, b), d)| (a, b, d));
        let (reason, source, locator, grade) = (
            c.required(11),
            c.source(12),
            c.required(13),
            c.parsed(14, Grade::from_word),
        );
        let rule = match (word.as_deref(), numbers, grade) {
            (Some("becomes"), Some(numbers), _) => becomes(c, &analytes, numbers),
            (Some(word), Some(numbers), Some(grade)) => law(c, word, numbers, grade),
            _ => None,
        };
        let row = (|| {
            Some(LawRow {
                at: c.at.clone(),
                process: process?,
                scope,
                analytes,
                rule: rule?,
                reason: reason?,
                source: source?,
                locator: locator?,
                grade: grade?,
            })
        })();
        out.extend(c.keep(row));
    });
}

fn becomes(
    c: &mut Cells<'_>,
    from: &[Analyte],
    (low, central, high): (f64, f64, f64),
) -> Option<Rule> {
    let product = c.parsed(10, Analyte::from_word)?;
    for &source in from {
        match most_from(source, product) {
            None => c.fault(
                10,
                format!("{source} does not become {product} in a kitchen"),
                "fructans to fructose, mannitol or glucose; fructose to mannitol; lactose to glucose; galactans to fructose or glucose",
            ),
            // Printed factors are rounded to three digits.
            Some(most) if high > most.get() + 5e-4 => c.fault(
                8,
                format!("{high} g of {product} from a gram of {source}: more than there is"),
                format!("at most {:.3}, the water of hydrolysis counted", most.get()),
            ),
            Some(_) => {}
        }
    }
    Some(Rule::Becomes(
        product,
        (
            Ratio::clamped(low),
            Ratio::clamped(central),
            Ratio::clamped(high),
        ),
    ))
}

fn law(
    c: &mut Cells<'_>,
    word: &str,
    (low, central, high): (f64, f64, f64),
    grade: Grade,
) -> Option<Rule> {
    let mut terms = Terms(
        c.words(9)
            .iter()
            .map(|w| {
                let (key, value) = w.split_once('=').unwrap_or((w, ""));
                (key.trim().to_owned(), value.trim().to_owned())
            })
            .collect(),
    );
    let hours = terms.range("hours", c);
    if hours.is_none() {
        c.fault(9, "a law without the hours it was seen at", TERMS);
    }
    let bath = |terms: &mut Terms, c: &mut Cells<'_>| {
        let (holds, water) = (terms.number("holds", c), terms.range("water", c));
        if holds.is_none() || water.is_none() {
            c.fault(9, "a law of water without `holds` and `water`", TERMS);
        }
        let (holds, (from, to)) = (holds?, water?);
        let water = Range::between(Ratio::clamped(from), Ratio::clamped(to));
        let usual = terms.range("usual", c).map_or(water, |(from, to)| {
            Range::between(Ratio::clamped(from), Ratio::clamped(to))
        });
        Some(Bath {
            holds: Ratio::clamped(holds),
            water,
            usual,
        })
    };
    let form = match word {
        "decay" => Some(Form::Decay {
            floor: Fraction::clamped(terms.number("floor", c).unwrap_or(0.0)),
            lag: Hours::clamped(terms.number("lag", c).unwrap_or(0.0)),
        }),
        "leach" => bath(&mut terms, c).map(Form::Leach),
        "extract" => bath(&mut terms, c).map(Form::Extract),
        _ => {
            c.fault(
                5,
                format!("'{word}' is no law"),
                "decay, leach, extract, becomes",
            );
            None
        }
    };
    let at = terms.number("at", c);
    let warmth = at
        .zip(terms.number("q10", c))
        .zip(terms.range("celsius", c))
        .map(|((at, q10), (from, to))| Warmth {
            at: Celsius::clamped(at),
            q10: Ratio::clamped(q10),
            within: Range::between(Celsius::clamped(from), Celsius::clamped(to)),
        });
    let mg = MilligramsPerLitre::clamped;
    let dosing = terms
        .number("dose", c)
        .filter(|dose| *dose > 0.0)
        .zip(terms.number("power", c))
        .zip(terms.range("doses", c))
        .map(|((at, power), (from, to))| Dosing {
            at: mg(at),
            power: Ratio::clamped(power),
            within: Range::between(mg(from), mg(to)),
        });
    if let Some((key, _)) = terms.0.first() {
        c.fault(
            9,
            format!("'{key}' is no term of a law, or stands twice"),
            TERMS,
        );
    }
    if !c.is_blank(10) {
        c.fault(
            10,
            "a product of a law in time",
            "blank; a row `becomes` names products",
        );
    }
    let h = Hours::clamped;
    let (from, to) = hours?;
    Some(Rule::Law(Law {
        form: form?,
        half: Parameter::new(h(low), h(central), h(high))?,
        hours: Range::between(h(from), h(to)),
        warmth,
        dosing,
        grade,
    }))
}
