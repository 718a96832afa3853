//! The words that go with every answer a person reads.

use tamis_scoring::assessment::SubjectKind;

const ALWAYS: [&str; 4] = [
    "Computed estimate from the recipe and published data for one portion; not medical advice. Individual tolerance differs.",
    "The diet is supervised and its restriction phase is short: the licensed dietitian or practitioner, the adopted diet manual and local food codes decide.",
    "Low-FODMAP is not gluten-free, low-lactose is not milk-free, and neither is an allergen statement: allergens and coeliac disease need their own controls.",
    "Food composition varies by variety, season and brand; the intervals say how far.",
];

const DRINK: &str = "A drink with a low load is still alcohol where it holds any: national limits on drinking apply.";

/// The cautions for an answer.
pub(crate) fn for_kind(kind: SubjectKind) -> Vec<String> {
    let mut cautions: Vec<String> = ALWAYS.iter().map(|&c| c.to_owned()).collect();
    if kind != SubjectKind::Dish {
        cautions.push(DRINK.to_owned());
    }
    cautions
}
