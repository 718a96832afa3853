//! The pages as they are printed, at the widths of the trade.
#![allow(clippy::unwrap_used)]

mod support;

use std::fmt::Write as _;

use tamis_scoring::assessment::Assessment;
use tamis_tickets::{Columns, Layout, TicketContext, answer, pass_sheet, render};

fn at_all_widths(assessment: &Assessment, word: &str, context: &TicketContext) -> String {
    let mut out = String::new();
    for width in [32, 42, 48] {
        let layout = Layout::from_word(word, Columns::new(width).unwrap()).unwrap();
        let ticket = render(assessment, layout, context);
        writeln!(out, "[{width} columns]\n{}", ticket.text).unwrap();
        for loss in ticket.losses {
            writeln!(out, "loss: {loss}").unwrap();
        }
    }
    out
}

#[test]
fn a_served_dish() {
    insta::assert_snapshot!(at_all_widths(
        &support::served(),
        "kitchen",
        &support::table()
    ));
}

#[test]
fn an_altered_dish() {
    insta::assert_snapshot!(at_all_widths(
        &support::altered(),
        "kitchen",
        &support::table()
    ));
}

#[test]
fn a_withheld_dish() {
    insta::assert_snapshot!(at_all_widths(
        &support::withheld(),
        "kitchen",
        &support::table()
    ));
}

#[test]
fn a_referred_dish() {
    insta::assert_snapshot!(at_all_widths(
        &support::referred(),
        "tray",
        &support::cart()
    ));
}

#[test]
fn a_drink() {
    insta::assert_snapshot!(at_all_widths(
        &support::drink(),
        "kitchen",
        &support::table()
    ));
}

#[test]
fn nasty_names() {
    insta::assert_snapshot!(at_all_widths(
        &support::nasty(),
        "kitchen",
        &support::cart()
    ));
}

#[test]
fn pass_sheets() {
    let menu = [
        support::served(),
        support::altered(),
        support::withheld(),
        support::referred(),
        support::drink(),
    ];
    let mut out = String::new();
    for width in [32, 42, 48, 80] {
        let sheet = pass_sheet(&menu, Columns::new(width).unwrap());
        writeln!(out, "[{width} columns]\n{sheet}").unwrap();
    }
    out.push_str(&pass_sheet(&[], Columns::MM58));
    insta::assert_snapshot!(out);
}

#[test]
fn the_full_answer() {
    for (name, assessment) in [
        ("answer_altered", support::altered()),
        ("answer_referred", support::referred()),
        ("answer_nasty", support::nasty()),
    ] {
        insta::assert_snapshot!(name, answer(&assessment, Columns::WIDEST));
    }
}

#[test]
fn the_full_answer_on_ticket_paper() {
    let mut out = String::new();
    for columns in [Columns::MM58, Columns::MM80_COARSE, Columns::MM80] {
        writeln!(out, "{}", answer(&support::drink(), columns)).unwrap();
    }
    insta::assert_snapshot!(out);
}
