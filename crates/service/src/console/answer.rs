//! The answer for one dish, in the words and figures of the page.

use tamis_app::App;
use tamis_app::error::Error;
use tamis_scoring::allergens::Allergens;
use tamis_scoring::assessment::{Amendment, Assessment, ChoiceDecides, LoadRow};
use tamis_scoring::cutoffs::{AppliesTo, LimitBasis};
use tamis_scoring::diner::{Netting, Region};
use tamis_scoring::loads::LoadState;
use tamis_scoring::quantity::SourceId;
use tamis_scoring::request::AssessmentRequest;
use tamis_scoring::ruling::{Finding, Ruling};
use tamis_tickets::{Columns, Layout, figures};

use super::forest::{Forest, Frame};
use super::line::{self, Line, Sum};

/// Where an answer stands: it decides over the level of its headings and over its ids.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// It is the page.
    Page,
    /// It is one part of the page, of this number.
    Section(usize),
}

/// The answer.
pub struct Answer {
    /// Level of the heading with its name.
    pub level: u8,
    /// Level of the headings under it.
    pub below: u8,
    /// Before each id.
    pub prefix: String,
    /// Its name.
    pub name: String,
    /// The word of its ruling.
    pub ruling: &'static str,
    /// What the word means.
    pub meaning: &'static str,
    /// Why.
    pub reasons: Vec<String>,
    /// Portion, headroom and the like.
    pub facts: Vec<(&'static str, String)>,
    /// The loads.
    pub loads: Vec<Load>,
    /// What the loads were held against.
    pub cutoffs: Vec<String>,
    /// How fructose was netted.
    pub fructose: String,
    /// The plots: for wide and for narrow paper.
    pub plots: [Forest; 2],
    /// What each line brought.
    pub lines: Vec<Line>,
    /// How the lines add up.
    pub sums: Vec<Sum>,
    /// Changes that make it servable.
    pub plans: Vec<Plan>,
    /// What to say where there are none.
    pub no_plans: &'static str,
    /// Practice notes.
    pub practice: Vec<String>,
    /// Assumptions.
    pub assumptions: Vec<String>,
    /// What was not understood.
    pub unresolved: Vec<String>,
    /// The cautions.
    pub cautions: Vec<String>,
    /// The kitchen ticket.
    pub ticket: String,
    /// What the ticket could not show.
    pub losses: Vec<String>,
    /// The whole answer as a terminal shows it, with the arithmetic of each line.
    pub text: String,
}

/// One load as a row of the table.
pub struct Load {
    /// The subgroup.
    pub subgroup: &'static str,
    /// Its grams.
    pub grams: String,
    /// From the 5 % to the 95 % bound.
    pub interval: String,
    /// Its cut-off.
    pub cutoff: String,
    /// Probability of being over it.
    pub exceedance: String,
    /// What follows.
    pub finding: &'static str,
    /// What it rests on.
    pub grade: &'static str,
}

/// Changes that are made together.
pub struct Plan {
    /// Its number.
    pub number: u32,
    /// What the dish rules after it.
    pub result: &'static str,
    /// The changes.
    pub changes: Vec<Change>,
    /// Allergens that it brings and the dish lacked.
    pub added: String,
}

/// One change.
pub struct Change {
    /// The line a cook reads.
    pub text: String,
    /// When it can be made.
    pub when: &'static str,
}

impl Answer {
    /// Assesses a request and puts the answer in words.
    ///
    /// # Errors
    /// Those of the use case.
    pub fn of(app: &App, request: &AssessmentRequest, place: Place) -> Result<Self, Error> {
        let rendered = app.render_ticket(request, Layout::Kitchen(Columns::MM80_COARSE))?;
        let a = &rendered.assessment;
        let (level, prefix) = match place {
            Place::Page => (1, "dish".to_owned()),
            Place::Section(n) => (2, format!("dish-{n}")),
        };
        let plot = |frame, name| Forest::of(&a.loads, frame, format!("{prefix}-plot-{name}"));
        Ok(Self {
            level,
            below: level + 1,
            name: match &a.code {
                Some(code) if !a.name.contains(code.as_str()) => format!("{} ({code})", a.name),
                _ => a.name.clone(),
            },
            ruling: a.ruling.word(),
            meaning: meaning(a.ruling),
            reasons: a.reasons.clone(),
            facts: facts(a),
            loads: a.loads.iter().map(Load::of).collect(),
            cutoffs: cutoffs(app, a),
            fructose: fructose(a),
            plots: [plot(Frame::Wide, "wide"), plot(Frame::Narrow, "narrow")],
            lines: (1..)
                .zip(&a.contributions)
                .map(|(n, c)| Line::of(app, n, c))
                .collect(),
            sums: line::sums(a),
            plans: plans(&a.amendments),
            no_plans: match a.ruling {
                Ruling::Serve => "None needed.",
                _ => "None on record that rules serve.",
            },
            practice: a
                .practice_notes
                .iter()
                .map(|note| format!("{}: {}", note.food, note.text))
                .collect(),
            assumptions: a
                .assumptions
                .iter()
                .map(|remark| match &remark.line {
                    Some(line) => format!("{}: {}", line::place(line), remark.text),
                    None => remark.text.clone(),
                })
                .collect(),
            unresolved: unresolved(a),
            cautions: a.cautions.clone(),
            ticket: rendered.text,
            losses: rendered.losses,
            text: tamis_tickets::answer(a, Columns::WIDEST),
            prefix,
        })
    }
}

/// Whether the ruling looks at this row itself, not at the total it is counted in.
#[must_use]
pub fn decides(row: &LoadRow) -> bool {
    !matches!(&row.cutoff, Some(c) if matches!(c.basis, LimitBasis::SharedTotal(_)))
}

/// A source by its citation, or by its id where there is none.
#[must_use]
pub fn source(app: &App, id: &SourceId) -> String {
    match app.catalogue().source(id) {
        Some(source) if !source.citation.is_empty() => source.citation,
        _ => id.to_string(),
    }
}

const fn meaning(ruling: Ruling) -> &'static str {
    match ruling {
        Ruling::Serve => "goes out as it is",
        Ruling::Alter => "goes out with the printed amendments",
        Ruling::Withhold => "does not go out",
        Ruling::Refer => "the data cannot settle it: a dietitian decides",
    }
}

fn facts(a: &Assessment) -> Vec<(&'static str, String)> {
    let mut facts = vec![("Portion", figures::grams_or_unknown(a.portion))];
    match a.headroom {
        Some(h) => {
            facts.push(("Tightest", h.subgroup.plain_words().to_owned()));
            let headroom = figures::headroom(h.ratio);
            facts.push(("Headroom", format!("{headroom} (cut-off divided by load)")));
        }
        None => facts.push((
            "Headroom",
            "none to state: a load is unknown, or none is above zero".to_owned(),
        )),
    }
    if let Some(ceiling) = a.portion_ceiling {
        let ceiling = figures::grams(ceiling);
        let text = format!("{ceiling}, the largest portion that rules serve");
        facts.push(("Portion ceiling", text));
    }
    if let Some(drinks) = a.alcohol {
        let one = match drinks.region {
            Region::Us => "US standard drinks (14 g each)",
            Region::Uk => "UK units (8 g each)",
            Region::Au => "Australian standard drinks (10 g each)",
        };
        let ethanol = figures::grams(drinks.ethanol);
        let count = figures::count(drinks.count);
        facts.push(("Alcohol", format!("{ethanol} ethanol, {count} {one}")));
    }
    let recorded = match allergens(a.allergens) {
        none if none.is_empty() => "none on record".to_owned(),
        some => some,
    };
    facts.push((
        "Allergens",
        format!("{recorded} (a record, not a statement)"),
    ));
    facts.push(("Policy", a.policy.clone()));
    facts.push(("Catalogue", a.catalogue_version.clone()));
    facts
}

fn allergens(set: Allergens) -> String {
    let words: Vec<&str> = set.iter().map(|a| a.word()).collect();
    words.join(", ")
}

impl Load {
    fn of(row: &LoadRow) -> Self {
        let interval = match (row.state, figures::interval(row)) {
            (LoadState::Zero, _) => "none by nature".to_owned(),
            (_, empty) if empty.is_empty() => "no bounds".to_owned(),
            (_, interval) => interval,
        };
        let cutoff = match &row.cutoff {
            None => "no limit".to_owned(),
            Some(c) if decides(row) => figures::grams(c.grams),
            Some(c) => format!("({})", figures::grams(c.grams)),
        };
        let exceedance = match (&row.cutoff, row.exceedance) {
            (None, _) => "no limit".to_owned(),
            (Some(_), Some(p)) => figures::probability(p),
            (Some(_), None) => figures::UNKNOWN.to_owned(),
        };
        Self {
            subgroup: row.subgroup.plain_words(),
            grams: figures::central_beside_cutoff(row),
            interval,
            cutoff,
            exceedance,
            finding: finding(row),
            grade: match (row.state, row.grade) {
                (_, Some(grade)) => grade.word(),
                (LoadState::Zero, None) => "by nature",
                (_, None) => "none",
            },
        }
    }
}

fn finding(row: &LoadRow) -> &'static str {
    match row.finding {
        Finding::NotLimited => "not limited",
        Finding::Within => "at or under",
        Finding::Over => "over",
        Finding::Unknown if row.state == LoadState::Bounded => "cannot say: bounds on both sides",
        Finding::Unknown => "cannot say: unknown",
        Finding::TooWeak => "cannot say: evidence too weak",
        Finding::Unsettled => "cannot say: too near on this evidence",
    }
}

/// What each load was held against, subgroups with the same basis together.
fn cutoffs(app: &App, a: &Assessment) -> Vec<String> {
    let mut used: Vec<(String, Vec<&str>)> = Vec::new();
    for row in a.loads.iter().filter(|r| decides(r)) {
        let Some(cutoff) = &row.cutoff else { continue };
        let basis = match cutoff.basis {
            LimitBasis::Tolerance => "the diner's own tolerance".to_owned(),
            LimitBasis::Published(applies) | LimitBasis::SharedTotal(applies) => {
                let publication = cutoff
                    .source
                    .as_ref()
                    .map_or_else(|| "no source named".to_owned(), |id| source(app, id));
                format!("{} ({publication})", dishes(applies))
            }
        };
        let name = row.subgroup.plain_words();
        match used.iter_mut().find(|(known, _)| *known == basis) {
            Some((_, names)) => names.push(name),
            None => used.push((basis, vec![name])),
        }
    }
    used.into_iter()
        .map(|(basis, names)| format!("Cut-off for {}: {basis}.", names.join(", ")))
        .collect()
}

const fn dishes(applies: AppliesTo) -> &'static str {
    match applies {
        AppliesTo::General => "the general row",
        AppliesTo::GrainLegumeNut => "the row for grains, legumes and nuts",
        AppliesTo::FreshProduceFructoseAlone => "the row for fresh produce with fructose alone",
    }
}

fn fructose(a: &Assessment) -> String {
    let e = a.excess_fructose;
    let used = match e.netting {
        Netting::Portion => "net of the portion",
        Netting::Component => "sum by component",
    };
    let decides = match e.choice_decides {
        ChoiceDecides::Yes => "the ruling hangs on this choice",
        ChoiceDecides::No => "both ways agree",
    };
    format!(
        "Excess fructose: {} net of the portion, {} summed by component; used: {used}; {decides}.",
        figures::grams_or_unknown(e.over_portion),
        figures::grams_or_unknown(e.by_component),
    )
}

fn plans(amendments: &[Amendment]) -> Vec<Plan> {
    let mut numbers: Vec<u32> = amendments.iter().map(|a| a.plan).collect();
    numbers.sort_unstable();
    numbers.dedup();
    numbers
        .into_iter()
        .map(|number| {
            let changes: Vec<&Amendment> = amendments.iter().filter(|a| a.plan == number).collect();
            let added = changes
                .iter()
                .fold(Allergens::NONE, |all, c| all.union(c.added_allergens));
            let result = changes.iter().map(|c| c.resulting_ruling).max();
            Plan {
                number,
                result: result.map_or("", Ruling::word),
                changes: changes
                    .iter()
                    .map(|c| Change {
                        text: c.text.clone(),
                        when: c.when.word(),
                    })
                    .collect(),
                added: allergens(added),
            }
        })
        .collect()
}

fn unresolved(a: &Assessment) -> Vec<String> {
    a.unresolved
        .iter()
        .map(|part| {
            let tried = if part.tried.is_empty() {
                String::new()
            } else {
                format!(" Tried: {}.", part.tried.join("; "))
            };
            format!(
                "{}, column {}, “{}”: {}.{tried}",
                line::place(&part.line),
                part.column,
                part.line.text,
                part.reason.trim_end_matches('.')
            )
        })
        .collect()
}
