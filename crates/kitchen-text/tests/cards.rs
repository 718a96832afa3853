//! The layout of cards, its faults, and the demonstration menus.

use std::fmt::Write as _;

use rstest::rstest;
use tamis_kitchen_text::{
    Amount, Card, CardError, FileError, Kind, ReadLine, Service, Step, read_cards,
};

const ALDER_BAY: &str = include_str!("../../../seed-data/demo/alder-bay.txt");
const BRINDLEWICK: &str = include_str!("../../../seed-data/demo/brindlewick.txt");

fn cards(text: &str) -> Vec<Card> {
    read_cards(text)
        .into_iter()
        .flatten()
        .filter_map(Result::ok)
        .collect()
}

#[test]
fn a_card_has_a_header_ingredients_and_a_method() {
    let text = "\u{FEFF}\n\nVeg soup\r\ncode SB-9\r\nserves: 4 portions\r\nmakes 2.4 kg\r\nportion 6 oz ladle\r\nbatch\r\nnote cook ahead\r\n\r\n\
                Base:\r\n300 g leek, green part only\r\n2 L water\r\n\r\n\r\nSimmer 20 min.\r\n\r\nStrain.\r\n";
    let card = &cards(text)[0];
    assert_eq!(
        (card.name.as_str(), card.line, card.code.as_deref()),
        ("Veg soup", 3, Some("SB-9"))
    );
    assert_eq!(card.serves.map(|n| n.get()), Some(4.0));
    assert_eq!((card.service, card.kind), (Service::Batch, Kind::Dish));
    assert_eq!(card.headings, [(11, "Base".to_owned())]);
    assert_eq!(
        card.lines.iter().map(|l| l.number).collect::<Vec<_>>(),
        [12, 13]
    );
    assert_eq!(card.method.len(), 2);
    assert_eq!(card.method[1].steps[0].step, Step::StrainDiscardSolids);
    assert_eq!(card.notes, ["cook ahead"]);
}

#[test]
fn the_smallest_card_is_a_name_and_an_ingredient() {
    let card = &cards("Rice\n\n100 g rice")[0];
    assert!(card.serves.is_none() && card.makes.is_none() && card.method.is_empty());
    assert_eq!(card.service, Service::Unstated);
}

#[rstest]
#[case("--\n\n1 g salt", "line 1, column 1: a card starts with its name")]
#[case(
    "A\nseves 4\n\n1 g salt",
    "line 2, column 1: `seves 4` is not understood"
)]
#[case("A\n300 g rice\n", "line 2, column 1: `300 g rice` is not understood")]
#[case(
    "A\nserves 4\nserves 5\n\n1 g salt",
    "line 3, column 1: `serves` is said twice"
)]
#[case(
    "A\nbatch\nmade to order\n\n1 g salt",
    "line 3, column 1: `service` is said twice"
)]
#[case(
    "A\nserves -4\n\n1 g salt",
    "line 2, column 8: `-4` is no number of portions"
)]
#[case("A\nportion big\n\n1 g salt", "line 2, column 9: `big` is no amount")]
#[case("A\ncode SB 02\n\n1 g salt", "line 2, column 6: `SB 02` is no code")]
#[case("A\nserves 4\n", "line 2, column 1: the card has no ingredients")]
fn faults_name_line_and_column(#[case] text: &str, #[case] wanted: &str) {
    let cards = read_cards(text).unwrap();
    let error = cards[0].as_ref().unwrap_err();
    assert!(error.to_string().starts_with(wanted), "{error}");
}

#[test]
fn one_bad_card_leaves_the_others() {
    let read = read_cards("A\nserves 0\n\n1 g salt\n===\n\n===\nB\n\n2 g salt\n").unwrap();
    assert_eq!(read.len(), 2);
    assert!(matches!(read[0], Err(CardError::Serves { line: 2, .. })));
    assert_eq!(read[1].as_ref().map(|c| c.line), Ok(8));
    assert_eq!(read_cards(" \n===\n"), Err(FileError::Empty));
}

#[test]
fn the_demonstration_menus_are_whole() {
    for (text, items) in [(ALDER_BAY, "H"), (BRINDLEWICK, "R")] {
        let read = read_cards(text).unwrap();
        let cards: Vec<&Card> = read.iter().map(|c| c.as_ref().unwrap()).collect();
        let codes: Vec<&str> = cards.iter().filter_map(|c| c.code.as_deref()).collect();
        for number in 1..=15 {
            let item = format!("{items}{number:02}");
            let code_of =
                |c: &Card| c.code.as_deref() == Some(item.as_str()) || c.name.starts_with(&item);
            assert!(cards.iter().copied().any(code_of), "{item} is missing");
        }
        for card in &cards {
            assert!(
                card.serves.is_some() || card.makes.is_some(),
                "{} has no yield",
                card.name
            );
            for line in &card.lines {
                assert_eq!(line.faults, [], "{}: {}", card.name, line.text);
                if let Some(code) = &line.reference {
                    assert!(
                        codes.contains(&code.as_str()),
                        "{}: no card {code}",
                        card.name
                    );
                }
            }
        }
    }
}

#[test]
fn alder_bay_is_read_as_written() {
    insta::assert_snapshot!(shown(ALDER_BAY));
}

#[test]
fn brindlewick_is_read_as_written() {
    insta::assert_snapshot!(shown(BRINDLEWICK));
}

fn shown(text: &str) -> String {
    let mut out = String::new();
    for card in cards(text) {
        let _ = writeln!(out, "{} [{}]", card.name, card.code.unwrap_or_default());
        for (what, amount) in [("makes", &card.makes), ("portion", &card.portion)] {
            if let Some(amount) = amount {
                let _ = writeln!(out, "  {what} {}", measured(&amount.amount));
            }
        }
        for line in &card.lines {
            let _ = writeln!(out, "  {} => {}", line.text, understood(line));
        }
        for sentence in &card.method {
            for step in sentence.steps.iter().filter(|s| s.step != Step::Other) {
                let _ = writeln!(out, "  {} => {:?}", sentence.text, step.step);
            }
        }
    }
    out
}

fn measured(amount: &Amount) -> String {
    match &amount.each {
        Some(each) => format!(
            "{} {} of {} {}",
            amount.quantity, amount.unit, each.quantity, each.unit
        ),
        None => format!("{} {}", amount.quantity, amount.unit),
    }
}

fn understood(line: &ReadLine) -> String {
    let mut said = vec![
        line.amounts
            .iter()
            .map(measured)
            .collect::<Vec<_>>()
            .join(" = "),
        line.food_text.clone(),
    ];
    let mut say = |what: &str, word: &str| {
        if !word.is_empty() && word != "unstated" && word != "in-dish" {
            said.push(format!("{what}: {word}"));
        }
    };
    say("or", &line.alternatives.join(" | "));
    say("prepared", &line.preparation.join(" | "));
    say("liquid", line.drained.as_str());
    say("basis", line.basis.as_str());
    say("part", line.part.as_str());
    say("size", line.size.as_str());
    say("place", line.placement.as_str());
    say("statement", line.statement.as_deref().unwrap_or_default());
    say("uses", line.reference.as_deref().unwrap_or_default());
    for doubt in &line.doubts {
        say("doubt", doubt.kind.as_str());
    }
    said.join("; ")
}
