//! Arbitrary values of the domain.
#![allow(clippy::unwrap_used)]

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;
use tamis_wire::scoring::allergens::{Allergen, Allergens};
use tamis_wire::scoring::amendments::AmendmentKind;
use tamis_wire::scoring::assessment::*;
use tamis_wire::scoring::cutoffs::{AppliesTo, LimitBasis};
use tamis_wire::scoring::diner::{Confidence, Diner, Netting, Phase, Policy, Region, Tolerance};
use tamis_wire::scoring::dish::{FoodClass, Stage};
use tamis_wire::scoring::drinks::StandardDrinks;
use tamis_wire::scoring::evidence::{Evidence, Grade};
use tamis_wire::scoring::foods::{
    AnalyteRow, FoodPage, FoodState, FoodSummary, MeasureRow, Observation,
};
use tamis_wire::scoring::loads::LoadState;
use tamis_wire::scoring::quantity::{
    FoodId, Fraction, Grams, GramsPer100g, Portions, Ratio, SourceId, StateId,
};
use tamis_wire::scoring::reading::{LineReading, ReadingDoubt};
use tamis_wire::scoring::request::{AssessmentRequest, RecipeCard, Service, Serving, Subject};
use tamis_wire::scoring::ruling::{Finding, Headroom, Ruling};
use tamis_wire::scoring::subgroup::{Analyte, Subgroup};

fn text() -> impl Strategy<Value = String> {
    "[ -~éß½\n]{0,20}"
}

fn texts() -> impl Strategy<Value = Vec<String>> {
    vec(text(), 0..3)
}

fn id() -> impl Strategy<Value = String> {
    "[a-z0-9]{1,6}(-[a-z0-9]{1,6}){0,2}"
}

fn food() -> impl Strategy<Value = FoodId> {
    id().prop_map(|t| FoodId::new(&t).unwrap())
}

fn state() -> impl Strategy<Value = StateId> {
    id().prop_map(|t| StateId::new(&t).unwrap())
}

fn source() -> impl Strategy<Value = SourceId> {
    id().prop_map(|t| SourceId::new(&t).unwrap())
}

/// Numbers up to a limit over many orders of magnitude, and zero.
fn number(limit: f64) -> impl Strategy<Value = f64> {
    prop_oneof![
        Just(0.0),
        Just(limit),
        (-9.0..0.0f64).prop_map(move |e| limit * 10f64.powf(e))
    ]
}

fn grams() -> impl Strategy<Value = Grams> {
    number(Grams::LIMIT).prop_map(|v| Grams::new(v).unwrap())
}

fn per_100g() -> impl Strategy<Value = GramsPer100g> {
    number(GramsPer100g::LIMIT).prop_map(|v| GramsPer100g::new(v).unwrap())
}

fn ratio() -> impl Strategy<Value = Ratio> {
    number(Ratio::LIMIT).prop_map(|v| Ratio::new(v).unwrap())
}

fn fraction() -> impl Strategy<Value = Fraction> {
    number(1.0).prop_map(|v| Fraction::new(v).unwrap())
}

fn subgroup() -> impl Strategy<Value = Subgroup> {
    select(Subgroup::ALL)
}

fn grade() -> impl Strategy<Value = Grade> {
    select(Grade::ALL)
}

fn allergens() -> impl Strategy<Value = Allergens> {
    vec(select(Allergen::ALL), 0..4).prop_map(|a| a.into_iter().collect())
}

fn tolerance() -> impl Strategy<Value = Tolerance> {
    prop_oneof![
        Just(Tolerance::Unlimited),
        grams().prop_map(Tolerance::UpTo)
    ]
}

pub fn diner() -> impl Strategy<Value = Diner> {
    let tolerances = vec((subgroup(), tolerance()), 0..4).prop_map(|mut t| {
        t.sort_by_key(|(subgroup, _)| *subgroup);
        t.dedup_by_key(|(subgroup, _)| *subgroup);
        t
    });
    (
        select(Phase::ALL),
        option::of(subgroup()),
        tolerances,
        allergens(),
    )
        .prop_map(|(phase, challenge, tolerances, excluded_allergens)| Diner {
            phase,
            challenge,
            tolerances,
            excluded_allergens,
        })
}

pub fn policy() -> impl Strategy<Value = Policy> {
    (
        "[a-z ]{1,20}",
        select(Confidence::ALL),
        grade(),
        select(Netting::ALL),
        select(Region::ALL),
    )
        .prop_map(
            |(name, confidence, weakest_grade, netting, region)| Policy {
                name,
                confidence,
                weakest_grade,
                netting,
                region,
            },
        )
}

fn card() -> impl Strategy<Value = RecipeCard> {
    let portions = option::of(number(Portions::LIMIT).prop_map(|v| Portions::new(v).unwrap()));
    let leaf = (
        (
            text(),
            option::of(text()),
            portions,
            option::of(text()),
            option::of(text()),
        ),
        (select(Service::ALL), texts(), text()),
    )
        .prop_map(
            |((name, code, portions, makes, portion), (service, lines, method))| RecipeCard {
                name,
                code,
                portions,
                makes,
                portion,
                service,
                lines,
                method,
                sub_recipes: Vec::new(),
            },
        );
    leaf.prop_recursive(3, 6, 2, |inner| {
        (inner.clone(), vec(inner, 0..2)).prop_map(|(card, sub_recipes)| RecipeCard {
            sub_recipes,
            ..card
        })
    })
}

pub fn request() -> impl Strategy<Value = AssessmentRequest> {
    let serving = prop_oneof![
        card().prop_map(Serving::Dish),
        card().prop_map(Serving::Drink)
    ];
    let subject = prop_oneof![
        card().prop_map(Subject::Dish),
        card().prop_map(Subject::Drink),
        vec(serving, 1..3).prop_map(Subject::Sitting),
    ];
    (subject, diner(), policy()).prop_map(|(subject, diner, policy)| AssessmentRequest {
        subject,
        diner,
        policy,
    })
}

fn cutoff() -> impl Strategy<Value = CutoffUsed> {
    let row = || select(AppliesTo::ALL);
    let basis = prop_oneof![
        row().prop_map(LimitBasis::Published),
        row().prop_map(LimitBasis::SharedTotal),
        Just(LimitBasis::Tolerance),
    ];
    (grams(), basis, option::of(source())).prop_map(|(grams, basis, source)| CutoffUsed {
        grams,
        basis,
        source,
    })
}

fn load() -> impl Strategy<Value = LoadRow> {
    (
        (subgroup(), select(LoadState::ALL)),
        (
            option::of(grams()),
            option::of(grams()),
            option::of(grams()),
        ),
        (option::of(cutoff()), option::of(fraction())),
        (select(Finding::ALL), option::of(grade())),
    )
        .prop_map(
            |((subgroup, state), (grams, low, high), (cutoff, exceedance), (finding, grade))| {
                LoadRow {
                    subgroup,
                    state,
                    grams,
                    low,
                    high,
                    cutoff,
                    exceedance,
                    finding,
                    grade,
                }
            },
        )
}

fn line() -> impl Strategy<Value = LineRef> {
    (texts(), 1..300u32, text()).prop_map(|(path, number, text)| LineRef { path, number, text })
}

fn evidence() -> impl Strategy<Value = Evidence> {
    (source(), text(), grade(), option::of(0..1000u32), text()).prop_map(
        |(source, locator, grade, samples, note)| Evidence {
            source,
            locator,
            grade,
            samples,
            note,
        },
    )
}

fn contribution() -> impl Strategy<Value = Contribution> {
    let load = (subgroup(), select(LoadState::ALL), option::of(grams())).prop_map(
        |(subgroup, state, grams)| ContributedLoad {
            subgroup,
            state,
            grams,
        },
    );
    let row = (select(Analyte::ALL), evidence())
        .prop_map(|(analyte, evidence)| EvidenceRow { analyte, evidence });
    (
        (line(), option::of(food()), text(), option::of(state())),
        (
            option::of(grams()),
            texts(),
            vec(load, 0..3),
            vec(row, 0..3),
        ),
    )
        .prop_map(
            |((line, food, food_name, state), (grams, processes, loads, evidence))| Contribution {
                line,
                food,
                food_name,
                state,
                grams,
                processes,
                loads,
                evidence,
            },
        )
}

fn amendment() -> impl Strategy<Value = Amendment> {
    (
        (
            1..4u32,
            select(AmendmentKind::ALL),
            select(Stage::ALL),
            text(),
        ),
        (option::of(text()), text(), select(Ruling::ALL), allergens()),
    )
        .prop_map(
            |(
                (plan, kind, when, target),
                (replacement, text, resulting_ruling, added_allergens),
            )| {
                Amendment {
                    plan,
                    kind,
                    when,
                    target,
                    replacement,
                    text,
                    resulting_ruling,
                    added_allergens,
                }
            },
        )
}

fn fructose() -> impl Strategy<Value = ExcessFructose> {
    let decides = select(vec![ChoiceDecides::Yes, ChoiceDecides::No]);
    (
        select(Netting::ALL),
        option::of(grams()),
        option::of(grams()),
        decides,
    )
        .prop_map(
            |(netting, over_portion, by_component, choice_decides)| ExcessFructose {
                netting,
                over_portion,
                by_component,
                choice_decides,
            },
        )
}

pub fn assessment() -> impl Strategy<Value = Assessment> {
    let headroom =
        (subgroup(), ratio()).prop_map(|(subgroup, ratio)| HeadroomRow { subgroup, ratio });
    let alcohol = (grams(), select(Region::ALL), ratio()).prop_map(|(ethanol, region, count)| {
        StandardDrinks {
            ethanol,
            region,
            count,
        }
    });
    let note = (food(), text()).prop_map(|(food, text)| PracticeNote { food, text });
    let remark = (option::of(line()), text()).prop_map(|(line, text)| Remark { line, text });
    let unresolved =
        (line(), 1..200u32, text(), texts()).prop_map(|(line, column, reason, tried)| Unresolved {
            line,
            column,
            reason,
            tried,
        });
    let leaf = (
        (
            text(),
            option::of(text()),
            select(SubjectKind::ALL),
            select(Ruling::ALL),
            texts(),
        ),
        (
            option::of(grams()),
            vec(load(), 0..4),
            fructose(),
            option::of(headroom),
        ),
        (
            option::of(grams()),
            vec(contribution(), 0..3),
            vec(amendment(), 0..3),
        ),
        (
            option::of(alcohol),
            allergens(),
            vec(note, 0..2),
            vec(remark, 0..2),
        ),
        (vec(unresolved, 0..2), texts(), text(), text()),
    )
        .prop_map(|(a, b, c, d, e)| {
            let (name, code, kind, ruling, reasons) = a;
            let (portion, loads, excess_fructose, headroom) = b;
            let (portion_ceiling, contributions, amendments) = c;
            let (alcohol, allergens, practice_notes, assumptions) = d;
            let (unresolved, cautions, policy, catalogue_version) = e;
            Assessment {
                name,
                code,
                kind,
                ruling,
                reasons,
                portion,
                loads,
                excess_fructose,
                headroom,
                portion_ceiling,
                contributions,
                amendments,
                alcohol,
                allergens,
                practice_notes,
                assumptions,
                unresolved,
                cautions,
                policy,
                catalogue_version,
                items: Vec::new(),
            }
        });
    leaf.prop_recursive(1, 3, 2, |inner| {
        (inner.clone(), vec(inner, 0..3)).prop_map(|(a, items)| Assessment { items, ..a })
    })
}

pub fn reading() -> impl Strategy<Value = LineReading> {
    let doubt = (1..200u32, text(), texts()).prop_map(|(column, text, tried)| ReadingDoubt {
        column,
        text,
        tried,
    });
    (
        (
            1..300u32,
            text(),
            option::of(ratio()),
            option::of(ratio()),
            option::of(text()),
        ),
        (text(), texts(), option::of(food()), option::of(state())),
        (
            option::of(grams()),
            option::of((grams(), grams())),
            vec(doubt, 0..3),
        ),
    )
        .prop_map(|(a, b, c)| {
            let (number, line, quantity, quantity_high, unit) = a;
            let (food_text, preparation, food, state) = b;
            let (grams, grams_interval, doubts) = c;
            LineReading {
                number,
                line,
                quantity,
                quantity_high,
                unit,
                food_text,
                preparation,
                food,
                state,
                grams,
                grams_interval,
                doubts,
            }
        })
}

pub fn summary() -> impl Strategy<Value = FoodSummary> {
    (food(), text(), select(FoodClass::ALL), vec(state(), 0..3)).prop_map(
        |(id, name, class, states)| FoodSummary {
            id,
            name,
            class,
            states,
        },
    )
}

pub fn page() -> impl Strategy<Value = FoodPage> {
    let observation = (text(), evidence(), text(), option::of(text())).prop_map(
        |(value, evidence, citation, rejected)| Observation {
            value,
            evidence,
            citation,
            rejected,
        },
    );
    let analyte = (
        (
            select(Analyte::ALL),
            select(LoadState::ALL),
            option::of(grade()),
        ),
        (
            option::of(per_100g()),
            option::of(per_100g()),
            option::of(per_100g()),
        ),
        vec(observation, 0..2),
    )
        .prop_map(
            |((analyte, state, grade), (grams, low, high), observations)| AnalyteRow {
                analyte,
                state,
                grams,
                low,
                high,
                grade,
                observations,
            },
        );
    let measure = (text(), grams(), grade()).prop_map(|(measure, grams, grade)| MeasureRow {
        measure,
        grams,
        grade,
    });
    let headroom = (subgroup(), ratio()).prop_map(|(subgroup, ratio)| Headroom { subgroup, ratio });
    let states = (
        (state(), vec(analyte, 0..3), vec(measure, 0..2)),
        (
            option::of(fraction()),
            option::of(grams()),
            option::of(headroom),
        ),
    )
        .prop_map(
            |((id, analytes, measures), (edible_share, portion_ceiling, headroom_of_100g))| {
                FoodState {
                    id,
                    analytes,
                    measures,
                    edible_share,
                    portion_ceiling,
                    headroom_of_100g,
                }
            },
        );
    (
        (food(), text(), select(FoodClass::ALL), text(), texts()),
        (allergens(), vec(states, 0..2), texts(), text()),
    )
        .prop_map(|(a, b)| {
            let (id, name, class, family, synonyms) = a;
            let (allergens, states, practice_notes, catalogue_version) = b;
            FoodPage {
                id,
                name,
                class,
                family,
                synonyms,
                allergens,
                states,
                practice_notes,
                catalogue_version,
            }
        })
}
