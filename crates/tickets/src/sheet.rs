//! The pass sheet: a menu at a glance.

use std::collections::BTreeSet;

use tamis_scoring::assessment::Assessment;
use tamis_scoring::ruling::{Finding, Ruling};

use crate::figures;
use crate::layout::Columns;
use crate::page::{Page, Role, whole};
use crate::text::Hygiene;
use crate::wording;

/// From this width on a dish takes one row.
const ONE_ROW: usize = 72;
/// From this width on it takes two, below three.
const TWO_ROWS: usize = 48;
const RULING: usize = 8;
const SUBGROUP: usize = 14;
const HEADROOM: usize = 8;
const LOAD: usize = 22;

/// A menu at a glance: each dish with its ruling, its tightest subgroup, its headroom, and the load
/// with its interval. One row a dish on wide paper, two or three on a ticket printer.
///
/// The rulings stand in one column, so that the sheet reads without colour.
#[must_use]
pub fn pass_sheet(assessments: &[Assessment], columns: Columns) -> String {
    let mut page = Page::new(columns);
    let mut hygiene = Hygiene::default();
    page.row(Role::Title, "PASS SHEET");
    page.text(Role::Title, &tally(assessments));
    page.rule();
    let width = columns.width();
    let name_width = if width >= ONE_ROW {
        width - RULING - SUBGROUP - HEADROOM - LOAD - 4
    } else {
        width - RULING - 1
    };
    if width >= ONE_ROW {
        page.row(
            Role::Title,
            &row(
                "dish",
                "ruling",
                "tightest",
                "headroom",
                "load (5-95 %)",
                name_width,
            ),
        );
        page.rule();
    }
    for assessment in assessments {
        let name = hygiene.short("name", &assessment.name, name_width);
        let name = if name.is_empty() { "(no name)" } else { &name };
        let ruling = wording::ruling(assessment.ruling);
        let [tightest, headroom, load] = figures_of(assessment);
        if width >= ONE_ROW {
            let fits = load.len() <= LOAD;
            let shown = if fits { load.as_str() } else { "" };
            page.row(
                Role::Figures,
                &row(name, ruling, &tightest, &headroom, shown, name_width),
            );
            if !fits {
                page.text(Role::Figures, &format!("  {}", whole(&load)));
            }
        } else {
            page.row(Role::Figures, &format!("{ruling:<RULING$} {name}"));
            let line = format!("  {tightest:<SUBGROUP$} {headroom:>HEADROOM$}");
            if width >= TWO_ROWS {
                page.row(Role::Figures, &format!("{line} {load}"));
            } else {
                page.row(Role::Figures, &line);
                if !load.is_empty() {
                    page.hang(Role::Figures, "  ", 2, &load);
                }
            }
        }
    }
    page.rule();
    page.prose(
        Role::Note,
        "Headroom is the cut-off divided by the load of the tightest subgroup; under 1 is over.",
    );
    page.prose(Role::Caution, wording::CAUTION);
    let mut versions = |field, pick: fn(&Assessment) -> &str| {
        let all: BTreeSet<&str> = assessments.iter().map(pick).collect();
        let some: Vec<String> = all
            .iter()
            .take(3)
            .map(|v| hygiene.short(field, v, 60))
            .collect();
        let more = if all.len() > 3 { ", and others" } else { "" };
        format!("{}{more}", some.join(", "))
    };
    let catalogue = versions("catalogue version", |a| &a.catalogue_version);
    let policy = versions("policy", |a| &a.policy);
    if !assessments.is_empty() {
        page.text(Role::Caution, &format!("Catalogue {catalogue}"));
        page.text(Role::Caution, &format!("Policy {policy}"));
    }
    for loss in hygiene.into_losses() {
        page.text(Role::Caution, &format!("Not as written: {loss}"));
    }
    page.into_text()
}

fn tally(assessments: &[Assessment]) -> String {
    if assessments.is_empty() {
        return "no dishes".to_owned();
    }
    let counts: Vec<String> = Ruling::ALL
        .iter()
        .map(|&ruling| {
            let count = assessments.iter().filter(|a| a.ruling == ruling).count();
            whole(&format!("{count} {ruling}"))
        })
        .collect();
    format!("{} on the menu: {}", assessments.len(), counts.join(", "))
}

fn row(name: &str, ruling: &str, tightest: &str, headroom: &str, load: &str, w: usize) -> String {
    format!("{name:<w$} {ruling:<RULING$} {tightest:<SUBGROUP$} {headroom:>HEADROOM$} {load}")
}

/// Tightest subgroup, headroom, load; where there is no headroom, what stands in its way.
fn figures_of(assessment: &Assessment) -> [String; 3] {
    if let (Some(headroom), Some(row)) = (assessment.headroom, wording::tightest(assessment)) {
        return [
            wording::short(row.subgroup).to_owned(),
            figures::headroom(headroom.ratio),
            wording::load(row).replace('\x1f', " "),
        ];
    }
    let unknown: Vec<&str> = assessment
        .loads
        .iter()
        .filter(|r| wording::decides(r) && r.finding == Finding::Unknown)
        .map(|r| wording::short(r.subgroup))
        .collect();
    let (tightest, headroom) = match unknown.as_slice() {
        [] if assessment.unresolved.is_empty() => ("none", "no load"),
        [] => ("cannot say", figures::UNKNOWN),
        [one] => (*one, figures::UNKNOWN),
        _ => ("several", figures::UNKNOWN),
    };
    [tightest.to_owned(), headroom.to_owned(), String::new()]
}
