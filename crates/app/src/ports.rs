//! What the use cases need from outside: a store of menus.

use std::future::Future;
use std::pin::Pin;

/// A future on the heap, so that ports can be trait objects.
pub type BoxFuture<'a, T> = Pin<Box<dyn Future<Output = T> + Send + 'a>>;

/// A menu as it was handed in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredMenu {
    /// Its id, kebab-case.
    pub id: String,
    /// Its plain name.
    pub name: String,
    /// The site that serves it.
    pub site: String,
    /// The cards in plain text, as written.
    pub cards: String,
}

/// The store failed.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The store cannot be reached or answered with a fault.
    #[error("the store failed while {doing}")]
    Unavailable {
        /// What was being done.
        doing: &'static str,
        /// The fault of the driver.
        #[source]
        source: Box<dyn std::error::Error + Send + Sync>,
    },
    /// The store was made by a newer version.
    #[error("the store has schema version {found}; this program knows up to {known}")]
    TooNew {
        /// Version found.
        found: i64,
        /// Newest version known.
        known: i64,
    },
}

/// Keeps menus.
pub trait MenuStore: Send + Sync {
    /// Saves a menu, replacing one of the same id; all of it or nothing.
    fn save<'a>(&'a self, menu: &'a StoredMenu) -> BoxFuture<'a, Result<(), StoreError>>;
    /// All menus, by id.
    fn menus(&self) -> BoxFuture<'_, Result<Vec<StoredMenu>, StoreError>>;
}
