//! What holds for every assessment, whatever its texts and numbers.
#![allow(clippy::unwrap_used)]

mod support;

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;
use tamis_scoring::allergens::{Allergen, Allergens};
use tamis_scoring::amendments::AmendmentKind;
use tamis_scoring::assessment::{
    Amendment, Assessment, ContributedLoad, Contribution, CutoffUsed, HeadroomRow, LineRef,
    LoadRow, PracticeNote, Remark, Unresolved,
};
use tamis_scoring::cutoffs::{AppliesTo, LimitBasis};
use tamis_scoring::diner::Region;
use tamis_scoring::dish::Stage;
use tamis_scoring::drinks::StandardDrinks;
use tamis_scoring::evidence::Grade;
use tamis_scoring::loads::LoadState;
use tamis_scoring::quantity::{FoodId, Fraction, Grams, Ratio};
use tamis_scoring::ruling::{Finding, Ruling};
use tamis_scoring::subgroup::Subgroup;
use tamis_tickets::{
    Columns, Layout, LossKind, Role, Ticket, TicketContext, answer, pass_sheet, render,
};

fn words() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "[a-z ]{0,40}",
        "[\\x00-\\x20\\x7f-\\u{9f}]{0,12}",
        select(vec![
            "\x1b@".to_owned(),
            "\u{202e}abc\u{2066}".to_owned(),
            "x".repeat(5000),
            "1½ crème ≤ \u{1f336}".to_owned(),
            "NO onion (line)".to_owned(),
            "common practice, no source".to_owned(),
        ]),
    ]
}

fn mass() -> impl Strategy<Value = Option<Grams>> {
    option::of(prop_oneof![Just(0.0), 0.0..0.02, 0.0..50.0, 0.0..1.0e9].prop_map(support::g))
}

fn row() -> impl Strategy<Value = LoadRow> {
    let basis = select(vec![
        LimitBasis::Published(AppliesTo::General),
        LimitBasis::SharedTotal(AppliesTo::GrainLegumeNut),
        LimitBasis::Tolerance,
    ]);
    let finding = select(vec![
        Finding::NotLimited,
        Finding::Within,
        Finding::Over,
        Finding::Unknown,
        Finding::TooWeak,
        Finding::Unsettled,
    ]);
    (
        (
            select(Subgroup::ALL),
            select(LoadState::ALL),
            mass(),
            mass(),
            mass(),
        ),
        (
            mass(),
            basis,
            option::of(0.0..=1.0),
            finding,
            option::of(select(Grade::ALL)),
        ),
    )
        .prop_map(
            |((subgroup, state, grams, low, high), (cutoff, basis, over, finding, grade))| {
                LoadRow {
                    subgroup,
                    state,
                    grams,
                    low,
                    high,
                    cutoff: cutoff.map(|grams| CutoffUsed {
                        grams,
                        basis,
                        source: None,
                    }),
                    exceedance: over.map(|p| Fraction::new(p).unwrap()),
                    finding,
                    grade,
                }
            },
        )
}

fn allergens() -> impl Strategy<Value = Allergens> {
    vec(select(Allergen::ALL), 0..15).prop_map(|all| all.into_iter().collect())
}

fn amendment() -> impl Strategy<Value = Amendment> {
    (
        (1_u32..4, select(AmendmentKind::ALL), select(Stage::ALL)),
        (words(), option::of(words()), words()),
        (select(Ruling::ALL), allergens()),
    )
        .prop_map(
            |((plan, kind, when), (target, replacement, text), (resulting_ruling, added))| {
                Amendment {
                    plan,
                    kind,
                    when,
                    target,
                    replacement,
                    text,
                    resulting_ruling,
                    added_allergens: added,
                }
            },
        )
}

fn line() -> impl Strategy<Value = LineRef> {
    (vec(words(), 0..3), any::<u32>(), words()).prop_map(|(path, number, text)| LineRef {
        path,
        number,
        text,
    })
}

fn contribution() -> impl Strategy<Value = Contribution> {
    let load = (select(Subgroup::ALL), select(LoadState::ALL), mass()).prop_map(
        |(subgroup, state, grams)| ContributedLoad {
            subgroup,
            state,
            grams,
        },
    );
    (
        line(),
        any::<bool>(),
        words(),
        mass(),
        vec(words(), 0..3),
        vec(load, 0..12),
    )
        .prop_map(
            |(line, understood, food_name, grams, processes, loads)| Contribution {
                line,
                food: understood.then(|| FoodId::new("onion").unwrap()),
                food_name,
                state: None,
                grams,
                processes,
                loads,
                evidence: Vec::new(),
            },
        )
}

fn assessment() -> impl Strategy<Value = Assessment> {
    let texts = (
        words(),
        option::of(words()),
        vec(words(), 0..3),
        words(),
        words(),
        vec(words(), 0..3),
    );
    let numbers = (
        select(Ruling::ALL),
        mass(),
        vec(row(), 0..12),
        option::of((select(Subgroup::ALL), 0.0..1.0e12)),
        mass(),
        option::of((mass(), select(Region::ALL), 0.0..1.0e6)),
    );
    let lists = (
        vec(contribution(), 0..6),
        vec(amendment(), 0..8),
        allergens(),
        vec(words(), 0..4),
        vec((option::of(line()), words()), 0..3),
        vec((line(), any::<u32>(), words(), vec(words(), 0..3)), 0..6),
    );
    (texts, numbers, lists).prop_map(|(texts, numbers, lists)| {
        let (name, code, reasons, policy, catalogue_version, cautions) = texts;
        let (ruling, portion, loads, headroom, portion_ceiling, alcohol) = numbers;
        let (contributions, amendments, allergens, notes, assumptions, unresolved) = lists;
        let food = FoodId::new("onion").unwrap();
        Assessment {
            name,
            code,
            ruling,
            reasons,
            portion,
            loads,
            headroom: headroom.map(|(subgroup, ratio)| HeadroomRow {
                subgroup,
                ratio: Ratio::new(ratio).unwrap(),
            }),
            portion_ceiling,
            contributions,
            amendments,
            alcohol: alcohol.map(|(ethanol, region, count)| StandardDrinks {
                ethanol: ethanol.unwrap_or(Grams::ZERO),
                region,
                count: Ratio::new(count).unwrap(),
            }),
            allergens,
            practice_notes: notes
                .into_iter()
                .map(|text| PracticeNote {
                    food: food.clone(),
                    text,
                })
                .collect(),
            assumptions: assumptions
                .into_iter()
                .map(|(line, text)| Remark { line, text })
                .collect(),
            unresolved: unresolved
                .into_iter()
                .map(|(line, column, reason, tried)| Unresolved {
                    line,
                    column,
                    reason,
                    tried,
                })
                .collect(),
            cautions,
            policy,
            catalogue_version,
            ..support::served()
        }
    })
}

fn sitting() -> impl Strategy<Value = Assessment> {
    (assessment(), vec(assessment(), 0..3)).prop_map(|(whole, items)| Assessment { items, ..whole })
}

fn context() -> impl Strategy<Value = TicketContext> {
    let value = || option::of(words());
    (
        value(),
        value(),
        value(),
        value(),
        value(),
        value(),
        value(),
        value(),
    )
        .prop_map(
            |(table, seat, course, bed, meal, cart_sequence, tag, portion_tool)| TicketContext {
                table,
                seat,
                course,
                bed,
                meal,
                cart_sequence,
                tag,
                portion_tool,
            },
        )
}

fn columns() -> impl Strategy<Value = Columns> {
    (24_u16..=80).prop_map(|c| Columns::new(c).unwrap())
}

fn fits(text: &str, columns: Columns) {
    assert!(text.ends_with('\n'));
    for line in text.lines() {
        assert!(
            line.len() <= usize::from(columns.get()),
            "too wide: {line:?}"
        );
        assert!(
            line.bytes().all(|b| (b' '..=b'~').contains(&b)),
            "not printable: {line:?}"
        );
    }
}

/// Whether a zero mass stands somewhere: `0 g` that is not the end of a longer number.
fn says_zero(text: &str) -> bool {
    text.match_indices("0 g").any(|(at, _)| {
        let before = text[..at].chars().next_back();
        before.is_none_or(|c| !c.is_ascii_digit() && c != '.')
    })
}

fn place(ticket: &Ticket, role: Role) -> Option<usize> {
    ticket.lines.iter().position(|l| l.role == role)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_page_fits_and_is_printable(
        assessment in sitting(),
        context in context(),
        columns in columns(),
    ) {
        for layout in [Layout::Kitchen(columns), Layout::Tray(columns)] {
            let ticket = render(&assessment, layout, &context);
            fits(&ticket.text, columns);
            prop_assert_eq!(ticket.text.lines().count(), ticket.lines.len());
        }
        fits(&answer(&assessment, columns), columns);
        fits(&pass_sheet(&assessment.items, columns), columns);
    }

    #[test]
    fn allergens_come_first_and_actions_are_few(
        assessment in assessment(),
        columns in columns(),
    ) {
        let ticket = render(&assessment, Layout::Kitchen(columns), &support::table());
        let allergens = place(&ticket, Role::Allergens).unwrap();
        let header = [Role::Place, Role::Title, Role::Ruling, Role::Rule];
        prop_assert!(ticket.lines[..allergens].iter().all(|l| header.contains(&l.role)));
        prop_assert!(ticket.lines[allergens].text.starts_with("ALLERGENS REC.:"));
        if let Some(action) = place(&ticket, Role::Action) {
            prop_assert!(allergens < action);
        }
        let actions = ticket
            .lines
            .iter()
            .filter(|l| l.role == Role::Action && !l.text.starts_with(' '));
        let verbs = ["NO ", "SUB ", "PORTION ", "REWORK ", "MORE "];
        for action in actions.clone() {
            prop_assert!(verbs.iter().any(|v| action.text.starts_with(v)), "{}", action.text);
        }
        prop_assert!(actions.count() <= 3);
    }

    #[test]
    fn an_unknown_load_is_never_zero_grams(
        assessment in assessment(),
        columns in columns(),
    ) {
        let mut unknown = Assessment {
            portion: None,
            portion_ceiling: None,
            alcohol: None,
            ..assessment
        };
        unknown.excess_fructose.over_portion = None;
        unknown.excess_fructose.by_component = None;
        for row in &mut unknown.loads {
            row.state = LoadState::Unknown;
            if let Some(cutoff) = &mut row.cutoff {
                cutoff.grams = support::g(0.2);
            }
        }
        for contribution in &mut unknown.contributions {
            contribution.grams = None;
            for load in &mut contribution.loads {
                load.state = LoadState::Unknown;
            }
        }
        for page in [
            render(&unknown, Layout::Tray(columns), &support::cart()).text,
            answer(&unknown, columns),
            pass_sheet(std::slice::from_ref(&unknown), columns),
        ] {
            prop_assert!(!says_zero(&page), "{}", page);
        }
    }

    #[test]
    fn a_guest_ticket_does_not_tell_the_guests_limit(columns in columns(), limit in 1.0..9.0_f64) {
        let mut own = support::altered();
        for row in &mut own.loads {
            row.cutoff = Some(CutoffUsed {
                grams: support::g(limit),
                basis: LimitBasis::Tolerance,
                source: None,
            });
        }
        own.policy = "Alder Bay 7, version 3".to_owned();
        own.reasons = vec!["over the tolerance of the diner in the personalisation phase".to_owned()];
        let text = render(&own, Layout::Kitchen(columns), &TicketContext::default()).text;
        for word in ["cut-off", "headroom", "tolerance", "phase", "diner"] {
            prop_assert!(!text.contains(word), "{} in\n{}", word, text);
        }
        let tray = render(&own, Layout::Tray(columns), &TicketContext::default()).text;
        prop_assert!(tray.contains("headroom"));
    }

    #[test]
    fn every_cut_or_changed_name_is_reported(name in words(), columns in columns()) {
        let assessment = Assessment { name: name.clone(), ..support::served() };
        let ticket = render(&assessment, Layout::Kitchen(columns), &TicketContext::default());
        let lost = |kind| ticket.losses.iter().any(|l| l.field == "name" && l.kind == kind);
        let control = |c: char| c.is_control() && !['\t', '\n', '\r'].contains(&c);
        prop_assert_eq!(lost(LossKind::Control), name.chars().take(2000).any(control));
        if name.len() > 5 && name.bytes().all(|b| b.is_ascii_lowercase()) {
            prop_assert_eq!(lost(LossKind::Cut), ticket.text.contains(".."));
        }
    }
}

#[test]
fn half_a_plan_is_never_passed_off_as_all_of_it() {
    let mut assessment = support::altered();
    let hold = assessment.amendments[1].clone();
    assessment.amendments = vec![hold; 5];
    let ticket = render(
        &assessment,
        Layout::Kitchen(Columns::MM58),
        &TicketContext::default(),
    );
    assert!(ticket.text.contains("MORE    3 more changes"));
    assert!(
        ticket
            .losses
            .iter()
            .any(|l| (l.field, l.kind, l.count) == ("action", LossKind::Omitted, 3))
    );
}

#[test]
fn words_of_other_trades_stay_off_every_page() {
    for assessment in [
        support::served(),
        support::altered(),
        support::withheld(),
        support::referred(),
        support::drink(),
    ] {
        let pages = [
            render(
                &assessment,
                Layout::Kitchen(Columns::MM80),
                &support::table(),
            )
            .text,
            answer(&assessment, Columns::WIDEST),
            pass_sheet(std::slice::from_ref(&assessment), Columns::WIDEST),
        ];
        for page in pages {
            let page = page.to_lowercase().replace("gluten-free", "");
            for word in [
                "safe",
                "unsafe",
                "friendly",
                "free",
                "green",
                "amber",
                "score",
                "approved",
                "certified",
                "avoid",
                "allowance",
                "patient",
            ] {
                assert!(!page.contains(word), "'{word}' in\n{page}");
            }
        }
    }
}
