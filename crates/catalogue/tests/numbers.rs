//! Numbers out of the fixture, worked by hand.

// The lints allow these inside tests only, not in what tests share.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::Path;
use std::sync::LazyLock;

use tamis_catalogue::Catalogue;
use tamis_catalogue::equivalents::Role;
use tamis_catalogue::foods::Page;
use tamis_catalogue::measures::{Size, Used, Volume};
use tamis_scoring::composition::Content;
use tamis_scoring::diner::Region;
use tamis_scoring::estimate::Concentration;
use tamis_scoring::evidence::Grade;
use tamis_scoring::loads::LoadState;
use tamis_scoring::processing::{Kept, Process};
use tamis_scoring::quantity::{FoodId, Millilitres, Ratio, StateId};
use tamis_scoring::subgroup::Analyte;

static CATALOGUE: LazyLock<Catalogue> = LazyLock::new(|| {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixture");
    Catalogue::from_folder(&folder).unwrap_or_else(|e| panic!("{:#?}", e.faults))
});

fn food(id: &str) -> FoodId {
    FoodId::new(id).unwrap()
}

fn state(id: &str) -> StateId {
    StateId::new(id).unwrap()
}

fn content(f: &str, s: &str, analyte: Analyte) -> Content {
    CATALOGUE
        .composition(&food(f), &state(s))
        .unwrap()
        .content(analyte)
}

fn known(f: &str, s: &str, analyte: Analyte) -> (Concentration, Grade) {
    match content(f, s, analyte) {
        Content::Known(c, g) => (c, g),
        other => panic!("{f} {s} {analyte}: {other:?}"),
    }
}

#[test]
fn garlic_pools_over_sources_on_the_fresh_basis() {
    let (c, grade) = known("garlic", "raw", Analyte::Fructans);
    // One source with 12 (4 samples) and 48 of 40 % solids = 19.2 (secondary), one with 18; 1.2 does not
    // count. A sample has 0.2 squared, drawn to the one spread that is reported: 0.4 in 2, 5 samples.
    // Nothing else says how sources differ.
    let reported = (0.04_f64.ln_1p() - (0.05_f64 / 2.0).powi(2).ln_1p()).ln();
    // Four degrees of freedom on both sides: the bias of the logarithm cancels.
    let sample = ((10.0 * 0.04_f64.ln() + 4.0 * reported) / 14.0).exp();
    let floor = (0.05_f64 / (12.0 * 19.2 * 18.0_f64).cbrt()).powi(2).ln_1p();
    let y = [(4.0 * 12.0_f64.ln() + 19.2_f64.ln()) / 5.0, 18.0_f64.ln()];
    let v = [sample / 5.0 + 0.01 / 5.0 + floor, sample + floor];
    let own = (((y[0] - y[1]).powi(2) - v[0] - v[1]) / 2.0).max(0.0);
    let level = |up: f64| (10.0 * up + own) / 11.0;
    let between = (4.0 * level(level(level(0.0625))) + own) / 5.0;
    let w = v.map(|v| 1.0 / (between + v));
    let sum = w[0] + w[1];
    let mean = (w[0] * y[0].exp() + w[1] * y[1].exp()) / sum;
    assert!((c.mean().get() - mean).abs() < 1e-9, "{} {mean}", c.mean());
    assert_eq!(grade, Grade::Measured);
}

#[test]
fn below_a_limit_and_a_printed_zero_are_intervals() {
    let (fructose, _) = known("garlic", "raw", Analyte::Fructose);
    assert!((fructose.high().get() - 0.2).abs() < 1e-9);
    assert!((fructose.low().get() - 0.2 / 30.0).abs() < 1e-9);
    let (glucose, _) = known("garlic", "raw", Analyte::Glucose);
    assert!((glucose.high().get() - 0.05).abs() < 1e-9);
}

#[test]
fn rules_by_rank() {
    assert_eq!(content("garlic", "raw", Analyte::Lactose), Content::Absent);
    // The family's absence outranks the class's traces.
    assert_eq!(
        content("garlic", "raw", Analyte::Galactans),
        Content::Absent
    );
    assert_eq!(
        known("celery", "raw", Analyte::Galactans).1,
        Grade::Inferred
    );
    assert_eq!(
        content("rice-white", "dry", Analyte::Fructans),
        Content::Unknown
    );
    assert_eq!(
        content("olive-oil", "liquid", Analyte::Fructans),
        Content::Absent
    );
}

#[test]
fn a_total_of_polyols_goes_to_the_one_its_family_stores() {
    let (mannitol, grade) = known("celery", "raw", Analyte::Mannitol);
    assert!((mannitol.mean().get() - 1.1).abs() < 1e-12);
    assert_eq!(grade, Grade::Inferred);
    // Sorbitol of the pear was measured; the total does not touch it.
    assert!((known("pear", "raw", Analyte::Sorbitol).0.mean().get() - 2.0).abs() < 1e-12);
}

#[test]
fn what_nobody_measured_is_bounded_by_the_rest_or_unknown() {
    let Content::AtMost(glucose) = content("pear", "raw", Analyte::Glucose) else {
        panic!("bounded")
    };
    let fructose = known("pear", "raw", Analyte::Fructose).0;
    assert!(glucose.get() > 9.0 - fructose.high().get() && glucose.get() < 15.0);
    let Content::AtMost(other) = content("pear", "raw", Analyte::OtherPolyols) else {
        panic!("bounded")
    };
    assert!(other.get() > 2.3 && other.get() < 5.0);
}

#[test]
fn grams_per_100_ml_become_grams_per_100_g() {
    assert!(
        (known("milk-whole", "liquid", Analyte::Lactose)
            .0
            .mean()
            .get()
            - 4.8 / 1.03)
            .abs()
            < 1e-9
    );
}

#[test]
fn counts_and_volumes() {
    let count = |f: &str, s: &str, m: &str, size, n: f64| {
        CATALOGUE.weigh_count(&food(f), &state(s), m, size, &[], Ratio::new(n).unwrap())
    };
    let cloves = count("garlic", "raw", "cloves", None, 2.0).unwrap();
    assert!((cloves.grams.mean().get() - 6.0).abs() < 1e-9);
    assert_eq!((cloves.grade, cloves.assumption()), (Grade::Measured, None));
    let large = count("onion", "raw", "each", Some(Size::Large), 1.0).unwrap();
    assert!((large.grams.mean().get() - 143.0).abs() < 1e-9);
    assert!(large.assumption().is_some() && large.grade == Grade::Practice);
    assert!(count("garlic", "raw", "bunch", None, 1.0).is_none());

    let ml = |v: f64| Volume::exact(Millilitres::new(v).unwrap());
    let volume = |f: &str, s: &str, v: f64, forms: &[&str]| {
        CATALOGUE
            .weigh_volume(&food(f), &state(s), ml(v), forms)
            .unwrap()
    };
    assert!(
        (volume("milk-whole", "liquid", 100.0, &[])
            .grams
            .mean()
            .get()
            - 103.0)
            .abs()
            < 1e-9
    );
    let chopped = volume("onion", "raw", 236.588, &["finely chopped"]);
    assert!((chopped.grams.mean().get() - 160.0).abs() < 1e-9 && chopped.assumption().is_none());
    assert!(volume("onion", "raw", 236.588, &[]).assumption().is_some());
    let boiled = volume("rice-white", "cooked", 236.588, &[]);
    assert!(boiled.assumption().is_some(), "weight of another state");
    let guessed = volume("chickpea", "dry", 100.0, &[]);
    assert!(matches!(guessed.used, Used::ClassDensity { .. }) && guessed.grade == Grade::Inferred);
    assert!((guessed.grams.high().get() - 95.0).abs() < 1e-6);
}

#[test]
fn packs_tools_yields_and_drinks() {
    assert_eq!(
        CATALOGUE.pack("#10").map(|p| p.id),
        Some("can-10".to_owned())
    );
    assert_eq!(
        CATALOGUE.pack("No. 10").map(|p| p.id),
        Some("can-10".to_owned())
    );
    assert!((CATALOGUE.utensil("#8 scoop").unwrap().volume.mean().get() - 118.29).abs() < 1e-9);
    assert!(CATALOGUE.utensil("#9").is_none());
    assert!(
        (CATALOGUE
            .edible_share(&food("onion"), &state("raw"))
            .unwrap()
            .share
            .mean()
            .get()
            - 0.9)
            .abs()
            < 1e-12
    );
    assert_eq!(
        CATALOGUE.standard_drink(Region::Us).map(|g| g.get()),
        Some(14.0)
    );
    assert_eq!(CATALOGUE.standard_drink(Region::Uk), None);
}

#[test]
fn processes_by_the_most_special_row() {
    let kept = |f: &str, p, a| CATALOGUE.retention(&food(f), p).of(a);
    let Kept::Share(share, grade) = kept("chickpea", Process::Drained, Analyte::Galactans) else {
        panic!("a share")
    };
    assert!((share.mean().get() - 0.62).abs() < 1e-12);
    assert_eq!(grade, Grade::Measured);
    let Kept::Share(share, _) = kept("chickpea", Process::Drained, Analyte::Fructans) else {
        panic!("a share")
    };
    assert!((share.mean().get() - 0.65).abs() < 1e-12);
    assert_eq!(
        kept("garlic", Process::Reduced, Analyte::Fructans),
        Kept::All
    );
    let Kept::Share(share, _) = kept("garlic", Process::InfusedOilStrained, Analyte::Fructans)
    else {
        panic!("a share")
    };
    assert!(share.high().get() <= 0.021);
    assert_eq!(
        kept("garlic", Process::MarinadeDiscarded, Analyte::Fructans),
        Kept::Unknown
    );
}

#[test]
fn equivalents_and_roles() {
    let found = CATALOGUE.equivalents(&food("onion"), &state("raw"));
    assert_eq!(
        (found.len(), found[0].food.as_str(), found[0].role),
        (1, "scallion-green", Role::AlliumFlavour)
    );
    assert_eq!(CATALOGUE.role(&food("onion")), Some(Role::AlliumFlavour));
    assert_eq!(CATALOGUE.role(&food("pear")), None);
}

#[test]
fn pages_and_lists() {
    let list = CATALOGUE.summaries("onion", Page { skip: 0, take: 50 });
    let ids: Vec<&str> = list.foods.iter().map(|f| f.id.as_str()).collect();
    assert_eq!(ids, ["onion", "onion-red", "scallion"]);
    let second = CATALOGUE.summaries("", Page { skip: 2, take: 2 });
    assert_eq!((second.foods.len(), second.total), (2, 17));
    let page = CATALOGUE.page(&food("garlic")).unwrap();
    let fructans = page.states[0]
        .analytes
        .iter()
        .find(|a| a.analyte == Analyte::Fructans)
        .unwrap();
    assert_eq!(
        (fructans.state, fructans.observations.len()),
        (LoadState::Estimated, 4)
    );
    let rejected: Vec<_> = fructans
        .observations
        .iter()
        .filter_map(|o| o.rejected.as_deref())
        .collect();
    assert_eq!(rejected, ["dried cloves booked as fresh"]);
    let ceiling = page.states[0]
        .portion_ceiling
        .unwrap_or_else(|| panic!("a ceiling"))
        .get();
    // 0.2 g of fructans are in 0.2 / 14.6 of 100 g.
    assert!((1.2..1.6).contains(&ceiling), "{ceiling}");
    assert_eq!(page.practice_notes, ["Garlic is rich in fructans."]);
    assert!(CATALOGUE.page(&food("no-such")).is_none());
}

#[test]
fn evidence_leaves_out_what_does_not_count() {
    assert_eq!(
        CATALOGUE
            .evidence(&food("garlic"), &state("raw"), Analyte::Fructans)
            .len(),
        3
    );
    let rule = CATALOGUE.evidence(&food("garlic"), &state("raw"), Analyte::Galactans);
    assert_eq!(rule[0].locator, "absent.csv, line 3");
}
