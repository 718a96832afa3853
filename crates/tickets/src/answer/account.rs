//! The account: what each line brought, and how the lines add up.

use tamis_scoring::assessment::{Assessment, ContributedLoad, Contribution};
use tamis_scoring::loads::LoadState;
use tamis_scoring::quantity::Grams;
use tamis_scoring::subgroup::Subgroup;

use super::Writer;
use crate::figures;
use crate::page::{Role, whole};

/// The most observations spelt out for a line, and terms for a sum.
const SOURCES: usize = 6;
const TERMS: usize = 8;

impl Writer {
    pub(super) fn contributions(&mut self, a: &Assessment) {
        if a.contributions.is_empty() {
            return;
        }
        self.page.heading(Role::Title, "WHAT EACH LINE BROUGHT");
        for contribution in &a.contributions {
            self.contribution(contribution);
        }
    }

    fn contribution(&mut self, c: &Contribution) {
        let place = self.place(&c.line);
        let line = self.hygiene.clean("line", &c.line.text);
        self.page
            .hang(Role::Figures, "  ", 4, &format!("{place}: {line}"));
        let food = if c.food.is_some() {
            self.hygiene.clean("food", &c.food_name)
        } else {
            "not understood".to_owned()
        };
        let state = c
            .state
            .as_ref()
            .map_or_else(String::new, |s| format!(", {s}"));
        let grams = whole(&figures::grams_or_unknown(c.grams));
        let mut text = format!("{food}{state}: {grams}");
        for process in &c.processes {
            let process = self.hygiene.clean("process", process);
            text = format!("{text}, {process}");
        }
        self.page.hang(Role::Figures, "    ", 6, &text);
        for load in c.loads.iter().filter(|l| l.state != LoadState::Zero) {
            self.page
                .hang(Role::Figures, "      ", 8, &product(c.grams, load));
        }
        self.sources(c);
    }

    fn sources(&mut self, c: &Contribution) {
        let mut rows: Vec<String> = Vec::new();
        for row in &c.evidence {
            let locator = self.hygiene.clean("locator", &row.evidence.locator);
            let gap = if locator.is_empty() { "" } else { " " };
            let samples = row
                .evidence
                .samples
                .map_or_else(String::new, |n| format!(", n {n}"));
            let text = format!(
                "{}: {}{gap}{locator} ({}{samples})",
                row.analyte, row.evidence.source, row.evidence.grade
            );
            if !rows.contains(&text) {
                rows.push(text);
            }
        }
        for row in rows.iter().take(SOURCES) {
            self.page.hang(Role::Note, "      from ", 8, row);
        }
        if rows.len() > SOURCES {
            let text = format!("and {} more observations", rows.len() - SOURCES);
            self.page.hang(Role::Note, "      ", 8, &text);
        }
    }

    /// One sum a subgroup, largest terms first; the number in brackets is the place of the line in
    /// the list above.
    pub(super) fn sums(&mut self, a: &Assessment) {
        let mut sums = Vec::new();
        for row in &a.loads {
            if row.subgroup != Subgroup::ExcessFructose
                && let Some(sum) = sum(&a.contributions, row.subgroup, row.state, row.grams)
            {
                sums.push(sum);
            }
        }
        if sums.is_empty() {
            return;
        }
        self.page.heading(
            Role::Title,
            "SUMS (in brackets: which entry of the list above)",
        );
        for sum in sums {
            self.page.hang(Role::Figures, "  ", 4, &sum);
        }
    }
}

/// The arithmetic of one load: mass times grams in 100 g, after what the processes leave.
fn product(mass: Option<Grams>, load: &ContributedLoad) -> String {
    let name = load.subgroup.plain_words();
    let result = whole(&figures::central(load.state, load.grams));
    match (load.state, mass, load.grams) {
        (LoadState::Estimated, Some(mass), Some(grams))
            if mass.get() > 0.0 && grams.get() > 0.0 && grams <= mass =>
        {
            let per_100 = grams.get() / mass.get() * 100.0;
            let per_100 = match per_100 {
                p if p < 0.1 => format!("{p:.4}"),
                p => format!("{p:.2}"),
            };
            let factors = format!("{} x {per_100} g/100 g", figures::grams(mass));
            format!("{name}: {} = {result}", whole(&factors))
        }
        _ => format!("{name}: {result}"),
    }
}

/// `fructans: 0.26 g [2] + 0.31 g [4] = 0.57 g`; `None` where no entry brought any.
fn sum(
    contributions: &[Contribution],
    subgroup: Subgroup,
    state: LoadState,
    load: Option<Grams>,
) -> Option<String> {
    let mut terms: Vec<(f64, String)> = Vec::new();
    for (n, c) in contributions.iter().enumerate() {
        for l in c.loads.iter().filter(|l| l.subgroup == subgroup) {
            let weight = match (l.state, l.grams) {
                (LoadState::Zero, _) => continue,
                (LoadState::Estimated, Some(grams)) => grams.get(),
                _ => f64::INFINITY,
            };
            let text = format!("{} [{}]", figures::central(l.state, l.grams), n + 1);
            terms.push((weight, whole(&text)));
        }
    }
    if terms.is_empty() {
        return None;
    }
    terms.sort_by(|a, b| b.0.total_cmp(&a.0));
    let rest = terms.split_off(terms.len().min(TERMS));
    let mut shown: Vec<String> = terms.into_iter().map(|(_, text)| text).collect();
    if !rest.is_empty() {
        let grams: f64 = rest.iter().map(|(weight, _)| weight).sum();
        let grams = Grams::new(grams).map_or_else(|_| figures::UNKNOWN.to_owned(), figures::grams);
        shown.push(whole(&format!("{grams} [{} others]", rest.len())));
    }
    let total = whole(&figures::central(state, load));
    let name = subgroup.plain_words();
    Some(format!("{name}: {} = {total}", shown.join(" + ")))
}
