//! Sentences of methods and the steps they hold.

// The lints allow these inside tests only, not in what tests share.
#![allow(clippy::panic)]

use rstest::rstest;
use tamis_kitchen_text::{Culture, Hours, Solids, Step, Terms, read_method};

fn shown(step: Step) -> String {
    let hours = |h: Option<Hours>| {
        h.map(|h| format!(" {}-{} h", h.low, h.high))
            .unwrap_or_default()
    };
    match step {
        Step::StrainDiscardSolids => "strain".into(),
        Step::DrainDiscardLiquid => "drain".into(),
        Step::KeepLiquid => "keep liquid".into(),
        Step::SoakDiscardWater { hours: h } => format!("soak{}", hours(h)),
        Step::BoilDiscardWater => "boil".into(),
        Step::ReduceBy(n) => format!("reduce by {:.2}", n.get()),
        Step::ReduceTo(n) => format!("reduce to {:.2}", n.get()),
        Step::ReduceUnclear(n) => format!("reduce {:.2}", n.get()),
        Step::MarinateDiscard { hours: h } => format!("marinate{}", hours(h)),
        Step::InfuseOil(Solids::Strained) => "infuse, strained".into(),
        Step::InfuseOil(Solids::Left) => "infuse, left".into(),
        Step::Ferment(h) => format!("ferment{}", hours(Some(h))),
        Step::Lactase => "lactase".into(),
        Step::Rest(h) => format!("rest{}", hours(Some(h))),
        Step::Tempeh => "tempeh".into(),
        Step::Sprout => "sprout".into(),
        Step::Culture(Culture::Yoghurt) => "culture".into(),
        Step::Culture(Culture::Kefir) => "kefir".into(),
        Step::DiscardWhey => "discard whey".into(),
        Step::Age => "age".into(),
        Step::DrainRinse => "drain and rinse".into(),
        Step::Ripen => "ripen".into(),
        Step::Store => "store".into(),
        Step::Pickle => "pickle".into(),
        Step::Juice => "juice".into(),
        Step::Dry => "dry".into(),
        Step::RehydrateDiscardWater => "rehydrate".into(),
        Step::WashStarch => "wash starch".into(),
        Step::Other => "other".into(),
    }
}

#[rstest]
#[case("Simmer 45 min, strain, DISCARD solids.", "strain")]
#[case("Strain, keep the liquor.", "strain")]
#[case("Strain. Discard bones.", "strain; strain")]
#[case("Do not strain.", "other")]
#[case("Shake, strain over ice.", "other")]
#[case("Drain chickpeas.", "drain")]
#[case("Drain chickpeas, keep aquafaba.", "keep liquid")]
#[case("Do not drain.", "keep liquid")]
#[case("Drain or not per cook.", "other")]
#[case("Drain fat.", "other")]
#[case("Soak 18h DISCARD water.", "soak 18-18 h")]
#[case("Soak overnight, drain.", "soak 8-16 h")]
#[case("Soak porcini 20 min, use the liquor.", "keep liquid")]
#[case("Soak 12 h, drain, boil in fresh water, drain.", "soak 12-12 h, boil")]
#[case("Boil pasta in plenty of water, drain.", "boil")]
#[case("Blanch 2 min. Drain.", "other; boil")]
#[case("Boil water, stir in oats.", "other")]
#[case(
    "Boil vinegar, pour over onion. Chill 24 h. Drain, discard liquid.",
    "other; other; drain"
)]
#[case("Reduce by half.", "reduce by 0.50")]
#[case("Reduce wine with shallot and thyme by 1/2.", "reduce by 0.50")]
#[case("Reduce to a third.", "reduce to 0.33")]
#[case("Reduce by two thirds.", "reduce by 0.67")]
#[case("Reduce to 40 %.", "reduce to 0.40")]
#[case("Reduce 1/3.", "reduce 0.33")]
#[case("Reduce to 500 ml.", "other")]
#[case("Reduce heat.", "other")]
#[case("Marinate o/n, drain & DISCARD marinade.", "marinate 8-16 h")]
#[case(
    "Marinate 4-6 h. Discard marinade. Bake.",
    "other; marinate 4-6 h; other"
)]
#[case("Marinate, discard.", "marinate")]
#[case("Marinate 4 h, bake.", "other")]
#[case(
    "Warm garlic in oil to 180F 30 min, strain out, chill.",
    "infuse, strained"
)]
#[case(
    "Infuse oil with garlic. Cool. Strain.",
    "other; other; infuse, strained"
)]
#[case("Infuse oil with garlic, leave in.", "infuse, left")]
#[case("Infuse milk with cardamom.", "other")]
#[case("Discard @ 4 d.", "other")]
#[case("Discard bay leaf.", "other")]
#[case("Ferment 4h or 18h.", "ferment 4-18 h")]
#[case("Cold prove 2 days.", "ferment 48-48 h")]
#[case("Add 80 proof rum.", "other")]
#[case("Treat milk with lactase, 24 h cold.", "lactase")]
#[case("Bake 12 min. Hold 140F.", "other; other")]
#[case("Drain and rinse lentils.", "drain and rinse")]
#[case("Drain, rinse.", "drain and rinse")]
#[case("Soak overnight, discard.", "soak 8-16 h")]
#[case("Prove 1 h, bake.", "ferment 1-1 h")]
#[case("Rest overnight in the fridge.", "rest 8-16 h")]
#[case("Rest of the onions go in.", "other")]
#[case("Sprout 3 days.", "sprout")]
#[case("Trim sprouts.", "other")]
#[case("Age 12 months.", "age")]
#[case("Add lactase, hold 24 h at 4 C.", "lactase")]
#[case("Culture 8 h at 42 C.", "culture")]
#[case("Add kefir grains, culture 24 h.", "kefir")]
#[case("Inoculate with tempeh starter, incubate 36 h.", "tempeh")]
#[case("Coagulate, press out whey.", "discard whey")]
#[case("Drain off the whey.", "discard whey")]
#[case("Keep the whey.", "keep liquid")]
#[case("Dry 8 h at 55 C.", "dry")]
#[case("Dry roast the spices.", "other")]
#[case("Rehydrate 20 min, discard water.", "rehydrate")]
#[case("Juice the carrots.", "juice")]
#[case("Juice of 1 lemon goes in.", "other")]
#[case("Store 4 months at 1 C.", "store")]
#[case("Ripen 3 days.", "ripen")]
#[case("Pickle 24 h.", "pickle")]
#[case("Wash out the starch.", "wash starch")]
#[case("Steep 5 min, strain.", "strain")]
fn steps(#[case] text: &str, #[case] wanted: &str) {
    let read: Vec<String> = read_method(text)
        .iter()
        .map(|s| {
            s.steps
                .iter()
                .map(|s| shown(s.step))
                .collect::<Vec<_>>()
                .join(", ")
        })
        .collect();
    assert_eq!(read.join("; "), wanted);
}

#[test]
fn what_is_left_out_is_named() {
    let method = read_method("Serve without onion, no garlic. Hold warm.");
    assert_eq!(method[0].without, ["onion", "garlic"]);
    assert!(method[1].without.is_empty());
}

#[test]
fn abbreviations_end_no_sentence() {
    let method = read_method("Simmer 30 min. then strain.\nServe");
    assert_eq!(method.len(), 2);
    assert_eq!(method[1].text, "Serve");
}

fn terms(text: &str) -> Terms {
    read_method(text)
        .into_iter()
        .flat_map(|s| s.steps)
        .find(|s| s.step != Step::Other)
        .map_or_else(|| panic!("no step in {text}"), |s| s.terms)
}

#[rstest]
#[case("Simmer 45 min, strain.", Some((0.75, 0.75)), None, None)]
#[case("Steep 3-5 min. Strain.", Some((0.05, 5.0 / 60.0)), None, None)]
#[case("Boil pasta 9 min, drain.", Some((0.15, 0.15)), None, None)]
#[case("Sprout 3 days.", Some((72.0, 72.0)), None, None)]
#[case("Age 12 months.", Some((8766.0, 8766.0)), None, None)]
#[case("Age 6 weeks.", Some((1008.0, 1008.0)), None, None)]
#[case("Culture 8 h at 42 C.", Some((8.0, 8.0)), Some((42.0, 42.0)), None)]
#[case("Culture 8 h at 108 F.", Some((8.0, 8.0)), Some((42.22, 42.22)), None)]
#[case("Add lactase 100 mg/l, 24 h cold.", Some((24.0, 24.0)), Some((2.0, 6.0)), Some(100.0))]
#[case("Lactase 0.3 %, 12 h at 4 C.", Some((12.0, 12.0)), Some((4.0, 4.0)), Some(3000.0))]
#[case("Strain.", None, None, None)]
fn how_a_step_is_done(
    #[case] text: &str,
    #[case] hours: Option<(f64, f64)>,
    #[case] warmth: Option<(f64, f64)>,
    #[case] dose: Option<f64>,
) {
    let read = terms(text);
    let near = |a: f64, b: f64| (a - b).abs() < 0.06;
    match (read.hours, hours) {
        (Some(h), Some((low, high))) => {
            assert!(
                (h.low.get() - low).abs() < 1e-9 && (h.high.get() - high).abs() < 1e-9,
                "{h:?}"
            );
        }
        (read, wanted) => assert_eq!(read.is_some(), wanted.is_some(), "{text}"),
    }
    match (read.warmth, warmth) {
        (Some(w), Some((low, high))) => {
            assert!(near(w.low.get(), low) && near(w.high.get(), high), "{w:?}");
        }
        (read, wanted) => assert_eq!(read.is_some(), wanted.is_some(), "{text}"),
    }
    assert_eq!(read.dose.map(|d| d.get()), dose, "{text}");
}
