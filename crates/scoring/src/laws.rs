//! Laws that hold for every portion.

use proptest::prelude::*;

use crate::allergens::Allergens;
use crate::amendments::{self, AmendmentKind, Candidate};
use crate::composition::{Composition, Content};
use crate::cutoffs::{AppliesTo, CutoffRow, Cutoffs};
use crate::diner::{Confidence, Diner, Netting, Policy};
use crate::dish::{Amount, Component, FoodClass, Freshness, Portion, Stage};
use crate::estimate::{Concentration, Mass};
use crate::evidence::Grade;
use crate::loads::{LoadState, Loads};
use crate::quantity::{FoodId, Grams, GramsPer100g, Ratio, SourceId};
use crate::ruling::{Ceiling, Finding, Rules, Standing};
use crate::screen::{Screen, Tally};
use crate::subgroup::{Analyte, Subgroup};

/// The published table: Varney et al. 2017, J Gastroenterol Hepatol 32 Suppl 1:53-61.
fn published() -> Cutoffs {
    let row = |subgroup, applies_to, grams| CutoffRow {
        subgroup,
        applies_to,
        grams: Grams::new(grams).unwrap(),
        source: SourceId::new("varney2017").unwrap(),
        locator: String::new(),
        grade: Grade::Measured,
    };
    Cutoffs::new(vec![
        row(Subgroup::TotalOligosaccharides, AppliesTo::General, 0.20),
        row(
            Subgroup::TotalOligosaccharides,
            AppliesTo::GrainLegumeNut,
            0.30,
        ),
        row(Subgroup::Lactose, AppliesTo::General, 1.0),
        row(Subgroup::ExcessFructose, AppliesTo::General, 0.15),
        row(
            Subgroup::ExcessFructose,
            AppliesTo::FreshProduceFructoseAlone,
            0.40,
        ),
        row(Subgroup::Sorbitol, AppliesTo::General, 0.20),
        row(Subgroup::Mannitol, AppliesTo::General, 0.20),
        row(Subgroup::TotalPolyols, AppliesTo::General, 0.40),
    ])
    .unwrap()
}

fn content() -> impl Strategy<Value = Content> {
    let known = (0.001..8.0f64, 0.01..0.8f64, 0..5usize).prop_map(|(mean, cv, grade)| {
        Content::Known(
            Concentration::with_relative_sd(
                GramsPer100g::new(mean).unwrap(),
                Ratio::new(cv).unwrap(),
            ),
            Grade::ALL[grade],
        )
    });
    prop_oneof![
        4 => Just(Content::Absent),
        4 => known,
        1 => (0.001..2.0f64).prop_map(|c| Content::AtMost(GramsPer100g::new(c).unwrap())),
    ]
}

fn component() -> impl Strategy<Value = Component> {
    let contents = prop::collection::vec(content(), Analyte::COUNT);
    (
        0..6usize,
        0.1..300.0f64,
        0.0..0.5f64,
        contents,
        0..FoodClass::ALL.len(),
    )
        .prop_map(|(food, grams, cv, contents, class)| Component {
            food: Some(FoodId::new(&format!("food-{food}")).unwrap()),
            state: None,
            class: FoodClass::ALL[class],
            freshness: if class == 3 {
                Freshness::FreshProduce
            } else {
                Freshness::Other
            },
            amount: Amount::Known(Mass::with_relative_sd(
                Grams::new(grams).unwrap(),
                Ratio::new(cv).unwrap(),
            )),
            composition: contents
                .into_iter()
                .zip(Analyte::ALL)
                .fold(Composition::ABSENT, |c, (content, &analyte)| {
                    c.with(analyte, content)
                }),
            allergens: Allergens::NONE,
            stage: Stage::Line,
        })
}

fn portion() -> impl Strategy<Value = Portion> {
    prop::collection::vec(component(), 1..8).prop_map(Portion::new)
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1e-9)
}

fn ratio(value: f64) -> Ratio {
    Ratio::new(value).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn the_order_of_components_changes_no_bit(portion in portion(), seed in any::<u64>()) {
        let mut shuffled = portion.components().to_vec();
        let n = shuffled.len();
        for i in 0..n {
            shuffled.swap(i, (seed as usize).wrapping_mul(i + 7) % n);
        }
        prop_assert_eq!(Loads::of(&portion, Netting::Portion), Loads::of(&Portion::new(shuffled), Netting::Portion));
    }

    #[test]
    fn a_batch_scaled_and_served_to_as_many_changes_nothing(portion in portion(), factor in 0.01..100.0f64) {
        let there = portion.scaled(ratio(factor)).scaled(ratio(1.0 / factor));
        let (a, b) = (Loads::of(&portion, Netting::Portion), Loads::of(&there, Netting::Portion));
        for &s in Subgroup::ALL {
            let (a, b) = (a.of_subgroup(s), b.of_subgroup(s));
            prop_assert_eq!(a.state(), b.state());
            prop_assert!(close(a.low().get(), b.low().get()));
            prop_assert!(a.high().zip(b.high()).is_none_or(|(a, b)| close(a.get(), b.get())));
        }
    }

    #[test]
    fn another_component_never_lowers_a_load_but_by_netting(portion in portion(), more in component()) {
        let mut bigger = portion.components().to_vec();
        bigger.push(more);
        let bigger = Portion::new(bigger);
        for netting in [Netting::Portion, Netting::Component] {
            let (a, b) = (Loads::of(&portion, netting), Loads::of(&bigger, netting));
            for &s in Subgroup::ALL {
                if s == Subgroup::ExcessFructose && netting == Netting::Portion {
                    continue;
                }
                let held = |l: &Loads| l.of_subgroup(s).at(Confidence::Central).map(Grams::get);
                if let (Some(a), Some(b)) = (held(&a), held(&b)) {
                    prop_assert!(b >= a - 1e-12, "{s}: {a} then {b}");
                } else {
                    prop_assert!(held(&b).is_none(), "an unknown load became known by adding to it");
                }
            }
        }
    }

    #[test]
    fn netting_over_the_portion_never_exceeds_the_sum_of_components(portion in portion()) {
        let loads = Loads::of(&portion, Netting::Portion);
        let net = loads.excess_over_portion().central();
        let sum = loads.excess_by_component().central();
        if let (Some(net), Some(sum)) = (net, sum) {
            prop_assert!(net.get() <= sum.get() + 1e-9);
        }
    }

    #[test]
    fn an_interval_holds_its_mean_unless_the_spread_is_extreme(portion in portion()) {
        let loads = Loads::of(&portion, Netting::Portion);
        for &s in Subgroup::ALL {
            let load = loads.of_subgroup(s);
            if let (Some(mean), Some(high)) = (load.central(), load.high()) {
                prop_assert!(load.low() <= high);
                prop_assert!(load.low().get() <= mean.get() + 1e-12);
                prop_assert!(mean.get() <= high.get() + 1e-12, "{s}: {mean} over {high}");
            }
        }
    }

    #[test]
    fn the_ceiling_serves_and_a_tenth_more_does_not(portion in portion(), cautious in any::<bool>()) {
        let (cutoffs, diner) = (published(), Diner::restriction());
        let policy = Policy {
            confidence: if cautious { Confidence::Upper95 } else { Confidence::Central },
            ..Policy::default()
        };
        let rules = Rules { cutoffs: &cutoffs, diner: &diner, policy: &policy };
        let outcome = rules.judge(&portion);
        match outcome.ceiling(&rules) {
            Ceiling::Times(r) => {
                let at = rules.judge(&portion.scaled(r));
                prop_assert_eq!(at.standing, Standing::Serves, "{:?}", at);
                let over = rules.judge(&portion.scaled(ratio(r.get() * 1.1)));
                prop_assert_ne!(over.standing, Standing::Serves);
            }
            Ceiling::Unlimited => {
                let at = rules.judge(&portion.scaled(ratio(1000.0)));
                prop_assert_eq!(at.standing, Standing::Serves);
            }
            Ceiling::Undetermined => prop_assert_eq!(outcome.standing, Standing::Refers),
        }
    }

    #[test]
    fn every_plan_rules_serve_when_judged_again(portion in portion()) {
        let (cutoffs, diner, policy) = (published(), Diner::restriction(), Policy::default());
        let rules = Rules { cutoffs: &cutoffs, diner: &diner, policy: &policy };
        let candidates: Vec<Candidate> = (0..portion.components().len())
            .map(|i| Candidate {
                targets: vec![i],
                replacement: Vec::new(),
                kind: AmendmentKind::Hold,
                stage: Stage::Line,
                disruption: ratio(0.1 * (i + 1) as f64),
            })
            .collect();
        let plans = amendments::search(&portion, &candidates, &rules, 3);
        for pair in plans.windows(2) {
            prop_assert!(pair[0].disruption <= pair[1].disruption);
        }
        for plan in plans {
            let changed = match plan.action {
                amendments::Action::Changes(changes) => amendments::apply(&portion, &candidates, &changes),
                amendments::Action::Downsize(r) => portion.scaled(r),
            };
            prop_assert_eq!(rules.judge(&changed).standing, Standing::Serves);
        }
    }

    #[test]
    fn the_screen_lets_through_whatever_serves(
        portion in portion(),
        factor in 0.001..2.0f64,
        cautious in any::<bool>(),
        by_component in any::<bool>(),
    ) {
        let (cutoffs, diner) = (published(), Diner::restriction());
        let policy = Policy {
            confidence: if cautious { Confidence::Upper95 } else { Confidence::Central },
            netting: if by_component { Netting::Component } else { Netting::Portion },
            ..Policy::default()
        };
        let rules = Rules { cutoffs: &cutoffs, diner: &diner, policy: &policy };
        let portion = portion.scaled(ratio(factor));
        if rules.judge(&portion).standing == Standing::Serves {
            let tally = portion.components().iter().map(Tally::of).fold(Tally::default(), |s, t| s.plus(&t));
            prop_assert!(Screen::of(&cutoffs, &diner, policy.netting).may_serve(&tally));
        }
    }

    #[test]
    fn an_unknown_content_or_a_line_not_understood_never_serves(
        portion in portion(),
        analyte in 0..Analyte::COUNT,
        unread in any::<bool>(),
    ) {
        let mut components = portion.components().to_vec();
        let first = &mut components[0];
        if unread {
            first.food = None;
        } else {
            first.composition = first.composition.with(Analyte::ALL[analyte], Content::Unknown);
        }
        let (cutoffs, diner, policy) = (published(), Diner::restriction(), Policy::default());
        let outcome = Rules { cutoffs: &cutoffs, diner: &diner, policy: &policy }
            .judge(&Portion::new(components));
        // Unknown glucose alone still leaves the fructose as a ceiling of its excess.
        if unread || Analyte::ALL[analyte] != Analyte::Glucose {
            prop_assert_eq!(outcome.standing, Standing::Refers);
        }
    }
}

fn one(food: &str, grams: f64, analyte: Analyte, per_100g: f64, grade: Grade) -> Component {
    Component {
        food: Some(FoodId::new(food).unwrap()),
        state: None,
        class: FoodClass::Vegetable,
        freshness: Freshness::Other,
        amount: Amount::Known(Mass::exact(Grams::new(grams).unwrap())),
        composition: Composition::ABSENT.with(
            analyte,
            Content::Known(
                Concentration::with_relative_sd(GramsPer100g::new(per_100g).unwrap(), ratio(0.2)),
                grade,
            ),
        ),
        allergens: Allergens::NONE,
        stage: Stage::Line,
    }
}

#[test]
fn two_lines_of_one_food_are_as_uncertain_as_one_line_of_both() {
    let split = Portion::new(vec![
        one("onion", 30.0, Analyte::Fructans, 2.0, Grade::Measured),
        one("onion", 70.0, Analyte::Fructans, 2.0, Grade::Measured),
    ]);
    let whole = Portion::new(vec![one(
        "onion",
        100.0,
        Analyte::Fructans,
        2.0,
        Grade::Measured,
    )]);
    let row = |p: &Portion| *Loads::of(p, Netting::Portion).of_subgroup(Subgroup::Fructans);
    assert!(close(row(&split).low().get(), row(&whole).low().get()));
    let apart = Portion::new(vec![
        one("onion", 30.0, Analyte::Fructans, 2.0, Grade::Measured),
        one("leek", 70.0, Analyte::Fructans, 2.0, Grade::Measured),
    ]);
    assert!(
        row(&apart).low() > row(&whole).low(),
        "independent foods are less uncertain together"
    );
}

#[test]
fn loose_evidence_near_the_cut_off_is_referred_and_firm_evidence_is_not() {
    let (cutoffs, diner, policy) = (published(), Diner::restriction(), Policy::default());
    let rules = Rules {
        cutoffs: &cutoffs,
        diner: &diner,
        policy: &policy,
    };
    let judge = |grade| {
        rules
            .judge(&Portion::new(vec![one(
                "leaf",
                10.0,
                Analyte::Sorbitol,
                1.9,
                grade,
            )]))
            .finding(Subgroup::Sorbitol)
    };
    assert_eq!(judge(Grade::Measured), Finding::Within);
    assert_eq!(judge(Grade::Inferred), Finding::Unsettled);
}

#[test]
fn the_grain_row_needs_half_of_the_oligosaccharides() {
    let (cutoffs, diner, policy) = (published(), Diner::restriction(), Policy::default());
    let rules = Rules {
        cutoffs: &cutoffs,
        diner: &diner,
        policy: &policy,
    };
    let mut bread = one("bread", 25.0, Analyte::Fructans, 1.0, Grade::Measured);
    bread.class = FoodClass::Grain;
    let limit = |components: Vec<Component>| {
        let outcome = rules.judge(&Portion::new(components));
        outcome
            .limits
            .of_subgroup(Subgroup::TotalOligosaccharides)
            .unwrap()
            .grams
            .get()
    };
    assert!(close(limit(vec![bread.clone()]), 0.30));
    let onion = one("onion", 26.0, Analyte::Fructans, 1.0, Grade::Measured);
    assert!(close(limit(vec![bread, onion]), 0.20));
}

#[test]
fn fresh_fruit_with_fructose_alone_has_the_higher_row() {
    let (cutoffs, diner, policy) = (published(), Diner::restriction(), Policy::default());
    let rules = Rules {
        cutoffs: &cutoffs,
        diner: &diner,
        policy: &policy,
    };
    let mut fruit = one("fruit", 100.0, Analyte::Fructose, 0.3, Grade::Measured);
    fruit.freshness = Freshness::FreshProduce;
    let alone = rules.judge(&Portion::new(vec![fruit.clone()]));
    assert_eq!(alone.standing, Standing::Serves);
    let mut other = one("other", 100.0, Analyte::Sorbitol, 0.05, Grade::Measured);
    other.freshness = Freshness::FreshProduce;
    let both = rules.judge(&Portion::new(vec![fruit, other]));
    assert_eq!(both.finding(Subgroup::ExcessFructose), Finding::Over);
}

#[test]
fn a_negligible_ceiling_leaves_the_mean_and_is_added_to_it() {
    let known = one("stock", 100.0, Analyte::Fructans, 1.0, Grade::Measured);
    let mut trace = one("leaf", 1.0, Analyte::Fructans, 0.0, Grade::Measured);
    trace.composition = Composition::ABSENT.with(
        Analyte::Fructans,
        Content::AtMost(GramsPer100g::new(0.5).unwrap()),
    );
    let both = Portion::new(vec![known, trace]);
    let load = *Loads::of(&both, Netting::Portion).of_subgroup(Subgroup::Fructans);
    assert_eq!(load.state(), LoadState::Estimated);
    assert!(close(load.central().unwrap().get(), 1.005));
    assert!(load.exceedance(Grams::new(0.004).unwrap()).unwrap().get() > 0.999_999);
}

#[test]
fn a_bounded_load_serves_under_and_refers_astride_the_cut_off() {
    let (cutoffs, diner, policy) = (published(), Diner::restriction(), Policy::default());
    let rules = Rules {
        cutoffs: &cutoffs,
        diner: &diner,
        policy: &policy,
    };
    let judge = |grams| {
        let mut c = one("x", grams, Analyte::Lactose, 0.0, Grade::Measured);
        c.composition = Composition::ABSENT.with(
            Analyte::Lactose,
            Content::AtMost(GramsPer100g::new(2.0).unwrap()),
        );
        rules.judge(&Portion::new(vec![c]))
    };
    assert_eq!(judge(40.0).standing, Standing::Serves);
    assert_eq!(
        judge(40.0).loads.of_subgroup(Subgroup::Lactose).state(),
        LoadState::Bounded
    );
    assert_eq!(judge(60.0).finding(Subgroup::Lactose), Finding::Unknown);
}
