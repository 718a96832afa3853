//! Cards, sub-recipes and files.

use serde_json::{Value, json};
use tamis_tests::{assess, case, load, run};

use super::{answered, dish, mentions, refused};

fn grams(answer: &Value, subgroup: &str) -> f64 {
    load(answer, subgroup)["grams"]
        .as_f64()
        .unwrap_or_else(|| panic!("no grams of {subgroup}: {answer}"))
}

#[test]
fn n22_the_same_row_twice() {
    let once = answered(&dish(
        json!({"name": "Plate", "portions": 1, "lines": ["80 g onion"]}),
    ));
    let twice = answered(&dish(
        json!({"name": "Plate", "portions": 1, "lines": ["80 g onion", "80 g onion"]}),
    ));
    assert_eq!(twice["contributions"].as_array().unwrap().len(), 2);
    assert!((grams(&twice, "fructans") / grams(&once, "fructans") - 2.0).abs() < 2e-3);
    assert!(
        mentions(&twice["assumptions"], "twice"),
        "{}",
        twice["assumptions"]
    );
}

#[test]
fn n23_a_cycle_names_its_path() {
    let request: Value = serde_json::from_str(&case("refused-cycle.json")).unwrap();
    let answer = super::post(&request);
    let problem = super::problem(&answer, 400, "SUB_RECIPE_CYCLE");
    let text = problem.to_string();
    let first = text.find("SUB-A").expect("the path names SUB-A");
    let second = text[first..]
        .find("SUB-B")
        .map(|i| i + first)
        .expect("then SUB-B");
    assert!(text[second..].contains("SUB-A"), "and back: {problem}");
    let own = dish(
        json!({"name": "Ouroboros", "code": "S-1", "portions": 1, "lines": ["100 g S-1"], "makes": "1 kg"}),
    );
    super::problem(&super::post(&own), 400, "SUB_RECIPE_CYCLE");
}

fn with_sauce(sauce: Value, line: &str) -> Value {
    dish(
        json!({"name": "Plate", "portions": 1, "lines": ["150 g cooked rice", line], "sub_recipes": [sauce]}),
    )
}

#[test]
fn n24_a_yield_of_nothing() {
    for yields in [json!("0 kg"), json!("0"), Value::Null] {
        let mut sauce = json!({"name": "Sauce", "code": "S-1", "lines": ["500 g tomato"]});
        if !yields.is_null() {
            sauce["makes"] = yields.clone();
        }
        let problem = super::problem(
            &super::post(&with_sauce(sauce, "60 g S-1")),
            400,
            "YIELD_INVALID",
        );
        assert!(mentions(&problem, "S-1"), "{problem}");
    }
}

#[test]
fn n25_more_than_a_batch() {
    let sauce = |makes: &str| json!({"name": "Sauce", "code": "S-1", "makes": makes, "lines": ["20 g onion", "80 g tomato"]});
    let plate = |line: &str| {
        answered(&dish(
            json!({"name": "Plate", "portions": 1, "lines": [line], "sub_recipes": [sauce("100 g")]}),
        ))
    };
    let (five, one) = (plate("500 g S-1"), plate("100 g S-1"));
    assert!((grams(&five, "fructans") / grams(&one, "fructans") - 5.0).abs() < 0.02);
    assert!(
        mentions(&five["assumptions"], "batches"),
        "{}",
        five["assumptions"]
    );
}

#[test]
fn n26_portions() {
    for portions in [json!(0), json!(-1), json!(-0.5), json!(1e300)] {
        let request = dish(json!({"name": "Plate", "portions": portions, "lines": ["80 g onion"]}));
        refused(&request, "FIELD_INVALID", "/dish/portions");
    }
    let whole = answered(&dish(
        json!({"name": "Plate", "portions": 3, "lines": ["80 g onion"]}),
    ));
    let half = answered(&dish(
        json!({"name": "Plate", "portions": 1.5, "lines": ["80 g onion"]}),
    ));
    assert!((grams(&half, "fructans") / grams(&whole, "fructans") - 2.0).abs() < 2e-3);
}

#[test]
fn n27_large_files() {
    let row = "Soup,4,80 g onion\n";
    let rows = format!("dish,serves,line\n{}", row.repeat(50_000));
    let ran = run(&["audit", "--format", "csv", "-"], rows);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(
        ran.err.chars().any(|c| c.is_ascii_digit()),
        "the limit is said: {}",
        ran.err
    );
    let ran = run(&["assess", "-"], vec![b'a'; 17 * 1024 * 1024]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains("16777216") || ran.err.contains("16 MiB"),
        "the limit is said: {}",
        ran.err
    );
    let ran = run(&["read", "-"], "x".repeat(9 * 1024 * 1024));
    assert_eq!(ran.code, 2, "one row of 9 MB");
}

#[test]
fn n28_workbooks_and_formulas() {
    // A workbook is refused: no door reads spreadsheets, so there is nothing to unpack or to evaluate.
    let ran = run(
        &["assess", "-"],
        b"PK\x03\x04\x14\x00\x06\x00\x08\x00\x00\x00!\x00\xff\xfe\x00\x01workbook.xml",
    );
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(!ran.err.is_empty());
    // A formula in a cell is a text like any other: not evaluated, not understood, and shown.
    for formula in [
        "=1+1",
        "=HYPERLINK(\"http://localhost/\",\"rice\")",
        "+1+1",
        "@SUM(A1)",
    ] {
        let answer = answered(&dish(
            json!({"name": "Plate", "portions": 1, "lines": ["150 g cooked rice", formula]}),
        ));
        assert_ne!(answer["ruling"], "serve", "{formula}");
        assert!(
            answer["unresolved"]
                .as_array()
                .unwrap()
                .iter()
                .any(|u| u["line"] == formula),
            "{answer}"
        );
    }
}

const CSV: &str = "dish,serves,line\nSoup,4,\"½ onion, chopped\"\nSoup,4,\"1 l water\"\n";

#[test]
fn n29_csv_of_many_encodings() {
    let plain = run(&["assess", "--json", "--format", "csv", "-"], CSV);
    assert!(plain.code < 2, "{}", plain.err);
    let mut utf16 = vec![0xff, 0xfe];
    utf16.extend(CSV.encode_utf16().flat_map(u16::to_le_bytes));
    let with_bom = [b"\xef\xbb\xbf", CSV.as_bytes()].concat();
    let semicolons = CSV
        .replace("dish,serves,line", "dish;serves;line")
        .replace("Soup,4,", "Soup;4;");
    for (what, bytes) in [
        ("byte order mark", with_bom),
        ("UTF-16", utf16),
        ("semicolons", semicolons.into_bytes()),
    ] {
        let ran = run(&["assess", "--json", "--format", "csv", "-"], bytes);
        assert!(ran.code < 2, "{what}: {}", ran.err);
        assert_eq!(ran.json()["loads"], plain.json()["loads"], "{what}");
    }
    // A Windows-1252 half: read as such, or refused with its place; never another number.
    let cp1252: Vec<u8> = CSV
        .chars()
        .map(|c| if c == '½' { 0xbd } else { c as u8 })
        .collect();
    let ran = run(&["assess", "--json", "--format", "csv", "-"], cp1252);
    if ran.code < 2 {
        assert_eq!(ran.json()["loads"], plain.json()["loads"]);
    } else {
        assert!(ran.err.contains("line 2"), "{}", ran.err);
    }
    let quoted = "dish,serves,line\nSoup,4,\"1 onion,\nchopped\"\n";
    let ran = run(&["assess", "--json", "--format", "csv", "-"], quoted);
    assert!(ran.code < 2 || !ran.err.is_empty(), "{ran:?}");
    if ran.code < 2 {
        assert_ne!(
            ran.json()["ruling"],
            "serve",
            "an onion for four is no rice"
        );
    }
}

/// What a printer would obey, or what reorders what is read.
fn is_harmless(text: &str) -> bool {
    let reorders = |c: char| matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}');
    text.chars()
        .all(|c| c == '\n' || !(c.is_control() || reorders(c)))
}

#[test]
fn n30_control_characters_in_names() {
    for name in [
        "Rice\u{0}",
        "Rice\u{1b}@",
        "Rice \u{202e}ecir",
        "Ri\u{200d}ce",
        "Rice\r\nSERVE",
        "\u{7}Rice",
    ] {
        let request = dish(
            json!({"name": name, "portions": 1, "lines": ["150 g cooked rice", "1 clove garlic"]}),
        );
        let answer = super::post(&request);
        if answer.status != 200 {
            super::problem(&answer, 400, "FIELD_INVALID");
            continue;
        }
        let ran = run(&["ticket", "-"], request.to_string());
        assert!(is_harmless(&ran.out), "{name:?}: {:?}", ran.out);
        let ran = run(&["assess", "-"], request.to_string());
        assert!(is_harmless(&ran.out), "{name:?}: {:?}", ran.out);
    }
}

#[test]
fn n31_names_without_end() {
    let request =
        dish(json!({"name": "n".repeat(5_000), "portions": 1, "lines": ["150 g cooked rice"]}));
    refused(&request, "FIELD_INVALID", "/dish/name");
    let request = dish(
        json!({"name": "n".repeat(200), "portions": 1, "lines": ["150 g cooked rice", "1 clove garlic"]}),
    );
    let ran = run(&["ticket", "-"], request.to_string());
    assert!(ran.code < 2, "{}", ran.err);
    assert!(
        ran.out.lines().all(|l| l.chars().count() <= 48),
        "a line runs over the paper:\n{}",
        ran.out
    );
}

#[test]
fn n33_by_and_to() {
    let sauce = |method: &str| {
        answered(&dish(
            json!({"name": "Jus", "makes": "1 l", "portion": "60 ml", "method": method, "lines": ["2 l water", "100 g onion"]}),
        ))
    };
    let (by_half, to_third, by_third) = (
        sauce("Reduce by half."),
        sauce("Reduce to 1/3."),
        sauce("Reduce by 1/3."),
    );
    // The yield is stated, so the grams on the plate are the same; what was done is not.
    assert_eq!(by_half["loads"], to_third["loads"]);
    assert_eq!(by_half["loads"], by_third["loads"]);
    assert!(
        mentions(&by_half["contributions"], "reduced"),
        "{}",
        by_half["contributions"]
    );
}

#[test]
fn n35_a_marinade_in_the_method_only() {
    let with = |method: &str| {
        answered(&dish(
            json!({"name": "Thighs", "portions": 50, "method": method,
            "lines": ["5 kg chicken thighs", "2 qt plain yogurt", "2 c onion, grated", "1/4 c garlic, minced"]}),
        ))
    };
    let marinated = with("Marinate overnight, drain and discard the marinade. Bake.");
    assert!(
        mentions(&marinated["assumptions"], "marinade"),
        "{}",
        marinated["assumptions"]
    );
    assert_ne!(
        marinated["loads"],
        with("Bake.")["loads"],
        "what is thrown away is not eaten"
    );
    assert_ne!(
        load(&marinated, "fructans")["high"],
        0.0,
        "and what stays is not nothing"
    );
}

#[test]
fn n38_dated_versions_are_refused() {
    // A card has no version and no date yet, so that a request with one is refused rather than
    // answered by whatever version is at hand.
    for field in ["effective", "version", "service_date"] {
        let mut card = json!({"name": "Plate", "portions": 1, "lines": ["80 g onion"]});
        card[field] = json!("2026-03-11");
        let problem = super::problem(&super::post(&dish(card)), 400, "FIELD_INVALID");
        assert!(mentions(&problem, field), "{problem}");
    }
}

#[test]
fn one_subject_at_a_time() {
    let request: Value = serde_json::from_str(&case("refused-both.json")).unwrap();
    super::problem(&super::post(&request), 400, "FIELD_INVALID");
    for request in [
        json!({}),
        json!({"diner": {"phase": "restriction"}}),
        json!({"sitting": []}),
    ] {
        super::problem(&super::post(&request), 400, "FIELD_INVALID");
    }
    let request = dish(json!({"name": "", "portions": 1, "lines": ["80 g onion"]}));
    refused(&request, "FIELD_INVALID", "/dish/name");
}

#[test]
fn limits_of_count_and_depth() {
    let mut card =
        json!({"name": "Deepest", "code": "S-40", "makes": "1 kg", "lines": ["100 g onion"]});
    for depth in (0..40).rev() {
        let below = card["code"].as_str().unwrap().to_owned();
        card = json!({"name": "Level", "code": format!("S-{depth}"), "makes": "1 kg", "lines": [format!("100 g {below}")], "sub_recipes": [card]});
    }
    super::problem(&super::post(&dish(card)), 400, "TOO_DEEP");
    let lines = vec!["1 g onion"; 10_000];
    refused(
        &dish(json!({"name": "Long", "portions": 1, "lines": lines})),
        "FIELD_INVALID",
        "/dish/lines",
    );
    let line = "1 g onion ".repeat(1_000);
    refused(
        &dish(json!({"name": "Wide", "portions": 1, "lines": [line]})),
        "FIELD_INVALID",
        "/dish/lines/0",
    );
    // Each of eight cards takes the next one twenty times: unfolded, more lines than any kitchen has.
    let mut card =
        json!({"name": "Leaf", "code": "T-8", "makes": "1 kg", "lines": vec!["1 g onion"; 20]});
    for depth in (1..8).rev() {
        let line = format!("1 g {}", card["code"].as_str().unwrap());
        card = json!({"name": "Level", "code": format!("T-{depth}"), "makes": "1 kg", "lines": vec![line; 20], "sub_recipes": [card]});
    }
    super::problem(&super::post(&dish(card)), 400, "TOO_DEEP");
}

#[test]
fn a_card_in_plain_text_is_the_card_in_json() {
    let text = "Rice bowl\nserves 4\n\n300 g rice\n2 cloves garlic\n";
    let from_text = assess(text);
    let from_json = assess(&case("rice-bowl.json"));
    assert_eq!(from_text, from_json);
}
