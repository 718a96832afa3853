//! The pass sheet of a menu.

use tamis_app::App;
use tamis_app::error::Error;
use tamis_app::ports::StoredMenu;
use tamis_scoring::assessment::{Assessment, LoadRow};
use tamis_scoring::ruling::{Finding, Ruling};
use tamis_tickets::figures;

use super::answer::decides;
use super::cards;
use super::choices::Chosen;

/// A menu at a glance.
pub struct Sheet {
    /// The id of the menu.
    pub id: String,
    /// Its name.
    pub name: String,
    /// How many dishes there are of each ruling.
    pub tally: String,
    /// One a dish or drink.
    pub rows: Vec<Row>,
    /// Why the menu, or a card of it, has no answer.
    pub faults: Vec<String>,
}

/// One dish.
pub struct Row {
    /// Where its page is.
    pub link: String,
    /// Its name.
    pub name: String,
    /// The word of its ruling.
    pub ruling: &'static str,
    /// The tightest subgroup, or those that are not known.
    pub tightest: String,
    /// Its load.
    pub load: String,
    /// The 5 % to 95 % interval of the load.
    pub interval: String,
    /// Its cut-off.
    pub cutoff: String,
    /// Cut-off over load.
    pub headroom: String,
}

impl Sheet {
    /// Assesses a menu. A card that cannot be used is named and leaves the others.
    pub fn of(app: &App, menu: &StoredMenu, chosen: &Chosen) -> Self {
        let mut sheet = Self {
            id: menu.id.clone(),
            name: menu.name.clone(),
            tally: String::new(),
            rows: Vec::new(),
            faults: Vec::new(),
        };
        let requests = match cards(&menu.cards, chosen) {
            Ok(requests) => requests,
            Err(error) => {
                sheet.faults = faults(&error);
                return sheet;
            }
        };
        let mut rulings = Vec::new();
        for (index, request) in (1..).zip(&requests) {
            match app.assess(request) {
                Ok(assessment) => {
                    rulings.push(assessment.ruling);
                    let link = format!("/dishes/{}/{index}{}", menu.id, chosen.query());
                    sheet.rows.push(Row::of(&assessment, link));
                }
                Err(error) => sheet.faults.extend(faults(&error)),
            }
        }
        let counts = Ruling::ALL.iter().map(|ruling| {
            let count = rulings.iter().filter(|r| *r == ruling).count();
            format!("{count} {ruling}")
        });
        sheet.tally = format!(
            "{} on the menu: {}",
            rulings.len(),
            counts.collect::<Vec<_>>().join(", ")
        );
        sheet
    }
}

fn faults(error: &Error) -> Vec<String> {
    if error.violations.is_empty() {
        return vec![error.detail.clone()];
    }
    error
        .violations
        .iter()
        .map(|v| format!("{}: {}", v.field, v.description))
        .collect()
}

impl Row {
    fn of(a: &Assessment, link: String) -> Self {
        let tightest = a
            .headroom
            .and_then(|h| Some((h, a.loads.iter().find(|r| r.subgroup == h.subgroup)?)));
        let [tightest, load, interval, cutoff, headroom] = match tightest {
            Some((headroom, row)) => [
                row.subgroup.plain_words().to_owned(),
                figures::central_beside_cutoff(row),
                figures::interval(row),
                cutoff(row),
                figures::headroom(headroom.ratio),
            ],
            None => standing(a),
        };
        Self {
            link,
            name: a.name.clone(),
            ruling: a.ruling.word(),
            tightest,
            load,
            interval,
            cutoff,
            headroom,
        }
    }
}

/// What stands in the way of a headroom.
fn standing(a: &Assessment) -> [String; 5] {
    let unknown: Vec<&LoadRow> = a
        .loads
        .iter()
        .filter(|r| decides(r) && r.finding == Finding::Unknown)
        .collect();
    let named = |words: &str| words.to_owned();
    match unknown.as_slice() {
        [] if a.unresolved.is_empty() => [
            named("none"),
            named("none above zero"),
            String::new(),
            String::new(),
            named("no load"),
        ],
        [] => [
            named("cannot say"),
            named(figures::UNKNOWN),
            String::new(),
            String::new(),
            named(figures::UNKNOWN),
        ],
        [row] => [
            row.subgroup.plain_words().to_owned(),
            figures::central_beside_cutoff(row),
            figures::interval(row),
            cutoff(row),
            named(figures::UNKNOWN),
        ],
        rows => [
            rows.iter()
                .map(|r| r.subgroup.plain_words())
                .collect::<Vec<_>>()
                .join(", "),
            named(figures::UNKNOWN),
            String::new(),
            String::new(),
            named(figures::UNKNOWN),
        ],
    }
}

fn cutoff(row: &LoadRow) -> String {
    row.cutoff
        .as_ref()
        .map_or_else(|| "no limit".to_owned(), |c| figures::grams(c.grams))
}
