//! A folder of seed data, or the one in the binary, to checked tables.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use include_dir::{Dir, include_dir};
use sha2::{Digest, Sha256};
use tamis_scoring::cutoffs::CutoffRow;

use crate::fault::Faults;
use crate::processing::table::LawRow;
use crate::schema::{self, CompositionRow, FoodRow, MeasureRow, SourceRow, StateRow, YieldRow};
use crate::schema_tools::{
    self as tools, DrinkRow, EquivalentRow, PracticeRow, ProcessRow, RuleRow, VesselRow,
};
use crate::table::{At, MAX_FILE_BYTES};
use crate::validate_dishes::{self, MeasuredDish};

static EMBEDDED: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/../../seed-data");

/// The edition of the data's schema and rules: year and month.
pub(crate) const EDITION: &str = "2026.11";
/// The cards of the measured dishes.
const DISH_CARDS: &str = "validation/dishes.txt";
/// The most files read from a folder.
const MAX_FILES: usize = 400;

const FOLDERS: &[&str] = &[
    "composition",
    "foods",
    "measures",
    "sources",
    "states",
    "validation",
    "yields",
];
const NEEDED: &[&str] = &[
    "absent.csv",
    "composition/",
    "cutoffs.csv",
    "foods/",
    "inferred.csv",
    "processing.csv",
    "sources/",
    "states/",
];

/// The tables as read.
#[derive(Debug, Default)]
pub(crate) struct Tables {
    pub(crate) sources: Vec<SourceRow>,
    pub(crate) foods: Vec<FoodRow>,
    pub(crate) states: Vec<StateRow>,
    pub(crate) composition: Vec<CompositionRow>,
    pub(crate) measures: Vec<MeasureRow>,
    pub(crate) yields: Vec<YieldRow>,
    pub(crate) packs: Vec<VesselRow>,
    pub(crate) utensils: Vec<VesselRow>,
    pub(crate) drinks: Vec<DrinkRow>,
    pub(crate) practice: Vec<PracticeRow>,
    pub(crate) absent: Vec<RuleRow>,
    pub(crate) inferred: Vec<RuleRow>,
    pub(crate) processing: Vec<ProcessRow>,
    pub(crate) laws: Vec<LawRow>,
    pub(crate) equivalents: Vec<EquivalentRow>,
    pub(crate) cutoffs: Vec<(At, CutoffRow)>,
    pub(crate) dishes: Vec<MeasuredDish>,
    pub(crate) dish_cards: String,
}

/// The CSV files of a data folder, by their path in it.
#[derive(Debug, Default)]
pub(crate) struct Files(pub(crate) BTreeMap<String, Vec<u8>>);

impl Files {
    /// The files in the binary.
    pub(crate) fn embedded() -> Self {
        let mut files = BTreeMap::new();
        gather(&EMBEDDED, &mut files);
        Self(files)
    }

    /// The files of a folder, two levels deep; what cannot be read is a fault.
    pub(crate) fn of_folder(folder: &Path, faults: &mut Faults) -> Self {
        let mut files = BTreeMap::new();
        walk(folder, "", &mut files, faults);
        Self(files)
    }

    /// `YYYY.MM` of the edition and the first 12 hex digits of the hash over all files.
    pub(crate) fn version(&self) -> String {
        let mut hash = Sha256::new();
        // What only checks the answers does not change them.
        let answering = self.0.iter().filter(|(n, _)| !n.starts_with("validation/"));
        for (name, bytes) in answering {
            for part in [name.as_bytes(), bytes] {
                hash.update((part.len() as u64).to_le_bytes());
                hash.update(part);
            }
        }
        let digest = hash.finalize();
        let hex: String = digest.iter().take(6).map(|b| format!("{b:02x}")).collect();
        format!("{EDITION}-{hex}")
    }

    /// Reads every table.
    pub(crate) fn read(&self, faults: &mut Faults) -> Tables {
        let mut t = Tables::default();
        for needed in NEEDED {
            let found = self.0.keys().any(|name| {
                name == needed
                    || (needed.ends_with('/') && name.starts_with(needed))
                    || (*needed == "sources/" && name == "sources.csv")
            });
            if !found {
                faults.file(
                    needed,
                    "is missing",
                    "a CSV file by the schema in README.md",
                );
            }
        }
        for (name, bytes) in &self.0 {
            let folder = name.split_once('/').map_or("", |(folder, _)| folder);
            match (folder, name.as_str()) {
                ("sources", _) | (_, "sources.csv") => schema::sources(name, bytes, faults, &mut t.sources),
                ("foods", _) => schema::foods(name, bytes, faults, &mut t.foods),
                ("states", _) => schema::states(name, bytes, faults, &mut t.states),
                ("composition", _) => schema::composition(name, bytes, faults, &mut t.composition),
                ("measures", _) => schema::measures(name, bytes, faults, &mut t.measures),
                ("yields", _) => schema::yields(name, bytes, faults, &mut t.yields),
                (_, "validation/measured.csv") => validate_dishes::measured(name, bytes, faults, &mut t.dishes),
                (_, DISH_CARDS) => match std::str::from_utf8(bytes) {
                    Ok(text) => t.dish_cards = text.to_owned(),
                    Err(_) => faults.file(name, "not valid UTF-8", "cards as UTF-8 text"),
                },
                (_, "packs.csv") => tools::packs(name, bytes, faults, &mut t.packs),
                (_, "utensils.csv") => tools::utensils(name, bytes, faults, &mut t.utensils),
                (_, "standard_drinks.csv") => tools::drinks(name, bytes, faults, &mut t.drinks),
                (_, "practice.csv") => tools::practice(name, bytes, faults, &mut t.practice),
                (_, "absent.csv") => tools::absent(name, bytes, faults, &mut t.absent),
                (_, "inferred.csv") => tools::inferred(name, bytes, faults, &mut t.inferred),
                (_, "laws.csv") => crate::processing::table::laws(name, bytes, faults, &mut t.laws),
                (_, "processing.csv") => tools::processing(name, bytes, faults, &mut t.processing),
                (_, "equivalents.csv") => tools::equivalents(name, bytes, faults, &mut t.equivalents),
                (_, "cutoffs.csv") => tools::cutoffs(name, bytes, faults, &mut t.cutoffs),
                _ => faults.file(
                    name,
                    "a table nobody reads",
                    "absent, cutoffs, equivalents, inferred, laws, packs, practice, processing, standard_drinks, utensils, \
                     and the folders composition, foods, measures, sources, states, validation, yields",
                ),
            }
        }
        t
    }
}

/// The demo menus in the binary: file name and text, by name.
pub fn demo_menus() -> Vec<(&'static str, &'static str)> {
    let mut menus: Vec<(&str, &str)> = EMBEDDED
        .get_dir("demo")
        .map(|demo| {
            demo.files()
                .filter(|f| f.path().extension().is_some_and(|e| e == "txt"))
                .filter_map(|f| Some((f.path().file_name()?.to_str()?, f.contents_utf8()?)))
                .collect()
        })
        .unwrap_or_default();
    menus.sort_unstable();
    menus
}

fn gather(dir: &'static Dir<'static>, files: &mut BTreeMap<String, Vec<u8>>) {
    for file in dir.files() {
        let name = file.path().to_string_lossy().replace('\\', "/");
        if (name.ends_with(".csv") && !name.starts_with("demo/")) || name == DISH_CARDS {
            files.insert(name, file.contents().to_vec());
        }
    }
    for sub in dir.dirs() {
        gather(sub, files);
    }
}

fn walk(folder: &Path, prefix: &str, files: &mut BTreeMap<String, Vec<u8>>, faults: &mut Faults) {
    let place = |name: &str| {
        if name.is_empty() {
            ".".to_owned()
        } else {
            name.to_owned()
        }
    };
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) => {
            faults.file(
                &place(prefix),
                format!("cannot be read: {error}"),
                "a readable folder",
            );
            return;
        }
    };
    for entry in entries.flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = entry.path();
        if path.is_dir() {
            if prefix.is_empty() && FOLDERS.contains(&name.as_str()) {
                walk(&path, &format!("{name}/"), files, faults);
            }
            continue;
        }
        let name = format!("{prefix}{name}");
        if !name.ends_with(".csv") && name != DISH_CARDS {
            continue;
        }
        if files.len() >= MAX_FILES {
            faults.file(
                &name,
                "one file too many",
                format!("at most {MAX_FILES} files"),
            );
            return;
        }
        let size = entry.metadata().map_or(0, |m| m.len());
        if usize::try_from(size).map_or(true, |s| s > MAX_FILE_BYTES) {
            faults.file(
                &name,
                format!("{size} bytes"),
                format!("at most {MAX_FILE_BYTES} bytes"),
            );
            continue;
        }
        match fs::read(&path) {
            Ok(bytes) => {
                files.insert(name, bytes);
            }
            Err(error) => faults.file(&name, format!("cannot be read: {error}"), "a readable file"),
        }
    }
}
