use std::fs;
use std::path::Path;
use std::sync::LazyLock;

use tamis_catalogue::Catalogue;

use super::Validation;
use crate::App;

static VALIDATION: LazyLock<Validation> =
    LazyLock::new(|| App::new(Catalogue::embedded().unwrap()).validation());

fn seed_data(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../seed-data");
    fs::read_to_string(folder.join(name)).unwrap()
}

const MAKE: &str = "make them anew: tamis check-data --validate --page seed-data/VALIDATION.md --plot seed-data/validation.svg";

#[test]
fn the_page_and_the_plot_are_what_the_program_gives() {
    assert!(seed_data("VALIDATION.md") == VALIDATION.page(), "{MAKE}");
    assert!(seed_data("validation.svg") == VALIDATION.plot(), "{MAKE}");
}

#[test]
fn every_goal_is_met_or_said_to_be_missed() {
    let report = VALIDATION.report();
    for what in [
        "foods: ",
        "inference: ",
        "dishes, cooked as the card says: ",
    ] {
        assert!(report.contains(&format!("\n  {what}")), "{report}");
    }
}

#[test]
fn every_measured_dish_has_its_card() {
    for dish in &VALIDATION.dishes {
        if let Err(why) = &dish.predicted {
            assert!(!why.contains("no card has its code"), "{}", dish.name);
        }
    }
}

#[test]
fn coverage_counts_lines_and_names() {
    let app = App::new(Catalogue::embedded().unwrap());
    let lines: Vec<String> = [
        "2 onions, chopped",
        "1 onion",
        "3 quuxberries",
        "3 quuxberries",
        " ",
    ]
    .map(str::to_owned)
    .to_vec();
    let coverage = app.coverage(&lines);
    assert_eq!((coverage.lines, coverage.matched), (4, 2));
    assert_eq!(coverage.unmatched[0].name, "quuxberries");
    assert_eq!(coverage.unmatched[0].lines, 2);
}

/// Cards and measured values of a small catalogue: pear with 2 g of sorbitol in 100 g, half of it oil.
#[test]
fn dishes_are_predicted_from_their_cards() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../catalogue/tests/fixture");
    let dishes = App::new(Catalogue::from_folder(&folder).unwrap())
        .validation()
        .dishes;
    let predicted = |i: usize| dishes[i].predicted.as_ref().unwrap();
    assert!((predicted(0).mean.get() - 1.0).abs() < 1e-9);
    assert!((dishes[0].fold().unwrap() - 1.1).abs() < 1e-9);
    assert_eq!(dishes[0].held(), Some(true));
    assert!((predicted(1).mean.get() - 0.5).abs() < 1e-9);
    assert_eq!((dishes[2].held(), dishes[2].fold()), (Some(true), None));
    assert!((predicted(4).mean.get() - 3.0).abs() < 1e-9);
    let why = |i: usize| dishes[i].predicted.as_ref().unwrap_err().as_str();
    assert!(why(3).contains("stands behind an ingredient"), "{}", why(3));
    assert!(why(5).contains("10 g quux"), "{}", why(5));
    assert!(why(6).contains("no card"), "{}", why(6));
}
