//! Words of the crafts: baking, dairy, soy, sprouting, drying, keeping.

use crate::extent::hours;
use crate::phrase::any;
use crate::step::{Culture, Step};

/// What a clause does besides boiling, straining and draining.
pub(crate) fn steps(words: &str, sentence: &str) -> Vec<Step> {
    let mut out = Vec::new();
    let said = hours(words);
    let opens = |verbs: &[&str]| {
        verbs.iter().any(|verb| {
            words
                .strip_prefix(verb)
                .is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
        })
    };
    if opens(&["sprout", "germinate"]) || any(words, &["germinated", "let sprout"]) {
        out.push(Step::Sprout);
    }
    if said.is_some() && any(words, &["age", "aged", "mature"]) {
        out.push(Step::Age);
    }
    let mould = any(sentence, &["tempeh", "tempe", "rhizopus"]);
    if mould && any(words, &["incubate", "incubated", "ferment", "fermented"]) {
        out.push(Step::Tempeh);
    } else if opens(&["culture", "cultured", "incubate", "sour"]) {
        out.push(Step::Culture(if any(sentence, &["kefir"]) {
            Culture::Kefir
        } else {
            Culture::Yoghurt
        }));
    }
    if let Some(hours) = said
        && opens(&["rest", "let rest", "autolyse", "leave dough"])
    {
        out.push(Step::Rest(hours));
    }
    if said.is_some() && opens(&["store", "keep", "cellar"]) {
        out.push(Step::Store);
    }
    if opens(&["ripen", "let ripen"]) {
        out.push(Step::Ripen);
    }
    if opens(&["pickle", "pickled"]) {
        out.push(Step::Pickle);
    }
    if opens(&["juice"]) && !opens(&["juice of"]) {
        out.push(Step::Juice);
    }
    let other_dry = [
        "dry roast",
        "dry fry",
        "dry toast",
        "dry well",
        "dry pan",
        "dry off",
    ];
    if opens(&["dehydrate", "dry"]) && !opens(&other_dry) {
        out.push(Step::Dry);
    }
    if any(
        words,
        &[
            "wash starch",
            "wash out starch",
            "wash the starch",
            "wash out the starch",
        ],
    ) {
        out.push(Step::WashStarch);
    }
    out
}

/// Whether whey is thrown away.
pub(crate) fn whey_leaves(words: &str, thrown: bool) -> bool {
    let pressed = any(words, &["press", "press out", "squeeze out"]);
    any(words, &["whey"]) && (thrown || pressed)
}

/// Whether something is in hot water for as long as the clause says.
pub(crate) fn in_water(words: &str) -> bool {
    any(
        words,
        &[
            "simmer", "simmered", "steep", "steeped", "brew", "boil", "boiled", "blanch", "poach",
        ],
    )
}
