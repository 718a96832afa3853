//! Sample answers. Their figures are made up for the layout and claim nothing of any food.
#![allow(dead_code, clippy::unwrap_used)]

use tamis_scoring::allergens::{Allergen, Allergens};
use tamis_scoring::amendments::AmendmentKind;
use tamis_scoring::assessment::{
    Amendment, Assessment, ChoiceDecides, ContributedLoad, Contribution, CutoffUsed, EvidenceRow,
    ExcessFructose as Netted, HeadroomRow, LineRef, LoadRow, PracticeNote, Remark, SubjectKind,
    Unresolved,
};
use tamis_scoring::cutoffs::{AppliesTo, LimitBasis};
use tamis_scoring::diner::{Netting, Region};
use tamis_scoring::dish::Stage;
use tamis_scoring::drinks::StandardDrinks;
use tamis_scoring::evidence::{Evidence, Grade};
use tamis_scoring::loads::LoadState;
use tamis_scoring::quantity::{FoodId, Fraction, Grams, Ratio, SourceId, StateId};
use tamis_scoring::ruling::{Finding, Ruling};
use tamis_scoring::subgroup::{Analyte, Subgroup};
use tamis_tickets::TicketContext;

pub fn g(v: f64) -> Grams {
    Grams::new(v).unwrap()
}

pub fn zero(subgroup: Subgroup) -> LoadRow {
    let shared = subgroup.total().is_some();
    let applies = AppliesTo::General;
    LoadRow {
        subgroup,
        state: LoadState::Zero,
        grams: Some(Grams::ZERO),
        low: Some(Grams::ZERO),
        high: Some(Grams::ZERO),
        cutoff: Some(CutoffUsed {
            grams: g(match subgroup {
                Subgroup::Lactose => 1.0,
                Subgroup::ExcessFructose => 0.15,
                Subgroup::OtherPolyols | Subgroup::TotalPolyols => 0.4,
                _ => 0.2,
            }),
            basis: if shared {
                LimitBasis::SharedTotal(applies)
            } else {
                LimitBasis::Published(applies)
            },
            source: Some(SourceId::new("varney2017").unwrap()),
        }),
        exceedance: Some(Fraction::ZERO),
        finding: if shared {
            Finding::NotLimited
        } else {
            Finding::Within
        },
        grade: None,
    }
}

pub fn estimated(subgroup: Subgroup, mean: f64, low: f64, high: f64, over: f64) -> LoadRow {
    let row = zero(subgroup);
    let limit = row.cutoff.as_ref().unwrap().grams.get();
    LoadRow {
        state: LoadState::Estimated,
        grams: Some(g(mean)),
        low: Some(g(low)),
        high: Some(g(high)),
        exceedance: Some(Fraction::new(over).unwrap()),
        grade: Some(Grade::Measured),
        finding: match row.finding {
            Finding::Within if mean > limit => Finding::Over,
            finding => finding,
        },
        ..row
    }
}

pub fn unknown(subgroup: Subgroup, low: Option<f64>) -> LoadRow {
    let row = zero(subgroup);
    LoadRow {
        state: LoadState::Unknown,
        grams: None,
        low: low.map(g),
        high: None,
        exceedance: None,
        finding: match row.finding {
            Finding::Within => Finding::Unknown,
            finding => finding,
        },
        ..row
    }
}

fn line(number: u32, text: &str) -> LineRef {
    LineRef {
        path: Vec::new(),
        number,
        text: text.to_owned(),
    }
}

fn brought(
    number: u32,
    text: &str,
    (food, name, state): (&str, &str, &str),
    grams: f64,
    loads: &[(Subgroup, f64)],
) -> Contribution {
    let observed = |subgroup: Subgroup| match subgroup {
        Subgroup::Fructans => Some(Analyte::Fructans),
        Subgroup::Galactans => Some(Analyte::Galactans),
        Subgroup::Lactose => Some(Analyte::Lactose),
        _ => None,
    };
    Contribution {
        line: line(number, text),
        food: Some(FoodId::new(food).unwrap()),
        food_name: name.to_owned(),
        state: Some(StateId::new(state).unwrap()),
        grams: Some(g(grams)),
        processes: Vec::new(),
        loads: loads
            .iter()
            .map(|&(subgroup, grams)| ContributedLoad {
                subgroup,
                state: LoadState::Estimated,
                grams: Some(g(grams)),
            })
            .collect(),
        evidence: loads
            .iter()
            .filter_map(|&(subgroup, _)| observed(subgroup))
            .map(|analyte| EvidenceRow {
                analyte,
                evidence: Evidence {
                    source: SourceId::new("sample-table").unwrap(),
                    locator: "table 2".to_owned(),
                    grade: Grade::Measured,
                    samples: Some(3),
                    note: String::new(),
                },
            })
            .collect(),
    }
}

fn change(plan: u32, kind: AmendmentKind, when: Stage, text: &str) -> Amendment {
    Amendment {
        plan,
        kind,
        when,
        target: "pickled red onion".to_owned(),
        replacement: None,
        text: text.to_owned(),
        resulting_ruling: Ruling::Serve,
        added_allergens: Allergens::NONE,
    }
}

pub fn with_rows(rows: Vec<LoadRow>) -> Vec<LoadRow> {
    Subgroup::ALL
        .iter()
        .map(|&s| {
            rows.iter()
                .find(|r| r.subgroup == s)
                .cloned()
                .unwrap_or_else(|| zero(s))
        })
        .collect()
}

/// Rice with carrot: served.
pub fn served() -> Assessment {
    use Subgroup::{ExcessFructose, Fructans, Galactans, TotalOligosaccharides};
    Assessment {
        name: "Coconut rice with carrot".to_owned(),
        code: Some("R21".to_owned()),
        kind: SubjectKind::Dish,
        ruling: Ruling::Serve,
        reasons: vec!["every load is at or under its cut-off".to_owned()],
        portion: Some(g(240.0)),
        loads: with_rows(vec![
            estimated(Fructans, 0.06, 0.03, 0.11, 0.0),
            estimated(Galactans, 0.02, 0.01, 0.03, 0.0),
            estimated(TotalOligosaccharides, 0.08, 0.05, 0.13, 0.004),
            estimated(ExcessFructose, 0.0, 0.0, 0.003, 0.0),
        ]),
        excess_fructose: Netted {
            netting: Netting::Portion,
            over_portion: Some(g(0.001)),
            by_component: Some(g(0.02)),
            choice_decides: ChoiceDecides::No,
        },
        headroom: Some(HeadroomRow {
            subgroup: TotalOligosaccharides,
            ratio: Ratio::new(2.5).unwrap(),
        }),
        portion_ceiling: Some(g(600.0)),
        contributions: vec![
            brought(
                1,
                "300 g rice",
                ("rice-white", "rice, white", "dry"),
                75.0,
                &[(Fructans, 0.02)],
            ),
            brought(
                2,
                "200 g carrots, diced",
                ("carrot", "carrot", "raw"),
                50.0,
                &[(Fructans, 0.04), (Galactans, 0.02)],
            ),
        ],
        amendments: Vec::new(),
        alcohol: None,
        allergens: Allergens::NONE,
        practice_notes: Vec::new(),
        assumptions: vec![Remark {
            line: Some(line(1, "300 g rice")),
            text: "weighed dry, since the line does not say".to_owned(),
        }],
        unresolved: Vec::new(),
        cautions: vec![
            "Computed estimate, not medical advice; individual tolerance differs.".to_owned(),
            "Not an allergen statement; low-FODMAP is not gluten-free.".to_owned(),
        ],
        policy: "published cut-offs, central".to_owned(),
        catalogue_version: "2026.03".to_owned(),
        items: Vec::new(),
    }
}

/// A burger: altered, two plans, the first of two changes.
pub fn altered() -> Assessment {
    use Subgroup::{ExcessFructose, Fructans, Galactans, Lactose, TotalOligosaccharides};
    let mut plan1 = change(
        1,
        AmendmentKind::Sub,
        Stage::Purchase,
        "SUB rice-flour bun for brioche bun",
    );
    plan1.added_allergens = Allergens::NONE.with(Allergen::Soy);
    Assessment {
        name: "Smoke-stack burger".to_owned(),
        code: Some("R01".to_owned()),
        ruling: Ruling::Alter,
        reasons: vec![
            "fructans and galactans are over their cut-off".to_owned(),
            "plan 1 rules serve".to_owned(),
        ],
        portion: Some(g(412.0)),
        loads: with_rows(vec![
            estimated(Fructans, 1.14, 0.66, 1.85, 1.0),
            estimated(Galactans, 0.07, 0.03, 0.13, 0.0),
            estimated(TotalOligosaccharides, 1.21, 0.73, 1.92, 0.999),
            estimated(Lactose, 0.18, 0.08, 0.34, 0.0),
            estimated(ExcessFructose, 0.09, 0.01, 0.19, 0.17),
        ]),
        excess_fructose: Netted {
            netting: Netting::Portion,
            over_portion: Some(g(0.09)),
            by_component: Some(g(0.16)),
            choice_decides: ChoiceDecides::Yes,
        },
        headroom: Some(HeadroomRow {
            subgroup: TotalOligosaccharides,
            ratio: Ratio::new(0.2 / 1.21).unwrap(),
        }),
        portion_ceiling: Some(g(68.0)),
        contributions: vec![
            brought(
                1,
                "1 brioche bun",
                ("brioche-bun", "brioche bun", "baked"),
                85.0,
                &[(Fructans, 0.72), (Galactans, 0.07), (Lactose, 0.17)],
            ),
            brought(
                2,
                "0.75 oz pickled red onion",
                ("onion-red", "onion, red", "pickled"),
                21.3,
                &[(Fructans, 0.42)],
            ),
            brought(
                3,
                "1 sl aged cheddar",
                ("cheddar", "cheddar", "aged"),
                21.0,
                &[(Lactose, 0.01)],
            ),
        ],
        amendments: vec![
            plan1,
            change(1, AmendmentKind::Hold, Stage::Line, "NO pickled red onion"),
            change(2, AmendmentKind::Downsize, Stage::Line, "PORTION 65 g (line)"),
        ],
        allergens: [
            Allergen::Gluten,
            Allergen::Wheat,
            Allergen::Milk,
            Allergen::Egg,
        ]
        .into_iter()
        .collect(),
        practice_notes: vec![PracticeNote {
            food: FoodId::new("onion-red").unwrap(),
            text: "pickling liquor holds part of what the onion lost: drain it off; common practice, no source"
                .to_owned(),
        }],
        assumptions: Vec::new(),
        ..served()
    }
}

/// A chickpea dish: withheld.
pub fn withheld() -> Assessment {
    use Subgroup::{ExcessFructose, Fructans, Galactans, TotalOligosaccharides};
    let base = served();
    Assessment {
        name: "Falafel wrap".to_owned(),
        code: Some("R07".to_owned()),
        ruling: Ruling::Withhold,
        reasons: vec![
            "fructans and galactans are over their cut-off, and no change on record serves"
                .to_owned(),
        ],
        portion: Some(g(310.0)),
        loads: with_rows(vec![
            estimated(Fructans, 1.92, 1.10, 3.05, 1.0),
            estimated(Galactans, 2.35, 1.42, 3.61, 1.0),
            estimated(TotalOligosaccharides, 4.27, 2.93, 5.94, 1.0),
            estimated(ExcessFructose, 0.31, 0.12, 0.5, 0.92),
        ]),
        headroom: Some(HeadroomRow {
            subgroup: TotalOligosaccharides,
            ratio: Ratio::new(0.2 / 4.27).unwrap(),
        }),
        portion_ceiling: Some(g(14.0)),
        allergens: [Allergen::Gluten, Allergen::Wheat, Allergen::Sesame]
            .into_iter()
            .collect(),
        assumptions: Vec::new(),
        ..base
    }
}

/// A soup whose base nobody can name: referred.
pub fn referred() -> Assessment {
    use Subgroup::{
        ExcessFructose, Fructans, Galactans, Lactose, OtherPolyols, TotalOligosaccharides,
    };
    Assessment {
        name: "Chicken noodle soup".to_owned(),
        code: Some("H02".to_owned()),
        ruling: Ruling::Refer,
        reasons: vec!["a line was not understood".to_owned()],
        portion: Some(g(177.0)),
        loads: with_rows(vec![
            unknown(Fructans, Some(0.3)),
            unknown(Galactans, None),
            unknown(TotalOligosaccharides, Some(0.3)),
            LoadRow {
                state: LoadState::Bounded,
                grams: None,
                exceedance: None,
                finding: Finding::Unknown,
                grade: Some(Grade::Inferred),
                ..estimated(Lactose, 0.8, 0.2, 2.4, 0.4)
            },
            LoadRow {
                finding: Finding::Unsettled,
                grade: Some(Grade::Inferred),
                ..estimated(ExcessFructose, 0.14, 0.02, 0.33, 0.42)
            },
            estimated(OtherPolyols, 0.02, 0.01, 0.04, 0.0),
        ]),
        headroom: None,
        portion_ceiling: None,
        contributions: vec![
            brought(
                1,
                "egg nood dry 4#",
                ("egg-noodle", "egg noodle", "dry"),
                18.1,
                &[(Fructans, 0.38)],
            ),
            Contribution {
                line: LineRef {
                    path: vec!["SB-02".to_owned()],
                    ..line(2, "chix base paste 6 oz wt")
                },
                food: None,
                food_name: String::new(),
                state: None,
                grams: Some(g(1.7)),
                processes: Vec::new(),
                loads: vec![ContributedLoad {
                    subgroup: Fructans,
                    state: LoadState::Unknown,
                    grams: None,
                }],
                evidence: Vec::new(),
            },
        ],
        allergens: [
            Allergen::Gluten,
            Allergen::Wheat,
            Allergen::Egg,
            Allergen::Celery,
        ]
        .into_iter()
        .collect(),
        unresolved: vec![Unresolved {
            line: line(2, "chix base paste 6 oz wt"),
            column: 1,
            reason: "no such food in the catalogue; give its ingredient statement".to_owned(),
            tried: vec!["chicken stock".to_owned(), "chicken, cooked".to_owned()],
        }],
        assumptions: Vec::new(),
        ..served()
    }
}

/// A cocktail with its ethanol.
pub fn drink() -> Assessment {
    use Subgroup::{ExcessFructose, Fructans, TotalOligosaccharides};
    Assessment {
        name: "Agave Marg".to_owned(),
        code: Some("R13".to_owned()),
        kind: SubjectKind::Drink,
        ruling: Ruling::Alter,
        reasons: vec!["excess fructose is over its cut-off".to_owned()],
        portion: Some(g(112.0)),
        loads: with_rows(vec![
            estimated(Fructans, 0.12, 0.02, 0.35, 0.18),
            estimated(TotalOligosaccharides, 0.12, 0.02, 0.35, 0.18),
            estimated(ExcessFructose, 7.4, 5.1, 10.2, 1.0),
        ]),
        headroom: Some(HeadroomRow {
            subgroup: ExcessFructose,
            ratio: Ratio::new(0.15 / 7.4).unwrap(),
        }),
        portion_ceiling: Some(g(2.2)),
        contributions: vec![brought(
            3,
            "1/2 oz agave nectar",
            ("agave-syrup", "agave syrup", "liquid"),
            20.0,
            &[(ExcessFructose, 7.4), (Fructans, 0.12)],
        )],
        amendments: vec![change(
            1,
            AmendmentKind::Sub,
            Stage::Line,
            "SUB simple syrup for agave nectar",
        )],
        alcohol: Some(StandardDrinks::of(g(21.4), Region::Us, g(14.0))),
        assumptions: Vec::new(),
        ..served()
    }
}

/// Names that try to reach the printer, the eye or the memory.
pub fn nasty() -> Assessment {
    let mut a = altered();
    a.name = format!("\x1b@\x1dV\0{}", "Onion\u{202e}noinO ".repeat(500));
    a.code = Some("\u{1f9c5}\u{200d}½\u{feff}".to_owned());
    a.amendments[0].text = format!("SUB {} for crème brûlée \u{1f525}", "w".repeat(5000));
    a.amendments[1].text = "NO \r\n*** SERVE ***\u{85}\u{9b}31m onion".to_owned();
    a.catalogue_version = "2026.03≤".to_owned();
    a.policy = "\u{202e}redrob".to_owned();
    a
}

/// An order of a table.
pub fn table() -> TicketContext {
    TicketContext {
        table: Some("14".to_owned()),
        seat: Some("2".to_owned()),
        course: Some("main".to_owned()),
        ..TicketContext::default()
    }
}

/// A place in a cart.
pub fn cart() -> TicketContext {
    TicketContext {
        bed: Some("4W-12B".to_owned()),
        meal: Some("LUNCH".to_owned()),
        cart_sequence: Some("17".to_owned()),
        tag: Some("k7q2".to_owned()),
        portion_tool: Some("6 oz ladle".to_owned()),
        ..TicketContext::default()
    }
}
