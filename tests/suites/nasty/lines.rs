//! Recipe lines, through `tamis read --json` and `tamis assess --json`.

use serde_json::{Value, json};
use tamis_tests::{plate, read_one};

fn amount(line: &str) -> (Option<f64>, Option<f64>, Option<String>) {
    let read = read_one(line);
    (
        read["quantity"].as_f64(),
        read["quantity_high"].as_f64(),
        read["unit"].as_str().map(str::to_owned),
    )
}

fn is(line: &str, low: f64, high: Option<f64>, unit: &str) {
    assert_eq!(
        amount(line),
        (Some(low), high, Some(unit.to_owned())),
        "{line}"
    );
}

fn grams(line: &str) -> f64 {
    let read = read_one(line);
    read["grams"]
        .as_f64()
        .unwrap_or_else(|| panic!("{line} has no grams: {read}"))
}

fn doubts(line: &str) -> Value {
    let doubts = read_one(line)["doubts"].clone();
    assert_ne!(doubts, json!([]), "{line} is read without a doubt");
    doubts
}

fn food(line: &str) -> Value {
    read_one(line)["food"].clone()
}

/// The line stands in the answer, the dish does not go out, and nothing was guessed.
fn held(line: &str) -> Value {
    let answer = plate(&["150 g cooked rice", line]);
    assert_ne!(answer["ruling"], "serve", "{line}: {answer}");
    let shown = answer["unresolved"]
        .as_array()
        .expect("unresolved")
        .iter()
        .any(|u| u["line"] == line);
    assert!(
        shown,
        "{line} does not stand in unresolved: {}",
        answer["unresolved"]
    );
    answer
}

#[test]
fn n01_one_and_a_half_cups() {
    for line in ["1½ c rice", "1 1/2c rice", "1-1/2 cups rice", "1.5 C rice"] {
        is(line, 1.5, None, "cup");
    }
}

#[test]
fn n02_big_and_small_spoons() {
    is("2 T butter", 2.0, None, "tbsp");
    is("2 t butter", 2.0, None, "tsp");
    for line in ["2 tbs butter", "2 TBSPN butter"] {
        is(line, 2.0, None, "tbsp");
        doubts(line);
    }
}

#[test]
fn n03_a_range_keeps_both_ends() {
    is("3-4 cloves garlic", 3.0, Some(4.0), "clove");
    let read = read_one("3-4 cloves garlic");
    let (low, high) = (
        read["grams_low"].as_f64().unwrap(),
        read["grams_high"].as_f64().unwrap(),
    );
    assert!(low <= 9.0 && high >= 12.0, "{read}");
}

#[test]
fn n04_ranges_and_fractions() {
    is("3-4 oz cheddar", 3.0, Some(4.0), "oz");
    is("3 -4oz cheddar", 3.0, Some(4.0), "oz");
    is("3/4 oz cheddar", 0.75, None, "oz");
    is("3–4 oz cheddar", 3.0, Some(4.0), "oz");
}

#[test]
fn n05_a_bare_ounce_of_sauce_has_two_readings() {
    let doubts = doubts("2 oz soy sauce").to_string();
    assert!(
        doubts.contains("fl") || doubts.contains("fluid"),
        "{doubts}"
    );
}

#[test]
fn n06_a_number_ten_can_is_one_can() {
    for line in [
        "1 #10 can tomatoes",
        "1 No.10 can tomatoes",
        "1 A10 tin tomatoes",
    ] {
        is(line, 1.0, None, "#10-can");
        assert!(
            (2_000.0..3_500.0).contains(&grams(line)),
            "{line}: {} g",
            grams(line)
        );
    }
}

#[test]
fn n07_pounds_and_dishers_by_the_side_of_the_sign() {
    assert!((grams("10# onions") - 4_535.9).abs() < 5.0);
    is("1 #10 scoop cooked rice", 1.0, None, "#10-disher");
}

#[test]
fn n08_without_an_amount_nothing_is_made_up() {
    for line in [
        "garlic TT",
        "garlic to taste",
        "garlic as needed",
        "garlic QB",
        "garlic q.s.",
        "a glug of cream",
    ] {
        let read = read_one(line);
        assert!(
            read["grams"].is_null() || read["grams_low"] != read["grams_high"],
            "{line}: {read}"
        );
        assert_ne!(
            plate(&["150 g cooked rice", line])["ruling"],
            "serve",
            "{line}"
        );
    }
    let salted = plate(&["150 g cooked rice", "salt to taste"]);
    assert_eq!(salted["ruling"], "serve", "salt holds none: {salted}");
}

#[test]
fn n09_a_bulb_is_no_clove() {
    let clove = grams("1 clove garlic");
    for line in ["1 bulb garlic", "1 hd garlic", "1 head garlic"] {
        let read = read_one(line);
        let ratio = read["grams"].as_f64().expect("grams") / clove;
        assert!((8.0..=15.0).contains(&ratio), "{line} is {ratio} cloves");
        assert!(
            read["grams_low"].as_f64() < read["grams_high"].as_f64(),
            "{read}"
        );
    }
}

#[test]
fn n10_the_part_changes_the_food() {
    assert_eq!(food("1 bunch scallions, green part only"), "scallion-green");
    assert_eq!(food("20 g scallions, white part"), "scallion-bulb");
}

#[test]
fn n11_a_condition_does_not_drop_a_line() {
    let answer = plate(&["150 g cooked rice", "80 g onion (omit for gf)"]);
    assert_ne!(answer["ruling"], "serve");
    assert!(
        answer["contributions"]
            .as_array()
            .unwrap()
            .iter()
            .any(|c| c["food"] == "onion" && c["grams"] == 80.0),
        "{answer}"
    );
}

#[test]
fn n12_negation() {
    let answer = plate(&["150 g cooked rice", "no onion"]);
    assert!(
        !answer["contributions"]
            .as_array()
            .unwrap()
            .iter()
            .any(|c| c["food"] == "onion"),
        "{answer}"
    );
    assert!(
        super::mentions(&answer["assumptions"], "no onion"),
        "what was left out is said: {}",
        answer["assumptions"]
    );
    assert_ne!(food("200 ml onion-free stock"), "onion");
}

#[test]
fn n13_two_languages_one_food() {
    let read = read_one("Zwiebel/cebolla/onion 200g");
    assert_eq!(
        (&read["food"], &read["grams"]),
        (&json!("onion"), &json!(200.0)),
        "{read}"
    );
}

#[test]
fn n14_other_languages_are_known_or_echoed() {
    assert_eq!(food("200 g oignon"), "onion");
    assert_eq!(food("10 g ajo"), "garlic");
    assert_eq!(food("10 g Knoblauch"), "garlic");
    let line = "200g たまねぎ";
    if food(line).is_null() {
        held(line);
    } else {
        assert_eq!(food(line), "onion");
    }
}

#[test]
fn n15_a_slip_of_the_pen_is_never_corrected_in_silence() {
    for (line, meant) in [
        ("80 g onoin", "onion"),
        ("5 g garlick", "garlic"),
        ("2 g tumeric", "turmeric"),
        ("80 g chickpee", "chickpea"),
    ] {
        let answer = plate(&["150 g cooked rice", line]);
        // Either nothing is matched and the near food is offered, or the match is said.
        let said = super::mentions(&answer["unresolved"], meant)
            || answer["assumptions"]
                .as_array()
                .unwrap()
                .iter()
                .any(|a| a["line"] == line && super::mentions(a, meant));
        assert!(
            said,
            "{line}: {} {}",
            answer["unresolved"], answer["assumptions"]
        );
        let silent =
            answer["unresolved"] == json!([]) && answer["ruling"] == "serve" && meant != "turmeric";
        assert!(!silent, "{line} went out");
    }
}

#[test]
fn n16_markup_is_taken_off() {
    let read = read_one("<b>2 cups</b> milk");
    assert_eq!(
        (&read["quantity"], &read["unit"], &read["food"]),
        (&json!(2.0), &json!("cup"), &json!("milk-whole")),
        "{read}"
    );
    let read = read_one("&frac12; tsp salt<br>");
    assert_eq!(
        (&read["quantity"], &read["unit"]),
        (&json!(0.5), &json!("tsp")),
        "{read}"
    );
    assert!(!read["food_text"].as_str().unwrap().contains('<'), "{read}");
}

#[test]
fn n17_pictures_are_known_or_echoed() {
    let line = "🧅 x2, 🧄x3";
    let answer = plate(&["150 g cooked rice", line]);
    assert_ne!(answer["ruling"], "serve");
    assert!(super::mentions(&answer, line), "{answer}");
}

#[test]
fn n18_less_than_nothing() {
    held("-3 cups flour");
    let read = read_one("-3 cups flour");
    assert!(
        read["quantity"].as_f64().is_none_or(|q| q >= 0.0) && read["grams"].is_null(),
        "{read}"
    );
    doubts("-3 cups flour");
}

#[test]
fn n19_numbers_that_are_none_and_numbers_of_two_countries() {
    for line in ["NaN g sugar", "Infinity g sugar"] {
        held(line);
    }
    // Over the cap: held at the cap, and said.
    assert!(super::mentions(&doubts("1e9 g sugar"), "too large"));
    let answer = plate(&["150 g cooked rice", "1e9 g wheat flour"]);
    assert_ne!(answer["ruling"], "serve");
    assert!(
        super::mentions(&answer["assumptions"], "capped"),
        "{answer}"
    );
    assert_eq!(grams("1,5 kg potatoes"), 1_500.0);
    doubts("1.500 kg potatoes");
}

#[test]
fn n20_zero_is_a_number() {
    let answer = plate(&["150 g cooked rice", "0 g garlic"]);
    let garlic = answer["contributions"]
        .as_array()
        .unwrap()
        .iter()
        .find(|c| c["food"] == "garlic");
    assert_eq!(garlic.expect("it is listed")["grams"], 0.0);
    assert_eq!(answer["ruling"], "serve", "{answer}");
}

#[test]
fn n21_lines_that_say_nothing() {
    for line in ["-", "n/a"] {
        held(line);
    }
    for line in ["", "   "] {
        let request = super::dish(
            json!({"name": "Plate", "portions": 1, "lines": ["150 g cooked rice", line]}),
        );
        super::refused(&request, "FIELD_INVALID", "/dish/lines/1");
    }
}

#[test]
fn n32_drained_has_three_states() {
    let drained = read_one("400 g can chickpeas, drained");
    let with_liquor = read_one("400 g can chickpeas, undrained");
    assert_ne!(
        drained["state"], with_liquor["state"],
        "{drained} {with_liquor}"
    );
    let unsaid = plate(&["1 can chickpeas"]);
    assert!(
        super::mentions(&unsaid["assumptions"], "drain"),
        "what was taken is said: {}",
        unsaid["assumptions"]
    );
    assert_eq!(
        read_one("100 g chickpeas, drnd")["state"],
        read_one("100 g chickpeas, drained")["state"]
    );
}

#[test]
fn n34_the_place_of_the_state_does_not_matter() {
    for line in ["1 cup rice, cooked", "1 cup cooked rice"] {
        assert_eq!(read_one(line)["state"], "cooked", "{line}");
    }
    assert_eq!(read_one("rice 1c (dry)")["state"], "dry");
    assert!((grams("1 cup cooked rice") - 158.0).abs() < 1.0);
    assert!((grams("rice 1c (dry)") - 185.0).abs() < 1.0);
}

#[test]
fn n36_a_house_mix_without_a_card() {
    let answer = held("10 g spice mix (house)");
    assert_eq!(answer["ruling"], "refer");
}

#[test]
fn n37_whatever_milk_we_have() {
    held("sub: use whatever milk we have");
}

#[test]
fn extra_units_and_pairs() {
    is("1 doz eggs", 12.0, None, "each");
    let (count, _, unit) = amount("2x4oz salmon fillets");
    assert!(count == Some(2.0) && unit.is_some_and(|u| u.starts_with("each")));
    assert!((grams("2x4oz salmon fillets") - 226.8).abs() < 0.3);
    doubts("450g (2lb) potatoes");
    for line in [
        "1 pinch salt",
        "1 knob butter",
        "1 handful spinach",
        "1 stick butter",
        "1 sleeve crackers",
        "1 flat strawberries",
        "1 hotel pan rice",
    ] {
        let read = read_one(line);
        assert_eq!(read["quantity"], 1.0, "{read}");
        assert!(!read["unit"].is_null(), "{read}");
    }
}

/// Whatever stands on a line: if it was not understood, the dish does not go out.
#[test]
fn no_dish_with_a_line_not_understood_rules_serve() {
    let odd = [
        "3 flurbs of zint",
        "200 g",
        "???",
        "1/0 cup rice",
        "2 cups of something nice",
        "half",
        "12345",
        "///",
        "1 cup ½ ½ milk",
        "g 200",
        "the usual",
        "see over",
        "as Tuesday",
        "99999999 kg rice",
        "0x10 g rice",
        "٣ cups rice",
        "<script>1 g rice</script> zzz",
        "1 cup rice and a bit of that thing",
        "'; drop table foods; --",
        "../../etc/passwd",
        "{{7*7}} g rice",
        "%s%s%n",
    ];
    let mut left = 0;
    for line in odd {
        let answer = plate(&["150 g cooked rice", line]);
        let understood = answer["unresolved"] == json!([]);
        left += usize::from(!understood);
        assert!(
            understood || answer["ruling"] != "serve",
            "{line}: {answer}"
        );
        // Markup is taken off before a line is read.
        let shown = line.replace("<script>", "").replace("</script>", "");
        let echoed = answer["unresolved"]
            .as_array()
            .unwrap()
            .iter()
            .any(|u| u["line"] == shown);
        assert!(
            understood || echoed,
            "{line} is not echoed: {}",
            answer["unresolved"]
        );
    }
    assert!(
        left >= odd.len() / 2,
        "only {left} of {} odd lines were found odd",
        odd.len()
    );
}
