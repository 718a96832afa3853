//! Rules that practitioners teach, for the foods on a plate.

use tamis_catalogue::Catalogue;
use tamis_scoring::assessment::PracticeNote;
use tamis_scoring::composition::Content;
use tamis_scoring::evidence::Grade;
use tamis_scoring::ruling::{Finding, Outcome};
use tamis_scoring::subgroup::Analyte;

use crate::plate::{Item, Plate};

/// The notes on the foods of a plate, each once, in the order of the lines; and, where a load rules
/// `serve` on a practised limit alone, that it does.
pub(crate) fn notes(catalogue: &Catalogue, plate: &Plate, outcome: &Outcome) -> Vec<PracticeNote> {
    let mut notes: Vec<PracticeNote> = Vec::new();
    let mut add = |note: PracticeNote| {
        if !notes.contains(&note) {
            notes.push(note);
        }
    };
    for item in &plate.items {
        let (Some(food), Some(state)) = (&item.food, &item.state) else {
            continue;
        };
        for taught in catalogue.practice_notes(food, Some(state)) {
            let rule = taught.text.trim_end_matches('.');
            let text = format!("{rule} (common practice, no source)");
            add(PracticeNote {
                food: food.clone(),
                text,
            });
        }
    }
    let practised = outcome.limits.deciding().any(|(subgroup, _)| {
        outcome.finding(subgroup) == Finding::Within
            && outcome.loads.of_subgroup(subgroup).grade() == Some(Grade::Practice)
    });
    for item in plate
        .items
        .iter()
        .filter(|item| practised && rests_on_practice(item))
    {
        let Some(food) = &item.food else { continue };
        let text = format!(
            "the figures for {} rest on a limit that is practised, not measured (common practice, no source)",
            item.name
        );
        add(PracticeNote {
            food: food.clone(),
            text,
        });
    }
    notes
}

fn rests_on_practice(item: &Item) -> bool {
    Analyte::ALL.iter().any(|&analyte| {
        matches!(
            item.composition.content(analyte),
            Content::Known(_, Grade::Practice)
        )
    })
}
