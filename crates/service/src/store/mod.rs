//! The store of menus, on SQLite: one file for one kitchen, or memory for a demonstration.

use std::path::Path;
use std::time::Duration;

use sqlx::migrate::{MigrateError, Migrator};
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use tamis_app::ports::{BoxFuture, MenuStore, StoreError, StoredMenu};

static MIGRATIONS: Migrator = sqlx::migrate!("migrations/sqlite");

/// How long a writer waits for another one.
const BUSY: Duration = Duration::from_secs(5);

/// Menus in SQLite.
#[derive(Debug, Clone)]
pub struct SqliteStore {
    pool: SqlitePool,
}

impl SqliteStore {
    /// Opens a file, makes it where it is missing, and brings its schema up to date.
    ///
    /// # Errors
    /// When the file cannot be opened or was made by a newer version of this program.
    pub async fn open(path: &Path) -> Result<Self, StoreError> {
        let options = SqliteConnectOptions::new()
            .filename(path)
            .create_if_missing(true)
            .journal_mode(SqliteJournalMode::Wal)
            .synchronous(SqliteSynchronous::Normal)
            .foreign_keys(true)
            .busy_timeout(BUSY);
        Self::start(SqlitePoolOptions::new().max_connections(4), options).await
    }

    /// A store that lives as long as the program.
    ///
    /// # Errors
    /// When SQLite cannot be started.
    pub async fn in_memory() -> Result<Self, StoreError> {
        // Each connection to memory is a database of its own, so there is one, and it is kept.
        let pool = SqlitePoolOptions::new()
            .max_connections(1)
            .min_connections(1)
            .idle_timeout(None)
            .max_lifetime(None);
        Self::start(pool, SqliteConnectOptions::new().in_memory(true)).await
    }

    async fn start(
        pool: SqlitePoolOptions,
        options: SqliteConnectOptions,
    ) -> Result<Self, StoreError> {
        let pool = pool
            .acquire_timeout(BUSY)
            .connect_with(options)
            .await
            .map_err(failed("opening it"))?;
        let store = Self { pool };
        store.refuse_newer().await?;
        MIGRATIONS.run(&store.pool).await.map_err(|e| match e {
            // Another program may have brought a newer schema in between.
            MigrateError::VersionMissing(found) => StoreError::TooNew {
                found,
                known: newest(),
            },
            other => failed("bringing its schema up to date")(other),
        })?;
        Ok(store)
    }

    async fn refuse_newer(&self) -> Result<(), StoreError> {
        let doing = "reading its schema version";
        let table: Option<String> = sqlx::query_scalar(
            "SELECT name FROM sqlite_schema WHERE type = 'table' AND name = '_sqlx_migrations'",
        )
        .fetch_optional(&self.pool)
        .await
        .map_err(failed(doing))?;
        if table.is_none() {
            return Ok(());
        }
        let found: Option<i64> = sqlx::query_scalar("SELECT MAX(version) FROM _sqlx_migrations")
            .fetch_one(&self.pool)
            .await
            .map_err(failed(doing))?;
        match found {
            Some(found) if found > newest() => Err(StoreError::TooNew {
                found,
                known: newest(),
            }),
            _ => Ok(()),
        }
    }

    /// Closes the store, so that all of it is in the one file.
    pub async fn close(&self) {
        self.pool.close().await;
    }
}

impl MenuStore for SqliteStore {
    fn save<'a>(&'a self, menu: &'a StoredMenu) -> BoxFuture<'a, Result<(), StoreError>> {
        Box::pin(async move {
            sqlx::query(
                "INSERT INTO menu (id, name, site, cards) VALUES ($1, $2, $3, $4) \
                 ON CONFLICT (id) DO UPDATE \
                 SET name = excluded.name, site = excluded.site, cards = excluded.cards",
            )
            .bind(&menu.id)
            .bind(&menu.name)
            .bind(&menu.site)
            .bind(&menu.cards)
            .execute(&self.pool)
            .await
            .map(|_| ())
            .map_err(failed("saving a menu"))
        })
    }

    fn menus(&self) -> BoxFuture<'_, Result<Vec<StoredMenu>, StoreError>> {
        Box::pin(async move {
            let rows: Vec<(String, String, String, String)> =
                sqlx::query_as("SELECT id, name, site, cards FROM menu ORDER BY id")
                    .fetch_all(&self.pool)
                    .await
                    .map_err(failed("reading the menus"))?;
            Ok(rows
                .into_iter()
                .map(|(id, name, site, cards)| StoredMenu {
                    id,
                    name,
                    site,
                    cards,
                })
                .collect())
        })
    }
}

fn newest() -> i64 {
    MIGRATIONS.iter().map(|m| m.version).max().unwrap_or(0)
}

fn failed<E: std::error::Error + Send + Sync + 'static>(
    doing: &'static str,
) -> impl FnOnce(E) -> StoreError {
    move |source| StoreError::Unavailable {
        doing,
        source: Box::new(source),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn menu(name: &str) -> StoredMenu {
        StoredMenu {
            id: "alder-bay-week-1".to_owned(),
            name: name.to_owned(),
            site: "Alder Bay".to_owned(),
            cards: "Toast\nserves 1\n\n1 slice bread\n".to_owned(),
        }
    }

    #[tokio::test]
    async fn a_menu_saved_twice_is_kept_once_and_survives_reopening() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("menus.sqlite");
        let store = SqliteStore::open(&file).await.unwrap();
        store.save(&menu("Week 1")).await.unwrap();
        store.save(&menu("Week 1, corrected")).await.unwrap();
        store.close().await;
        let store = SqliteStore::open(&file).await.unwrap();
        assert_eq!(
            store.menus().await.unwrap(),
            vec![menu("Week 1, corrected")]
        );
    }

    #[tokio::test]
    async fn memory_keeps_menus_over_many_calls() {
        let store = SqliteStore::in_memory().await.unwrap();
        store.save(&menu("Week 1")).await.unwrap();
        for _ in 0..20 {
            assert_eq!(store.menus().await.unwrap().len(), 1);
        }
    }

    #[tokio::test]
    async fn a_newer_schema_is_refused_and_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("menus.sqlite");
        let store = SqliteStore::open(&file).await.unwrap();
        store.save(&menu("Week 1")).await.unwrap();
        sqlx::query(
            "INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time) \
             VALUES (9999, 'from the future', 1, x'00', 0)",
        )
        .execute(&store.pool)
        .await
        .unwrap();
        store.close().await;
        let refused = SqliteStore::open(&file).await.unwrap_err();
        assert!(
            matches!(refused, StoreError::TooNew { found: 9999, known } if known == newest()),
            "{refused}"
        );
    }

    #[tokio::test]
    async fn a_file_that_is_no_database_is_an_error() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("menus.sqlite");
        std::fs::write(
            &file,
            "this is a shopping list, not a database, and long enough to tell",
        )
        .unwrap();
        let refused = SqliteStore::open(&file).await.unwrap_err();
        assert!(
            matches!(refused, StoreError::Unavailable { .. }),
            "{refused}"
        );
    }
}
