//! Method steps of a card, applied to what is in the pot.

use tamis_catalogue::Catalogue;
use tamis_kitchen_text::{MethodSentence, Solids, Step};
use tamis_scoring::assessment::Remark;
use tamis_scoring::composition::Content;
use tamis_scoring::dish::FoodClass;
use tamis_scoring::estimate::Share;
use tamis_scoring::processing::{Kept, Process, glucose_from_lactose};
use tamis_scoring::quantity::{Fraction, Quantity};
use tamis_scoring::subgroup::Analyte;

use crate::plate::Item;

/// Applies the steps of a method, in order, to the lines of its own card. What came in with a
/// sub-recipe has its own method behind it; only a marinade thrown away takes that along too.
pub(crate) fn apply_method(
    catalogue: &Catalogue,
    method: &[MethodSentence],
    items: &mut [Item],
    below: &mut [Item],
    remarks: &mut Vec<Remark>,
) {
    for (at, sentence) in method.iter().enumerate() {
        for step in &sentence.steps {
            let later = &method[at + 1..];
            let so_far = &method[..=at];
            for i in targets(step.step, items, so_far, later) {
                apply(catalogue, step.step, &mut items[i]);
            }
            if matches!(step.step, Step::MarinateDiscard { .. }) {
                for item in &mut *below {
                    apply(catalogue, step.step, item);
                }
            }
            if let Some(text) = remark(step.step, &sentence.text) {
                remarks.push(Remark { line: None, text });
            }
        }
    }
}

/// Applies one step to one line.
pub(crate) fn apply(catalogue: &Catalogue, step: Step, item: &mut Item) {
    let Some(process) = process(step) else { return };
    let Some(food) = item.food.clone() else {
        return;
    };
    if item.processes.iter().any(|p| p == process.word()) {
        return;
    }
    item.processes.push(process.word().to_owned());
    let retention = catalogue.retention(&food, process);
    if process == Process::LactaseTreated {
        add_split_glucose(item, retention.of(Analyte::Lactose));
    }
    item.retention = item.retention.then(&retention);
}

const fn process(step: Step) -> Option<Process> {
    Some(match step {
        Step::StrainDiscardSolids => Process::StrainedLiquorKept,
        Step::SoakDiscardWater { .. } => Process::SoakedWaterDiscarded,
        Step::BoilDiscardWater => Process::BoiledWaterDiscarded,
        Step::MarinateDiscard { .. } => Process::MarinadeDiscarded,
        Step::InfuseOil(Solids::Strained) => Process::InfusedOilStrained,
        Step::InfuseOil(Solids::Left) => Process::InfusedOilSolidsLeft,
        Step::ReduceBy(_) | Step::ReduceTo(_) | Step::ReduceUnclear(_) => Process::Reduced,
        Step::Lactase => Process::LactaseTreated,
        Step::DrainDiscardLiquid | Step::KeepLiquid | Step::Ferment(_) | Step::Other => {
            return None;
        }
    })
}

fn remark(step: Step, sentence: &str) -> Option<String> {
    match step {
        Step::Ferment(_) => Some(format!(
            "`{sentence}`: what fermentation takes away is not credited; the grams are those of the flour"
        )),
        Step::ReduceUnclear(_) => Some(format!(
            "`{sentence}`: by or to is not said; the grams on the plate are the same either way where the yield is stated"
        )),
        Step::MarinateDiscard { .. } => Some(format!(
            "`{sentence}`: the share of the marinade that stays is an interval (common practice, no source)"
        )),
        _ => None,
    }
}

fn targets(
    step: Step,
    items: &[Item],
    so_far: &[MethodSentence],
    later: &[MethodSentence],
) -> Vec<usize> {
    let all = 0..items.len();
    let in_pot = |i: &usize| !joins_later(&items[*i], so_far, later);
    match step {
        Step::StrainDiscardSolids | Step::InfuseOil(_) => {
            let infused = all
                .clone()
                .all(|i| is_solid(&items[i]) || items[i].class == FoodClass::FatOil);
            if matches!(step, Step::StrainDiscardSolids) && infused {
                // Nothing but oil to strain: the infusion's own step speaks for it.
                return Vec::new();
            }
            all.filter(in_pot)
                .filter(|&i| is_solid(&items[i]))
                .collect()
        }
        Step::SoakDiscardWater { .. } => all
            .filter(|&i| items[i].class == FoodClass::Legume)
            .collect(),
        Step::BoilDiscardWater => all
            .filter(in_pot)
            .filter(|&i| {
                matches!(
                    items[i].class,
                    FoodClass::Legume | FoodClass::Grain | FoodClass::Vegetable
                )
            })
            .collect(),
        Step::MarinateDiscard { .. } => all
            .filter(|&i| {
                !matches!(
                    items[i].class,
                    FoodClass::Meat | FoodClass::Fish | FoodClass::Legume
                )
            })
            .collect(),
        Step::Lactase => all
            .filter(|&i| items[i].class == FoodClass::Dairy)
            .collect(),
        Step::ReduceBy(_) | Step::ReduceTo(_) | Step::ReduceUnclear(_) => {
            all.filter(in_pot).collect()
        }
        Step::DrainDiscardLiquid | Step::KeepLiquid | Step::Ferment(_) | Step::Other => Vec::new(),
    }
}

/// Whether the method first names an item only after the step: butter to finish.
fn joins_later(item: &Item, so_far: &[MethodSentence], later: &[MethodSentence]) -> bool {
    let named = |sentences: &[MethodSentence]| {
        sentences.iter().any(|s| {
            let text = s.text.to_lowercase();
            item.name
                .split(|c: char| !c.is_alphabetic())
                .filter(|w| w.len() > 3)
                .any(|word| text.contains(&word.to_lowercase()))
        })
    };
    named(later) && !named(so_far)
}

/// Whether a sieve holds it back.
fn is_solid(item: &Item) -> bool {
    let liquid_state = item.state.as_ref().is_some_and(|s| {
        matches!(
            s.as_str(),
            "juice" | "liquid" | "puree" | "paste" | "powder" | "syrup"
        )
    });
    let solid_class = matches!(
        item.class,
        FoodClass::Grain
            | FoodClass::Legume
            | FoodClass::NutSeed
            | FoodClass::Vegetable
            | FoodClass::Fruit
            | FoodClass::Mushroom
            | FoodClass::HerbSpice
            | FoodClass::Meat
            | FoodClass::Fish
    );
    solid_class && !liquid_state
}

/// Lactase splits lactose into galactose and the glucose that then meets the fructose.
fn add_split_glucose(item: &mut Item, kept: Kept) {
    let (Content::Known(lactose, grade), Kept::Share(share, _)) =
        (item.composition.content(Analyte::Lactose), kept)
    else {
        return;
    };
    let split = Share::exact(Fraction::clamped(1.0 - share.mean().get()));
    let gained = glucose_from_lactose(lactose.scaled_by(split));
    let glucose = match item.composition.content(Analyte::Glucose) {
        Content::Known(had, g) => Content::Known(had.plus(gained), g.weaker(grade)),
        Content::Absent => Content::Known(gained, grade),
        other => other,
    };
    item.composition = item.composition.with(Analyte::Glucose, glucose);
}
