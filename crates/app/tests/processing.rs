//! Kitchen words to laws, from a card to grams on the plate.

// The lints allow these inside tests only, not in what tests share.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::sync::LazyLock;

use rstest::rstest;
use tamis_app::{App, CardFormat, requests_from_text};
use tamis_catalogue::Catalogue;
use tamis_scoring::assessment::Assessment;
use tamis_scoring::diner::{Diner, Policy};
use tamis_scoring::loads::LoadState;
use tamis_scoring::subgroup::Subgroup;

static APP: LazyLock<App> =
    LazyLock::new(|| App::new(Catalogue::embedded().unwrap_or_else(|e| panic!("{:#?}", e.faults))));

fn assess(lines: &str, method: &str) -> Assessment {
    let card = format!("Card\nserves 1\n\n{lines}\n\n{method}\n");
    let requests = requests_from_text(
        &card,
        CardFormat::PlainText,
        &Diner::restriction(),
        &Policy::default(),
    )
    .unwrap();
    APP.assess(&requests[0]).unwrap()
}

fn row(answer: &Assessment, subgroup: Subgroup) -> (f64, f64, f64) {
    let row = answer
        .loads
        .iter()
        .find(|l| l.subgroup == subgroup)
        .unwrap();
    if row.state == LoadState::Zero {
        return (0.0, 0.0, 0.0);
    }
    let get = |g: Option<tamis_scoring::quantity::Grams>| g.map_or(f64::NAN, |g| g.get());
    (get(row.low), get(row.grams), get(row.high))
}

fn grams(answer: &Assessment, subgroup: Subgroup) -> f64 {
    row(answer, subgroup).1
}

fn processes(answer: &Assessment) -> Vec<&str> {
    answer
        .contributions
        .iter()
        .flat_map(|c| c.processes.iter().map(String::as_str))
        .collect()
}

fn says(answer: &Assessment, words: &str) -> bool {
    answer.assumptions.iter().any(|a| a.text.contains(words))
}

const SOURDOUGH: &str = "wheat flour 100 g\nlevain 20 g\nwater 60 ml";
const YEAST: &str = "wheat flour 100 g\nfresh yeast 2 g\nwater 60 ml";

#[test]
fn hours_of_a_sourdough_count() {
    let of = |method: &str| assess(SOURDOUGH, method);
    let (short, long) = (
        of("Mix. Ferment 4 h. Bake."),
        of("Mix. Ferment 18 h. Bake."),
    );
    let plain = grams(&of("Mix. Bake."), Subgroup::Fructans);
    let (four, eighteen) = (
        grams(&short, Subgroup::Fructans),
        grams(&long, Subgroup::Fructans),
    );
    assert!(eighteen < four && four < plain, "{eighteen} {four} {plain}");
    assert!(grams(&long, Subgroup::Mannitol) > grams(&short, Subgroup::Mannitol));
    assert!(
        says(&long, "a sourdough culture for 18 h"),
        "{:?}",
        long.assumptions
    );
    // Either duration: the interval holds the centres of both.
    let (low, mean, high) = row(&of("Mix. Ferment 4h or 18h. Bake."), Subgroup::Fructans);
    assert!(
        low < eighteen && four < high,
        "{low} to {high}: {eighteen}, {four}"
    );
    assert!(eighteen < mean && mean < four);
}

#[test]
fn hours_of_several_steps_add_up() {
    let of = |method: &str| grams(&assess(YEAST, method), Subgroup::Fructans);
    let split = of("Mix. Prove 1 h. Knock back. Prove 1 h. Bake.");
    assert!((split - of("Mix. Prove 2 h. Bake.")).abs() < 1e-12);
    assert!(split < of("Mix. Prove 1 h. Bake."));
}

#[test]
fn yeast_and_sourdough_are_two_laws() {
    let yeast = assess(YEAST, "Mix. Prove 3 h. Bake.");
    assert!(processes(&yeast).contains(&"yeast-fermented"));
    assert!(says(&yeast, "by yeast for 3 h"));
    let starter = assess(SOURDOUGH, "Mix. Prove 3 h. Bake.");
    assert!(processes(&starter).contains(&"sourdough-fermented"));
    // The levain itself has fermented before.
    let levain = starter
        .contributions
        .iter()
        .find(|c| c.food_name.contains("levain"))
        .unwrap();
    assert!(levain.processes.is_empty());
}

#[test]
fn a_cold_dough_is_slower_and_a_very_long_one_says_so() {
    let of = |method: &str| assess(YEAST, method);
    let warm = grams(&of("Mix. Rest 4 h."), Subgroup::Fructans);
    let cold = grams(&of("Mix. Rest 4 h in the fridge."), Subgroup::Fructans);
    assert!(warm < cold);
    let long = of("Mix. Prove 3 days. Bake.");
    assert!(
        says(&long, "longer than the evidence reaches"),
        "{:?}",
        long.assumptions
    );
}

#[test]
fn what_cannot_ferment_is_not_credited() {
    let answer = assess("wheat flour 100 g\nwater 60 ml", "Mix. Ferment 18 h. Bake.");
    assert!(processes(&answer).is_empty());
    assert!(says(&answer, "nothing is credited"));
}

/// The law that kitchen words select, and that it does what it is for.
#[rstest]
#[case(
    "dry chickpeas 50 g",
    "Soak overnight, discard.",
    "soaked-water-discarded",
    Subgroup::Galactans
)]
#[case(
    "dry chickpeas 50 g",
    "Boil 90 min, drain.",
    "boiled-water-discarded",
    Subgroup::Galactans
)]
#[case("dry lentils 50 g", "Sprout 3 days.", "sprouted", Subgroup::Galactans)]
#[case(
    "soybeans, dry 50 g",
    "Inoculate with tempeh starter, incubate 36 h.",
    "tempeh-fermented",
    Subgroup::Galactans
)]
#[case(
    "soy milk 250 g",
    "Coagulate, press out whey.",
    "tofu-pressed",
    Subgroup::Galactans
)]
#[case(
    "whole milk 250 g",
    "Culture 8 h at 42 C.",
    "cultured",
    Subgroup::Lactose
)]
#[case(
    "whole milk 250 g",
    "Add kefir grains, culture 24 h.",
    "kefir-cultured",
    Subgroup::Lactose
)]
#[case(
    "whole milk 250 g",
    "Curdle with lemon, drain off the whey.",
    "curd-drained",
    Subgroup::Lactose
)]
#[case(
    "whole milk 250 g",
    "Add lactase, hold 24 h cold.",
    "lactase-treated",
    Subgroup::Lactose
)]
#[case(
    "onion 100 g\nvinegar 100 g",
    "Pickle 24 h.",
    "pickled-drained",
    Subgroup::Fructans
)]
#[case("onion 100 g", "Store 4 months at 1 C.", "stored", Subgroup::Fructans)]
#[case(
    "wheat flour 100 g",
    "Wash out the starch.",
    "starch-washed",
    Subgroup::Fructans
)]
#[case("apple 100 g", "Juice.", "juiced", Subgroup::Sorbitol)]
#[case(
    "onion 100 g\nwater 300 g",
    "Simmer 45 min, strain.",
    "strained-liquor-kept",
    Subgroup::Fructans
)]
fn words_select_the_law(
    #[case] lines: &str,
    #[case] method: &str,
    #[case] process: &str,
    #[case] subgroup: Subgroup,
) {
    let (before, after) = (assess(lines, "Serve."), assess(lines, method));
    assert!(
        processes(&after).contains(&process),
        "{:?}",
        processes(&after)
    );
    let (had, has) = (grams(&before, subgroup), grams(&after, subgroup));
    assert!(has < had && has >= 0.0, "{method}: {had} to {has}");
}

#[rstest]
#[case(
    "cabbage 100 g\nsalt 2 g",
    "Ferment 3 weeks.",
    "lactic-fermented",
    Subgroup::Mannitol
)]
#[case(
    "onion 100 g",
    "Store 4 months at 1 C.",
    "stored",
    Subgroup::ExcessFructose
)]
fn some_laws_make_something(
    #[case] lines: &str,
    #[case] method: &str,
    #[case] process: &str,
    #[case] subgroup: Subgroup,
) {
    let (before, after) = (assess(lines, "Serve."), assess(lines, method));
    assert!(
        processes(&after).contains(&process),
        "{:?}",
        processes(&after)
    );
    assert!(grams(&after, subgroup) > grams(&before, subgroup));
}

#[test]
fn reducing_moves_no_grams_by_half_or_to_a_third() {
    let of = |method: &str| {
        grams(
            &assess("onion 100 g\nwater 300 g", method),
            Subgroup::Fructans,
        )
    };
    let plain = of("Simmer.");
    for method in ["Reduce by half.", "Reduce to a third.", "Reduce 1/3."] {
        assert!((of(method) - plain).abs() < 1e-12, "{method}");
    }
}

#[test]
fn more_water_takes_more_and_a_sea_is_refused() {
    let of = |water: &str| {
        let lines = format!("kidney beans, dry 100 g\nwater {water}");
        assess(&lines, "Soak 12 h, discard water.")
    };
    let galactans = |a: &Assessment| row(a, Subgroup::Galactans);
    assert!(galactans(&of("900 g")).1 < galactans(&of("300 g")).1);
    let sea = of("20 kg");
    assert!(
        says(&sea, "outside the amounts of water"),
        "{:?}",
        sea.assumptions
    );
}

/// Drained at the stove, as on the line: a tin with its liquor on the card loses it in the method.
#[test]
fn a_tin_is_drained_once() {
    let lines = "chickpeas, canned, undrained 200 g";
    let whole = grams(&assess(lines, "Warm."), Subgroup::Galactans);
    let answer = assess(lines, "Drain and rinse chickpeas.");
    assert!(
        processes(&answer).contains(&"drained-rinsed"),
        "{:?}",
        processes(&answer)
    );
    assert!(grams(&answer, Subgroup::Galactans) < whole);
    let drained = assess(
        "chickpeas, canned, drained 200 g",
        "Drain and rinse chickpeas.",
    );
    assert!(processes(&drained).is_empty());
}

#[test]
fn a_step_that_is_said_twice_counts_once() {
    let once = assess("whole milk 250 g", "Add lactase, hold 24 h cold.");
    let twice = assess(
        "whole milk 250 g",
        "Add lactase, hold 24 h cold. Add lactase, hold 24 h cold.",
    );
    assert_eq!(
        row(&once, Subgroup::Lactose),
        row(&twice, Subgroup::Lactose)
    );
}
