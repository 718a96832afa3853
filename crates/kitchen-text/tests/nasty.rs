//! Forty bad or odd inputs: those that concern text, by their number.

use rstest::rstest;
use tamis_kitchen_text::{
    Amount, CardError, DoubtKind, Drained, FileError, LineFault, Negation, Part, Quantity,
    ReadLine, Step, Weight, limits, read_cards, read_line, read_menu, read_method,
};

fn kinds(line: &ReadLine) -> Vec<DoubtKind> {
    line.doubts.iter().map(|d| d.kind).collect()
}

fn first(line: &ReadLine) -> String {
    line.amounts
        .first()
        .map(|a: &Amount| format!("{} {}", a.quantity, a.unit))
        .unwrap_or_default()
}

#[test]
fn n01_every_spelling_of_one_and_a_half_cups_is_the_same() {
    for text in ["1½ c milk", "1 1/2c milk", "1-1/2 cups milk", "1.5 C milk"] {
        let line = read_line(text, 1);
        assert_eq!(
            (first(&line).as_str(), line.food_text.as_str()),
            ("1.5 cup", "milk"),
            "{text}"
        );
        assert!(line.doubts.is_empty());
    }
}

#[test]
fn n02_case_tells_spoons_apart_and_is_said() {
    let (big, small) = (read_line("2 T oil", 1), read_line("2 t oil", 1));
    assert_eq!(
        (first(&big).as_str(), first(&small).as_str()),
        ("2 tbsp", "2 tsp")
    );
    assert_eq!(
        (kinds(&big), kinds(&small)),
        (vec![DoubtKind::SpoonCase], vec![DoubtKind::SpoonCase])
    );
    for text in ["2 tbs oil", "2 TBSPN oil"] {
        let line = read_line(text, 1);
        assert_eq!(first(&line), "2 tbsp");
        assert_eq!(kinds(&line), [DoubtKind::UnusualSpelling]);
    }
}

#[test]
fn n03_n04_ranges_keep_both_ends_and_are_no_fractions() {
    assert_eq!(first(&read_line("3-4 cloves garlic", 1)), "3-4 clove");
    for text in ["3-4 oz cheese", "3 -4oz cheese", "3–4 oz cheese"] {
        assert_eq!(first(&read_line(text, 1)), "3-4 oz", "{text}");
    }
    assert_eq!(first(&read_line("3/4 oz cheese", 1)), "0.75 oz");
}

#[test]
fn n05_an_ounce_of_sauce_is_open() {
    let line = read_line("8 oz BBQ sauce", 1);
    assert_eq!(kinds(&line), [DoubtKind::AmbiguousUnit]);
    assert_eq!(line.doubts[0].kind.weight(), Weight::Open);
    assert!(line.amounts[0].grams().is_some() && line.amounts[0].millilitres().is_some());
}

#[test]
fn n06_n07_the_side_of_the_sign_tells_pound_tin_and_disher() {
    for text in [
        "1 #10 can tomatoes",
        "1 No.10 can tomatoes",
        "1 No. 10 tin tomatoes",
        "1 A10 tin tomatoes",
    ] {
        assert_eq!(first(&read_line(text, 1)), "1 #10-can", "{text}");
    }
    assert_eq!(first(&read_line("10# onions", 1)), "10 lb");
    assert_eq!(first(&read_line("#10 scoop mash", 1)), "1 #10-disher");
    let open = read_line("lentils 1 #10", 1);
    assert_eq!(
        (first(&open).as_str(), kinds(&open)),
        ("1 #10-can", vec![DoubtKind::AmbiguousUnit])
    );
}

#[rstest]
#[case("salt TT", "TT", "salt")]
#[case("salt, to taste", "to taste", "salt")]
#[case("oil as needed", "as needed", "oil")]
#[case("sale QB", "QB", "sale")]
#[case("pepper q.s.", "q.s.", "pepper")]
#[case("a glug olive oil", "a glug", "olive oil")]
fn n08_no_number_is_said(#[case] text: &str, #[case] word: &str, #[case] food: &str) {
    let line = read_line(text, 1);
    assert_eq!(
        line.amounts[0].quantity,
        Quantity::Unquantified(word.into())
    );
    assert_eq!(line.food_text, food);
    assert_eq!(kinds(&line), [DoubtKind::Unquantified]);
}

#[test]
fn n09_bulb_head_and_clove_differ() {
    let units: Vec<String> = ["1 bulb garlic", "1 clove garlic", "1 hd garlic"]
        .iter()
        .map(|t| first(&read_line(t, 1)))
        .collect();
    assert_eq!(units, ["1 bulb", "1 clove", "1 head"]);
}

#[test]
fn n10_the_part_is_marked() {
    let line = read_line("1 bunch scallions, green part only", 1);
    assert_eq!(
        (line.part, line.food_text.as_str()),
        (Part::GreenTops, "scallions")
    );
}

#[test]
fn n11_n12_conditions_and_negations_keep_the_food() {
    let line = read_line("onion (omit for gf)", 1);
    assert_eq!(
        (line.food_text.as_str(), line.conditions.as_slice()),
        ("onion", &["omit for gf".to_owned()][..])
    );
    assert_eq!(line.negation, Negation::None);
    let line = read_line("no onion", 1);
    assert_eq!(
        (line.food_text.as_str(), line.negation),
        ("onion", Negation::Line)
    );
    let line = read_line("onion-free stock 1 L", 1);
    assert_eq!(line.food_text, "onion-free stock");
    assert_eq!(line.negation, Negation::Within(vec!["onion".into()]));
}

#[test]
fn n13_n14_other_languages_pass_through() {
    let line = read_line("Zwiebel/cebolla/onion 200g", 1);
    assert_eq!(
        (first(&line).as_str(), line.food_text.as_str()),
        ("200 g", "Zwiebel/cebolla/onion")
    );
    assert_eq!(line.alternatives, ["Zwiebel", "cebolla", "onion"]);
    for word in ["oignon", "ajo", "Knoblauch", "たまねぎ"] {
        let line = read_line(&format!("{word} 200g"), 1);
        assert_eq!(
            (first(&line).as_str(), line.food_text.as_str()),
            ("200 g", word)
        );
    }
}

#[test]
fn n15_misspellings_are_not_corrected_here() {
    for word in ["onoin", "garlick", "tumeric", "chickpee"] {
        assert_eq!(read_line(&format!("20 g {word}"), 1).food_text, word);
    }
}

#[test]
fn n16_markup_goes_and_the_second_amount_is_said() {
    let line = read_line("<b>2 cups</b> milk<br>&frac12; tsp", 1);
    assert_eq!(line.text, "2 cups milk ½ tsp");
    assert_eq!(first(&line), "2 cup");
    assert_eq!(
        kinds(&line),
        [DoubtKind::MarkupRemoved, DoubtKind::SeveralAmounts]
    );
}

#[test]
fn n17_pictures_are_echoed() {
    let line = read_line("🧅 x2, 🧄x3", 1);
    assert_eq!(
        (first(&line).as_str(), line.food_text.as_str()),
        ("2 each", "🧅")
    );
    assert_eq!(line.preparation, ["🧄x3"]);
    assert_eq!(kinds(&line), [DoubtKind::SeveralAmounts]);
}

#[test]
fn n18_below_zero_is_refused_and_the_line_stands() {
    let line = read_line("-3 cups flour", 1);
    assert_eq!(
        line.faults,
        [LineFault::Negative {
            column: 1,
            found: "-3 cups".into()
        }]
    );
    assert_eq!((line.amounts.len(), line.food_text.as_str()), (0, "flour"));
    assert_eq!(first(&read_line("- 3 cups flour", 1)), "3 cup");
}

#[test]
fn n19_numbers_that_are_none() {
    let huge = read_line("1e9 g sugar", 1);
    assert_eq!(
        huge.faults,
        [LineFault::TooLarge {
            column: 1,
            found: "1e9".into()
        }]
    );
    assert_eq!(
        (first(&huge).as_str(), kinds(&huge)),
        ("1000000 g", vec![DoubtKind::Capped])
    );
    for text in ["NaN g sugar", "Infinity g sugar", "-inf g sugar"] {
        let line = read_line(text, 1);
        assert!(
            matches!(line.faults[..], [LineFault::NotFinite { column: 1, .. }]),
            "{text}"
        );
        assert_eq!(line.food_text, "sugar");
        assert!(line.amounts.is_empty());
    }
    assert!(matches!(
        read_line("1/0 cup oil", 1).faults[..],
        [LineFault::NotFinite { .. }]
    ));
    let comma = read_line("1,5 kg flour", 1);
    assert_eq!(
        (first(&comma).as_str(), kinds(&comma)),
        ("1.5 kg", vec![DoubtKind::DecimalComma])
    );
    let point = read_line("1.500 kg flour", 1);
    assert_eq!(
        (first(&point).as_str(), kinds(&point)),
        ("1.5 kg", vec![DoubtKind::SeveralReadings])
    );
    assert!(point.doubts[0].tried.contains("1500"));
}

#[test]
fn n20_nothing_of_it_is_a_valid_amount() {
    let line = read_line("0 g garlic", 1);
    assert_eq!(first(&line), "0 g");
    assert!(line.faults.is_empty() && line.doubts.is_empty());
}

#[rstest]
#[case("")]
#[case("   \t ")]
#[case("-")]
#[case("n/a")]
#[case("...")]
fn n21_empty_lines_are_faults(#[case] text: &str) {
    assert_eq!(read_line(text, 7).faults, [LineFault::Empty]);
}

#[test]
fn n22_the_same_line_twice_stays_twice() {
    let cards = read_cards("Rice\nserves 2\n\n100 g rice\n100 g rice\n").unwrap();
    let card = cards[0].as_ref().unwrap();
    assert_eq!(
        card.lines.iter().map(|l| l.number).collect::<Vec<_>>(),
        [4, 5]
    );
}

#[rstest]
#[case("serves 0")]
#[case("serves -1")]
#[case("serves many")]
#[case("serves 1e12")]
#[case("serves 2 kg")]
fn n26_portions_that_are_none(#[case] header: &str) {
    let cards = read_cards(&format!("Rice\n{header}\n\n100 g rice\n")).unwrap();
    assert!(
        matches!(
            cards[0],
            Err(CardError::Serves {
                line: 2,
                column: 8,
                ..
            })
        ),
        "{:?}",
        cards[0]
    );
}

#[test]
fn n26_half_a_portion_more_is_accepted() {
    let cards = read_cards("Rice\nserves 1.5\n\n100 g rice\n").unwrap();
    assert_eq!(
        cards[0].as_ref().unwrap().serves.map(|n| n.get()),
        Some(1.5)
    );
}

#[test]
fn n24_a_yield_of_nothing_is_refused() {
    let cards =
        read_cards("Sauce\nmakes 0 kg\n\n100 g rice\n===\nSauce\nmakes\n\n100 g rice\n").unwrap();
    assert!(matches!(
        cards[0],
        Err(CardError::Amount {
            line: 2,
            column: 7,
            what: "makes",
            ..
        })
    ));
    assert!(matches!(
        cards[1],
        Err(CardError::Amount {
            line: 7,
            what: "makes",
            ..
        })
    ));
}

#[test]
fn n27_limits_hold() {
    let large = "x".repeat(limits::FILE_BYTES + 1);
    assert_eq!(
        read_cards(&large),
        Err(FileError::TooLarge {
            bytes: limits::FILE_BYTES + 1
        })
    );
    assert!(matches!(
        read_menu(large.as_bytes()),
        Err(FileError::TooLarge { .. })
    ));
    let rows = "dish,line\n".to_owned() + &"A,1 g salt\n".repeat(50_000);
    let menu = read_menu(rows.as_bytes()).unwrap();
    assert!(
        matches!(menu[0], Err(CardError::TooManyLines { line: 202 })),
        "{:?}",
        menu[0]
    );
    let many = "A\n\n1 g salt\n===\n".repeat(limits::CARDS + 1);
    assert_eq!(read_cards(&many), Err(FileError::TooManyCards));
    let long = format!("A\n\n{}", "1 g salt\n".repeat(limits::CARD_LINES));
    assert!(matches!(
        read_cards(&long).unwrap()[0],
        Err(CardError::TooManyLines { line: 201 })
    ));
    let method = format!("A\n\n1 g salt\n\n{}", "Stir. ".repeat(limits::METHOD_CHARS));
    assert!(matches!(
        read_cards(&method).unwrap()[0],
        Err(CardError::MethodTooLong { line: 5 })
    ));
}

#[test]
fn n27_a_long_line_is_cut_and_said() {
    let line = read_line(&format!("1 g {}", "salt ".repeat(2_000_000)), 1);
    assert!(matches!(
        line.faults[..],
        [LineFault::TooLong {
            column: 501,
            chars: 10_000_004
        }]
    ));
    assert!(line.text.chars().count() <= limits::LINE_CHARS);
    assert_eq!(first(&line), "1 g");
}

#[rstest]
#[case("=1+1")]
#[case("=HYPERLINK(\"http://example.org\")")]
fn n28_formulas_are_text(#[case] text: &str) {
    let line = read_line(text, 1);
    assert_eq!(
        (line.food_text.as_str(), kinds(&line)),
        (text, vec![DoubtKind::Formula])
    );
    assert!(line.amounts.is_empty());
}

#[test]
fn n29_encodings_and_delimiters_of_menus() {
    let menu = "dish;line\nPie;½ cup milk\nPie;\"2 g salt\n3 g sugar\"\n";
    let utf8 = read_menu(menu.as_bytes()).unwrap();
    assert_eq!(utf8[0].as_ref().unwrap().lines.len(), 3);
    let marked = [&[0xEF, 0xBB, 0xBF][..], menu.as_bytes()].concat();
    let utf16 = [
        &[0xFE, 0xFF][..],
        &menu
            .encode_utf16()
            .flat_map(u16::to_be_bytes)
            .collect::<Vec<_>>(),
    ]
    .concat();
    let cp1252: Vec<u8> = menu
        .chars()
        .map(|c| u8::try_from(u32::from(c)).unwrap())
        .collect();
    for bytes in [marked, utf16, cp1252] {
        assert_eq!(read_menu(&bytes).unwrap(), utf8);
    }
    assert_eq!(
        read_menu(&[b'd', 0x81, 0xFF]),
        Err(FileError::Encoding { at: 1 })
    );
}

#[test]
fn n30_n31_hidden_characters_and_printer_codes_go() {
    let line = read_line("ri\0ce\u{1b}@ \u{202E}oats\u{200D} 2 g", 1);
    assert_eq!(line.text, "rice@ oats 2 g");
    assert_eq!(
        kinds(&line),
        [
            DoubtKind::ControlRemoved,
            DoubtKind::DirectionRemoved,
            DoubtKind::InvisibleRemoved
        ]
    );
    let cards = read_cards("Pie\u{1b}@\n\n2 g salt\n").unwrap();
    assert_eq!(cards[0].as_ref().unwrap().name, "Pie@");
    let cards = read_cards(&format!("{}\n\n2 g salt\n", "x".repeat(5_000))).unwrap();
    assert_eq!(
        cards[0],
        Err(CardError::NameTooLong {
            line: 1,
            column: 201
        })
    );
}

#[rstest]
#[case("1 tin chickpeas, drained", Drained::Drained)]
#[case("1 tin chickpeas, drnd", Drained::Drained)]
#[case("1 tin chickpeas, undrained", Drained::WithLiquid)]
#[case("1 tin chickpeas", Drained::Unstated)]
fn n32_three_states_of_draining(#[case] text: &str, #[case] wanted: Drained) {
    let line = read_line(text, 1);
    assert_eq!(
        (line.drained, line.food_text.as_str()),
        (wanted, "chickpeas")
    );
}

#[test]
fn n33_by_is_not_to() {
    let step = |text: &str| read_method(text)[0].steps[0].step;
    assert!(matches!(step("Reduce by half."), Step::ReduceBy(n) if n.get() == 0.5));
    assert!(
        matches!(step("Reduce to 1/3."), Step::ReduceTo(n) if (n.get() - 1.0 / 3.0).abs() < 1e-12)
    );
    assert!(
        matches!(step("Reduce by 1/3."), Step::ReduceBy(n) if (n.get() - 1.0 / 3.0).abs() < 1e-12)
    );
    assert!(matches!(step("Reduce 1/3."), Step::ReduceUnclear(_)));
}

#[test]
fn n34_words_of_state_are_kept_wherever_they_stand() {
    let read = |text: &str| {
        let line = read_line(text, 1);
        (line.food_text, line.preparation)
    };
    assert_eq!(
        read("1 cup rice, cooked"),
        ("rice".into(), vec!["cooked".into()])
    );
    assert_eq!(read("1 cup cooked rice"), ("cooked rice".into(), vec![]));
    assert_eq!(read("rice 1c (dry)"), ("rice".into(), vec!["dry".into()]));
}

#[test]
fn n35_a_marinade_in_the_method_comes_out() {
    let method = read_method("Marinate, discard.");
    assert_eq!(
        method[0].steps[0].step,
        Step::MarinateDiscard { hours: None }
    );
}

#[test]
fn n36_a_mix_without_recipe_has_no_reference() {
    let line = read_line("spice mix (house)", 1);
    assert_eq!(
        (line.food_text.as_str(), line.reference.as_deref()),
        ("spice mix", None)
    );
    assert_eq!(kinds(&line), [DoubtKind::Unquantified]);
}

#[test]
fn n37_an_open_choice_is_said() {
    let line = read_line("sub: use whatever milk we have", 1);
    assert_eq!(line.food_text, "milk");
    assert!(kinds(&line).contains(&DoubtKind::OpenChoice));
    assert!(
        line.preparation
            .contains(&"use whatever milk we have".to_owned())
    );
}

#[test]
fn n_extra_a_pair_that_does_not_match_is_said() {
    assert!(read_line("450g (1lb) flour", 1).doubts.is_empty());
    let line = read_line("450g (2lb) flour", 1);
    assert_eq!(kinds(&line), [DoubtKind::MismatchedEquivalents]);
}
