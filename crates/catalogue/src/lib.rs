//! What tamis knows of foods: seed data to checked tables, observations to estimates, kitchen words
//! to foods, counts and volumes to grams.
//!
//! The seed data are CSV files, described in `seed-data/README.md`. [`Catalogue::embedded`] is the
//! one in the binary, [`Catalogue::from_folder`] reads another. Both check everything and answer
//! with all faults at once. Nothing here knows of transports or storage.

mod check;
mod compose;
mod constituent;
pub mod equivalents;
pub mod fault;
pub mod foods;
mod infer;
mod load;
pub mod matching;
pub mod measures;
mod pool;
mod processing;
mod schema;
mod schema_tools;
mod table;
pub mod validate;
pub mod validate_dishes;
mod validate_export;

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, LazyLock};

use tamis_scoring::allergens::Allergens;
use tamis_scoring::composition::Composition;
use tamis_scoring::cutoffs::Cutoffs;
use tamis_scoring::dish::FoodClass;
use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::{FoodId, Grams, Quantity, SourceId, StateId};

pub use fault::{Fault, LoadError, Severity};
pub use load::demo_menus;

use compose::{Account, Accounts};
use fault::Faults;
use load::{Files, Tables};
use matching::Index;
use measures::MeasureIndex;

/// A food.
#[derive(Debug, Clone, PartialEq)]
pub struct Food {
    /// Its id.
    pub id: FoodId,
    /// Its plain name.
    pub name: String,
    /// Its class.
    pub class: FoodClass,
    /// Its botanical family; empty where that does not apply.
    pub family: String,
    /// Its allergens, as recorded; never an allergen statement.
    pub allergens: Allergens,
    /// Names that kitchens write for it.
    pub synonyms: Vec<String>,
    /// The state meant where a line says nothing.
    pub default_state: StateId,
    /// Its states, the default one first.
    pub states: Vec<StateId>,
    /// What a reader should know.
    pub note: String,
}

/// Where numbers come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Its id.
    pub id: SourceId,
    /// The citation.
    pub citation: String,
    /// Under which terms its facts are used.
    pub licence: String,
    /// Where it can be found; empty if nowhere.
    pub url: String,
}

/// A rule that practitioners teach; shown as such, never mixed into a number.
#[derive(Debug, Clone, PartialEq)]
pub struct PracticeNote {
    /// The rule, in words.
    pub text: String,
    /// The grams it names, if any.
    pub limit: Option<Grams>,
    /// Where it comes from.
    pub source: SourceId,
    /// How good the evidence is.
    pub grade: Grade,
}

/// How much there is in a catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counts {
    /// Foods.
    pub foods: usize,
    /// Foods by state.
    pub states: usize,
    /// Names that lead to a food.
    pub names: usize,
    /// Observations, rejected ones included.
    pub observations: usize,
    /// Observations that do not count.
    pub rejected: usize,
    /// Household measures.
    pub measures: usize,
    /// Equivalents.
    pub equivalents: usize,
    /// Sources.
    pub sources: usize,
}

#[derive(Debug)]
struct Inner {
    version: String,
    tables: Tables,
    foods: BTreeMap<FoodId, Food>,
    accounts: Accounts,
    index: Index,
    measures: MeasureIndex,
    cutoffs: Cutoffs,
    warnings: Vec<Fault>,
}

/// Everything known of foods; cheap to clone.
#[derive(Debug, Clone)]
pub struct Catalogue {
    inner: Arc<Inner>,
}

static EMBEDDED: LazyLock<Result<Catalogue, LoadError>> =
    LazyLock::new(|| Catalogue::of(&Files::embedded(), Faults::default()));

impl Catalogue {
    /// The catalogue in the binary: read and checked on first use, then kept.
    ///
    /// # Errors
    /// With all faults, when the data do not pass their checks.
    pub fn embedded() -> Result<Self, LoadError> {
        EMBEDDED.clone()
    }

    /// Reads and checks a folder laid out like `seed-data`.
    ///
    /// # Errors
    /// With all faults at once, when the data do not pass their checks.
    pub fn from_folder(folder: &Path) -> Result<Self, LoadError> {
        let mut faults = Faults::default();
        let files = Files::of_folder(folder, &mut faults);
        Self::of(&files, faults)
    }

    fn of(files: &Files, mut faults: Faults) -> Result<Self, LoadError> {
        let mut tables = files.read(&mut faults);
        let cutoffs = check::tables(&mut tables, &mut faults);
        let density = |food: &_, state: &_| measures::density(&tables, food, state);
        let accounts = compose::Body::new(&tables, &density).compose();
        check::accounts(&tables, &accounts, &mut faults);
        let warnings = faults.settle()?;
        let index = Index::new(&tables);
        let measures = MeasureIndex::new(&tables);
        let foods = foods_of(&tables);
        let inner = Inner {
            version: files.version(),
            tables,
            foods,
            accounts,
            index,
            measures,
            cutoffs,
            warnings,
        };
        Ok(Self {
            inner: Arc::new(inner),
        })
    }

    /// The version: edition and hash, such as `2026.11-0a1b2c3d4e5f`. Any change of a byte of the
    /// data changes it.
    #[must_use]
    pub fn version(&self) -> &str {
        &self.inner.version
    }

    /// What someone should look at, though the data can be used.
    #[must_use]
    pub fn warnings(&self) -> &[Fault] {
        &self.inner.warnings
    }

    /// A food by its id.
    #[must_use]
    pub fn food(&self, id: &FoodId) -> Option<&Food> {
        self.inner.foods.get(id)
    }

    /// All foods, by id.
    pub fn foods(&self) -> impl Iterator<Item = &Food> {
        self.inner.foods.values()
    }

    /// What is in 100 g of a food in a state; `None` for a food or state that is not there.
    #[must_use]
    pub fn composition(&self, food: &FoodId, state: &StateId) -> Option<Composition> {
        self.account(food, state).map(|a| a.composition)
    }

    /// The ethanol in 100 g of a food in a state, where it is on record.
    #[must_use]
    pub fn ethanol(
        &self,
        food: &FoodId,
        state: &StateId,
    ) -> Option<tamis_scoring::estimate::Concentration> {
        self.account(food, state)?
            .pooled
            .get(&constituent::Constituent::Ethanol)
            .map(|p| p.estimate)
    }

    /// The published cut-offs.
    #[must_use]
    pub fn cutoffs(&self) -> &Cutoffs {
        &self.inner.cutoffs
    }

    /// A source by its id.
    #[must_use]
    pub fn source(&self, id: &SourceId) -> Option<Source> {
        self.inner
            .tables
            .sources
            .iter()
            .find(|s| s.id == *id)
            .map(|s| Source {
                id: s.id.clone(),
                citation: s.citation.clone(),
                licence: s.licence.clone(),
                url: s.url.clone(),
            })
    }

    /// What practitioners teach about a food, in one state or in any.
    #[must_use]
    pub fn practice_notes(&self, food: &FoodId, state: Option<&StateId>) -> Vec<PracticeNote> {
        self.inner
            .tables
            .practice
            .iter()
            .filter(|row| row.food.as_ref() == Some(food))
            .filter(|row| match (state, &row.state) {
                (Some(wanted), Some(about)) => wanted == about,
                _ => true,
            })
            .map(|row| PracticeNote {
                text: row.text.clone(),
                limit: row.limit.map(Grams::clamped),
                source: row.source.clone(),
                grade: row.grade,
            })
            .collect()
    }

    /// How much there is.
    #[must_use]
    pub fn counts(&self) -> Counts {
        let t = &self.inner.tables;
        Counts {
            foods: t.foods.len(),
            states: t.states.len(),
            names: self.inner.index.names(),
            observations: t.composition.len(),
            rejected: t
                .composition
                .iter()
                .filter(|r| r.rejected.is_some())
                .count(),
            measures: t.measures.len(),
            equivalents: t.equivalents.len(),
            sources: t.sources.len(),
        }
    }

    fn account(&self, food: &FoodId, state: &StateId) -> Option<&Account> {
        self.inner.accounts.get(&(food.clone(), state.clone()))
    }

    fn citation(&self, id: &SourceId) -> Option<&str> {
        self.inner
            .tables
            .sources
            .iter()
            .find(|s| s.id == *id)
            .map(|s| s.citation.as_str())
    }
}

fn foods_of(tables: &Tables) -> BTreeMap<FoodId, Food> {
    let mut states: BTreeMap<&FoodId, Vec<StateId>> = BTreeMap::new();
    for row in &tables.states {
        states.entry(&row.food).or_default().push(row.state.clone());
    }
    tables
        .foods
        .iter()
        .map(|row| {
            let mut states = states.get(&row.id).cloned().unwrap_or_default();
            states.sort_by_key(|s| (*s != row.default_state, s.clone()));
            let food = Food {
                id: row.id.clone(),
                name: row.name.clone(),
                class: row.class,
                family: row.family.clone(),
                allergens: row.allergens,
                synonyms: row.synonyms.clone(),
                default_state: row.default_state.clone(),
                states,
                note: row.note.clone(),
            };
            (row.id.clone(), food)
        })
        .collect()
}
