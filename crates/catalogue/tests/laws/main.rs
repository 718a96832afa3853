//! The laws of processing in the embedded data, against published figures that no row was fitted to.
//!
//! Every check names its source. It holds where the published figure lies in our interval; how near
//! the centre comes is measured over all checks, and bounded. Misses are listed in `checks::MISSES`, laws
//! without an independent figure in [`UNCHECKED`]: both counts are open. Rows of tables that were never one
//! batch are in `tables`.

#![allow(clippy::unwrap_used, clippy::panic)]

mod checks;
mod tables;

use std::sync::LazyLock;

use tamis_catalogue::Catalogue;
use tamis_scoring::composition::{Composition, Content};
use tamis_scoring::estimate::Concentration;
use tamis_scoring::evidence::Grade;
use tamis_scoring::processing::kinetics::{Beyond, Celsius, Conditions, Range};
use tamis_scoring::processing::{Process, most_from};
use tamis_scoring::quantity::{FoodId, GramsPer100g, Hours, MilligramsPerLitre};
use tamis_scoring::subgroup::Analyte;

static CATALOGUE: LazyLock<Catalogue> =
    LazyLock::new(|| Catalogue::embedded().unwrap_or_else(|e| panic!("{:#?}", e.faults)));

fn food(id: &str) -> FoodId {
    let id = FoodId::new(id).unwrap();
    assert!(CATALOGUE.food(&id).is_some(), "{id}");
    id
}

fn hours(low: f64, high: f64) -> Conditions {
    Conditions {
        hours: Some(Range::between(
            Hours::new(low).unwrap(),
            Hours::new(high).unwrap(),
        )),
        ..Conditions::default()
    }
}

const UNSAID: Conditions = Conditions {
    hours: None,
    water: None,
    warmth: None,
    dose: None,
};

fn warm(mut c: Conditions, celsius: f64) -> Conditions {
    c.warmth = Some(Range::exactly(Celsius::clamped(celsius)));
    c
}

fn dosed(mut c: Conditions, mg_per_litre: f64) -> Conditions {
    c.dose = Some(Range::exactly(
        MilligramsPerLitre::new(mg_per_litre).unwrap(),
    ));
    c
}

fn known(v: f64) -> Content {
    Content::Known(
        Concentration::exact(GramsPer100g::new(v).unwrap()),
        Grade::Measured,
    )
}

fn ends(content: Content) -> (f64, f64, f64) {
    match content {
        Content::Known(c, _) => (c.low().get(), c.mean().get(), c.high().get()),
        Content::Absent => (0.0, 0.0, 0.0),
        other => panic!("a number, not {other:?}"),
    }
}

/// What comes out of `start` after processes in turn: 5 % point, centre, 95 % point.
fn after(
    id: &str,
    start: Composition,
    steps: &[(Process, Conditions)],
    analyte: Analyte,
) -> (f64, f64, f64) {
    let out = steps.iter().fold(start, |c, (process, conditions)| {
        c.retained(&CATALOGUE.effect(&food(id), *process, conditions).retention)
    });
    ends(out.content(analyte))
}

/// The share of an analyte that a food keeps.
fn kept(id: &str, analyte: Analyte, steps: &[(Process, Conditions)]) -> (f64, f64, f64) {
    let start = Composition::ABSENT.with(analyte, known(10.0));
    let (low, mean, high) = after(id, start, steps, analyte);
    (low / 10.0, mean / 10.0, high / 10.0)
}

/// The laws that have no figure to be held against but the one they rest on, each with the reason.
const UNCHECKED: [(Process, &str); 1] = [(
    Process::InfusedOilStrained,
    "no strained oil was found measured for fructans or sugars: none in the tables of USDA, AFCD, Ciqual or MEXT, \
     nor a solubility of sugars in oil in what could be searched of papers; pages repeat the principle",
)];

/// Every law is checked or listed as unchecked, and none is both missing and silent.
#[test]
fn every_law_is_checked_or_says_that_it_is_not() {
    use Process as P;
    let checked = [
        P::SoakedWaterDiscarded,
        P::BoiledWaterDiscarded,
        P::StrainedLiquorKept,
        P::Drained,
        P::Fried,
        P::Roasted,
        P::YeastFermented,
        P::SourdoughFermented,
        P::Sprouted,
        P::TofuPressed,
        P::Cultured,
        P::KefirCultured,
        P::CurdDrained,
        P::CheeseAged,
        P::LactaseTreated,
        P::Ripened,
        P::Stored,
        P::PickledDrained,
        P::Dried,
        P::WaterKept,
        P::Reduced,
        P::InfusedOilSolidsLeft,
        P::MarinadeDiscarded,
        P::DrainedRinsed,
        P::LacticFermented,
        P::TempehFermented,
        P::Juiced,
        P::RehydratedWaterDiscarded,
        P::StarchWashed,
    ];
    for &process in Process::ALL {
        let named = UNCHECKED
            .iter()
            .any(|(p, reason)| *p == process && !reason.is_empty());
        assert!(
            checked.contains(&process) != named,
            "{process}: checked or unchecked, and not both"
        );
    }
}

/// Mubarak 2005: raffinose and stachyose of sprouted mung bean not detected (days not printed, taken
/// as three to five). Jimenez 1985, on soya, set the half-time.
#[test]
fn sprouting_to_nothing() {
    let (_, mean, high) = kept(
        "lentil-brown",
        Analyte::Galactans,
        &[(Process::Sprouted, hours(72.0, 120.0))],
    );
    assert!(mean < 0.05 && high < 0.2, "{mean} to {high}");
}

/// Portnoi 2016: 18 of 20 cheddars over nine months below 0.05 mg per 100 g, the worst 6.8 mg. A young
/// cheese has about half a gram (recalled).
#[test]
fn old_cheese_has_next_to_none() {
    let young = Composition::ABSENT.with(Analyte::Lactose, known(0.5));
    let steps = [(Process::CheeseAged, hours(6570.0, 6570.0))];
    let (_, mean, _) = after("cheddar", young, &steps, Analyte::Lactose);
    assert!(mean <= 0.0068, "{mean}");
}

/// SCIRP 2021 (paper 114047): 0.3 % lactase for 12 h at 4 to 6 C splits over 80 %. An abstract of 1974
/// (J-STAGE 27:7) has 100 % in 30 min at 37 C with 1 mg per mL, where ours leaves more: the cautious side.
#[test]
fn lactase_by_dose_hours_and_warmth() {
    let left = |c| {
        kept(
            "milk-whole",
            Analyte::Lactose,
            &[(Process::LactaseTreated, c)],
        )
    };
    let (_, mean, high) = left(dosed(warm(hours(12.0, 12.0), 5.0), 3000.0));
    assert!(mean <= 0.20 && high <= 0.35, "{mean} to {high}");
    let (_, mean, high) = left(dosed(warm(hours(0.5, 0.5), 37.0), 1000.0));
    assert!(mean <= 0.25 && high <= 0.5, "{mean} to {high}");
    // Hot milk kills it: the law refuses, nothing is credited.
    let hot = warm(hours(1.0, 1.0), 70.0);
    let effect = CATALOGUE.effect(&food("milk-whole"), Process::LactaseTreated, &hot);
    assert_eq!(effect.beyond, [Beyond::Warmth]);
    let milk = Composition::ABSENT.with(Analyte::Lactose, known(4.7));
    let after = milk.retained(&effect.retention);
    assert!(
        matches!(after.content(Analyte::Lactose), Content::AtMost(c) if (c.get() - 4.7).abs() < 1e-9)
    );
}

/// USDA SR17: banana 4.85 g fructose and 4.98 glucose, ripe 6.09 and 5.55, overripe 6.70 and 7.00. The
/// law says that the excess does not move; the stages differ by 0.67 g at the most.
#[test]
fn ripening_leaves_the_excess_where_it_was() {
    let green = Composition::ABSENT
        .with(Analyte::Fructose, known(4.85))
        .with(Analyte::Glucose, known(4.98));
    let steps = [(Process::Ripened, UNSAID)];
    let fructose = after("banana", green, &steps, Analyte::Fructose);
    let glucose = after("banana", green, &steps, Analyte::Glucose);
    let ours = fructose.1 - glucose.1;
    for (fructose, glucose) in [(6.09, 5.55), (6.70, 7.00_f64)] {
        let published: f64 = fructose - glucose;
        assert!(
            (published - ours).abs() <= 0.67 + 1e-9,
            "{published} against {ours}"
        );
    }
}

/// Egounlety 2003, cowpea: 91.5 % of stachyose gone, groundbean 85.5 %; the law was set on soya. Ours is
/// for all galactans, of which raffinose stays, so it must lie above both.
#[test]
fn tempeh_of_other_pulses() {
    let steps = [(Process::TempehFermented, hours(30.0, 36.0))];
    let (low, mean, _) = kept("black-eyed-pea", Analyte::Galactans, &steps);
    assert!(low > 0.085 && mean > 0.145, "{low}, {mean}");
}

/// Schmidt 2021: breads of rye with sourdough are over the cut-off for mannitol, those of refined wheat
/// are not (0.2 g a serving; two slices hold some 50 g of flour, judged).
#[test]
fn rye_sourdough_is_over_for_mannitol_and_white_wheat_is_not() {
    let serving = |id: &str, fructans: f64| {
        let flour = Composition::ABSENT.with(Analyte::Fructans, known(fructans));
        let steps = [(Process::SourdoughFermented, hours(18.0, 18.0))];
        0.5 * after(id, flour, &steps, Analyte::Mannitol).1
    };
    let (rye, wheat) = (
        serving("flour-rye", 4.1),
        serving("flour-wheat-white", 1.38),
    );
    assert!(rye > 0.2 && wheat < 0.2, "{rye}, {wheat}");
}

/// A miss, kept in view: a textbook says that more than 1.8 g of mannitol in 100 mL can form in
/// sauerkraut. White cabbage (AFCD: 1.2 g fructose) cannot give that much from free fructose alone; the
/// sucrose and the fructans that would make up the rest are not followed. Ours stays below.
#[test]
fn sauerkraut_stays_below_the_textbook() {
    let cabbage = Composition::ABSENT
        .with(Analyte::Fructose, known(1.2))
        .with(Analyte::Glucose, known(1.6));
    let steps = [(Process::LacticFermented, hours(336.0, 672.0))];
    let (_, mean, high) = after("cabbage", cabbage, &steps, Analyte::Mannitol);
    assert!(mean > 0.5 && high < 1.8, "{mean} to {high}");
}

/// For every food and every process, whatever the hours: kept between none and all, and no more grams
/// than chemistry allows, over all that is made of one analyte.
#[test]
fn no_food_gains_grams_from_nothing() {
    let all = [
        UNSAID,
        hours(1.0, 1.0),
        hours(4.0, 18.0),
        hours(0.1, 5000.0),
    ];
    for id in CATALOGUE.foods().map(|f| f.id.clone()) {
        for &process in Process::ALL {
            for conditions in &all {
                let retention = CATALOGUE.effect(&id, process, conditions).retention;
                for &from in Analyte::ALL {
                    let start = Composition::ABSENT.with(from, known(10.0));
                    let out = start.retained(&retention);
                    let (left, most) = match out.content(from) {
                        Content::Known(c, _) => (c.mean().get(), c.high().get()),
                        Content::Absent => (0.0, 0.0),
                        Content::AtMost(c) => (0.0, c.get()),
                        Content::Unknown => panic!("{id} {process}: {from} forgotten"),
                    };
                    assert!(most <= 10.0 + 1e-9, "{id} {process}: {from} {most}");
                    // As a share of what the lost grams could have become.
                    let used: f64 = Analyte::ALL
                        .iter()
                        .filter(|&&to| to != from)
                        .map(|&to| {
                            let made = match out.content(to) {
                                Content::Known(c, _) => c.mean().get(),
                                _ => 0.0,
                            };
                            most_from(from, to).map_or(made, |most| made / most.get())
                        })
                        .sum();
                    assert!(
                        used <= 10.0 - left + 1e-9,
                        "{id} {process}: {used} of {left}"
                    );
                }
            }
        }
    }
}
