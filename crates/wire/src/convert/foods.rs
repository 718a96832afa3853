//! Foods of the catalogue.

use tamis_scoring::evidence::Evidence;
use tamis_scoring::foods::{AnalyteRow, FoodPage, FoodState, FoodSummary, MeasureRow, Observation};
use tamis_scoring::quantity::{FoodId, Fraction, Grams, GramsPer100g, Ratio, StateId};
use tamis_scoring::ruling::Headroom;

use super::answer::evidence;
use super::faults::{ConversionErrors, Converted, Faults};
use super::{allergens, count, optional_word, word};
use crate::number::round;
use crate::v1;

impl TryFrom<v1::FoodSummary> for FoodSummary {
    type Error = ConversionErrors;

    fn try_from(message: v1::FoodSummary) -> Result<Self, ConversionErrors> {
        Faults::gather(|f| {
            let v1::FoodSummary {
                id,
                name,
                class,
                states,
            } = message;
            let id = f.id("id", &id, FoodId::new);
            let class = f.word::<v1::FoodClass>("class", class);
            let states = f.list("states", states, |f, state| {
                StateId::new(&state).map_err(|e| f.note(e))
            });
            Ok(Self {
                id: id?,
                name,
                class: class?,
                states: states?,
            })
        })
    }
}

impl TryFrom<v1::FoodPage> for FoodPage {
    type Error = ConversionErrors;

    fn try_from(message: v1::FoodPage) -> Result<Self, ConversionErrors> {
        Faults::gather(|f| page(f, message))
    }
}

fn page(f: &mut Faults, message: v1::FoodPage) -> Converted<FoodPage> {
    let v1::FoodPage {
        id,
        name,
        class,
        family,
        synonyms,
        allergens,
        states,
        practice_notes,
        catalogue_version,
    } = message;
    let id = f.id("id", &id, FoodId::new);
    let class = f.word::<v1::FoodClass>("class", class);
    let allergens = f.allergens("allergens", allergens);
    let states = f.list("states", states, state);
    Ok(FoodPage {
        id: id?,
        name,
        class: class?,
        family,
        synonyms,
        allergens: allergens?,
        states: states?,
        practice_notes,
        catalogue_version,
    })
}

fn state(f: &mut Faults, message: v1::FoodState) -> Converted<FoodState> {
    let v1::FoodState {
        id,
        analytes,
        measures,
        edible_share,
        portion_ceiling_g,
        headroom_of_100g,
    } = message;
    let id = f.id("id", &id, StateId::new);
    let analytes = f.list("analytes", analytes, analyte);
    let measures = f.list("measures", measures, measure);
    let edible_share = f.optional_quantity("edible_share", edible_share, Fraction::new);
    let portion_ceiling = f.optional_quantity("portion_ceiling_g", portion_ceiling_g, Grams::new);
    let headroom_of_100g = f.optional("headroom_of_100g", headroom_of_100g, headroom);
    Ok(FoodState {
        id: id?,
        analytes: analytes?,
        measures: measures?,
        edible_share: edible_share?,
        portion_ceiling: portion_ceiling?,
        headroom_of_100g: headroom_of_100g?,
    })
}

fn headroom(f: &mut Faults, message: v1::Headroom) -> Converted<Headroom> {
    let v1::Headroom { subgroup, ratio } = message;
    let subgroup = f.word::<v1::Subgroup>("subgroup", subgroup);
    let ratio = f.quantity("ratio", ratio, Ratio::new);
    Ok(Headroom {
        subgroup: subgroup?,
        ratio: ratio?,
    })
}

fn analyte(f: &mut Faults, message: v1::AnalyteRow) -> Converted<AnalyteRow> {
    let v1::AnalyteRow {
        analyte,
        state,
        grams,
        low,
        high,
        grade,
        observations,
    } = message;
    let analyte = f.word::<v1::Analyte>("analyte", analyte);
    let state = f.word::<v1::LoadState>("state", state);
    let grams = f.optional_quantity("grams", grams, GramsPer100g::new);
    let low = f.optional_quantity("low", low, GramsPer100g::new);
    let high = f.optional_quantity("high", high, GramsPer100g::new);
    let grade = f.optional_word::<v1::Grade>("grade", grade);
    let observations = f.list("observations", observations, observation);
    Ok(AnalyteRow {
        analyte: analyte?,
        state: state?,
        grams: grams?,
        low: low?,
        high: high?,
        grade: grade?,
        observations: observations?,
    })
}

fn observation(f: &mut Faults, message: v1::Observation) -> Converted<Observation> {
    let v1::Observation {
        value,
        source,
        locator,
        grade,
        samples,
        note,
        citation,
        rejected,
    } = message;
    let evidence = evidence(f, &source, locator, grade, samples, note)?;
    Ok(Observation {
        value,
        evidence,
        citation,
        rejected,
    })
}

fn measure(f: &mut Faults, message: v1::MeasureRow) -> Converted<MeasureRow> {
    let v1::MeasureRow {
        measure,
        grams,
        grade,
    } = message;
    let grams = f.quantity("grams", grams, Grams::new);
    let grade = f.word::<v1::Grade>("grade", grade);
    Ok(MeasureRow {
        measure,
        grams: grams?,
        grade: grade?,
    })
}

impl From<&FoodSummary> for v1::FoodSummary {
    fn from(summary: &FoodSummary) -> Self {
        let FoodSummary {
            id,
            name,
            class,
            states,
        } = summary;
        Self {
            id: id.to_string(),
            name: name.clone(),
            class: word::<v1::FoodClass>(*class),
            states: states.iter().map(ToString::to_string).collect(),
        }
    }
}

impl From<&FoodPage> for v1::FoodPage {
    fn from(page: &FoodPage) -> Self {
        let FoodPage {
            id,
            name,
            class,
            family,
            synonyms,
            allergens: contained,
            states,
            practice_notes,
            catalogue_version,
        } = page;
        Self {
            id: id.to_string(),
            name: name.clone(),
            class: word::<v1::FoodClass>(*class),
            family: family.clone(),
            synonyms: synonyms.clone(),
            allergens: allergens(*contained),
            states: states.iter().map(Into::into).collect(),
            practice_notes: practice_notes.clone(),
            catalogue_version: catalogue_version.clone(),
        }
    }
}

impl From<&FoodState> for v1::FoodState {
    fn from(state: &FoodState) -> Self {
        let FoodState {
            id,
            analytes,
            measures,
            edible_share,
            portion_ceiling,
            headroom_of_100g,
        } = state;
        Self {
            id: id.to_string(),
            analytes: analytes.iter().map(Into::into).collect(),
            measures: measures.iter().map(Into::into).collect(),
            edible_share: edible_share.map(|s| round(s.get())),
            portion_ceiling_g: portion_ceiling.map(|g| round(g.get())),
            headroom_of_100g: headroom_of_100g.as_ref().map(Into::into),
        }
    }
}

impl From<&Headroom> for v1::Headroom {
    fn from(headroom: &Headroom) -> Self {
        let Headroom { subgroup, ratio } = headroom;
        Self {
            subgroup: word::<v1::Subgroup>(*subgroup),
            ratio: round(ratio.get()),
        }
    }
}

impl From<&AnalyteRow> for v1::AnalyteRow {
    fn from(row: &AnalyteRow) -> Self {
        let AnalyteRow {
            analyte,
            state,
            grams,
            low,
            high,
            grade,
            observations,
        } = row;
        let rounded = |grams: Option<GramsPer100g>| grams.map(|g| round(g.get()));
        Self {
            analyte: word::<v1::Analyte>(*analyte),
            state: word::<v1::LoadState>(*state),
            grams: rounded(*grams),
            low: rounded(*low),
            high: rounded(*high),
            grade: optional_word::<v1::Grade, _>(*grade),
            observations: observations.iter().map(Into::into).collect(),
        }
    }
}

impl From<&Observation> for v1::Observation {
    fn from(observation: &Observation) -> Self {
        let Observation {
            value,
            evidence,
            citation,
            rejected,
        } = observation;
        let Evidence {
            source,
            locator,
            grade,
            samples,
            note,
        } = evidence;
        Self {
            value: value.clone(),
            source: source.to_string(),
            locator: locator.clone(),
            grade: word::<v1::Grade>(*grade),
            samples: samples.map(count),
            note: note.clone(),
            citation: citation.clone(),
            rejected: rejected.clone(),
        }
    }
}

impl From<&MeasureRow> for v1::MeasureRow {
    fn from(row: &MeasureRow) -> Self {
        let MeasureRow {
            measure,
            grams,
            grade,
        } = row;
        Self {
            measure: measure.clone(),
            grams: round(grams.get()),
            grade: word::<v1::Grade>(*grade),
        }
    }
}
