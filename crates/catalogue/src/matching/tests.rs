use proptest::prelude::*;

use super::*;

fn catalogue() -> Catalogue {
    match Catalogue::from_folder(std::path::Path::new(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/fixture"
    ))) {
        Ok(catalogue) => catalogue,
        Err(error) => panic!("{:#?}", error.faults),
    }
}

/// `food/state confidence`, or what was tried.
fn found(text: &str, preparation: &[&str]) -> String {
    match catalogue().find(text, preparation) {
        Matching::Found(m) => format!("{}/{} {:?}", m.food, m.state, m.confidence),
        Matching::NotFound { .. } => "not found".to_owned(),
    }
}

#[test]
fn names_and_synonyms() {
    for (text, expected) in [
        ("garlic", "garlic/raw Exact"),
        ("Garlic cloves", "garlic/raw Exact"),
        ("scallions", "scallion/raw Exact"),
        ("spring onions", "scallion/raw Exact"),
        ("spring-onion", "scallion/raw Exact"),
        ("oignons", "onion/raw Exact"),
        ("large organic onions, finely dcd", "onion/raw Exact"),
        ("onions, red", "onion-red/raw Exact"),
        ("red onion", "onion-red/raw Exact"),
        ("poire", "pear/raw Exact"),
        ("poiré", "perry/liquid Exact"),
        ("onion-red", "onion-red/raw Exact"),
        ("chili powder", "chili-powder-blend/powder Exact"),
        ("chilli powder", "chilli-ground/powder Exact"),
    ] {
        assert_eq!(found(text, &[]), expected, "{text}");
    }
}

#[test]
fn what_is_another_food_is_not_this_one() {
    for text in [
        "garlic bread",
        "onion rings",
        "rice vinegar",
        "peanut butter",
        "butter beans",
        "cream cheese",
        "buttermilk",
        "milk chocolate",
        "tomato ketchup",
        "garlic and onion",
        "rice pudding",
        "onion soup mix",
        "dried onion",
        "",
    ] {
        assert!(
            catalogue().find(text, &[]).usable().is_none(),
            "{text}: {}",
            found(text, &[])
        );
    }
}

#[test]
fn the_state_is_read_from_the_line() {
    for (text, preparation, expected) in [
        ("rice", &[][..], "rice-white/dry Exact"),
        ("cooked rice", &[], "rice-white/cooked Exact"),
        ("rice", &["ckd"], "rice-white/cooked Exact"),
        ("rice (dry)", &[], "rice-white/dry Exact"),
        (
            "chickpeas",
            &["drained and rinsed"],
            "chickpea/canned-drained Exact",
        ),
        (
            "tinned chickpeas",
            &["undrained"],
            "chickpea/canned-undrained Exact",
        ),
        (
            "undrained tinned chickpeas",
            &[],
            "chickpea/canned-undrained Exact",
        ),
        ("dried chickpeas", &[], "chickpea/dry Exact"),
        ("frozen onions, boiled", &[], "onion/boiled Exact"),
    ] {
        assert_eq!(found(text, preparation), expected, "{text} {preparation:?}");
    }
}

#[test]
fn a_state_that_is_not_held_is_said() {
    let Matching::Found(m) = catalogue().find("roasted garlic", &[]) else {
        panic!("found")
    };
    assert_eq!(m.choice, StateChoice::NotHeld(vec!["roasted".to_owned()]));
}

#[test]
fn parts_of_a_plant() {
    for (text, preparation, expected) in [
        (
            "scallions",
            &["green tops only"][..],
            "scallion-green/raw Exact",
        ),
        ("scallions, green part", &[], "scallion-green/raw Exact"),
        ("scallions", &["white part only"], "scallion-bulb/raw Exact"),
        (
            "scallions",
            &["white and green parts"],
            "scallion/raw Exact",
        ),
        ("onion, green tops only", &[], "onion/raw Exact"),
    ] {
        let got = found(text, preparation);
        if expected == "onion/raw Exact" {
            assert!(got.starts_with("onion/raw"), "{got}");
        } else {
            assert_eq!(got, expected, "{text} {preparation:?}");
        }
    }
}

#[test]
fn misspelt_words_are_never_exact() {
    let Matching::Found(m) = catalogue().find("chickpaes", &[]) else {
        panic!("found")
    };
    assert_eq!(
        (m.food.as_str(), m.confidence),
        ("chickpea", Confidence::Close)
    );
    assert_eq!(m.doubts, ["chickpae -> chickpea"]);
    let Matching::Found(m) = catalogue().find("onoin", &[]) else {
        panic!("found")
    };
    assert_eq!(m.confidence, Confidence::Doubtful);
}

#[test]
fn purpose_and_claims_change_nothing() {
    for text in [
        "rice, for serving",
        "rice to serve with garlic",
        "rice no added salt",
        "gluten free rice",
    ] {
        assert_eq!(found(text, &[]), "rice-white/dry Exact", "{text}");
    }
    assert!(
        catalogue()
            .find("gluten free bread", &[])
            .usable()
            .is_none()
    );
}

proptest! {
    #[test]
    fn any_text_gives_an_answer(text in ".{0,200}", preparation in ".{0,60}") {
        let _ = catalogue_once().find(&text, &[&preparation]);
    }

    #[test]
    fn kitchen_words_in_any_order_give_an_answer(words in proptest::collection::vec("(garlic|onion|green|top|only|in|water|for|rice|%|no|added|salt|é|ß|red)", 0..60)) {
        let _ = catalogue_once().find(&words.join(" "), &[]);
    }
}

fn catalogue_once() -> &'static Catalogue {
    static ONCE: std::sync::LazyLock<Catalogue> = std::sync::LazyLock::new(catalogue);
    &ONCE
}
