//! The kitchen ticket and the tray ticket.

use tamis_scoring::allergens::Allergens;
use tamis_scoring::assessment::{Amendment, Assessment, LoadRow, SubjectKind};
use tamis_scoring::cutoffs::LimitBasis;
use tamis_scoring::ruling::{Finding, Ruling};

use crate::figures;
use crate::layout::Layout;
use crate::page::{Line, Page, Role, joined, spaced, whole};
use crate::text::{Hygiene, Loss, LossKind};
use crate::wording;

/// The most action lines a line cook is given.
const ACTIONS: usize = 3;
/// The most questions, loads over their cut-off, notes and items of a sitting that are spelt out.
const QUERIES: usize = 3;
const NOTES: usize = 2;
const ITEMS: usize = 6;

/// Where a plate goes. The layout chooses which of these it prints; there is no field for a name.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TicketContext {
    /// Kitchen: the table.
    pub table: Option<String>,
    /// Kitchen: the seat.
    pub seat: Option<String>,
    /// Kitchen: the course.
    pub course: Option<String>,
    /// Tray: ward and bed, as the hospital codes them.
    pub bed: Option<String>,
    /// Tray: the meal.
    pub meal: Option<String>,
    /// Tray: the place in the cart.
    pub cart_sequence: Option<String>,
    /// Tray: an opaque tag that leads back to the order, never a name.
    pub tag: Option<String>,
    /// Both: the tool that measures the portion, such as `6 oz ladle`.
    pub portion_tool: Option<String>,
}

/// A ticket, ready for any printer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ticket {
    /// Printable ASCII and newlines, no line wider than the paper.
    pub text: String,
    /// The same line by line, each with what it is for.
    pub lines: Vec<Line>,
    /// What the paper does not show as the card has it.
    pub losses: Vec<Loss>,
}

/// Lays out the ticket of one dish, drink or sitting.
///
/// A kitchen ticket says nothing of the guest: a limit that is the guest's own is not printed, nor
/// the headroom from which it could be worked out, and the free text of the reasons stays off it.
#[must_use]
pub fn render(assessment: &Assessment, layout: Layout, context: &TicketContext) -> Ticket {
    let mut press = Press {
        assessment,
        layout,
        page: Page::new(layout.columns()),
        hygiene: Hygiene::default(),
    };
    press.header(context);
    press.allergens();
    press.actions();
    press.figures(context);
    press.queries();
    press.notes();
    press.footer();
    let lines = press.page.into_lines();
    Ticket {
        text: joined(&lines),
        lines,
        losses: press.hygiene.into_losses(),
    }
}

struct Press<'a> {
    assessment: &'a Assessment,
    layout: Layout,
    page: Page,
    hygiene: Hygiene,
}

impl Press<'_> {
    fn header(&mut self, context: &TicketContext) {
        let kitchen = [
            ("TABLE", "table", &context.table),
            ("SEAT", "seat", &context.seat),
            ("COURSE", "course", &context.course),
        ];
        let tray = [
            ("BED", "bed", &context.bed),
            ("MEAL", "meal", &context.meal),
            ("CART", "cart sequence", &context.cart_sequence),
            ("TAG", "tag", &context.tag),
        ];
        let (shown, hidden) = match self.layout {
            Layout::Kitchen(_) => (&kitchen[..], &tray[..]),
            Layout::Tray(_) => (&tray[..], &kitchen[..]),
        };
        for (_, field, _) in hidden.iter().filter(|(_, _, value)| value.is_some()) {
            self.hygiene.lose(field, LossKind::Omitted, 1);
        }
        let mut place = Vec::new();
        for (label, field, value) in shown {
            if let Some(value) = value {
                let value = self.hygiene.short(field, value, 16);
                place.push(format!("{label} {value}"));
            }
        }
        self.page.rule();
        if !place.is_empty() {
            self.page.text(Role::Place, &spaced(&place));
        }
        let width = self.page.width();
        let mut title = self.name(&self.assessment.name, width + width / 2);
        if let Some(code) = &self.assessment.code {
            let code = self.hygiene.short("code", code, width / 2);
            title = format!("{title} {}", whole(&format!("[{code}]")));
        }
        self.page.text(Role::Title, &title);
        let ruling = wording::ruling(self.assessment.ruling);
        self.page.text(Role::Ruling, &format!("*** {ruling} ***"));
        self.page.rule();
    }

    fn name(&mut self, name: &str, width: usize) -> String {
        let name = self.hygiene.short("name", name, width);
        if name.is_empty() {
            "(no name)".to_owned()
        } else {
            name
        }
    }

    fn allergens(&mut self) {
        let recorded = wording::allergens(self.assessment.allergens);
        let recorded = if recorded.is_empty() {
            "none on record".to_owned()
        } else {
            recorded
        };
        self.page
            .text(Role::Allergens, &format!("ALLERGENS REC.: {recorded}"));
        let added = self
            .chosen()
            .fold(Allergens::NONE, |all, a| all.union(a.added_allergens));
        if !added.is_empty() {
            let added = wording::allergens(added);
            self.page
                .text(Role::Allergens, &format!("ADDED BY THE CHANGE: {added}"));
        }
    }

    /// The amendments that go out with the dish: the first plan, where the ruling is to alter.
    fn chosen(&self) -> impl Iterator<Item = &Amendment> {
        let alters = self.assessment.ruling == Ruling::Alter;
        let plans = self.assessment.amendments.iter();
        let first = plans.clone().map(|a| a.plan).min();
        plans.filter(move |a| alters && Some(a.plan) == first)
    }

    fn actions(&mut self) {
        let actions: Vec<Amendment> = self.chosen().cloned().collect();
        let shown = if actions.len() > ACTIONS {
            ACTIONS - 1
        } else {
            actions.len()
        };
        let width = self.page.width();
        for action in &actions[..shown] {
            let item = self
                .hygiene
                .short("action", &wording::item(action), width + width / 2);
            self.page.beside(
                Role::Action,
                wording::verb(action.kind),
                &format!("{item} {}", whole(&format!("({})", action.when))),
            );
        }
        let more = actions.len() - shown;
        if more > 0 {
            // Half a plan does not serve: the cook is told that the ticket is not all of it.
            self.hygiene.lose("action", LossKind::Omitted, more);
            self.page.beside(
                Role::Action,
                "MORE    ",
                &format!("{more} more changes: see the full answer before plating"),
            );
        }
        if self.assessment.ruling == Ruling::Alter && actions.is_empty() {
            self.page
                .text(Role::Query, "No change on record: see the full answer");
        }
    }

    fn figures(&mut self, context: &TicketContext) {
        let assessment = self.assessment;
        if assessment.ruling == Ruling::Withhold {
            self.why_withheld();
        } else if let Some(row) = wording::tightest(assessment) {
            self.held("LOAD    ", row);
        } else if !assessment.loads.iter().any(is_unsettled) {
            let text = "no subgroup above zero is held";
            self.page.beside(Role::Figures, "LOAD    ", text);
        } else {
            let text = "cannot say, see below";
            self.page.beside(Role::Figures, "LOAD    ", text);
        }
        if assessment.ruling == Ruling::Alter {
            self.page
                .beside(Role::Figures, "        ", "(before the change)");
        }
        let portion = figures::grams_or_unknown(assessment.portion);
        let mut plate = whole(&portion);
        if let Some(tool) = &context.portion_tool {
            let tool = self.hygiene.short("portion tool", tool, 32);
            plate = format!("{plate}, {tool}");
        }
        let lead = match assessment.kind {
            SubjectKind::Drink => "POUR    ",
            SubjectKind::Dish | SubjectKind::Sitting => "PLATE   ",
        };
        self.page.beside(Role::Figures, lead, &plate);
        if let Some(drinks) = assessment.alcohol {
            self.page
                .beside(Role::Figures, "ALCOHOL ", &wording::drinks(drinks));
        }
        for item in assessment.items.iter().take(ITEMS) {
            let name = self.name(&item.name, self.page.width());
            let text = format!("{name}: {}", wording::ruling(item.ruling));
            self.page.beside(Role::Figures, "ITEM    ", &text);
        }
        self.more("items", assessment.items.len(), ITEMS, Role::Figures);
    }

    fn why_withheld(&mut self) {
        let assessment = self.assessment;
        let over: Vec<&LoadRow> = assessment
            .loads
            .iter()
            .filter(|r| r.finding == Finding::Over && wording::decides(r))
            .collect();
        for row in over.iter().take(QUERIES) {
            self.held("OVER    ", row);
        }
        self.more("loads", over.len(), QUERIES, Role::Figures);
        if over.is_empty() {
            let why = self.first_reason();
            self.page.beside(Role::Figures, "WHY     ", &why);
        } else if assessment.amendments.is_empty() {
            let text = "no change on record makes it serve";
            self.page.beside(Role::Figures, "CHANGE  ", text);
        }
    }

    /// The first reason in words, on a tray; a guest's ticket points to the answer.
    fn first_reason(&mut self) -> String {
        let width = self.page.width() * 2;
        match (self.layout, self.assessment.reasons.first()) {
            (Layout::Tray(_), Some(reason)) => self.hygiene.short("reason", reason, width),
            _ => "see the full answer".to_owned(),
        }
    }

    /// A load against its cut-off, with its headroom where it is the tightest.
    fn held(&mut self, lead: &str, row: &LoadRow) {
        let mut text = format!("{} {}", row.subgroup.plain_words(), wording::load(row));
        let own = |c: &tamis_scoring::assessment::CutoffUsed| c.basis == LimitBasis::Tolerance;
        let guest = matches!(self.layout, Layout::Kitchen(_));
        match &row.cutoff {
            None => {}
            Some(cutoff) if guest && own(cutoff) => {}
            Some(cutoff) => {
                let grams = figures::grams(cutoff.grams);
                text = format!("{text}, {}", whole(&format!("cut-off {grams}")));
                if let Some(headroom) = self.assessment.headroom
                    && headroom.subgroup == row.subgroup
                {
                    let ratio = figures::headroom(headroom.ratio);
                    text = format!("{text}, {}", whole(&format!("headroom {ratio}")));
                }
            }
        }
        self.page.beside(Role::Figures, lead, &text);
    }

    fn queries(&mut self) {
        let assessment = self.assessment;
        let width = self.page.width();
        let mut queries = Vec::new();
        for part in &assessment.unresolved {
            let line = self.hygiene.short("line", &part.line.text, width);
            let reason = self
                .hygiene
                .short("reason", &part.reason, width + width / 2);
            queries.push(format!("line {} '{line}': {reason}", part.line.number));
        }
        for row in assessment.loads.iter().filter(|r| wording::decides(r)) {
            if let Some(why) = wording::cannot_say(row) {
                queries.push(format!("{}: {why}", row.subgroup.plain_words()));
            }
        }
        if assessment.ruling == Ruling::Refer && queries.is_empty() {
            queries.push(self.first_reason());
        }
        for (n, query) in queries.iter().take(QUERIES).enumerate() {
            let lead = if n == 0 { "ASK DIETITIAN: " } else { "- " };
            self.page.hang(Role::Query, lead, 2, query);
        }
        self.more("questions", queries.len(), QUERIES, Role::Query);
        if assessment.ruling == Ruling::Refer && !assessment.amendments.is_empty() {
            self.page.text(
                Role::Query,
                "- a change exists that would serve: see the full answer",
            );
        }
    }

    fn notes(&mut self) {
        let notes = &self.assessment.practice_notes;
        let width = self.page.width() * 3;
        for note in notes.iter().take(NOTES) {
            let note = wording::practice(&note.text);
            let note = self.hygiene.short("practice note", note, width);
            self.page.text(
                Role::Note,
                &format!("NOTE (common practice, no source): {note}"),
            );
        }
        self.more("practice notes", notes.len(), NOTES, Role::Note);
    }

    fn footer(&mut self) {
        self.page.rule();
        self.page.prose(Role::Caution, wording::CAUTION);
        let width = self.page.width();
        let policy = self
            .hygiene
            .short("policy", &self.assessment.policy, width + width / 2);
        let version = self.hygiene.short(
            "catalogue version",
            &self.assessment.catalogue_version,
            width,
        );
        self.page
            .text(Role::Caution, &format!("Catalogue {version}"));
        self.page.text(Role::Caution, &format!("Policy {policy}"));
        self.page.rule();
    }

    fn more(&mut self, field: &'static str, count: usize, shown: usize, role: Role) {
        if count > shown {
            let more = count - shown;
            self.hygiene.lose(field, LossKind::Omitted, more);
            self.page
                .text(role, &format!("- and {more} more: see the full answer"));
        }
    }
}

fn is_unsettled(row: &LoadRow) -> bool {
    wording::decides(row) && wording::cannot_say(row).is_some()
}
