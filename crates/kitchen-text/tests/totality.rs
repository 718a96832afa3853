//! Any text gives an answer, and none of it is dropped without a word.

use proptest::prelude::*;
use tamis_kitchen_text::{decode, read_cards, read_line, read_menu, read_method};

/// Pieces of kitchen writing, put together in any order.
fn kitchen() -> impl Strategy<Value = String> {
    let pieces = prop::sample::select(vec![
        "1",
        "1/2",
        "½",
        "-",
        "–",
        "3-4",
        "x",
        "×",
        "#",
        "#10",
        "10#",
        "oz",
        "oz wt",
        "L",
        "T",
        "t",
        "c",
        "cl",
        "g",
        "kg",
        "tins",
        "can",
        "doz",
        "(",
        ")",
        "\"",
        "“",
        "[",
        ",",
        ";",
        ":",
        "/",
        "%",
        "°",
        "F",
        "~",
        "=",
        "->",
        "*",
        ".",
        " ",
        " ",
        " ",
        "onion",
        "garlic",
        "no",
        "w/o",
        "-free",
        "AP",
        "EP",
        "drained",
        "TT",
        "to taste",
        "SB-02",
        "🧅",
        "たまねぎ",
        "<b>",
        "&frac12;",
        "&",
        "\u{202E}",
        "\0",
        "whatever",
        "or",
        "1e9",
        "NaN",
        "of",
        "lg",
        "garnish",
        "1.500",
        "1,5",
        "label:",
        "omit for gf",
        "No.",
        "A10",
        "to",
        "full",
        "hotel",
        "pan",
        "İ",
        "ẞ",
        "\n",
    ]);
    prop::collection::vec(pieces, 0..40).prop_map(|v| v.concat())
}

fn stands(text: &str) -> Result<(), TestCaseError> {
    let line = read_line(text, 3);
    prop_assert!(
        !line.food_text.is_empty() || !line.doubts.is_empty() || !line.faults.is_empty(),
        "nothing said of {text:?}"
    );
    prop_assert_eq!(line.number, 3);
    for doubt in &line.doubts {
        prop_assert!(
            line.text.get(doubt.span.start..doubt.span.end).is_some(),
            "{:?} in {:?}",
            doubt,
            line.text
        );
    }
    for amount in &line.amounts {
        prop_assert!(
            !amount.span.of(&line.text).is_empty(),
            "{:?} in {:?}",
            amount,
            line.text
        );
        if let Some((low, high)) = amount.quantity.bounds() {
            prop_assert!(low <= high && low.get().is_finite() && low.get() >= 0.0);
        }
    }
    prop_assert!(line.text.chars().all(|c| !c.is_control()));
    // Every letter shown is somewhere in the result.
    let mut said: String = [
        line.food_text.as_str(),
        line.statement.as_deref().unwrap_or(""),
        line.reference.as_deref().unwrap_or(""),
    ]
    .into_iter()
    .chain(line.preparation.iter().map(String::as_str))
    .chain(line.conditions.iter().map(String::as_str))
    .collect();
    said.extend(line.amounts.iter().map(|a| a.span.of(&line.text)));
    for word in ["onion", "garlic", "たまねぎ", "🧅"] {
        if line.text.contains(word) && line.faults.is_empty() {
            prop_assert!(
                said.contains(word),
                "{} of {:?} is lost in {:?}",
                word,
                line.text,
                line
            );
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read(text in any::<String>()) {
        stands(&text)?;
    }

    #[test]
    fn any_kitchen_writing_is_read(text in kitchen()) {
        stands(&text)?;
    }

    #[test]
    fn methods_keep_every_sentence(text in kitchen()) {
        let method = read_method(&text);
        let kept: String = method.iter().flat_map(|s| s.text.chars()).filter(|c| !c.is_whitespace()).collect();
        let given: String = text.chars().filter(|c| !c.is_whitespace()).collect();
        prop_assert_eq!(kept, given);
        for sentence in &method {
            prop_assert!(!sentence.steps.is_empty());
            prop_assert_eq!(sentence.span.of(&text), &sentence.text);
            for step in &sentence.steps {
                prop_assert!(!step.span.of(&text).is_empty());
            }
        }
    }

    #[test]
    fn files_never_panic(text in kitchen(), bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let _ = read_cards(&format!("Pie\n\n{text}\n\n{text}\n===\n{text}"));
        let _ = read_menu(format!("dish,line,method\nPie,{text},{text}\n").as_bytes());
        let _ = read_menu(&bytes);
        let _ = decode(&bytes);
    }
}
