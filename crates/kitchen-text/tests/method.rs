//! Sentences of methods and the steps they hold.

use rstest::rstest;
use tamis_kitchen_text::{Hours, Solids, Step, read_method};

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
