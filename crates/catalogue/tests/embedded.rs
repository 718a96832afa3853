//! The data in the binary pass their own checks.

// The lints allow these inside tests only, not in what tests share.
#![allow(clippy::unwrap_used, clippy::panic)]

use tamis_catalogue::Catalogue;
use tamis_scoring::composition::Content;
use tamis_scoring::diner::Region;
use tamis_scoring::quantity::{FoodId, StateId};
use tamis_scoring::subgroup::Analyte;

#[test]
fn the_embedded_data_load_without_faults() {
    match Catalogue::embedded() {
        Ok(c) => println!(
            "{} {:?}, {} warnings",
            c.version(),
            c.counts(),
            c.warnings().len()
        ),
        Err(e) => {
            for fault in &e.faults {
                eprintln!("{fault}");
            }
            panic!("{e}");
        }
    }
}

fn catalogue() -> Catalogue {
    Catalogue::embedded().unwrap()
}

#[test]
fn every_content_is_known_or_bounded() {
    let catalogue = catalogue();
    let mut open = Vec::new();
    for food in catalogue.foods() {
        for state in &food.states {
            let composition = catalogue.composition(&food.id, state).unwrap();
            for &analyte in Analyte::ALL {
                if composition.content(analyte) == Content::Unknown {
                    open.push(format!("{} {state} {analyte}", food.id));
                }
            }
        }
    }
    assert!(open.is_empty(), "{open:#?}");
}

#[test]
fn all_cut_offs_regions_and_enough_equivalents_are_there() {
    let catalogue = catalogue();
    assert_eq!(catalogue.cutoffs().rows().len(), 8);
    for &region in Region::ALL {
        assert!(catalogue.standard_drink(region).is_some(), "{region}");
    }
    assert!(catalogue.counts().equivalents >= 40);
}

/// Lines as kitchens write them, and what they must and must not be.
#[test]
fn kitchen_lines_find_their_food() {
    let catalogue = catalogue();
    let found = |text: &str| {
        catalogue
            .find(text, &[])
            .usable()
            .map(|m| format!("{}/{}", m.food, m.state))
    };
    for (text, expected) in [
        ("garlic cloves", "garlic/raw"),
        ("onions, red", "onion-red/raw"),
        ("scallions, green tops only", "scallion-green/raw"),
        ("frz green peas", "green-pea/raw"),
        ("chix breast bnls", "chicken-breast/raw"),
        ("cooked rice", "rice-white/cooked"),
        ("apple cider vinegar", "vinegar-cider/liquid"),
        ("rice vinegar", "vinegar-rice/liquid"),
        ("coconut milk", "coconut-milk/canned"),
        ("peanut butter", "peanut-butter/as-sold"),
        ("egg noodles", "noodles-egg/dry"),
        ("cream cheese", "cream-cheese/as-sold"),
        ("buttermilk", "buttermilk/liquid"),
        ("tomato ketchup", "ketchup/liquid"),
    ] {
        assert_eq!(found(text).as_deref(), Some(expected), "{text}");
    }
    for text in [
        "garlic bread",
        "onion rings",
        "rice pudding",
        "white chocolate chips",
        "peppers",
        "dried mango",
        "mushroom powder",
        "bitters",
        "ladyfingers",
    ] {
        let got = found(text);
        let plain = [
            "garlic/raw",
            "onion/raw",
            "rice-white/dry",
            "bread-white/as-sold",
            "mango/raw",
            "mushroom-button/raw",
            "black-pepper/powder",
            "beer-ale/liquid",
            "okra/raw",
        ];
        assert!(
            got.as_deref().is_none_or(|g| !plain.contains(&g)),
            "{text}: {got:?}"
        );
    }
}

#[test]
fn a_page_shows_what_was_rejected_and_why() {
    let catalogue = catalogue();
    let pages: Vec<_> = catalogue
        .foods()
        .filter_map(|f| catalogue.page(&f.id))
        .collect();
    let rejected = pages
        .iter()
        .flat_map(|p| &p.states)
        .flat_map(|s| &s.analytes)
        .flat_map(|a| &a.observations)
        .filter(|o| o.rejected.is_some())
        .count();
    assert!(rejected > 0);
    let garlic = catalogue.page(&FoodId::new("garlic").unwrap()).unwrap();
    assert_eq!(garlic.states[0].id, StateId::new("raw").unwrap());
}

#[test]
fn the_demo_menus_are_reachable() {
    let menus = tamis_catalogue::demo_menus();
    assert!(!menus.is_empty());
    assert!(
        menus
            .iter()
            .all(|(name, text)| name.ends_with(".txt") && !text.trim().is_empty())
    );
}
