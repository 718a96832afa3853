//! The full answer for one dish, as a terminal shows it.

mod account;
mod loads;

use tamis_scoring::allergens::Allergens;
use tamis_scoring::assessment::{Amendment, Assessment, LineRef};
use tamis_scoring::ruling::Ruling;

use crate::figures;
use crate::layout::Columns;
use crate::page::{Page, Role, whole};
use crate::text::Hygiene;
use crate::wording;

/// How deep items of a sitting are opened; a sitting does not hold sittings.
const DEPTH: usize = 1;

/// The full answer: the ruling and its reasons, the loads as a table and as a forest plot, what each
/// line brought and the arithmetic, the amendments, notes, assumptions, what is unresolved, and the
/// cautions. Reads best at 80 columns; narrower paper gets the table as paragraphs.
#[must_use]
pub fn answer(assessment: &Assessment, columns: Columns) -> String {
    let mut writer = Writer {
        page: Page::new(columns),
        hygiene: Hygiene::default(),
    };
    writer.write(assessment, 0);
    let Writer { mut page, hygiene } = writer;
    let losses = hygiene.into_losses();
    if !losses.is_empty() {
        page.heading(Role::Caution, "NOT AS WRITTEN");
        for loss in losses {
            page.hang(Role::Caution, "  ", 4, &loss.to_string());
        }
    }
    page.into_text()
}

struct Writer {
    page: Page,
    hygiene: Hygiene,
}

impl Writer {
    fn write(&mut self, a: &Assessment, depth: usize) {
        self.head(a);
        self.loads(a);
        self.contributions(a);
        self.sums(a);
        self.amendments(a);
        self.remarks(a);
        if !a.items.is_empty() {
            self.page.heading(Role::Title, "ITEMS, EACH BY ITSELF");
        }
        for item in &a.items {
            if depth < DEPTH {
                self.page.rule();
                self.write(item, depth + 1);
            } else {
                let name = self.hygiene.clean("name", &item.name);
                let text = format!("{name}: {}", wording::ruling(item.ruling));
                self.page.hang(Role::Figures, "  ", 4, &text);
            }
        }
        if depth == 0 {
            self.cautions(a);
        }
    }

    fn head(&mut self, a: &Assessment) {
        let name = self.hygiene.clean("name", &a.name);
        let name = if name.is_empty() { "(no name)" } else { &name };
        let code = a.code.as_deref().map_or_else(String::new, |code| {
            format!(" [{}]", self.hygiene.clean("code", code))
        });
        self.page
            .text(Role::Title, &format!("{name}{code}, {}", a.kind));
        let ruling = wording::ruling(a.ruling);
        self.page.text(Role::Ruling, &format!("RULING: {ruling}"));
        for reason in &a.reasons {
            let reason = self.hygiene.clean("reason", reason);
            self.page.hang(Role::Figures, "  - ", 4, &reason);
        }
        self.page.row(Role::Rule, "");
        let portion = figures::grams_or_unknown(a.portion);
        self.fact("Portion", &whole(&portion));
        let headroom = match (a.headroom, a.portion_ceiling) {
            (None, _) => "none to state: a load is unknown, or none is above zero".to_owned(),
            (Some(h), ceiling) => {
                self.fact("Tightest", h.subgroup.plain_words());
                if let Some(ceiling) = ceiling {
                    self.fact(
                        "Ceiling",
                        &format!(
                            "{}, the largest portion that rules serve",
                            whole(&figures::grams(ceiling))
                        ),
                    );
                }
                format!("{} (cut-off / load)", figures::headroom(h.ratio))
            }
        };
        self.fact("Headroom", &headroom);
        if let Some(drinks) = a.alcohol {
            self.fact("Alcohol", &wording::drinks(drinks));
        }
        let recorded = wording::allergens(a.allergens);
        let recorded = if recorded.is_empty() {
            "none on record"
        } else {
            &recorded
        };
        self.fact(
            "Allergens",
            &format!("{recorded} (a record, not a statement)"),
        );
        let policy = self.hygiene.clean("policy", &a.policy);
        self.fact("Policy", &policy);
        let version = self
            .hygiene
            .clean("catalogue version", &a.catalogue_version);
        self.fact("Catalogue", &version);
    }

    fn fact(&mut self, name: &str, text: &str) {
        self.page
            .beside(Role::Figures, &format!("{name:<10}"), text);
    }

    fn amendments(&mut self, a: &Assessment) {
        self.page.heading(Role::Title, "AMENDMENTS");
        let mut plans: Vec<u32> = a.amendments.iter().map(|a| a.plan).collect();
        plans.sort_unstable();
        plans.dedup();
        if plans.is_empty() {
            let text = match a.ruling {
                Ruling::Serve => "none needed",
                _ => "none on record that rules serve",
            };
            self.page.hang(Role::Action, "  ", 4, text);
        }
        for plan in plans {
            let changes: Vec<&Amendment> = a.amendments.iter().filter(|a| a.plan == plan).collect();
            let result = changes.iter().map(|c| c.resulting_ruling).max();
            let result = result.map_or("", Ruling::word);
            self.page.hang(
                Role::Action,
                "  ",
                4,
                &format!("Plan {plan}, then rules {result}:"),
            );
            let mut added = Allergens::NONE;
            for change in changes {
                let item = self.hygiene.clean("amendment", &wording::item(change));
                let text = format!("{item} {}", whole(&format!("({})", change.when)));
                let lead = format!("    {}", wording::verb(change.kind));
                self.page.beside(Role::Action, &lead, &text);
                added = added.union(change.added_allergens);
            }
            if !added.is_empty() {
                let added = wording::allergens(added);
                self.page.hang(
                    Role::Allergens,
                    "    ",
                    6,
                    &format!("ADDS ALLERGENS: {added}"),
                );
            }
        }
    }

    fn remarks(&mut self, a: &Assessment) {
        if !a.practice_notes.is_empty() {
            self.page.heading(
                Role::Title,
                "PRACTICE NOTES (common practice, no source; in no number)",
            );
        }
        for note in &a.practice_notes {
            let text = self
                .hygiene
                .clean("practice note", wording::practice(&note.text));
            self.page
                .hang(Role::Note, "  - ", 4, &format!("{}: {text}", note.food));
        }
        if !a.assumptions.is_empty() {
            self.page.heading(Role::Title, "ASSUMPTIONS");
        }
        for remark in &a.assumptions {
            let at = remark.line.as_ref().map(|line| self.place(line));
            let text = self.hygiene.clean("assumption", &remark.text);
            let text = at.map_or_else(|| text.clone(), |at| format!("{at}: {text}"));
            self.page.hang(Role::Note, "  - ", 4, &text);
        }
        if !a.unresolved.is_empty() {
            self.page.heading(Role::Title, "UNRESOLVED");
        }
        for part in &a.unresolved {
            let at = self.place(&part.line);
            let line = self.hygiene.clean("line", &part.line.text);
            let reason = self.hygiene.clean("reason", &part.reason);
            let text = format!("{at}, column {}, '{line}': {reason}", part.column);
            self.page.hang(Role::Query, "  - ", 4, &text);
            if !part.tried.is_empty() {
                let tried: Vec<String> = part
                    .tried
                    .iter()
                    .map(|t| self.hygiene.clean("tried", t))
                    .collect();
                self.page.hang(
                    Role::Query,
                    "    ",
                    6,
                    &format!("tried: {}", tried.join("; ")),
                );
            }
        }
    }

    fn cautions(&mut self, a: &Assessment) {
        self.page.heading(Role::Title, "CAUTIONS");
        if a.cautions.is_empty() {
            self.page.hang(Role::Caution, "  - ", 4, wording::CAUTION);
        }
        for caution in &a.cautions {
            let caution = self.hygiene.clean("caution", caution);
            self.page.hang(Role::Caution, "  - ", 4, &caution);
        }
    }

    /// `line 3`, or `SUB-7 > line 3` for a line of a sub-recipe.
    fn place(&mut self, line: &LineRef) -> String {
        let mut path: Vec<String> = line
            .path
            .iter()
            .map(|p| self.hygiene.clean("sub-recipe", p))
            .collect();
        path.push(whole(&format!("line {}", line.number)));
        path.join(" > ")
    }
}
