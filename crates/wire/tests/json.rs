//! The JSON form, and what is refused.

#![allow(clippy::unwrap_used, clippy::panic)]

use serde_json::json;
use tamis_wire::scoring::allergens::{Allergen, Allergens};
use tamis_wire::scoring::amendments::AmendmentKind;
use tamis_wire::scoring::assessment::*;
use tamis_wire::scoring::cutoffs::{AppliesTo, LimitBasis};
use tamis_wire::scoring::diner::{Diner, Netting, Policy};
use tamis_wire::scoring::dish::Stage;
use tamis_wire::scoring::evidence::{Evidence, Grade};
use tamis_wire::scoring::loads::LoadState;
use tamis_wire::scoring::quantity::{FoodId, Fraction, Grams, Ratio, SourceId, StateId};
use tamis_wire::scoring::request::{AssessmentRequest, Service, Subject};
use tamis_wire::scoring::ruling::{Finding, Ruling};
use tamis_wire::scoring::subgroup::{Analyte, Subgroup};
use tamis_wire::{ConversionErrors, v1};

fn read(value: serde_json::Value) -> Result<v1::AssessmentRequest, String> {
    serde_json::from_value(value).map_err(|e| e.to_string())
}

fn faults(value: serde_json::Value) -> Vec<(String, String)> {
    let ConversionErrors { errors, .. } =
        AssessmentRequest::try_from(read(value).unwrap()).unwrap_err();
    errors
        .into_iter()
        .map(|e| (e.field, e.description))
        .collect()
}

#[test]
fn the_smallest_request() {
    let request = AssessmentRequest::try_from(
        read(json!({
            "dish": {"name": "Rice bowl", "portions": 4, "lines": ["300 g rice", "2 cloves garlic"]},
            "diner": {"phase": "restriction"}
        }))
        .unwrap(),
    )
    .unwrap();
    assert_eq!(request.diner, Diner::restriction());
    assert_eq!(request.policy, Policy::default());
    let Subject::Dish(card) = &request.subject else {
        panic!("a dish, got {request:?}")
    };
    assert_eq!(card.portions.map(|p| p.get()), Some(4.0));
    assert_eq!(card.service, Service::Unstated);
    insta::assert_snapshot!(
        serde_json::to_string_pretty(&v1::AssessmentRequest::from(&request)).unwrap()
    );
}

#[test]
fn a_full_request() {
    let written = json!({
        "sitting": [
            {"dish": {
                "name": "Lentil soup", "code": "S-12", "portions": 12.0, "makes": "5 gal",
                "portion": "6 oz ladle", "service": "batch", "lines": ["1 kg Stock B"],
                "method": "Simmer.",
                "sub_recipes": [{
                    "name": "Stock B", "code": "B", "service": "made_to_order",
                    "lines": ["2 onions"], "method": ""
                }]
            }},
            {"drink": {"name": "Lager", "service": "unstated", "lines": ["330 ml lager"], "method": ""}}
        ],
        "diner": {
            "phase": "personalisation", "challenge": "lactose",
            "tolerances": [
                {"subgroup": "total_oligosaccharides", "grams": 0.1},
                {"subgroup": "sorbitol", "unlimited": true}
            ],
            "excluded_allergens": ["tree-nut", "sesame"]
        },
        "policy": {
            "name": "Alder Bay 3", "confidence": "upper_95", "weakest_grade": "recalled",
            "netting": "component", "region": "au"
        }
    });
    let request = AssessmentRequest::try_from(read(written.clone()).unwrap()).unwrap();
    assert_eq!(
        serde_json::to_value(v1::AssessmentRequest::from(&request)).unwrap(),
        written
    );
}

#[test]
fn unknown_words_and_fields_are_refused_with_what_is_accepted() {
    let error = read(json!({"dish": {}, "diner": {"phase": "strict"}})).unwrap_err();
    assert_eq!(
        error,
        "'strict' is not a phase; accepted: restriction, reintroduction, personalisation"
    );
    let error = read(json!({"dish": {}, "diner": {"phase": 1}})).unwrap_err();
    assert!(
        error.contains("a phase: one of restriction, reintroduction"),
        "{error}"
    );
    let error = read(json!({"dish": {}, "diner": {"excluded_allergens": ["nuts"]}})).unwrap_err();
    assert!(
        error.starts_with("'nuts' is not an allergen; accepted: gluten, wheat"),
        "{error}"
    );
    let error = read(json!({"dish": {}, "diner": {"excluded_allergens": [null]}})).unwrap_err();
    assert!(error.contains("null"), "{error}");
    let error = read(json!({"dish": {"nmae": "Rice bowl"}})).unwrap_err();
    assert!(
        error.starts_with("unknown field `nmae`, expected one of `name`"),
        "{error}"
    );
}

#[test]
fn exactly_one_subject_is_accepted() {
    assert_eq!(faults(json!({}))[0].0, "/dish");
    assert_eq!(faults(json!({"dish": {}, "drink": {}}))[0].0, "/drink");
    assert_eq!(
        faults(json!({"dish": {}, "sitting": [{"dish": {}}]}))[0].0,
        "/sitting"
    );
    assert_eq!(
        faults(json!({"sitting": [{"dish": {}}, {}]}))[0].0,
        "/sitting/1"
    );
}

#[test]
fn every_fault_is_reported_with_its_place() {
    let found = faults(json!({
        "dish": {"portions": -1, "sub_recipes": [{}, {"portions": 1e300}]},
        "diner": {"tolerances": [
            {"grams": 1}, {"subgroup": "lactose"}, {"subgroup": "lactose", "grams": -2},
            {"subgroup": "sorbitol", "grams": 1, "unlimited": true},
            {"subgroup": "mannitol", "grams": 1}, {"subgroup": "mannitol", "grams": 2}
        ]}
    }));
    let fields: Vec<_> = found.iter().map(|(field, _)| field.as_str()).collect();
    assert_eq!(
        fields,
        [
            "/dish/portions",
            "/dish/sub_recipes/1/portions",
            "/diner/tolerances/0/subgroup",
            "/diner/tolerances/1",
            "/diner/tolerances/2/grams",
            "/diner/tolerances/3",
            "/diner/tolerances/5/subgroup",
        ]
    );
    assert_eq!(found[0].1, "portions must be zero or more, got -1");
    assert!(
        found[2].1.contains("accepted: fructans, galactans"),
        "{}",
        found[2].1
    );
}

#[test]
fn numbers_that_json_cannot_write_are_refused_from_protobuf() {
    let message = v1::AssessmentRequest {
        dish: Some(v1::RecipeCard {
            portions: Some(f64::NAN),
            service: 99,
            ..Default::default()
        }),
        diner: Some(v1::Diner {
            excluded_allergens: vec![0, 400],
            ..Default::default()
        }),
        ..Default::default()
    };
    let errors = AssessmentRequest::try_from(message).unwrap_err();
    let fields: Vec<_> = errors.errors.iter().map(|e| e.field.as_str()).collect();
    assert_eq!(
        fields,
        [
            "/dish/portions",
            "/dish/service",
            "/diner/excluded_allergens/0",
            "/diner/excluded_allergens/1"
        ]
    );
}

#[test]
fn errors_are_capped_and_counted() {
    let tolerances = vec![v1::Tolerance::default(); 100];
    let errors = Diner::try_from(v1::Diner {
        tolerances,
        ..Default::default()
    })
    .unwrap_err();
    assert_eq!(errors.errors.len(), ConversionErrors::SHOWN);
    assert_eq!(
        errors.errors.len() + errors.more,
        200,
        "a subgroup and a limit for each"
    );
}

#[test]
fn an_answer_shows_what_is_unknown() {
    let grams = |v| Grams::new(v).unwrap();
    let line = LineRef {
        path: vec!["B".into()],
        number: 2,
        text: "2 cloves garlic".into(),
    };
    let assessment = Assessment {
        name: "Rice bowl".into(),
        code: None,
        kind: SubjectKind::Dish,
        ruling: Ruling::Alter,
        reasons: vec!["fructans and galactans are over their cut-off".into()],
        portion: Some(grams(151.234_5)),
        loads: vec![
            LoadRow {
                subgroup: Subgroup::TotalOligosaccharides,
                state: LoadState::Estimated,
                grams: Some(grams(1.0 / 3.0)),
                low: Some(grams(0.2)),
                high: Some(grams(0.5)),
                cutoff: Some(CutoffUsed {
                    grams: grams(0.3),
                    basis: LimitBasis::Published(AppliesTo::GrainLegumeNut),
                    source: Some(SourceId::new("varney2017").unwrap()),
                }),
                exceedance: Some(Fraction::new(0.6).unwrap()),
                finding: Finding::Over,
                grade: Some(Grade::Measured),
            },
            LoadRow {
                subgroup: Subgroup::Lactose,
                state: LoadState::Unknown,
                grams: None,
                low: None,
                high: None,
                cutoff: None,
                exceedance: None,
                finding: Finding::NotLimited,
                grade: None,
            },
        ],
        excess_fructose: ExcessFructose {
            netting: Netting::Portion,
            over_portion: Some(Grams::ZERO),
            by_component: None,
            choice_decides: ChoiceDecides::No,
        },
        headroom: Some(HeadroomRow {
            subgroup: Subgroup::TotalOligosaccharides,
            ratio: Ratio::new(0.9).unwrap(),
        }),
        portion_ceiling: None,
        contributions: vec![Contribution {
            line: line.clone(),
            food: Some(FoodId::new("garlic").unwrap()),
            food_name: "garlic".into(),
            state: Some(StateId::new("raw").unwrap()),
            grams: Some(grams(1.5)),
            processes: vec!["boiled".into()],
            loads: vec![ContributedLoad {
                subgroup: Subgroup::Fructans,
                state: LoadState::Estimated,
                grams: Some(grams(0.26)),
            }],
            evidence: vec![EvidenceRow {
                analyte: Analyte::Fructans,
                evidence: Evidence {
                    source: SourceId::new("muir2007").unwrap(),
                    locator: "table 1".into(),
                    grade: Grade::Secondary,
                    samples: None,
                    note: String::new(),
                },
            }],
        }],
        amendments: vec![Amendment {
            plan: 1,
            kind: AmendmentKind::Sub,
            when: Stage::Prep,
            target: "garlic".into(),
            replacement: Some("garlic oil, strained".into()),
            text: "SUB garlic oil for garlic".into(),
            resulting_ruling: Ruling::Serve,
            added_allergens: Allergens::NONE.with(Allergen::TreeNut),
        }],
        alcohol: None,
        allergens: Allergens::NONE,
        practice_notes: Vec::new(),
        assumptions: vec![Remark {
            line: None,
            text: "water of the pot is poured off".into(),
        }],
        unresolved: vec![Unresolved {
            line,
            column: 3,
            reason: "no food of that name".into(),
            tried: vec!["garlic".into()],
        }],
        cautions: vec!["not medical advice".into()],
        policy: "published cut-offs, central".into(),
        catalogue_version: "0".into(),
        items: Vec::new(),
    };
    insta::assert_snapshot!(
        serde_json::to_string_pretty(&v1::Assessment::from(&assessment)).unwrap()
    );
}
