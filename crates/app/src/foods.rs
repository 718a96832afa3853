//! Foods of the catalogue, listed and shown.

use tamis_catalogue::Catalogue;
use tamis_catalogue::foods::Page;
use tamis_scoring::foods::{FoodPage, FoodSummary};
use tamis_scoring::quantity::FoodId;

use crate::error::{Error, Reason};
use crate::limits::{DEFAULT_PAGE, MAX_NAME_CHARS, MAX_PAGE};

/// Which foods to list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FoodQuery {
    /// Words that the name or a synonym must hold; empty for all.
    pub query: String,
    /// How many to give; 0 for the default, over the limit is cut to it.
    pub page_size: u32,
    /// Where to go on, as the last page said; empty for the start.
    pub page_token: String,
}

/// One page of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct FoodList {
    /// The foods, by id.
    pub foods: Vec<FoodSummary>,
    /// Where the next page starts; empty at the end.
    pub next_page_token: String,
}

/// Lists foods.
pub(crate) fn list(catalogue: &Catalogue, query: &FoodQuery) -> Result<FoodList, Error> {
    if query.query.chars().count() > MAX_NAME_CHARS {
        return Err(
            Error::new(Reason::FieldInvalid, "the query is too long").at(
                "/query",
                format!("at most {MAX_NAME_CHARS} characters are accepted"),
            ),
        );
    }
    let size = match query.page_size {
        0 => DEFAULT_PAGE,
        n => n.min(MAX_PAGE),
    } as usize;
    let skip = match query.page_token.as_str() {
        "" => 0,
        token => token
            .strip_prefix("from-")
            .and_then(|n| n.parse().ok())
            .ok_or_else(|| {
                Error::new(
                    Reason::PageTokenInvalid,
                    "the page token was not given out by this service",
                )
                .at(
                    "/page_token",
                    "the token of the last page, or nothing, is accepted",
                )
            })?,
    };
    let page = catalogue.summaries(&query.query, Page { skip, take: size });
    let end = skip.saturating_add(page.foods.len());
    let next_page_token = if end < page.total && !page.foods.is_empty() {
        format!("from-{end}")
    } else {
        String::new()
    };
    Ok(FoodList {
        foods: page.foods,
        next_page_token,
    })
}

/// Shows a food.
pub(crate) fn page(catalogue: &Catalogue, id: &str) -> Result<FoodPage, Error> {
    let unknown = || {
        Error::new(
            Reason::FoodUnknown,
            format!(
                "the catalogue has no food `{}`",
                id.chars().take(80).collect::<String>()
            ),
        )
        .with("id", id.chars().take(80).collect::<String>())
    };
    let food = FoodId::new(id).map_err(|_| unknown())?;
    catalogue.page(&food).ok_or_else(unknown)
}
