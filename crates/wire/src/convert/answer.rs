//! Assessments; the way out is in [`outgoing`].

mod outgoing;

use tamis_scoring::assessment::{
    Amendment, Assessment, ChoiceDecides, ContributedLoad, Contribution, CutoffUsed, EvidenceRow,
    ExcessFructose, HeadroomRow, LineRef, LoadRow, PracticeNote, Remark, Unresolved,
};
use tamis_scoring::cutoffs::{AppliesTo, LimitBasis};
use tamis_scoring::drinks::StandardDrinks;
use tamis_scoring::evidence::Evidence;
use tamis_scoring::quantity::{FoodId, Fraction, Grams, Ratio, SourceId, StateId};

use super::faults::{ConversionErrors, Converted, Faults};
use crate::v1;

impl TryFrom<v1::Assessment> for Assessment {
    type Error = ConversionErrors;

    fn try_from(message: v1::Assessment) -> Result<Self, ConversionErrors> {
        Faults::gather(|f| assessment(f, message))
    }
}

fn assessment(f: &mut Faults, message: v1::Assessment) -> Converted<Assessment> {
    let v1::Assessment {
        name,
        code,
        kind,
        ruling,
        reasons,
        portion_g,
        loads,
        excess_fructose,
        headroom: tightest,
        portion_ceiling_g,
        contributions,
        amendments,
        alcohol: ethanol,
        allergens,
        practice_notes,
        assumptions,
        unresolved: not_understood,
        cautions,
        policy,
        catalogue_version,
        items,
    } = message;
    let kind = f.word::<v1::SubjectKind>("kind", kind);
    let ruling = f.word::<v1::Ruling>("ruling", ruling);
    let portion = f.optional_quantity("portion_g", portion_g, Grams::new);
    let loads = f.list("loads", loads, load);
    let excess_fructose = f.required("excess_fructose", excess_fructose, fructose);
    let headroom = f.optional("headroom", tightest, headroom);
    let portion_ceiling = f.optional_quantity("portion_ceiling_g", portion_ceiling_g, Grams::new);
    let contributions = f.list("contributions", contributions, contribution);
    let amendments = f.list("amendments", amendments, amendment);
    let alcohol = f.optional("alcohol", ethanol, alcohol);
    let allergens = f.allergens("allergens", allergens);
    let practice_notes = f.list("practice_notes", practice_notes, practice_note);
    let assumptions = f.list("assumptions", assumptions, assumption);
    let unresolved = f.list("unresolved", not_understood, unresolved);
    let items = f.list("items", items, assessment);
    Ok(Assessment {
        name,
        code,
        kind: kind?,
        ruling: ruling?,
        reasons,
        portion: portion?,
        loads: loads?,
        excess_fructose: excess_fructose?,
        headroom: headroom?,
        portion_ceiling: portion_ceiling?,
        contributions: contributions?,
        amendments: amendments?,
        alcohol: alcohol?,
        allergens: allergens?,
        practice_notes: practice_notes?,
        assumptions: assumptions?,
        unresolved: unresolved?,
        cautions,
        policy,
        catalogue_version,
        items: items?,
    })
}

fn load(f: &mut Faults, message: v1::Load) -> Converted<LoadRow> {
    let v1::Load {
        subgroup,
        state,
        grams,
        low,
        high,
        cutoff_g,
        cutoff_basis,
        cutoff_applies_to,
        cutoff_source,
        exceedance,
        finding,
        grade,
    } = message;
    let subgroup = f.word::<v1::Subgroup>("subgroup", subgroup);
    let state = f.word::<v1::LoadState>("state", state);
    let grams = f.optional_quantity("grams", grams, Grams::new);
    let low = f.optional_quantity("low", low, Grams::new);
    let high = f.optional_quantity("high", high, Grams::new);
    let cutoff = match cutoff_g {
        Some(g) => {
            let grams = f.quantity("cutoff_g", g, Grams::new);
            let basis = basis(f, cutoff_basis, cutoff_applies_to);
            let source = f.optional_id("cutoff_source", cutoff_source.as_deref(), SourceId::new);
            grams.and_then(|grams| {
                Ok(Some(CutoffUsed {
                    grams,
                    basis: basis?,
                    source: source?,
                }))
            })
        }
        None if cutoff_basis == 0 && cutoff_applies_to == 0 && cutoff_source.is_none() => Ok(None),
        None => f.at("cutoff_g", |f| {
            Err(f.note("is missing beside its basis or source"))
        }),
    };
    let exceedance = f.optional_quantity("exceedance", exceedance, Fraction::new);
    let finding = f.word::<v1::Finding>("finding", finding);
    let grade = f.optional_word::<v1::Grade>("grade", grade);
    Ok(LoadRow {
        subgroup: subgroup?,
        state: state?,
        grams: grams?,
        low: low?,
        high: high?,
        cutoff: cutoff?,
        exceedance: exceedance?,
        finding: finding?,
        grade: grade?,
    })
}

fn basis(f: &mut Faults, basis: i32, applies_to: i32) -> Converted<LimitBasis> {
    let row = |f: &mut Faults, of: fn(AppliesTo) -> LimitBasis| {
        f.word::<v1::CutoffAppliesTo>("cutoff_applies_to", applies_to)
            .map(of)
    };
    match v1::CutoffBasis::try_from(basis) {
        Ok(v1::CutoffBasis::Published) => row(f, LimitBasis::Published),
        Ok(v1::CutoffBasis::SharedTotal) => row(f, LimitBasis::SharedTotal),
        Ok(v1::CutoffBasis::Tolerance) if applies_to == 0 => Ok(LimitBasis::Tolerance),
        Ok(v1::CutoffBasis::Tolerance) => f.at("cutoff_applies_to", |f| {
            Err(f.note("must be unspecified for a diner's own tolerance"))
        }),
        Ok(v1::CutoffBasis::Unspecified) | Err(_) => f.at("cutoff_basis", |f| {
            Err(f.note("must be one of published, shared_total, tolerance beside a cut-off"))
        }),
    }
}

fn fructose(f: &mut Faults, message: v1::ExcessFructose) -> Converted<ExcessFructose> {
    let v1::ExcessFructose {
        netting,
        over_portion_g,
        by_component_g,
        choice_decides,
    } = message;
    let netting = f.word::<v1::Netting>("netting", netting);
    let over_portion = f.optional_quantity("over_portion_g", over_portion_g, Grams::new);
    let by_component = f.optional_quantity("by_component_g", by_component_g, Grams::new);
    Ok(ExcessFructose {
        netting: netting?,
        over_portion: over_portion?,
        by_component: by_component?,
        choice_decides: if choice_decides {
            ChoiceDecides::Yes
        } else {
            ChoiceDecides::No
        },
    })
}

fn headroom(f: &mut Faults, message: v1::Headroom) -> Converted<HeadroomRow> {
    let v1::Headroom { subgroup, ratio } = message;
    let subgroup = f.word::<v1::Subgroup>("subgroup", subgroup);
    let ratio = f.quantity("ratio", ratio, Ratio::new);
    Ok(HeadroomRow {
        subgroup: subgroup?,
        ratio: ratio?,
    })
}

fn contribution(f: &mut Faults, message: v1::Contribution) -> Converted<Contribution> {
    let v1::Contribution {
        line,
        line_number,
        path,
        food,
        food_name,
        state,
        grams,
        processes,
        loads,
        evidence,
    } = message;
    let line = line_ref(f, line, line_number, path);
    let food = f.optional_id("food", food.as_deref(), FoodId::new);
    let state = f.optional_id("state", state.as_deref(), StateId::new);
    let grams = f.optional_quantity("grams", grams, Grams::new);
    let loads = f.list("loads", loads, contributed_load);
    let evidence = f.list("evidence", evidence, evidence_row);
    Ok(Contribution {
        line: line?,
        food: food?,
        food_name,
        state: state?,
        grams: grams?,
        processes,
        loads: loads?,
        evidence: evidence?,
    })
}

fn line_ref(f: &mut Faults, text: String, number: i32, path: Vec<String>) -> Converted<LineRef> {
    Ok(LineRef {
        path,
        number: f.count("line_number", number)?,
        text,
    })
}

fn contributed_load(f: &mut Faults, message: v1::ContributedLoad) -> Converted<ContributedLoad> {
    let v1::ContributedLoad {
        subgroup,
        state,
        grams,
    } = message;
    let subgroup = f.word::<v1::Subgroup>("subgroup", subgroup);
    let state = f.word::<v1::LoadState>("state", state);
    let grams = f.optional_quantity("grams", grams, Grams::new);
    Ok(ContributedLoad {
        subgroup: subgroup?,
        state: state?,
        grams: grams?,
    })
}

fn evidence_row(f: &mut Faults, message: v1::EvidenceRow) -> Converted<EvidenceRow> {
    let v1::EvidenceRow {
        analyte,
        source,
        locator,
        grade,
        samples,
        note,
    } = message;
    let analyte = f.word::<v1::Analyte>("analyte", analyte);
    let evidence = evidence(f, &source, locator, grade, samples, note);
    Ok(EvidenceRow {
        analyte: analyte?,
        evidence: evidence?,
    })
}

/// The fields that every message with evidence has.
pub(super) fn evidence(
    f: &mut Faults,
    source: &str,
    locator: String,
    grade: i32,
    samples: Option<i32>,
    note: String,
) -> Converted<Evidence> {
    let source = f.id("source", source, SourceId::new);
    let grade = f.word::<v1::Grade>("grade", grade);
    let samples = samples.map(|n| f.count("samples", n)).transpose();
    Ok(Evidence {
        source: source?,
        locator,
        grade: grade?,
        samples: samples?,
        note,
    })
}

fn amendment(f: &mut Faults, message: v1::Amendment) -> Converted<Amendment> {
    let v1::Amendment {
        plan,
        kind,
        when,
        target,
        replacement,
        text,
        resulting_ruling,
        added_allergens,
    } = message;
    let plan = f.count("plan", plan);
    let kind = f.word::<v1::AmendmentKind>("kind", kind);
    let when = f.word::<v1::Stage>("when", when);
    let resulting_ruling = f.word::<v1::Ruling>("resulting_ruling", resulting_ruling);
    let added_allergens = f.allergens("added_allergens", added_allergens);
    Ok(Amendment {
        plan: plan?,
        kind: kind?,
        when: when?,
        target,
        replacement,
        text,
        resulting_ruling: resulting_ruling?,
        added_allergens: added_allergens?,
    })
}

fn alcohol(f: &mut Faults, message: v1::Alcohol) -> Converted<StandardDrinks> {
    let v1::Alcohol {
        ethanol_g,
        region,
        standard_drinks,
    } = message;
    let ethanol = f.quantity("ethanol_g", ethanol_g, Grams::new);
    let region = f.word::<v1::Region>("region", region);
    let count = f.quantity("standard_drinks", standard_drinks, Ratio::new);
    Ok(StandardDrinks {
        ethanol: ethanol?,
        region: region?,
        count: count?,
    })
}

fn practice_note(f: &mut Faults, message: v1::PracticeNote) -> Converted<PracticeNote> {
    let v1::PracticeNote { food, text } = message;
    Ok(PracticeNote {
        food: f.id("food", &food, FoodId::new)?,
        text,
    })
}

fn assumption(f: &mut Faults, message: v1::Assumption) -> Converted<Remark> {
    let v1::Assumption {
        line,
        line_number,
        path,
        text,
    } = message;
    let line = match (line, line_number) {
        (Some(line), Some(number)) => Some(line_ref(f, line, number, path)?),
        (None, None) if path.is_empty() => None,
        _ => return Err(f.note("give line and line_number together, or neither and no path")),
    };
    Ok(Remark { line, text })
}

fn unresolved(f: &mut Faults, message: v1::Unresolved) -> Converted<Unresolved> {
    let v1::Unresolved {
        line,
        line_number,
        path,
        column,
        reason,
        tried,
    } = message;
    let line = line_ref(f, line, line_number, path);
    let column = f.count("column", column);
    Ok(Unresolved {
        line: line?,
        column: column?,
        reason,
        tried,
    })
}
