//! Laws and findings of whole cards, through the use case.

use proptest::prelude::*;

use tamis_catalogue::Catalogue;
use tamis_scoring::amendments::AmendmentKind;
use tamis_scoring::assessment::{Assessment, ChoiceDecides};
use tamis_scoring::diner::{Diner, Phase, Policy, Region, Tolerance};
use tamis_scoring::dish::Stage;
use tamis_scoring::loads::LoadState;
use tamis_scoring::quantity::{Grams, Portions};
use tamis_scoring::request::{AssessmentRequest, RecipeCard, Service, Serving, Subject};
use tamis_scoring::ruling::Ruling;
use tamis_scoring::subgroup::Subgroup;

use crate::{App, CardFormat, Reason, requests_from_text};

fn app() -> App {
    App::new(Catalogue::embedded().unwrap())
}

fn card(portions: f64, lines: &[&str]) -> RecipeCard {
    RecipeCard {
        name: "Test dish".to_owned(),
        code: None,
        portions: Some(Portions::new(portions).unwrap()),
        makes: None,
        portion: None,
        service: Service::Unstated,
        lines: lines.iter().map(|&l| l.to_owned()).collect(),
        method: String::new(),
        sub_recipes: Vec::new(),
    }
}

fn request(subject: Subject) -> AssessmentRequest {
    AssessmentRequest {
        subject,
        diner: Diner::restriction(),
        policy: Policy::default(),
    }
}

fn dish(card: RecipeCard) -> Assessment {
    app().assess(&request(Subject::Dish(card))).unwrap()
}

fn load(answer: &Assessment, subgroup: Subgroup) -> f64 {
    let row = answer
        .loads
        .iter()
        .find(|r| r.subgroup == subgroup)
        .unwrap();
    row.grams
        .unwrap_or_else(|| panic!("{subgroup} is {:?}", row.state))
        .get()
}

const LINES: &[&str] = &[
    "300 g rice",
    "2 cloves garlic",
    "1 onion",
    "200 g firm tofu",
    "2 tbsp soy sauce",
    "100 g button mushrooms",
    "1 apple",
    "250 ml whole milk",
    "1 tbsp honey",
    "80 g cooked chickpeas",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn a_bigger_batch_for_as_many_more_is_the_same_portion(
        picks in prop::collection::vec(0..LINES.len(), 1..6),
        factor in 2u32..20,
    ) {
        let lines: Vec<&str> = picks.iter().map(|&i| LINES[i]).collect();
        let one = dish(card(4.0, &lines));
        let many: Vec<&str> = lines.iter().flat_map(|l| std::iter::repeat_n(*l, factor as usize)).collect();
        let many = dish(card(4.0 * f64::from(factor), &many));
        prop_assert_eq!(one.ruling, many.ruling);
        for (a, b) in one.loads.iter().zip(&many.loads) {
            let close = |a: Option<Grams>, b: Option<Grams>| match (a, b) {
                (Some(a), Some(b)) => (a.get() - b.get()).abs() <= 1e-9 * a.get().max(1e-6),
                (a, b) => a == b,
            };
            prop_assert!(close(a.grams, b.grams), "{} {:?} {:?}", a.subgroup, a.grams, b.grams);
            prop_assert!(close(a.high, b.high));
        }
    }

    #[test]
    fn the_order_of_lines_is_irrelevant(order in Just(LINES.to_vec()).prop_shuffle()) {
        let (a, b) = (dish(card(4.0, LINES)), dish(card(4.0, &order)));
        prop_assert_eq!(a.loads, b.loads);
        prop_assert_eq!(a.ruling, b.ruling);
        prop_assert_eq!(a.portion_ceiling, b.portion_ceiling);
    }

    #[test]
    fn any_text_is_answered_and_nothing_is_dropped(
        lines in prop::collection::vec("\\PC{1,60}", 1..6),
        method in "\\PC{0,80}",
    ) {
        let lines: Vec<&str> = lines.iter().map(String::as_str).filter(|l| !l.trim().is_empty()).collect();
        prop_assume!(!lines.is_empty());
        let answer = dish(RecipeCard { method, ..card(2.0, &lines) });
        let left_out = answer.assumptions.iter().filter(|a| a.text.starts_with("read as left out")).count();
        prop_assert_eq!(answer.contributions.len() + left_out, lines.len());
        if answer.contributions.iter().any(|c| c.food.is_none()) {
            prop_assert_eq!(answer.ruling, Ruling::Refer);
        }
    }
}

#[test]
fn equal_amounts_in_other_units_give_equal_loads() {
    // Pound and US cup are defined exactly: 453.59237 g and 236.5882365 mL.
    for (a, b) in [
        ("1 lb onions", "453.59237 g onions"),
        ("16 oz onions", "1# onions"),
        ("1 c whole milk", "236.588 ml whole milk"),
        ("1 gal whole milk", "4 qt whole milk"),
        ("2 T honey", "6 t honey"),
        ("1 doz eggs", "12 eggs"),
    ] {
        let (x, y) = (dish(card(1.0, &[a])), dish(card(1.0, &[b])));
        let (x, y) = (x.portion.unwrap().get(), y.portion.unwrap().get());
        assert!((x - y).abs() < 1e-4 * x, "{a}: {x} g, {b}: {y} g");
    }
}

#[test]
fn pieces_named_after_the_food_are_pieces() {
    // USDA SR28: a clove of garlic 3 g, a medium stalk of celery 40 g, a medium leaf of basil 0.5 g.
    for (line, grams) in [
        ("3 garlic cloves", 9.0),
        ("2 celery stalks", 80.0),
        ("12 basil leaves", 6.0),
    ] {
        let portion = dish(card(1.0, &[line])).portion.unwrap().get();
        assert!((portion - grams).abs() < 1e-6, "{line}: {portion} g");
    }
    let leaves = dish(card(1.0, &["12 red lettuce leaves"])).portion;
    assert!(
        leaves.is_none_or(|g| g.get() < 400.0),
        "twelve leaves are no twelve heads: {leaves:?}"
    );
}

#[test]
fn a_weight_beside_a_count_is_what_counts() {
    for (line, grams) in [
        ("6 large red onions (3 1/2 pounds)", 3.5 * 453.592_37),
        ("2 tomatoes (340 g)", 340.0),
        ("2 (170 g) cod fillets", 340.0),
    ] {
        let portion = dish(card(1.0, &[line])).portion.unwrap().get();
        assert!(
            (portion - grams).abs() < 1e-6 * grams,
            "{line}: {portion} g"
        );
    }
}

#[test]
fn washed_and_dried_is_not_dried() {
    let answer = dish(card(1.0, &["1/2 cup basil leaves, washed and dried"]));
    assert_eq!(
        answer.contributions[0].state.as_ref().unwrap().as_str(),
        "raw"
    );
}

#[test]
fn a_circle_of_sub_recipes_names_its_path() {
    let inner = |code: &str, uses: &str| RecipeCard {
        name: code.to_owned(),
        code: Some(code.to_owned()),
        makes: Some("1 kg".to_owned()),
        portions: None,
        ..card(1.0, &[uses])
    };
    let top = RecipeCard {
        sub_recipes: vec![inner("SUB-A", "100 g SUB-B"), inner("SUB-B", "50 g SUB-A")],
        ..card(4.0, &["200 g SUB-A"])
    };
    let error = app().assess(&request(Subject::Dish(top))).unwrap_err();
    assert_eq!(error.reason, Reason::SubRecipeCycle);
    assert!(error.detail.contains("SUB-A -> SUB-B -> SUB-A"), "{error}");
}

#[test]
fn a_part_of_a_sub_recipe_without_a_yield_is_refused() {
    let sub = RecipeCard {
        name: "Sauce".to_owned(),
        portions: None,
        ..card(1.0, &["1 kg tomatoes"])
    };
    let top = RecipeCard {
        sub_recipes: vec![sub.clone()],
        ..card(4.0, &["200 g sauce"])
    };
    let error = app().assess(&request(Subject::Dish(top))).unwrap_err();
    assert_eq!(error.reason, Reason::YieldInvalid);
    let zero = RecipeCard {
        makes: Some("0 kg".to_owned()),
        ..sub
    };
    let top = RecipeCard {
        sub_recipes: vec![zero],
        ..card(4.0, &["200 g sauce"])
    };
    let error = app().assess(&request(Subject::Dish(top))).unwrap_err();
    assert_eq!(error.reason, Reason::YieldInvalid);
}

#[test]
fn a_card_named_after_its_ingredient_is_no_circle() {
    let rice = RecipeCard {
        name: "Rice".to_owned(),
        ..card(1.0, &["75 g rice"])
    };
    let within = RecipeCard {
        sub_recipes: vec![rice.clone()],
        ..rice
    };
    assert_eq!(dish(within).contributions.len(), 1);
}

#[test]
fn more_than_a_batch_of_a_sub_recipe_is_allowed_and_said() {
    let sub = RecipeCard {
        name: "Sauce".to_owned(),
        makes: Some("500 g".to_owned()),
        portions: None,
        ..card(1.0, &["50 g onion", "450 g tomatoes"])
    };
    let top = RecipeCard {
        sub_recipes: vec![sub],
        ..card(1.0, &["2.5 kg sauce"])
    };
    let answer = dish(top);
    assert!(
        answer
            .assumptions
            .iter()
            .any(|a| a.text.contains("5.0 batches")),
        "{:?}",
        answer.assumptions
    );
    let onion = answer
        .contributions
        .iter()
        .find(|c| c.food_name.contains("onion"))
        .unwrap();
    assert!((onion.grams.unwrap().get() - 250.0).abs() < 1e-9);
}

#[test]
fn stock_keeps_what_dissolved_and_oil_does_not() {
    let pot = |liquid: &str, method: &str| {
        let card = RecipeCard {
            method: method.to_owned(),
            ..card(10.0, &["100 g garlic, sliced", liquid])
        };
        load(&dish(card), Subgroup::Fructans)
    };
    let whole = pot("1 l water", "Simmer.");
    let stock = pot("1 l water", "Simmer 45 min, strain, DISCARD solids.");
    let oil = pot(
        "1 l canola oil",
        "Warm garlic in oil 30 min, strain out, chill.",
    );
    assert!(
        stock > 0.3 * whole,
        "straining does not take out what dissolved: {stock} of {whole}"
    );
    assert!(stock < whole);
    assert!(
        oil < 0.02 * whole,
        "fructans do not cross into oil: {oil} of {whole}"
    );
}

#[test]
fn butter_that_finishes_a_strained_sauce_is_not_strained() {
    let sauce = RecipeCard {
        method: "Simmer shallots in stock, strain. Finish with butter.".to_owned(),
        ..card(10.0, &["200 g shallots", "1 l water", "60 g butter"])
    };
    let answer = dish(sauce);
    let processes = |name: &str| {
        answer
            .contributions
            .iter()
            .find(|c| c.food_name.contains(name))
            .unwrap()
            .processes
            .clone()
    };
    assert_eq!(processes("shallot"), ["strained-liquor-kept"]);
    assert!(processes("butter").is_empty());
}

#[test]
fn boiling_down_keeps_the_grams() {
    let pot = |method: &str| {
        let card = RecipeCard {
            method: method.to_owned(),
            ..card(4.0, &["500 ml apple juice"])
        };
        load(&dish(card), Subgroup::ExcessFructose)
    };
    assert!((pot("Serve.") - pot("Reduce by half.")).abs() < 1e-12);
}

#[test]
fn holding_the_line_that_an_amendment_names_makes_the_dish_serve() {
    let lines = [
        "150 g chicken breast",
        "120 g cooked rice",
        "20 g onion, garnish",
        "1 tbsp olive oil",
    ];
    let answer = dish(card(1.0, &lines));
    assert_eq!(answer.ruling, Ruling::Alter, "{:?}", answer.reasons);
    let hold = answer
        .amendments
        .iter()
        .find(|a| a.kind == AmendmentKind::Hold)
        .unwrap();
    assert_eq!(hold.when, Stage::Line);
    let without: Vec<&str> = lines
        .iter()
        .copied()
        .filter(|l| !l.contains("onion"))
        .collect();
    assert_eq!(dish(card(1.0, &without)).ruling, Ruling::Serve);
    let first = answer.amendments.first().unwrap();
    assert_eq!(first.plan, 1);
    assert!(
        answer
            .amendments
            .iter()
            .all(|a| a.resulting_ruling == Ruling::Serve)
    );
}

#[test]
fn no_substitute_brings_an_allergen_that_the_diner_excludes() {
    let lines = ["200 ml whole milk", "50 g rice"];
    let mut request = request(Subject::Dish(card(1.0, &lines)));
    let offered = |request: &AssessmentRequest| {
        app()
            .assess(request)
            .unwrap()
            .amendments
            .iter()
            .filter_map(|a| a.replacement.clone())
            .collect::<Vec<_>>()
    };
    assert!(offered(&request).iter().any(|r| r.contains("lactose-free")));
    request.diner.excluded_allergens = [tamis_scoring::allergens::Allergen::Milk]
        .into_iter()
        .collect();
    assert!(
        offered(&request)
            .iter()
            .all(|r| !r.contains("milk, lactose-free"))
    );
}

#[test]
fn a_challenge_frees_its_subgroup_and_a_tolerance_moves_its_cut_off() {
    let milk = |diner: Diner| {
        let subject = Subject::Dish(card(1.0, &["200 ml whole milk"]));
        app()
            .assess(&AssessmentRequest {
                diner,
                ..request(subject)
            })
            .unwrap()
    };
    let restricted = milk(Diner::restriction());
    assert_eq!(restricted.ruling, Ruling::Alter);
    let challenged = milk(Diner {
        phase: Phase::Reintroduction,
        challenge: Some(Subgroup::Lactose),
        ..Diner::restriction()
    });
    assert_eq!(challenged.ruling, Ruling::Serve);
    let tolerant = milk(Diner {
        phase: Phase::Personalisation,
        tolerances: vec![(
            Subgroup::Lactose,
            Tolerance::UpTo(Grams::new(12.0).unwrap()),
        )],
        ..Diner::restriction()
    });
    assert_eq!(tolerant.ruling, Ruling::Serve);
    let lactose = tolerant
        .loads
        .iter()
        .find(|r| r.subgroup == Subgroup::Lactose)
        .unwrap();
    assert_eq!(lactose.cutoff.as_ref().unwrap().grams.get(), 12.0);
}

#[test]
fn a_sitting_adds_its_items_up() {
    let milk = card(1.0, &["15 ml whole milk"]);
    let items = vec![
        Serving::Drink(milk.clone()),
        Serving::Drink(milk.clone()),
        Serving::Dish(milk.clone()),
    ];
    let together = app().assess(&request(Subject::Sitting(items))).unwrap();
    let alone = load(&dish(milk), Subgroup::Lactose);
    assert!((load(&together, Subgroup::Lactose) - 3.0 * alone).abs() < 1e-9);
    assert_eq!(together.items.len(), 3);
    assert!(together.items.iter().all(|i| i.ruling == Ruling::Serve));
    assert_ne!(together.ruling, Ruling::Serve);
}

#[test]
fn a_pour_is_counted_in_standard_drinks_of_the_region() {
    // 1.5 US fl oz (44.36 mL) of a spirit of 40 % by volume: 14.0 g of ethanol.
    let pour = |region| {
        let mut request = request(Subject::Drink(card(1.0, &["1.5 oz vodka"])));
        request.policy.region = region;
        app().assess(&request).unwrap().alcohol.unwrap()
    };
    let us = pour(Region::Us);
    assert!((us.ethanol.get() - 14.0).abs() < 0.4, "{}", us.ethanol);
    assert!((us.count.get() - 1.0).abs() < 0.03);
    assert!((pour(Region::Uk).count.get() - 1.75).abs() < 0.05);
    assert!((pour(Region::Au).count.get() - 1.4).abs() < 0.04);
}

#[test]
fn an_answer_says_when_the_ruling_hangs_on_netting() {
    // Honey's excess fructose meets the excess glucose of corn syrup.
    let answer = dish(card(1.0, &["15 g honey", "30 g corn syrup"]));
    assert_eq!(
        answer.excess_fructose.choice_decides,
        ChoiceDecides::Yes,
        "{:?}",
        answer.excess_fructose
    );
    assert!(answer.reasons.iter().any(|r| r.contains("netting")));
}

#[test]
fn excess_fructose_is_not_amended_away_by_glucose() {
    // Milk split by lactase brings glucose that would net the fructose of the mango.
    let answer = dish(card(1.0, &["120 g mango", "170 g plain yogurt"]));
    assert_ne!(answer.ruling, Ruling::Serve);
    let swaps_dairy = |a: &tamis_scoring::assessment::Amendment| {
        a.replacement
            .as_deref()
            .is_some_and(|r| r.contains("lactose-free"))
    };
    let mut plans: Vec<u32> = answer.amendments.iter().map(|a| a.plan).collect();
    plans.dedup();
    for plan in plans {
        let of_plan = answer.amendments.iter().filter(|a| a.plan == plan);
        assert!(
            !of_plan.clone().all(swaps_dairy),
            "{:?}",
            of_plan.collect::<Vec<_>>()
        );
    }
}

#[test]
fn what_is_left_out_is_said_and_not_counted() {
    let answer = dish(card(1.0, &["100 g rice", "no onion"]));
    assert_eq!(answer.contributions.len(), 1);
    assert!(
        answer
            .assumptions
            .iter()
            .any(|a| a.text == "read as left out: onion")
    );
}

#[test]
fn salt_to_taste_is_no_obstacle_and_garlic_to_taste_is() {
    assert_eq!(
        dish(card(1.0, &["100 g rice", "salt to taste"])).ruling,
        Ruling::Serve
    );
    let garlic = dish(card(1.0, &["100 g rice", "garlic to taste"]));
    assert_eq!(garlic.ruling, Ruling::Refer);
    assert_eq!(garlic.unresolved.len(), 1);
    let row = garlic
        .loads
        .iter()
        .find(|r| r.subgroup == Subgroup::Fructans)
        .unwrap();
    assert_eq!(row.state, LoadState::Unknown);
    assert_eq!(row.grams, None);
}

#[test]
fn amounts_that_cannot_be_and_mixes_of_the_house_refer() {
    for line in [
        "-3 cups flour",
        "NaN g sugar",
        "1e9 g onion",
        "spice mix (house) 2 tsp",
    ] {
        let answer = dish(card(1.0, &["100 g rice", line]));
        assert_eq!(answer.ruling, Ruling::Refer, "{line}");
        assert_eq!(
            answer.unresolved.len(),
            1,
            "{line}: {:?}",
            answer.unresolved
        );
    }
}

#[test]
fn files_of_cards_refer_to_each_other() {
    let text = "Soup\nserves 4\n\nSB-1 1 l\n200 g carrots\n===\nStock base\ncode SB-1\nmakes 2 l\n\n200 g onions\n2 l water\n\nSimmer, strain, discard solids.\n";
    let requests = requests_from_text(
        text,
        CardFormat::PlainText,
        &Diner::restriction(),
        &Policy::default(),
    )
    .unwrap();
    assert_eq!(
        requests.len(),
        1,
        "a card that others use and that has no portion is only a sub-recipe"
    );
    let answer = app().assess(&requests[0]).unwrap();
    assert_eq!(
        answer
            .contributions
            .iter()
            .filter(|c| c.line.path == ["SB-1"])
            .count(),
        2
    );
}

#[test]
fn limits_are_told_with_the_field() {
    let error = app()
        .assess(&request(Subject::Dish(card(1.0, &["", "100 g rice"]))))
        .unwrap_err();
    assert_eq!(error.reason, Reason::FieldInvalid);
    assert_eq!(error.violations[0].field, "/dish/lines/0");
    let many: Vec<&str> = std::iter::repeat_n("1 g salt", 201).collect();
    assert!(
        app()
            .assess(&request(Subject::Dish(card(1.0, &many))))
            .is_err()
    );
}
