//! The loads: a table, the cut-offs behind it, and a forest plot.

use tamis_scoring::assessment::{Assessment, ChoiceDecides, LoadRow};
use tamis_scoring::cutoffs::{AppliesTo, LimitBasis};
use tamis_scoring::diner::Netting;
use tamis_scoring::loads::LoadState;
use tamis_scoring::ruling::Finding;

use super::Writer;
use crate::figures;
use crate::page::{Role, spaced, whole};
use crate::plot;
use crate::wording;

const HEADER: [&str; 6] = [
    "subgroup",
    "grams",
    "5-95 %",
    "cut-off",
    "exceedance",
    "grade",
];

impl Writer {
    pub(super) fn loads(&mut self, a: &Assessment) {
        self.page.heading(Role::Title, "LOADS IN ONE PORTION");
        let rows: Vec<[String; 6]> = a.loads.iter().map(cells).collect();
        let mut widths = HEADER.map(str::len);
        for row in &rows {
            for (width, cell) in widths.iter_mut().zip(row) {
                *width = (*width).max(cell.len());
            }
        }
        let total: usize = widths.iter().sum::<usize>() + 2 * (widths.len() - 1) + 2;
        if total <= self.page.width() {
            self.page.row(
                Role::Figures,
                &table_row("  ", &HEADER.map(str::to_owned), &widths),
            );
            for (load, row) in a.loads.iter().zip(&rows) {
                self.page
                    .row(Role::Figures, &table_row(mark(load), row, &widths));
            }
        } else {
            for (load, row) in a.loads.iter().zip(&rows) {
                self.paragraph(load, row);
            }
        }
        if a.loads.iter().any(|r| mark(r) != "  ") {
            self.page.text(
                Role::Figures,
                &spaced(&["> over its cut-off", "? cannot say"]),
            );
        }
        if a.loads.iter().any(|r| !wording::decides(r)) {
            let text = "A cut-off in brackets is on the total, and the total decides.";
            self.page.text(Role::Figures, text);
        }
        self.unsettled(a);
        self.cutoffs(a);
        self.fructose(a);
        self.plot(a);
    }

    fn paragraph(&mut self, load: &LoadRow, row: &[String; 6]) {
        let [_, grams, interval, cutoff, exceedance, grade] = row;
        self.page
            .hang(Role::Figures, mark(load), 4, load.subgroup.plain_words());
        let mut parts = vec![whole(grams)];
        let labelled = [
            ("5-95 %", interval),
            ("cut-off", cutoff),
            ("exceedance", exceedance),
            ("grade", grade),
        ];
        for (label, cell) in labelled.into_iter().filter(|(_, c)| !c.is_empty()) {
            parts.push(whole(&format!("{label} {cell}")));
        }
        self.page.hang(Role::Figures, "    ", 4, &parts.join(", "));
    }

    fn unsettled(&mut self, a: &Assessment) {
        for row in a.loads.iter().filter(|r| wording::decides(r)) {
            if let Some(why) = wording::cannot_say(row) {
                let text = format!("? {}: {why}", row.subgroup.plain_words());
                self.page.text(Role::Query, &text);
            }
        }
    }

    fn cutoffs(&mut self, a: &Assessment) {
        let mut used: Vec<(String, Vec<&str>)> = Vec::new();
        for row in a.loads.iter().filter(|r| wording::decides(r)) {
            let Some(cutoff) = &row.cutoff else { continue };
            let basis = match cutoff.basis {
                LimitBasis::Tolerance => "the diner's own tolerance".to_owned(),
                LimitBasis::Published(applies) | LimitBasis::SharedTotal(applies) => {
                    let source = cutoff
                        .source
                        .as_ref()
                        .map_or("no source named", |source| source.as_str());
                    format!("{} ({source})", dishes(applies))
                }
            };
            let name = row.subgroup.plain_words();
            match used.iter_mut().find(|(known, _)| *known == basis) {
                Some((_, names)) => names.push(name),
                None => used.push((basis, vec![name])),
            }
        }
        for (basis, names) in used {
            let text = format!("Cut-off for {}: {basis}.", names.join(", "));
            self.page.text(Role::Figures, &text);
        }
    }

    fn fructose(&mut self, a: &Assessment) {
        let e = a.excess_fructose;
        let used = match e.netting {
            Netting::Portion => "net of the portion",
            Netting::Component => "sum by component",
        };
        let decides = match e.choice_decides {
            ChoiceDecides::Yes => "THE RULING HANGS ON THIS CHOICE",
            ChoiceDecides::No => "both ways agree",
        };
        let grams = |g| whole(&figures::grams_or_unknown(g));
        let text = format!(
            "Excess fructose: {} net of the portion, {} summed by component; used: {used}; {decides}.",
            grams(e.over_portion),
            grams(e.by_component),
        );
        self.page.text(Role::Figures, &text);
    }

    fn plot(&mut self, a: &Assessment) {
        let rows = plot::rows(&a.loads, self.page.width());
        if !rows.is_empty() {
            self.page
                .heading(Role::Title, "LOADS AGAINST THEIR CUT-OFFS");
            for row in rows {
                self.page.row(Role::Figures, &row);
            }
            self.page.text(Role::Figures, &plot::key());
        }
        let none: Vec<&str> = a
            .loads
            .iter()
            .filter(|r| r.state == LoadState::Zero)
            .map(|r| r.subgroup.plain_words())
            .collect();
        if !none.is_empty() {
            let text = format!("Zero by nature of the components: {}.", none.join(", "));
            self.page.text(Role::Figures, &text);
        }
    }
}

fn cells(row: &LoadRow) -> [String; 6] {
    let cutoff = row.cutoff.as_ref().map_or_else(
        || "no limit".to_owned(),
        |c| {
            let grams = figures::grams(c.grams);
            if wording::decides(row) {
                grams
            } else {
                format!("({grams})")
            }
        },
    );
    let exceedance = match (row.exceedance, &row.cutoff) {
        (_, None) => String::new(),
        (Some(p), Some(_)) => figures::probability(p),
        (None, Some(_)) => figures::UNKNOWN.to_owned(),
    };
    [
        row.subgroup.plain_words().to_owned(),
        figures::central_beside_cutoff(row),
        figures::interval(row),
        cutoff,
        exceedance,
        row.grade.map_or_else(String::new, |g| g.to_string()),
    ]
}

/// Names stand to the left, figures to the right.
fn table_row(mark: &str, cells: &[String; 6], widths: &[usize; 6]) -> String {
    let mut out = mark.to_owned();
    for (n, (cell, &width)) in cells.iter().zip(widths).enumerate() {
        let cell = match n {
            0 | 5 => format!("{cell:<width$}"),
            _ => format!("{cell:>width$}"),
        };
        out.push_str(&cell);
        if n < 5 {
            out.push_str("  ");
        }
    }
    out
}

const fn mark(row: &LoadRow) -> &'static str {
    match row.finding {
        Finding::Over => "> ",
        Finding::Unknown | Finding::TooWeak | Finding::Unsettled => "? ",
        Finding::NotLimited | Finding::Within => "  ",
    }
}

const fn dishes(applies: AppliesTo) -> &'static str {
    match applies {
        AppliesTo::General => "the general row",
        AppliesTo::GrainLegumeNut => "the row for grains, legumes and nuts",
        AppliesTo::FreshProduceFructoseAlone => "the row for fresh produce with fructose alone",
    }
}
