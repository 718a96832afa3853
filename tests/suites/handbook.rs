//! Sums that a kitchen or a dietitian works by hand, each with the source of its numbers.
//!
//! Sums about product labels (declared percentages, the order of ingredients, rounding of a
//! nutrition panel) are not here: this program reads no labels yet.

use serde_json::{Value, json};
use tamis_tests::{assess, load, plate, read_one, run};

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("no number: {value}"))
}

fn grams(line: &str) -> f64 {
    let read = read_one(line);
    read["grams"]
        .as_f64()
        .unwrap_or_else(|| panic!("{line} has no grams: {read}"))
}

fn interval(line: &str) -> (f64, f64) {
    let read = read_one(line);
    (number(&read["grams_low"]), number(&read["grams_high"]))
}

fn near(ours: f64, by_hand: f64, share: f64) -> bool {
    (ours - by_hand).abs() <= share * by_hand
}

/// Half a unit of the fourth digit, on the smallest leading digit.
const ROUNDING: f64 = 5e-4;

fn of(answer: &Value, subgroup: &str) -> f64 {
    number(&load(answer, subgroup)["grams"])
}

fn dish(portions: f64, lines: &[&str]) -> Value {
    assess(&json!({"dish": {"name": "Sum", "portions": portions, "lines": lines}}).to_string())
}

/// USDA SR28, FOOD_DES: refuse of onions (11282) 10 %, leeks (11246) 56 %, celery (11143) 11 %; a
/// pound is 453.592 g.
#[test]
fn as_purchased_to_edible_portion() {
    for (line, by_hand) in [
        ("6 lb AP onions", 2449.4),
        ("1 lb AP leek", 199.6),
        ("4 lb AP celery", 1614.8),
    ] {
        let ours = grams(line);
        assert!(
            near(ours, by_hand, 1e-3),
            "{line}: ours {ours} g, by hand {by_hand} g"
        );
    }
}

/// Portions against batch: 100 portions of a batch against 80 of the same, factor 0.80 (the rule of
/// standardised recipes: new portions over old).
#[test]
fn working_factor() {
    let lines = ["2 kg onions", "10 kg potatoes", "4 l milk"];
    let (hundred, eighty) = (dish(100.0, &lines), dish(80.0, &lines));
    for subgroup in ["fructans", "lactose"] {
        let ratio = of(&hundred, subgroup) / of(&eighty, subgroup);
        assert!(near(ratio, 0.80, 2.0 * ROUNDING), "{subgroup}: {ratio}");
    }
}

/// USDA SR28, 16358 and 16357: one tin of chickpeas 448 g in all, 254 g drained and rinsed, so six
/// tins are 1524 g or 2688 g. Tins differ by maker: the sum must lie in our interval.
#[test]
fn drained_against_whole_tins() {
    let rinsed = "6 #300 cans chickpeas, drained and rinsed";
    let (low, high) = interval(rinsed);
    assert!(
        (low..=high).contains(&1524.0),
        "{rinsed}: {low} to {high} g, by hand 1524 g"
    );
    let ratio = grams("6 #300 cans chickpeas, undrained") / grams(rinsed);
    assert!(
        near(ratio, 2688.0 / 1524.0, 0.1),
        "with the liquor {ratio} times as much, by hand 1.76"
    );
}

/// One quart of milk (976 g) and half a cup of butter (113.5 g, both SR28) in 16 ladles. Lactose per
/// 100 g in two reviews: milk 4.9 and 4.7, butter 1.1 and 0.5, hence 3.07 and 2.90 g a ladle.
#[test]
fn lactose_of_a_white_sauce() {
    let sauce = dish(16.0, &["1 qt milk", "1/2 c butter"]);
    let row = load(&sauce, "lactose");
    let (low, high) = (number(&row["low"]), number(&row["high"]));
    assert!(
        low <= 3.07 && high >= 2.90,
        "ours {low} to {high} g, by hand 2.90 to 3.07 g"
    );
    let ours = number(&row["grams"]);
    assert!(
        (2.90 * 0.95..=3.07 * 1.05).contains(&ours),
        "ours {ours} g, by hand 2.90 to 3.07 g"
    );
}

/// 113 g yogurt, 7 g honey, half a banana (59 g): only honey has fructose over glucose. Its excess in
/// 7 g is 0.30 g (2.9 less 2.6, PMC3471321 table 1), 0.36 g (USDA SR26), 0.50 g (McCance & Widdowson,
/// 7th edition), 0.57 g (White 1980), 0.63 g (AFCD 2), 0.92 g (99 Australian honeys, Crane 1980). Over the
/// plate the glucose of the banana takes some of it away.
#[test]
fn netting_over_the_plate_and_by_component() {
    let parfait = plate(&["113 g plain yogurt", "7 g honey", "59 g banana, ripe"]);
    let both = &parfait["excess_fructose"];
    let (over_plate, by_component) = (
        number(&both["over_portion_g"]),
        number(&both["by_component_g"]),
    );
    assert!(over_plate < by_component, "{both}");
    assert!((0.30..=0.92).contains(&by_component), "{both}");
    assert!(over_plate > 0.0, "{both}");
    // Yogurt lactose per 100 g: 2.6 (one review), 3.0 to 4.0 (another).
    let lactose = of(&parfait, "lactose");
    assert!(
        (1.13 * 2.6..=1.13 * 4.0 * 1.05).contains(&lactose),
        "lactose {lactose} g, by hand 2.9 to 4.5 g"
    );
}

/// The glucose of one line pays for the fructose of another: apple juice with corn syrup has less
/// in excess than apple juice, by exactly what the syrup brings.
#[test]
fn glucose_of_a_syrup_is_netted() {
    let alone = plate(&["8 fl oz apple juice"]);
    let with = plate(&["8 fl oz apple juice", "20 g corn syrup"]);
    let syrup = run(&["foods", "corn-syrup", "--json"], "").json();
    let row = |name: &str| {
        let rows = syrup["states"][0]["analytes"].as_array().expect("analytes");
        number(
            &rows
                .iter()
                .find(|r| r["analyte"] == name)
                .expect("the analyte")["grams"],
        )
    };
    let brought = 20.0 / 100.0 * (row("fructose") - row("glucose"));
    let over = |a: &Value| number(&a["excess_fructose"]["over_portion_g"]);
    let (ours, by_hand) = (over(&with), over(&alone) + brought);
    assert!(brought < -0.5, "a glucose syrup brings glucose: {brought}");
    assert!(
        (ours - by_hand).abs() < 4.0 * ROUNDING * over(&alone),
        "ours {ours} g, by hand {by_hand} g"
    );
    assert!(
        near(over(&alone), 7.7, 0.25),
        "apple juice alone, by hand 7.7 g (248 g: 15.8 - 8.1): {}",
        over(&alone)
    );
}

fn jus(makes: &str, method: &str, portion: &str) -> Value {
    let request = json!({"dish": {
        "name": "Jus", "makes": makes, "portion": portion, "method": method,
        "lines": ["2 l water", "200 g onion", "100 g celery"],
    }});
    assess(&request.to_string())
}

/// Boiling 2 L down to 1 L keeps the grams and halves the volume, so that a ladle holds twice as much.
#[test]
fn reduction_keeps_grams() {
    let long = jus("2 l", "Simmer.", "2 oz ladle");
    let short = jus("1 l", "Simmer, then reduce by half.", "2 oz ladle");
    for subgroup in ["fructans", "mannitol"] {
        let ratio = of(&short, subgroup) / of(&long, subgroup);
        assert!(near(ratio, 2.0, 0.01), "{subgroup}: {ratio}");
    }
}

/// Straining the solids out of water does not take out what has dissolved; straining them out of
/// oil does, since fructans and polyols do not dissolve in it.
#[test]
fn straining_water_and_straining_oil() {
    let strained = jus(
        "2 l",
        "Simmer 45 minutes. Strain, discard solids.",
        "200 ml",
    );
    let whole = jus("2 l", "Simmer 45 minutes.", "200 ml");
    let high = |a: &Value| number(&load(a, "fructans")["high"]);
    assert!(high(&strained) > 0.0, "the liquor holds what dissolved");
    assert!(
        high(&strained) <= high(&whole) * (1.0 + 2.0 * ROUNDING),
        "straining adds nothing"
    );
    assert_ne!(
        strained["ruling"],
        "serve",
        "{}",
        load(&strained, "fructans")
    );
    let oil = |method: &str| {
        let request = json!({"dish": {
            "name": "Oil", "portions": 32, "method": method, "lines": ["500 ml canola oil", "60 g garlic, sliced"],
        }});
        high(&assess(&request.to_string()))
    };
    let (clear, cloudy) = (
        oil("Warm the garlic in the oil 30 minutes. Strain, discard the garlic."),
        oil("Warm the garlic in the oil 30 minutes."),
    );
    assert!(
        clear < 0.05 * cloudy,
        "strained {clear} g, with the garlic {cloudy} g"
    );
}

/// A tray: 4 fl oz of milk (122 g, 4.7 to 4.9 g lactose in 100 g: 5.7 to 6.0 g), the parfait (2.9 to 4.5 g)
/// and a ladle of the white sauce (2.9 to 3.1 g) make 11.5 to 13.6 g of lactose.
#[test]
fn lactose_of_a_tray() {
    let tray = assess(&tamis_tests::case("tray.json"));
    let total = of(&tray, "lactose");
    let items: f64 = tray["items"]
        .as_array()
        .expect("items")
        .iter()
        .map(|i| of(i, "lactose"))
        .sum();
    assert!(
        near(total, items, 3.0 * ROUNDING),
        "the tray holds {total} g, its items {items} g"
    );
    assert!(
        (11.5 * 0.95..=13.6 * 1.05).contains(&total),
        "ours {total} g, by hand 11.5 to 13.6 g"
    );
}

/// A disher #8 holds an eighth of a US quart, 118 mL; #16 half of it, and half of everything.
#[test]
fn portions_by_tool() {
    let mash = |portion: &str| {
        let request = json!({"dish": {
            "name": "Mash", "makes": "10 kg", "portion": portion, "lines": ["9 kg potatoes", "900 ml milk", "100 g onion"],
        }});
        assess(&request.to_string())
    };
    let (large, small) = (mash("#8 scoop"), mash("#16 scoop"));
    let portion = number(&large["portion_g"]);
    assert!(
        (106.0..=130.0).contains(&portion),
        "118 g within a tenth, ours {portion} g"
    );
    for subgroup in ["lactose", "fructans"] {
        let ratio = of(&large, subgroup) / of(&small, subgroup);
        assert!(near(ratio, 2.0, 3.0 * ROUNDING), "{subgroup}: {ratio}");
    }
}

/// USDA SR28, 11215: a clove 3.0 g, a cup 136 g; a head is 10 to 12 cloves (common practice, no source).
#[test]
fn garlic_by_count_and_by_cup() {
    assert!(near(grams("12 cloves garlic"), 36.0, ROUNDING));
    assert!(
        near(grams("12 cl garlic"), 36.0, ROUNDING),
        "cl after a number and before garlic is cloves"
    );
    // A quarter of the table's cup is 34.0 g, twelve of its teaspoons of 2.8 g are 33.6 g.
    let minced = grams("1/4 c minced garlic");
    assert!(
        (33.6 - 0.01..=34.0 + 0.01).contains(&minced),
        "ours {minced} g"
    );
    let head = grams("1 head garlic");
    assert!((30.0..=36.0).contains(&head), "ours {head} g");
    let (low, high) = interval("1 head garlic");
    assert!(low <= 30.0 && high >= 36.0, "{low} to {high} g");
}

/// The smallest request of the contract, by hand: two cloves of 3.0 g for four are 1.5 g of garlic a
/// portion; garlic holds 9 to 20 g of fructans in 100 g (six sources), so 0.135 to 0.30 g.
#[test]
fn rice_and_two_cloves() {
    let bowl = assess(&tamis_tests::case("rice-bowl.json"));
    let garlic = &bowl["contributions"][1];
    assert!(near(number(&garlic["grams"]), 1.5, ROUNDING), "{garlic}");
    let brought = garlic["loads"]
        .as_array()
        .expect("loads")
        .iter()
        .find(|l| l["subgroup"] == "fructans");
    let fructans = number(&brought.expect("garlic brings fructans")["grams"]);
    assert!((0.135..=0.30).contains(&fructans), "ours {fructans} g");
    let total = of(&bowl, "fructans");
    let lines: f64 = bowl["contributions"]
        .as_array()
        .expect("contributions")
        .iter()
        .flat_map(|c| c["loads"].as_array().expect("loads"))
        .filter(|l| l["subgroup"] == "fructans")
        .map(|l| l["grams"].as_f64().unwrap_or(0.0))
        .sum();
    assert!(
        near(total, lines, 3.0 * ROUNDING),
        "the plate holds {total} g, its lines {lines} g"
    );
}
