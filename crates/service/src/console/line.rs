//! What each line brought, and how the lines add up to the loads.

use tamis_app::App;
use tamis_scoring::assessment::{Assessment, Contribution, LineRef};
use tamis_scoring::loads::LoadState;
use tamis_scoring::subgroup::Subgroup;
use tamis_tickets::figures;

use super::answer::source;

/// One line of the card.
pub struct Line {
    /// Its place in this list, from 1: the sums name it.
    pub number: usize,
    /// Its place on the card.
    pub place: String,
    /// Its text as written.
    pub text: String,
    /// The food it was matched to.
    pub food: String,
    /// Grams in the portion.
    pub grams: String,
    /// What was done to it.
    pub processes: String,
    /// What it brought.
    pub loads: Vec<Term>,
    /// Subgroups of which it brought a trace, in words.
    pub traces: String,
    /// Where its composition comes from.
    pub evidence: Vec<String>,
}

/// What a line brought of one subgroup.
pub struct Term {
    /// The subgroup.
    pub subgroup: &'static str,
    /// The grams.
    pub grams: String,
}

/// How one load adds up.
pub struct Sum {
    /// The subgroup.
    pub subgroup: &'static str,
    /// The terms, largest first, each with the number of its line.
    pub terms: String,
    /// The lines that brought a trace, in words.
    pub traces: String,
    /// The load.
    pub total: String,
}

/// How a load is written of which there is less than people read as digits.
const TRACE: &str = "<0.01 g";

/// `line 3`, or `SUB-7, line 3` for a line of a sub-recipe.
#[must_use]
pub fn place(line: &LineRef) -> String {
    let mut path: Vec<String> = line.path.clone();
    path.push(format!("line {}", line.number));
    path.join(", ")
}

/// Whether a subgroup only adds up others that are listed beside it.
const fn is_total(subgroup: Subgroup) -> bool {
    matches!(
        subgroup,
        Subgroup::TotalOligosaccharides | Subgroup::TotalPolyols
    )
}

impl Line {
    /// Puts a contribution in words.
    #[must_use]
    pub fn of(app: &App, number: usize, c: &Contribution) -> Self {
        let food = match (&c.food, &c.state) {
            (None, _) => "not understood".to_owned(),
            (Some(_), None) => c.food_name.clone(),
            (Some(_), Some(state)) => format!("{}, {state}", c.food_name),
        };
        let (traces, loads): (Vec<Term>, Vec<Term>) = c
            .loads
            .iter()
            .filter(|l| l.state != LoadState::Zero && !is_total(l.subgroup))
            .map(|l| Term {
                subgroup: l.subgroup.plain_words(),
                grams: figures::central(l.state, l.grams),
            })
            .partition(|term| term.grams == TRACE);
        let mut evidence = Vec::new();
        for row in &c.evidence {
            let samples = row
                .evidence
                .samples
                .map_or_else(String::new, |n| format!(", n = {n}"));
            let locator = match row.evidence.locator.as_str() {
                "" => String::new(),
                locator => format!(", {locator}"),
            };
            let text = format!(
                "{}: {}{locator} ({}{samples})",
                row.analyte.word().replace('_', " "),
                source(app, &row.evidence.source),
                row.evidence.grade
            );
            if !evidence.contains(&text) {
                evidence.push(text);
            }
        }
        Self {
            number,
            place: place(&c.line),
            text: c.line.text.clone(),
            food,
            grams: figures::grams_or_unknown(c.grams),
            processes: c.processes.join(", "),
            loads,
            traces: traces
                .iter()
                .map(|term| term.subgroup)
                .collect::<Vec<_>>()
                .join(", "),
            evidence,
        }
    }
}

/// One sum a subgroup that any line brought. Excess fructose is a difference and has none.
#[must_use]
pub fn sums(a: &Assessment) -> Vec<Sum> {
    let mut sums = Vec::new();
    for row in &a.loads {
        if row.subgroup == Subgroup::ExcessFructose {
            continue;
        }
        let (mut terms, mut traces) = (Vec::<(f64, String)>::new(), Vec::new());
        for (number, c) in (1..).zip(&a.contributions) {
            for l in c.loads.iter().filter(|l| l.subgroup == row.subgroup) {
                let weight = match (l.state, l.grams) {
                    (LoadState::Zero, _) => continue,
                    (LoadState::Estimated, Some(grams)) => grams.get(),
                    _ => f64::INFINITY,
                };
                match figures::central(l.state, l.grams) {
                    trace if trace == TRACE => traces.push(format!("[{number}]")),
                    grams => terms.push((weight, format!("{grams} [{number}]"))),
                }
            }
        }
        if !terms.iter().any(|(weight, _)| weight.is_finite()) {
            // Traces, or unknowns that stand at their lines: there is no sum to follow.
            continue;
        }
        terms.sort_by(|a, b| b.0.total_cmp(&a.0));
        let terms: Vec<String> = terms.into_iter().map(|(_, text)| text).collect();
        sums.push(Sum {
            subgroup: row.subgroup.plain_words(),
            terms: terms.join(" + "),
            traces: traces.join(" "),
            total: figures::central(row.state, row.grams),
        });
    }
    sums
}
