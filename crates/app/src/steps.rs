//! Method steps of a card, applied to what is in the pot.

use tamis_catalogue::Catalogue;
use tamis_kitchen_text::{Culture, MethodSentence, MethodStep, Solids, Step, Terms};
use tamis_scoring::assessment::{EvidenceRow, Remark};
use tamis_scoring::composition::Content;
use tamis_scoring::dish::{Amount, FoodClass};
use tamis_scoring::processing::Process;
use tamis_scoring::processing::kinetics::{Celsius, Conditions, Range};
use tamis_scoring::quantity::{Hours, MilligramsPerLitre, Quantity, Ratio};

use crate::dough::Dough;
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
    let dough = Dough::of(method, items, below);
    if let Some(dough) = &dough {
        remarks.extend(dough.ferment(catalogue, items));
    }
    for (at, sentence) in method.iter().enumerate() {
        for step in &sentence.steps {
            if dough.is_some() && matches!(step.step, Step::Ferment(_) | Step::Rest(_)) {
                continue;
            }
            let later = &method[at + 1..];
            let so_far = &method[..=at];
            let mut beyond = Vec::new();
            let hit = targets(step.step, items, so_far, later);
            let conditions = conditions(&step.terms, water_ratio(step.step, items, &hit));
            for &i in &hit {
                if let Some(process) = process(step.step, &items[i]) {
                    beyond.extend(apply(catalogue, process, &conditions, &mut items[i]));
                }
            }
            if matches!(step.step, Step::MarinateDiscard { .. }) {
                for item in &mut *below {
                    if let Some(process) = process(step.step, item) {
                        beyond.extend(apply(catalogue, process, &conditions, item));
                    }
                }
            }
            beyond.sort_unstable();
            beyond.dedup();
            let said = remark(step.step, hit.is_empty()).map(str::to_owned);
            for text in said.into_iter().chain(beyond) {
                remarks.push(Remark {
                    line: None,
                    text: format!("`{}`: {text}", sentence.text),
                });
            }
        }
    }
}

/// Applies a step that a line states to that line; what comes back is where the line leaves the
/// range of the evidence.
pub(crate) fn of_line(catalogue: &Catalogue, step: &MethodStep, item: &mut Item) -> Vec<String> {
    match process(step.step, item) {
        Some(process) => apply(catalogue, process, &conditions(&step.terms, None), item),
        None => Vec::new(),
    }
}

/// Applies one process to one line, once.
pub(crate) fn apply(
    catalogue: &Catalogue,
    process: Process,
    conditions: &Conditions,
    item: &mut Item,
) -> Vec<String> {
    let Some(food) = item.food.clone() else {
        return Vec::new();
    };
    if item.processes.iter().any(|p| p == process.word()) {
        return Vec::new();
    }
    item.processes.push(process.word().to_owned());
    let effect = catalogue.effect(&food, process, conditions);
    item.retentions.push(effect.retention);
    item.evidence.extend(
        effect
            .evidence
            .into_iter()
            .filter(|(analyte, _)| item.composition.content(*analyte) != Content::Absent)
            .map(|(analyte, evidence)| EvidenceRow { analyte, evidence }),
    );
    let said = |b: &tamis_scoring::processing::kinetics::Beyond| {
        format!("{}, {}: {b}", item.name, process.word())
    };
    effect.beyond.iter().map(said).collect()
}

/// What a step says, in the words of the laws.
pub(crate) fn conditions(terms: &Terms, water: Option<Ratio>) -> Conditions {
    Conditions {
        hours: terms
            .hours
            .map(|h| Range::between(Hours::clamped(h.low.get()), Hours::clamped(h.high.get()))),
        water: water.map(Range::exactly),
        warmth: terms.warmth.map(|w| {
            Range::between(
                Celsius::clamped(w.low.get()),
                Celsius::clamped(w.high.get()),
            )
        }),
        dose: terms
            .dose
            .map(|d| Range::exactly(MilligramsPerLitre::clamped(d.get()))),
    }
}

fn process(step: Step, item: &Item) -> Option<Process> {
    let soy = item.class != FoodClass::Dairy;
    Some(match step {
        Step::StrainDiscardSolids => Process::StrainedLiquorKept,
        Step::SoakDiscardWater { .. } => Process::SoakedWaterDiscarded,
        Step::BoilDiscardWater => Process::BoiledWaterDiscarded,
        Step::DrainDiscardLiquid => Process::Drained,
        Step::DrainRinse => Process::DrainedRinsed,
        Step::MarinateDiscard { .. } => Process::MarinadeDiscarded,
        Step::InfuseOil(Solids::Strained) => Process::InfusedOilStrained,
        Step::InfuseOil(Solids::Left) => Process::InfusedOilSolidsLeft,
        Step::ReduceBy(_) | Step::ReduceTo(_) | Step::ReduceUnclear(_) => Process::Reduced,
        Step::Lactase => Process::LactaseTreated,
        Step::Ferment(_) => match item.class {
            FoodClass::Dairy => Process::Cultured,
            _ => Process::LacticFermented,
        },
        Step::Tempeh => Process::TempehFermented,
        Step::Sprout => Process::Sprouted,
        Step::Culture(Culture::Yoghurt) => Process::Cultured,
        Step::Culture(Culture::Kefir) => Process::KefirCultured,
        Step::DiscardWhey if soy => Process::TofuPressed,
        Step::DiscardWhey => Process::CurdDrained,
        Step::Age => Process::CheeseAged,
        Step::Ripen => Process::Ripened,
        Step::Store => Process::Stored,
        Step::Pickle => Process::PickledDrained,
        Step::Juice => Process::Juiced,
        Step::Dry => Process::Dried,
        Step::RehydrateDiscardWater => Process::RehydratedWaterDiscarded,
        Step::WashStarch => Process::StarchWashed,
        Step::KeepLiquid | Step::Rest(_) | Step::Other => return None,
    })
}

const fn remark(step: Step, hits_nothing: bool) -> Option<&'static str> {
    match step {
        Step::Ferment(_) if hits_nothing => Some(
            "nothing on this card is known to ferment by itself (flour with yeast or a sourdough starter, milk, vegetables in salt), so nothing is credited",
        ),
        Step::ReduceUnclear(_) => Some(
            "by or to is not said; the grams on the plate are the same either way where the yield is stated",
        ),
        Step::MarinateDiscard { .. } => {
            Some("the share of the marinade that stays is an interval (common practice, no source)")
        }
        _ => None,
    }
}

fn targets(
    step: Step,
    items: &[Item],
    so_far: &[MethodSentence],
    later: &[MethodSentence],
) -> Vec<usize> {
    let in_pot = |i: &usize| !joins_later(&items[*i], so_far, later);
    let of_class = |classes: &[FoodClass]| -> Vec<usize> {
        (0..items.len())
            .filter(|&i| classes.contains(&items[i].class))
            .collect()
    };
    let sentence = so_far.last().map_or("", |s| s.text.as_str());
    // Named in the sentence, else whatever the step can mean.
    let named = |found: Vec<usize>| -> Vec<usize> {
        let by_name: Vec<usize> = found
            .iter()
            .copied()
            .filter(|&i| names(sentence, &items[i]))
            .collect();
        if by_name.is_empty() { found } else { by_name }
    };
    match step {
        Step::StrainDiscardSolids | Step::InfuseOil(_) => {
            let infused = items
                .iter()
                .all(|item| is_solid(item) || item.class == FoodClass::FatOil);
            if matches!(step, Step::StrainDiscardSolids) && infused {
                // Nothing but oil to strain: the infusion's own step speaks for it.
                return Vec::new();
            }
            (0..items.len())
                .filter(in_pot)
                .filter(|&i| is_solid(&items[i]))
                .collect()
        }
        Step::SoakDiscardWater { .. } | Step::Sprout | Step::Tempeh => {
            of_class(&[FoodClass::Legume])
        }
        Step::BoilDiscardWater => {
            let mut found = of_class(&[FoodClass::Legume, FoodClass::Grain, FoodClass::Vegetable]);
            found.retain(in_pot);
            found
        }
        // What is already drained on its line lost its liquid there.
        Step::DrainDiscardLiquid | Step::DrainRinse => {
            named((0..items.len()).filter(|&i| in_liquid(&items[i])).collect())
        }
        Step::MarinateDiscard { .. } => (0..items.len())
            .filter(|&i| {
                !matches!(
                    items[i].class,
                    FoodClass::Meat | FoodClass::Fish | FoodClass::Legume
                )
            })
            .collect(),
        Step::Lactase | Step::Culture(_) | Step::Age => of_class(&[FoodClass::Dairy]),
        Step::DiscardWhey => {
            let mut found = of_class(&[FoodClass::Dairy]);
            if found.is_empty() {
                found = (0..items.len()).filter(|&i| is_soy(&items[i])).collect();
            }
            found
        }
        Step::Ferment(_) => {
            let milk = of_class(&[FoodClass::Dairy]);
            if milk.is_empty() {
                of_class(&[FoodClass::Vegetable])
            } else {
                milk
            }
        }
        Step::Ripen => named(of_class(&[FoodClass::Fruit])),
        Step::Store => by_family(items, "onion"),
        Step::Pickle => named(of_class(&[FoodClass::Vegetable, FoodClass::Fruit])),
        Step::Juice | Step::Dry => named(of_class(&[
            FoodClass::Vegetable,
            FoodClass::Fruit,
            FoodClass::Mushroom,
            FoodClass::HerbSpice,
        ])),
        Step::RehydrateDiscardWater => named(of_class(&[
            FoodClass::Mushroom,
            FoodClass::Vegetable,
            FoodClass::Fruit,
            FoodClass::Legume,
        ])),
        Step::WashStarch => (0..items.len())
            .filter(|&i| crate::dough::is_flour(&items[i]))
            .collect(),
        Step::ReduceBy(_) | Step::ReduceTo(_) | Step::ReduceUnclear(_) => {
            (0..items.len()).filter(in_pot).collect()
        }
        Step::KeepLiquid | Step::Rest(_) | Step::Other => Vec::new(),
    }
}

fn by_family(items: &[Item], word: &str) -> Vec<usize> {
    (0..items.len())
        .filter(|&i| items[i].class == FoodClass::Vegetable && has_word(&items[i].name, word))
        .collect()
}

/// Grams of the card's water for each gram of what lies in it, where the card weighs both.
fn water_ratio(step: Step, items: &[Item], hit: &[usize]) -> Option<Ratio> {
    let in_water = matches!(
        step,
        Step::SoakDiscardWater { .. } | Step::BoilDiscardWater | Step::StrainDiscardSolids
    );
    let grams = |item: &Item| match item.amount {
        Amount::Known(mass) => Some(mass.mean().get()),
        Amount::Unknown => None,
    };
    let is_water = |item: &&Item| {
        item.food.as_ref().is_some_and(|f| f.as_str() == "water") && grams(item).is_some()
    };
    let water: f64 = items.iter().filter(is_water).filter_map(grams).sum();
    let food: f64 = hit.iter().map(|&i| grams(&items[i])).sum::<Option<f64>>()?;
    (in_water && water > 0.0 && food > 0.0).then(|| Ratio::clamped(water / food))
}

/// Whether the method first names an item only after the step: butter to finish.
fn joins_later(item: &Item, so_far: &[MethodSentence], later: &[MethodSentence]) -> bool {
    let named = |sentences: &[MethodSentence]| sentences.iter().any(|s| names(&s.text, item));
    named(later) && !named(so_far)
}

fn names(text: &str, item: &Item) -> bool {
    let text = text.to_lowercase();
    item.name
        .split(|c: char| !c.is_alphabetic())
        .filter(|w| w.len() > 3)
        .any(|word| text.contains(&word.to_lowercase()))
}

/// Whether a name holds a word.
pub(crate) fn has_word(name: &str, word: &str) -> bool {
    name.split(|c: char| !c.is_alphabetic())
        .any(|w| w.eq_ignore_ascii_case(word))
}

fn is_soy(item: &Item) -> bool {
    has_word(&item.name, "soy") || has_word(&item.name, "soybean")
}

fn in_liquid(item: &Item) -> bool {
    item.state
        .as_ref()
        .is_some_and(|s| s.as_str().contains("undrained"))
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
