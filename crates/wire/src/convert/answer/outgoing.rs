//! Assessments on their way out.

use tamis_scoring::assessment::{
    Amendment, Assessment, ChoiceDecides, ContributedLoad, Contribution, CutoffUsed, EvidenceRow,
    ExcessFructose, HeadroomRow, LineRef, LoadRow, PracticeNote, Remark, Unresolved,
};
use tamis_scoring::cutoffs::LimitBasis;
use tamis_scoring::drinks::StandardDrinks;
use tamis_scoring::evidence::Evidence;
use tamis_scoring::quantity::Grams;

use crate::convert::{allergens, count, optional_word, word};
use crate::number::{round, round_probability};
use crate::v1;

fn rounded(grams: Option<Grams>) -> Option<f64> {
    grams.map(|g| round(g.get()))
}

impl From<&Assessment> for v1::Assessment {
    fn from(assessment: &Assessment) -> Self {
        let Assessment {
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
            allergens: contained,
            practice_notes,
            assumptions,
            unresolved,
            cautions,
            policy,
            catalogue_version,
            items,
        } = assessment;
        Self {
            name: name.clone(),
            code: code.clone(),
            kind: word::<v1::SubjectKind>(*kind),
            ruling: word::<v1::Ruling>(*ruling),
            reasons: reasons.clone(),
            portion_g: rounded(*portion),
            loads: loads.iter().map(Into::into).collect(),
            excess_fructose: Some(excess_fructose.into()),
            headroom: headroom.as_ref().map(Into::into),
            portion_ceiling_g: rounded(*portion_ceiling),
            contributions: contributions.iter().map(Into::into).collect(),
            amendments: amendments.iter().map(Into::into).collect(),
            alcohol: alcohol.as_ref().map(Into::into),
            allergens: allergens(*contained),
            practice_notes: practice_notes.iter().map(Into::into).collect(),
            assumptions: assumptions.iter().map(Into::into).collect(),
            unresolved: unresolved.iter().map(Into::into).collect(),
            cautions: cautions.clone(),
            policy: policy.clone(),
            catalogue_version: catalogue_version.clone(),
            items: items.iter().map(Into::into).collect(),
        }
    }
}

impl From<&LoadRow> for v1::Load {
    fn from(row: &LoadRow) -> Self {
        let LoadRow {
            subgroup,
            state,
            grams,
            low,
            high,
            cutoff,
            exceedance,
            finding,
            grade,
        } = row;
        let (cutoff_g, basis, applies_to, source) = match cutoff {
            Some(CutoffUsed {
                grams,
                basis,
                source,
            }) => {
                let (basis, applies_to) = match *basis {
                    LimitBasis::Published(row) => (v1::CutoffBasis::Published, Some(row)),
                    LimitBasis::SharedTotal(row) => (v1::CutoffBasis::SharedTotal, Some(row)),
                    LimitBasis::Tolerance => (v1::CutoffBasis::Tolerance, None),
                };
                (Some(*grams), basis, applies_to, source.as_ref())
            }
            None => (None, v1::CutoffBasis::Unspecified, None, None),
        };
        Self {
            subgroup: word::<v1::Subgroup>(*subgroup),
            state: word::<v1::LoadState>(*state),
            grams: rounded(*grams),
            low: rounded(*low),
            high: rounded(*high),
            cutoff_g: rounded(cutoff_g),
            cutoff_basis: basis.into(),
            cutoff_applies_to: optional_word::<v1::CutoffAppliesTo, _>(applies_to),
            cutoff_source: source.map(ToString::to_string),
            exceedance: exceedance.map(|e| round_probability(e.get())),
            finding: word::<v1::Finding>(*finding),
            grade: optional_word::<v1::Grade, _>(*grade),
        }
    }
}

impl From<&ExcessFructose> for v1::ExcessFructose {
    fn from(of: &ExcessFructose) -> Self {
        let ExcessFructose {
            netting,
            over_portion,
            by_component,
            choice_decides,
        } = of;
        Self {
            netting: word::<v1::Netting>(*netting),
            over_portion_g: rounded(*over_portion),
            by_component_g: rounded(*by_component),
            choice_decides: match choice_decides {
                ChoiceDecides::Yes => true,
                ChoiceDecides::No => false,
            },
        }
    }
}

impl From<&HeadroomRow> for v1::Headroom {
    fn from(row: &HeadroomRow) -> Self {
        let HeadroomRow { subgroup, ratio } = row;
        Self {
            subgroup: word::<v1::Subgroup>(*subgroup),
            ratio: round(ratio.get()),
        }
    }
}

impl From<&Contribution> for v1::Contribution {
    fn from(of: &Contribution) -> Self {
        let Contribution {
            line,
            food,
            food_name,
            state,
            grams,
            processes,
            loads,
            evidence,
        } = of;
        let LineRef { path, number, text } = line;
        Self {
            line: text.clone(),
            line_number: count(*number),
            path: path.clone(),
            food: food.as_ref().map(ToString::to_string),
            food_name: food_name.clone(),
            state: state.as_ref().map(ToString::to_string),
            grams: rounded(*grams),
            processes: processes.clone(),
            loads: loads.iter().map(Into::into).collect(),
            evidence: evidence.iter().map(Into::into).collect(),
        }
    }
}

impl From<&ContributedLoad> for v1::ContributedLoad {
    fn from(load: &ContributedLoad) -> Self {
        let ContributedLoad {
            subgroup,
            state,
            grams,
        } = load;
        Self {
            subgroup: word::<v1::Subgroup>(*subgroup),
            state: word::<v1::LoadState>(*state),
            grams: rounded(*grams),
        }
    }
}

impl From<&EvidenceRow> for v1::EvidenceRow {
    fn from(row: &EvidenceRow) -> Self {
        let EvidenceRow { analyte, evidence } = row;
        let Evidence {
            source,
            locator,
            grade,
            samples,
            note,
        } = evidence;
        Self {
            analyte: word::<v1::Analyte>(*analyte),
            source: source.to_string(),
            locator: locator.clone(),
            grade: word::<v1::Grade>(*grade),
            samples: samples.map(count),
            note: note.clone(),
        }
    }
}

impl From<&Amendment> for v1::Amendment {
    fn from(amendment: &Amendment) -> Self {
        let Amendment {
            plan,
            kind,
            when,
            target,
            replacement,
            text,
            resulting_ruling,
            added_allergens,
        } = amendment;
        Self {
            plan: count(*plan),
            kind: word::<v1::AmendmentKind>(*kind),
            when: word::<v1::Stage>(*when),
            target: target.clone(),
            replacement: replacement.clone(),
            text: text.clone(),
            resulting_ruling: word::<v1::Ruling>(*resulting_ruling),
            added_allergens: allergens(*added_allergens),
        }
    }
}

impl From<&StandardDrinks> for v1::Alcohol {
    fn from(of: &StandardDrinks) -> Self {
        let StandardDrinks {
            ethanol,
            region,
            count,
        } = of;
        Self {
            ethanol_g: round(ethanol.get()),
            region: word::<v1::Region>(*region),
            standard_drinks: round(count.get()),
        }
    }
}

impl From<&PracticeNote> for v1::PracticeNote {
    fn from(note: &PracticeNote) -> Self {
        let PracticeNote { food, text } = note;
        Self {
            food: food.to_string(),
            text: text.clone(),
        }
    }
}

impl From<&Remark> for v1::Assumption {
    fn from(remark: &Remark) -> Self {
        let Remark { line, text: what } = remark;
        let (line, line_number, path) = match line {
            Some(LineRef { path, number, text }) => {
                (Some(text.clone()), Some(count(*number)), path.clone())
            }
            None => (None, None, Vec::new()),
        };
        Self {
            line,
            line_number,
            path,
            text: what.clone(),
        }
    }
}

impl From<&Unresolved> for v1::Unresolved {
    fn from(of: &Unresolved) -> Self {
        let Unresolved {
            line,
            column,
            reason,
            tried,
        } = of;
        let LineRef { path, number, text } = line;
        Self {
            line: text.clone(),
            line_number: count(*number),
            path: path.clone(),
            column: count(*column),
            reason: reason.clone(),
            tried: tried.clone(),
        }
    }
}
