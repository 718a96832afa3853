//! Faults of the table of laws, each found with its line and column.

// The lints allow these inside tests only, not in what tests share.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::path::Path;

use rstest::rstest;
use tamis_catalogue::{Catalogue, LoadError};

const HEADER: &str = "process,class,family,food,analyte,law,low,central,high,terms,product,reason,source,locator,grade";

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

/// The faults of the fixture with these laws, as text.
fn faults(rows: &str) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    copy(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixture"),
        folder.path(),
    );
    fs::write(
        folder.path().join("laws.csv"),
        format!("{HEADER}\n{rows}\n"),
    )
    .unwrap();
    match Catalogue::from_folder(folder.path()) {
        Ok(_) => Vec::new(),
        Err(LoadError { faults }) => faults.iter().map(ToString::to_string).collect(),
    }
}

#[test]
fn a_good_law_is_read() {
    let rows = "cultured,dairy,,,lactose,decay,3,8,14,hours=2..14|floor=0.35,,why,inferred,where,inferred\n\
                cultured,dairy,,,lactose,becomes,0,0.01,0.05,,glucose,why,inferred,where,inferred";
    assert_eq!(faults(rows), Vec::<String>::new());
}

#[rstest]
#[case(
    "brewed,dairy,,,lactose,decay,3,8,14,hours=2..14,,why,inferred,where,inferred",
    "brewed"
)]
#[case(
    "cultured,dairy,,,,decay,3,8,14,hours=2..14,,why,inferred,where,inferred",
    "a blank cell"
)]
#[case(
    "cultured,dairy,,,lactose,growth,3,8,14,hours=2..14,,why,inferred,where,inferred",
    "'growth' is no law"
)]
#[case(
    "cultured,dairy,,,lactose,decay,9,8,14,hours=2..14,,why,inferred,where,inferred",
    "low 9 above the value 8"
)]
#[case(
    "cultured,dairy,,,lactose,decay,3,8,14,,,why,inferred,where,inferred",
    "without the hours"
)]
#[case(
    "cultured,dairy,,,lactose,decay,3,8,14,hours=14..2,,why,inferred,where,inferred",
    "is no range"
)]
#[case(
    "cultured,dairy,,,lactose,decay,3,8,14,hours=2..14|hours=3..4,,why,inferred,where,inferred",
    "stands twice"
)]
#[case(
    "cultured,dairy,,,lactose,decay,3,8,14,hours=2..14|moon=full,,why,inferred,where,inferred",
    "'moon'"
)]
#[case(
    "cultured,dairy,,,lactose,decay,3,8,14,hours=2..14|floor=x,,why,inferred,where,inferred",
    "holds no number"
)]
#[case(
    "cultured,dairy,,,lactose,leach,3,8,14,hours=2..14,,why,inferred,where,inferred",
    "a law of water"
)]
#[case(
    "cultured,dairy,,,lactose,decay,3,8,14,hours=2..14,glucose,why,inferred,where,inferred",
    "a product of a law in time"
)]
#[case(
    "cultured,dairy,,,lactose,becomes,0,0.5,0.6,,glucose,why,inferred,where,inferred",
    "more than there is"
)]
#[case(
    "cultured,dairy,,,lactose,becomes,0,0.5,0.5,,mannitol,why,inferred,where,inferred",
    "does not become mannitol"
)]
#[case(
    "cultured,dairy,,,lactose,decay,3,8,14,hours=2..14,,why,nobody,where,inferred",
    "'nobody' is no known source"
)]
fn a_bad_law_is_a_fault(#[case] row: &str, #[case] says: &str) {
    let found = faults(row);
    assert!(
        found
            .iter()
            .any(|f| f.starts_with("laws.csv:2") && f.contains(says)),
        "wanted '{says}', got {found:#?}"
    );
}

#[test]
fn two_laws_of_one_thing_are_a_fault() {
    let row = "cultured,dairy,,,lactose,decay,3,8,14,hours=2..14,,why,inferred,where,inferred";
    let found = faults(&format!("{row}\n{row}"));
    assert!(
        found.iter().any(|f| f.contains("two laws for lactose")),
        "{found:#?}"
    );
}
