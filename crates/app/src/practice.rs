//! Rules that practitioners teach, for the foods on a plate.

use tamis_catalogue::Catalogue;
use tamis_scoring::assessment::PracticeNote;

use crate::plate::Plate;

/// The notes on the foods of a plate, each once, in the order of the lines.
pub(crate) fn notes(catalogue: &Catalogue, plate: &Plate) -> Vec<PracticeNote> {
    let mut notes: Vec<PracticeNote> = Vec::new();
    for item in &plate.items {
        let (Some(food), Some(state)) = (&item.food, &item.state) else {
            continue;
        };
        for taught in catalogue.practice_notes(food, Some(state)) {
            let text = format!(
                "{} (common practice, no source)",
                taught.text.trim_end_matches('.')
            );
            let note = PracticeNote {
                food: food.clone(),
                text,
            };
            if !notes.contains(&note) {
                notes.push(note);
            }
        }
    }
    notes
}
