//! `tamis foods`.

use std::fmt::Write;

use clap::Args;
use tamis_app::error::Reason;
use tamis_app::limits::MAX_PAGE;
use tamis_app::{App, FoodQuery};
use tamis_scoring::foods::{AnalyteRow, FoodPage, FoodState, FoodSummary};
use tamis_tickets::figures;
use tamis_wire::v1;

use super::{Failure, Outcome, output};

/// Options of the command.
#[derive(Debug, Args)]
pub struct Options {
    /// The id of a food, or words as a kitchen writes them; none lists every food.
    #[arg(value_name = "QUERY|ID")]
    query: Vec<String>,
    /// Print the objects of the API, one a line.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// When the query is over a limit.
pub fn run(app: &App, options: &Options) -> Result<Outcome, Failure> {
    let query = options.query.join(" ");
    match app.food(&query) {
        Ok(page) if options.json => output::print_json(&v1::FoodPage::from(&page))?,
        Ok(page) => output::print(&describe(&page))?,
        Err(error) if error.reason == Reason::FoodUnknown => list(app, &query, options.json)?,
        Err(error) => return Err(error.into()),
    }
    Ok(Outcome::AllOut)
}

fn list(app: &App, query: &str, json: bool) -> Result<(), Failure> {
    let mut text = String::new();
    let mut page_token = String::new();
    loop {
        let list = app.foods(&FoodQuery {
            query: query.to_owned(),
            page_size: MAX_PAGE,
            page_token,
        })?;
        for food in list.foods {
            if json {
                text += &serde_json::to_string(&v1::FoodSummary::from(&food))?;
                text.push('\n');
            } else {
                summarise(&food, &mut text);
            }
        }
        page_token = list.next_page_token;
        if page_token.is_empty() {
            break;
        }
    }
    if text.is_empty() {
        eprintln!("tamis: no food of the catalogue matches '{query}'");
    }
    output::print(&text)?;
    Ok(())
}

// Writing into memory does not fail, so its results are passed over below.

fn summarise(food: &FoodSummary, text: &mut String) {
    let states: Vec<_> = food.states.iter().map(ToString::to_string).collect();
    let _ = writeln!(
        text,
        "{:<28} {:<36} {:<12} {}",
        food.id.to_string(),
        food.name,
        food.class.word(),
        states.join(", ")
    );
}

fn describe(page: &FoodPage) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{} ({}), {}", page.name, page.id, page.class);
    let mut say = |what: &str, value: String| {
        if !value.is_empty() {
            let _ = writeln!(text, "  {what:<11} {value}");
        }
    };
    let allergens: Vec<_> = page.allergens.iter().map(|a| a.word()).collect();
    say("family", page.family.clone());
    say("also", page.synonyms.join(", "));
    say("allergens", allergens.join(", "));
    for note in &page.practice_notes {
        say("practice", note.clone());
    }
    say("catalogue", page.catalogue_version.clone());
    for state in &page.states {
        describe_state(state, &mut text);
    }
    text
}

fn describe_state(state: &FoodState, text: &mut String) {
    let _ = writeln!(text, "\n{}", state.id);
    if let Some(ceiling) = state.portion_ceiling {
        let _ = writeln!(
            text,
            "  largest portion that serves   {}",
            figures::grams(ceiling)
        );
    }
    if let Some(headroom) = state.headroom_of_100g {
        let _ = writeln!(
            text,
            "  headroom of 100 g             {} ({})",
            figures::headroom(headroom.ratio),
            headroom.subgroup.plain_words()
        );
    }
    if let Some(share) = state.edible_share {
        let _ = writeln!(text, "  edible share                  {share:.2}");
    }
    let measures: Vec<_> = state
        .measures
        .iter()
        .map(|m| format!("{} {} ({})", m.measure, figures::grams(m.grams), m.grade))
        .collect();
    if !measures.is_empty() {
        let _ = writeln!(text, "  measures  {}", measures.join("; "));
    }
    let _ = writeln!(text, "  g in 100 g        mean       5 %      95 %  grade");
    for row in &state.analytes {
        describe_analyte(row, text);
    }
}

fn describe_analyte(row: &AnalyteRow, text: &mut String) {
    let number = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |v| format!("{v:.3}"));
    let grade = row.grade.map_or("-", |g| g.word());
    let _ = writeln!(
        text,
        "  {:<14} {:>8}  {:>8}  {:>8}  {grade}, {}",
        row.analyte.word(),
        number(row.grams.map(|g| g.get())),
        number(row.low.map(|g| g.get())),
        number(row.high.map(|g| g.get())),
        row.state
    );
    for observation in &row.observations {
        let evidence = &observation.evidence;
        let rejected = observation
            .rejected
            .as_deref()
            .map_or_else(String::new, |why| format!("; not used: {why}"));
        // What was reasoned needs its reasons; a number that was read has its locator.
        let reasons = if evidence.grade.is_loose() && !evidence.note.is_empty() {
            format!(": {}", evidence.note)
        } else {
            String::new()
        };
        let _ = writeln!(
            text,
            "      {} [{}] {}, {}{reasons}{rejected}",
            observation.value, evidence.grade, observation.citation, evidence.locator
        );
    }
}
