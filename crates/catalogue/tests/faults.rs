//! One fault of each kind, each found with its file, line and column.

// The lints allow these inside tests only, not in what tests share.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::path::{Path, PathBuf};

use proptest::prelude::*;
use tamis_catalogue::{Catalogue, Fault, LoadError, Severity};

fn fixture() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixture")
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// The faults of the fixture after one change of one file.
fn faults_after(file: &str, change: impl Fn(String) -> String) -> Vec<Fault> {
    let folder = tempfile::tempdir().unwrap();
    copy(&fixture(), folder.path());
    let path = folder.path().join(file);
    let text = fs::read_to_string(&path).unwrap();
    let changed = change(text.clone());
    assert_ne!(text, changed, "the change must change something");
    fs::write(&path, changed).unwrap();
    match Catalogue::from_folder(folder.path()) {
        Ok(catalogue) => catalogue.warnings().to_vec(),
        Err(LoadError { faults }) => faults,
    }
}

#[test]
fn a_measured_dish_needs_its_analyte_basis_and_source() {
    const FILE: &str = "validation/measured.csv";
    let of = |from: &'static str, to: &'static str| move |t: String| t.replacen(from, to, 1);
    expect(FILE, of("sorbitol,1.1", "gos,1.1"), FILE, 2, 2, "gos");
    expect(FILE, of("1.1,100g", "-1.1,100g"), FILE, 2, 3, "-1.1");
    expect(FILE, of("1.1,100g", "1.1,cup"), FILE, 2, 4, "cup");
    expect(FILE, of("table-b", "table-z"), FILE, 2, 6, "table-z");
}

/// Line from 1, column number from 1; 0 where there is none.
#[track_caller]
fn expect(
    file: &str,
    change: impl Fn(String) -> String,
    at: &str,
    line: u64,
    column: u32,
    says: &str,
) {
    let faults = faults_after(file, change);
    let hit = faults.iter().any(|f| {
        f.file == at
            && f.line.unwrap_or(0) == line
            && f.column.as_ref().map_or(0, |c| c.number) == column
            && f.what.contains(says)
            && f.severity == Severity::Error
    });
    let seen: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert!(
        hit,
        "wanted {at}:{line} column {column} '{says}', got\n{}",
        seen.join("\n")
    );
}

fn put(from: &'static str, to: &'static str) -> impl Fn(String) -> String {
    move |text| text.replacen(from, to, 1)
}

fn add(row: &'static str) -> impl Fn(String) -> String {
    move |text| text + row + "\n"
}

const FOODS: &str = "foods/all.csv";
const STATES: &str = "states/all.csv";
const COMPOSITION: &str = "composition/all.csv";
const MEASURES: &str = "measures/all.csv";

#[test]
fn the_fixture_itself_is_clean() {
    let catalogue = Catalogue::from_folder(&fixture()).unwrap();
    assert!(
        catalogue
            .warnings()
            .iter()
            .all(|f| f.what.starts_with("no ")),
        "{:?}",
        catalogue.warnings()
    );
}

#[test]
fn columns() {
    expect(
        FOODS,
        put(",note", ",remark"),
        FOODS,
        1,
        8,
        "unknown column 'remark'",
    );
    expect(
        FOODS,
        put(",note", ",remark"),
        FOODS,
        1,
        8,
        "missing column 'note'",
    );
    expect(
        FOODS,
        put("name,class", "name,name"),
        FOODS,
        1,
        3,
        "there twice",
    );
    expect(
        FOODS,
        put("garlic,garlic,vegetable", "garlic,garlic,garlic,vegetable"),
        FOODS,
        2,
        0,
        "9 cells in this row, 8 in the header",
    );
    expect(FOODS, |_| String::new(), FOODS, 0, 0, "an empty file");
    expect(FOODS, add("#,a,b,c,d,e,f,g"), FOODS, 19, 1, "a comment");
}

#[test]
fn words_of_closed_lists() {
    expect(
        FOODS,
        put(",vegetable,amaryllidaceae", ",herb,amaryllidaceae"),
        FOODS,
        2,
        3,
        "'herb' is not a food class",
    );
    expect(
        FOODS,
        put("gluten|wheat", "gluten|corn"),
        FOODS,
        10,
        5,
        "'corn' is not an allergen",
    );
    expect(
        FOODS,
        put("garlic,garlic", "Garlic,garlic"),
        FOODS,
        2,
        1,
        "is not a food id",
    );
    expect(
        FOODS,
        put(",amaryllidaceae", ",Allium sp."),
        FOODS,
        2,
        4,
        "is not a family",
    );
    expect(
        COMPOSITION,
        put("fructans,12", "fructan,12"),
        COMPOSITION,
        2,
        3,
        "'fructan' is not an analyte",
    );
    expect(
        COMPOSITION,
        put("fresh", "wet"),
        COMPOSITION,
        2,
        9,
        "'wet' is not a basis",
    );
    expect(
        COMPOSITION,
        put("measured,yes", "measured,perhaps"),
        COMPOSITION,
        2,
        13,
        "does not say whether the row counts",
    );
    expect(
        "equivalents.csv",
        put("allium-flavour", "taste"),
        "equivalents.csv",
        2,
        5,
        "'taste' is not a role",
    );
}

#[test]
fn missing_evidence() {
    expect(
        COMPOSITION,
        put("table-a,row 1,measured", ",row 1,measured"),
        COMPOSITION,
        2,
        10,
        "a blank cell",
    );
    expect(
        COMPOSITION,
        put("table-a,row 1,measured", "table-a,row 1,"),
        COMPOSITION,
        2,
        12,
        "a blank cell",
    );
    expect(
        COMPOSITION,
        put("table-a,row 1,measured", "table-a,row 1,good"),
        COMPOSITION,
        2,
        12,
        "'good' is not a grade",
    );
    expect(
        COMPOSITION,
        put("table-a", "table-z"),
        COMPOSITION,
        2,
        10,
        "no known source",
    );
}

#[test]
fn numbers() {
    expect(
        COMPOSITION,
        put("fructans,12,", "fructans,120,"),
        COMPOSITION,
        2,
        4,
        "120 is out of range",
    );
    expect(
        COMPOSITION,
        put("fructans,12,", "fructans,-1,"),
        COMPOSITION,
        2,
        4,
        "-1 is out of range",
    );
    expect(
        COMPOSITION,
        put("fructans,12,", "fructans,NaN,"),
        COMPOSITION,
        2,
        4,
        "out of range",
    );
    expect(
        COMPOSITION,
        put("fructans,12,", "fructans,twelve,"),
        COMPOSITION,
        2,
        4,
        "'twelve' is not a value",
    );
    expect(
        COMPOSITION,
        put("fructans,12,", "fructans,,"),
        COMPOSITION,
        2,
        4,
        "no value and no interval",
    );
    expect(
        COMPOSITION,
        put("fructans,12,,,", "fructans,12,13,14,"),
        COMPOSITION,
        2,
        5,
        "low 13 above the value 12",
    );
    expect(
        COMPOSITION,
        put("fructans,12,,,", "fructans,12,9,11,"),
        COMPOSITION,
        2,
        6,
        "high 11 under the value 12",
    );
    expect(
        COMPOSITION,
        put("fructans,12,,,", "fructans,12,9,,"),
        COMPOSITION,
        2,
        6,
        "one end of an interval",
    );
    expect(
        COMPOSITION,
        put(",4,fresh", ",0,fresh"),
        COMPOSITION,
        2,
        8,
        "not a number of samples",
    );
    expect(
        MEASURES,
        put("clove,3,", "clove,0,"),
        MEASURES,
        2,
        4,
        "weighs nothing",
    );
    expect(
        MEASURES,
        put("1.03,1.02,1.04", "13,12,14"),
        MEASURES,
        6,
        4,
        "a density no kitchen has",
    );
    expect(
        "yields/all.csv",
        put("0.9,0.86,0.93", "1.9,,"),
        "yields/all.csv",
        2,
        3,
        "1.9 is out of range",
    );
    expect(
        "inferred.csv",
        put("0.003,0.05", "0.05,0.003"),
        "inferred.csv",
        2,
        5,
        "low 0.05 above high 0.003",
    );
    expect(
        "processing.csv",
        put("0.45,0.65,0.85", "0.45,0.95,0.85"),
        "processing.csv",
        2,
        8,
        "high 0.85 under",
    );
}

#[test]
fn references() {
    expect(
        FOODS,
        put(",raw,", ",boiled,"),
        FOODS,
        2,
        7,
        "'garlic' has no state 'boiled'",
    );
    expect(
        STATES,
        add("leek,raw,raw,"),
        STATES,
        23,
        1,
        "'leek' is no known food",
    );
    expect(
        COMPOSITION,
        add("leek,raw,fructans,1,,,,,fresh,table-a,row 1,measured,yes,"),
        COMPOSITION,
        19,
        1,
        "'leek' is no known food",
    );
    expect(
        COMPOSITION,
        add("garlic,fried,fructans,1,,,,,fresh,table-a,row 1,measured,yes,"),
        COMPOSITION,
        19,
        2,
        "'garlic' has no state 'fried'",
    );
    expect(
        MEASURES,
        add("leek,,each,100,,,table-a,row 1,measured"),
        MEASURES,
        7,
        1,
        "'leek' is no known food",
    );
    expect(
        "equivalents.csv",
        put("scallion-green", "leek-green"),
        "equivalents.csv",
        2,
        3,
        "'leek-green' is no known food",
    );
    expect(
        "practice.csv",
        put("garlic-high,garlic", "garlic-high,leek"),
        "practice.csv",
        2,
        2,
        "'leek' is no known food",
    );
    expect(
        "absent.csv",
        put("vegetable,,,lactose", "vegetable,,leek,lactose"),
        "absent.csv",
        2,
        3,
        "'leek' is no known food",
    );
}

#[test]
fn duplicates() {
    expect(
        FOODS,
        add("garlic,garlic again,vegetable,amaryllidaceae,,,raw,"),
        FOODS,
        19,
        1,
        "food 'garlic' is there twice",
    );
    expect(
        FOODS,
        put("oignon", "ajo"),
        FOODS,
        3,
        6,
        "'ajo' names both 'onion' and 'garlic'",
    );
    expect(
        FOODS,
        put("oignon", "Garlic Cloves"),
        FOODS,
        3,
        6,
        "'garlic clove' names both",
    );
    expect(STATES, add("garlic,raw,,"), STATES, 23, 2, "is there twice");
    expect(
        COMPOSITION,
        add("garlic,raw,fructans,12,,,,4,fresh,table-a,row 1,measured,yes,"),
        COMPOSITION,
        19,
        0,
        "the same observation as in composition/all.csv, line 2",
    );
    expect(
        MEASURES,
        add("garlic,,clove,4,,,table-a,row 1,measured"),
        MEASURES,
        7,
        3,
        "is there twice",
    );
    expect(
        "sources/all.csv",
        add("table-a,Another text,facts,"),
        "sources/all.csv",
        6,
        1,
        "is another text",
    );
    expect(
        "cutoffs.csv",
        add("lactose,general,2,table-a,row 2,recalled"),
        "cutoffs.csv",
        0,
        0,
        "two cut-offs for lactose",
    );
    expect(
        "absent.csv",
        add("vegetable,,,lactose,again,inferred,inferred"),
        "absent.csv",
        5,
        4,
        "two rules for lactose",
    );
}

#[test]
fn bases_and_sums() {
    expect(
        COMPOSITION,
        put("garlic,raw,water,60", "celery,raw,water,60"),
        COMPOSITION,
        4,
        9,
        "a dry basis without a water row",
    );
    expect(
        MEASURES,
        put(
            "milk-whole,,ml,1.03,1.02,1.04",
            "milk-whole,,cup,244,240,248",
        ),
        COMPOSITION,
        16,
        9,
        "a food without a density",
    );
    expect(
        COMPOSITION,
        put("garlic,raw,water,60", "garlic,raw,water,97"),
        STATES,
        2,
        0,
        "sum to",
    );
}

#[test]
fn traps_of_the_literature() {
    let raffinose = "garlic,raw,galactans,3.8,,,,,fresh,table-a,row 4,measured,yes,";
    expect(
        COMPOSITION,
        add(raffinose),
        COMPOSITION,
        19,
        3,
        "alliums and the roots of the daisy family carry none",
    );
    let fos = "onion,raw,fructans,0.9,,,,,fresh,table-a,row 4,measured,yes,FOS by one method";
    expect(
        COMPOSITION,
        add(fos),
        COMPOSITION,
        19,
        3,
        "FOS is a part of the fructans",
    );
    expect(
        "absent.csv",
        put("vegetable,,,lactose", "vegetable,,,fructose"),
        "absent.csv",
        2,
        4,
        "never absent from plants",
    );
    let rejected =
        "garlic,raw,galactans,3.8,,,,,fresh,table-a,row 4,measured,no: fructan under another name,";
    assert!(
        faults_after(COMPOSITION, add(rejected))
            .iter()
            .all(|f| f.severity == Severity::Warning)
    );
}

#[test]
fn files() {
    let folder = tempfile::tempdir().unwrap();
    copy(&fixture(), folder.path());
    fs::write(folder.path().join("food.csv"), "a,b\n").unwrap();
    fs::remove_file(folder.path().join("cutoffs.csv")).unwrap();
    fs::write(folder.path().join(FOODS), b"food,name\xff\n").unwrap();
    let LoadError { faults } = Catalogue::from_folder(folder.path()).unwrap_err();
    let has = |file: &str, says: &str| {
        faults
            .iter()
            .any(|f| f.file == file && f.what.contains(says))
    };
    assert!(has("food.csv", "nobody reads"));
    assert!(has("cutoffs.csv", "is missing"));
    assert!(has(FOODS, "not valid UTF-8"));
    assert!(Catalogue::from_folder(&folder.path().join("nowhere")).is_err());
}

#[test]
fn fructose_or_glucose_missing_from_a_plant_is_a_warning() {
    let faults = faults_after(
        COMPOSITION,
        put(
            "celery,raw,glucose,0.4,,,,,fresh,table-b,row 3,measured,yes,\n",
            "",
        ),
    );
    assert!(faults.iter().any(|f| f.severity == Severity::Warning
        && f.file == STATES
        && f.line == Some(9)
        && f.what.contains("no glucose of 'celery'")));
}

#[test]
fn any_byte_changes_the_version() {
    let version = |change: &dyn Fn(&Path)| {
        let folder = tempfile::tempdir().unwrap();
        copy(&fixture(), folder.path());
        change(folder.path());
        Catalogue::from_folder(folder.path())
            .unwrap()
            .version()
            .to_owned()
    };
    let plain = version(&|_| {});
    assert_eq!(plain, version(&|_| {}));
    let touched = version(&|folder| {
        let path = folder.join("practice.csv");
        let text = fs::read_to_string(&path).unwrap();
        fs::write(path, text.replace("rich in", "Rich in")).unwrap();
    });
    assert_ne!(plain, touched);
    let renamed =
        version(&|folder| fs::rename(folder.join(FOODS), folder.join("foods/some.csv")).unwrap());
    assert_ne!(plain, renamed);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_table_makes_loading_panic(text in "(\"|,|\n|<|[a-z]|[0-9.-]|é|\\||#|food|state){0,400}", which in 0_usize..6) {
        let file = [FOODS, STATES, COMPOSITION, MEASURES, "processing.csv", "inferred.csv"][which];
        let folder = tempfile::tempdir().unwrap();
        copy(&fixture(), folder.path());
        fs::write(folder.path().join(file), &text).unwrap();
        let _ = Catalogue::from_folder(folder.path());
        let header = fs::read_to_string(fixture().join(file)).unwrap();
        let header = header.lines().next().unwrap();
        fs::write(folder.path().join(file), format!("{header}\n{text}")).unwrap();
        let _ = Catalogue::from_folder(folder.path());
    }
}
