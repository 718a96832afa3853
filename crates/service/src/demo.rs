//! The demonstration: menus of fictional sites go into the store, come back out of it, and print as
//! the pass would read them.

use tamis_app::ports::{MenuStore, StoreError, StoredMenu};
use tamis_app::{App, CardFormat, Error, requests_from_text};
use tamis_scoring::diner::{Diner, Policy};
use tamis_scoring::ruling::Ruling;
use tamis_tickets::{Columns, Layout, TicketContext};

/// The demonstration failed.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// The store failed.
    #[error("the demonstration stopped: {0}")]
    Store(#[from] StoreError),
    /// A menu cannot be used.
    #[error("the demonstration menu {menu} cannot be used: {error}")]
    Menu {
        /// Its id.
        menu: String,
        /// Why.
        error: Error,
    },
}

/// Loads the menus, reads them back and lays out a page of all of them.
///
/// # Errors
/// When the store fails, or a menu cannot be used.
pub async fn run(app: &App, store: &dyn MenuStore) -> Result<String, DemoError> {
    for (file, cards) in tamis_catalogue::demo_menus() {
        store.save(&menu(file, cards)).await?;
    }
    let mut page = String::new();
    for menu in store.menus().await? {
        page += &pass(app, &menu).map_err(|error| DemoError::Menu {
            menu: menu.id.clone(),
            error,
        })?;
    }
    Ok(page)
}

/// The file is named after its site: `alder-bay.txt`.
fn menu(file: &str, cards: &str) -> StoredMenu {
    let id = file.strip_suffix(".txt").unwrap_or(file);
    let capital = |word: &str| {
        let mut letters = word.chars();
        letters
            .next()
            .map(|first| first.to_uppercase().chain(letters).collect::<String>())
    };
    let site: Vec<String> = id.split('-').filter_map(capital).collect();
    let site = site.join(" ");
    StoredMenu {
        id: id.to_owned(),
        name: format!("{site}, demonstration menu"),
        site,
        cards: cards.to_owned(),
    }
}

/// The pass sheet of a menu, and the tickets of what is altered.
fn pass(app: &App, menu: &StoredMenu) -> Result<String, Error> {
    let requests = requests_from_text(
        &menu.cards,
        CardFormat::PlainText,
        &Diner::restriction(),
        &Policy::default(),
    )?;
    let mut assessments = Vec::new();
    let mut refused = String::new();
    for request in &requests {
        match app.assess(request) {
            Ok(assessment) => assessments.push(assessment),
            Err(error) => refused += &format!("not assessed: {}\n", error.detail),
        }
    }
    let mut page = format!("{}\n\n", menu.name);
    page += &tamis_tickets::pass_sheet(&assessments, Columns::WIDEST);
    page += &refused;
    page.push('\n');
    let altered = assessments.iter().filter(|a| a.ruling == Ruling::Alter);
    for assessment in altered {
        let layout = Layout::Kitchen(Columns::MM80_COARSE);
        page += &tamis_tickets::render(assessment, layout, &TicketContext::default()).text;
        page.push('\n');
    }
    Ok(page)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_menu_is_named_after_its_site() {
        let menu = menu("alder-bay.txt", "Toast\n");
        assert_eq!(
            (menu.id.as_str(), menu.site.as_str()),
            ("alder-bay", "Alder Bay")
        );
    }
}
