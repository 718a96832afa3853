//! The words around a food: what was done to it, which part, how it is put on the plate.

use crate::number::Span;
use crate::unit::words;

words!(
    /// What happened to the liquid of a tin or a soak.
    Drained {
        /// Drained.
        Drained = "drained",
        /// Drained and rinsed.
        Rinsed = "rinsed",
        /// With its liquid.
        WithLiquid = "with-liquid",
        /// Not said.
        Unstated = "unstated",
    }
);

words!(
    /// Whether the weight is before or after trimming.
    Basis {
        /// AP, as purchased.
        AsPurchased = "as-purchased",
        /// EP, edible portion.
        EdiblePortion = "edible-portion",
        /// Not said.
        Unstated = "unstated",
    }
);

words!(
    /// The part of a plant.
    Part {
        /// All of it, white and green.
        Whole = "whole",
        /// The green tops.
        GreenTops = "green-tops",
        /// The white part or the bulb.
        White = "white",
        /// Stems.
        Stems = "stems",
        /// Leaves.
        Leaves = "leaves",
        /// Not said.
        Unstated = "unstated",
    }
);

words!(
    /// The size of pieces.
    Size {
        /// Small.
        Small = "small",
        /// Medium.
        Medium = "medium",
        /// Large.
        Large = "large",
        /// Extra large.
        ExtraLarge = "extra-large",
        /// Petite.
        Petite = "petite",
        /// Not said.
        Unstated = "unstated",
    }
);

words!(
    /// Where a food goes on the plate.
    Placement {
        /// Into the dish.
        InDish = "in-dish",
        /// On top, as a garnish.
        Garnish = "garnish",
        /// On the side.
        OnTheSide = "on-the-side",
        /// If wanted.
        Optional = "optional",
    }
);

/// What a line says a food is without.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Negation {
    /// Nothing.
    None,
    /// The whole line: `no onion`. The food text is what is left out.
    Line,
    /// The food is there, without these: `onion-free stock`.
    Within(Vec<String>),
}

/// Where `phrase` stands in `text` as whole words; both in lower case.
pub(crate) fn find(text: &str, phrase: &str) -> Option<Span> {
    let letter = |c: char| c.is_alphanumeric();
    text.match_indices(phrase).find_map(|(at, _)| {
        let end = at + phrase.len();
        let open = !text[..at].chars().next_back().is_some_and(letter);
        let close = !text[end..].chars().next().is_some_and(letter);
        (open && close).then_some(Span::new(at, end))
    })
}

pub(crate) fn any(text: &str, phrases: &[&str]) -> bool {
    phrases.iter().any(|p| find(text, p).is_some())
}

/// Phrases that stand in place of a number.
pub(crate) fn unquantified(lower: &str) -> Option<Span> {
    const PHRASES: [&str; 24] = [
        "to taste",
        "as needed",
        "as required",
        "as req'd",
        "as reqd",
        "a glug",
        "glug",
        "a drizzle",
        "drizzle",
        "a few",
        "a little",
        "some",
        "to cover",
        "q.s.",
        "q.s",
        "qs",
        "q.b.",
        "q.b",
        "qb",
        "prn",
        "tt",
        "for dusting",
        "a squeeze",
        "a bit",
    ];
    PHRASES.iter().find_map(|p| find(lower, p))
}

/// What is said of draining; `Err` where it is left to the cook.
pub(crate) fn drained(lower: &str) -> Result<Drained, Span> {
    for open in [
        "drain or not",
        "drained or not",
        "drain if wanted",
        "drain or undrained",
    ] {
        if let Some(span) = find(lower, open) {
            return Err(span);
        }
    }
    let with_liquid = [
        "undrained",
        "not drained",
        "do not drain",
        "don't drain",
        "with liquid",
        "with liq",
        "w/ liq",
        "w/liq",
        "with juice",
        "with their juice",
        "with its juice",
        "with brine",
        "liquor used",
        "liquid used",
        "liquid and all",
        "incl liquid",
        "including liquid",
        "in own liquid",
    ];
    Ok(if any(lower, &with_liquid) {
        Drained::WithLiquid
    } else if any(lower, &["rinsed", "rnsd", "rinse"]) {
        Drained::Rinsed
    } else if any(lower, &["drained", "drnd", "drd", "drain"]) {
        Drained::Drained
    } else {
        Drained::Unstated
    })
}

pub(crate) fn part(lower: &str) -> Part {
    let green = [
        "green part",
        "green parts",
        "green top",
        "green tops",
        "greens only",
        "green only",
        "tops only",
        "leek tops",
        "leek greens",
        "scallion greens",
        "spring onion greens",
        "green onion tops",
        "onion greens",
        "scallion tops",
        "dark green",
        "no white",
        "no whites",
        "no bulb",
        "no bulbs",
        "white removed",
    ];
    let white = [
        "white part",
        "white parts",
        "white only",
        "whites only",
        "bulb only",
        "bulbs only",
        "no green",
        "no greens",
        "green removed",
        "greens removed",
        "scallion whites",
    ];
    let whole = [
        "white and green",
        "green and white",
        "whites and greens",
        "tops and all",
        "bulb and green",
        "whole scallion",
        "whole scallions",
        "whole leek",
        "whole leeks",
    ];
    if any(lower, &whole) {
        Part::Whole
    } else if any(lower, &green) {
        Part::GreenTops
    } else if find(lower, "egg").is_none() && any(lower, &white) {
        Part::White
    } else if any(lower, &["stems", "stems only", "stem only", "stalks only"]) {
        Part::Stems
    } else if any(
        lower,
        &["leaves only", "leaf only", "leaves picked", "picked leaves"],
    ) {
        Part::Leaves
    } else {
        Part::Unstated
    }
}

pub(crate) fn size_of(word: &str) -> Option<Size> {
    Some(match word.to_ascii_lowercase().trim_end_matches('.') {
        "small" | "sm" | "sml" => Size::Small,
        "medium" | "med" | "md" => Size::Medium,
        "large" | "lg" | "lge" | "lrg" => Size::Large,
        "xl" | "jumbo" | "extra-large" => Size::ExtraLarge,
        "petite" => Size::Petite,
        _ => return None,
    })
}

/// Words of cutting and trimming: they leave the food what it is.
pub(crate) fn is_cut(word: &str) -> bool {
    matches!(
        word.to_ascii_lowercase().trim_end_matches(['.', ',']),
        "chopped"
            | "chp"
            | "chpd"
            | "diced"
            | "dcd"
            | "minced"
            | "mnc"
            | "mncd"
            | "sliced"
            | "sli"
            | "julienned"
            | "jul"
            | "shredded"
            | "shrd"
            | "grated"
            | "grt"
            | "crushed"
            | "crsh"
            | "peeled"
            | "pld"
            | "pitted"
            | "halved"
            | "quartered"
            | "cubed"
            | "trimmed"
            | "trmd"
            | "deseeded"
            | "seeded"
            | "sdd"
            | "drained"
            | "drnd"
            | "rinsed"
            | "rnsd"
            | "undrained"
            | "picked"
            | "torn"
            | "sifted"
            | "chilled"
            | "softened"
            | "melted"
            | "dice"
            | "dc"
            | "brunoise"
    )
}

/// Words that say what a food is like, and name none.
const QUALITIES: &[&str] = &[
    "about",
    "black",
    "brown",
    "green",
    "red",
    "white",
    "yellow",
    "additional",
    "all",
    "approximately",
    "big",
    "blanched",
    "boiled",
    "boned",
    "boneless",
    "canned",
    "chilled",
    "clean",
    "cleaned",
    "cold",
    "cooked",
    "cooled",
    "cored",
    "crisp",
    "deveined",
    "dried",
    "drained",
    "dry",
    "extra",
    "fat",
    "few",
    "fine",
    "firm",
    "fresh",
    "freshly",
    "frozen",
    "good",
    "good-quality",
    "half",
    "heaping",
    "high-quality",
    "hot",
    "hulled",
    "husked",
    "imported",
    "large",
    "lean",
    "medium",
    "more",
    "optional",
    "organic",
    "peeled",
    "pitted",
    "plus",
    "quality",
    "raw",
    "red-ripe",
    "ripe",
    "roasted",
    "rinsed",
    "rounded",
    "scant",
    "seeded",
    "seedless",
    "shelled",
    "skinless",
    "skinned",
    "skin-on",
    "skinned",
    "small",
    "smoked",
    "soft",
    "stemmed",
    "steamed",
    "tender",
    "thick",
    "thin",
    "thinly",
    "thickly",
    "tinned",
    "toasted",
    "total",
    "trimmed",
    "unpeeled",
    "unsalted",
    "untoasted",
    "very",
    "warm",
    "washed",
    "well-trimmed",
    "whole",
    "young",
];

/// Whether a text holds qualities, cuts and amounts alone: `boneless`, `1 teaspoon dried`.
pub(crate) fn only_qualities(text: &str) -> bool {
    let mut any = false;
    let all = text
        .split(|c: char| c.is_whitespace() || c == ',')
        .map(|w| {
            w.trim_matches(|c: char| c.is_ascii_punctuation())
                .to_ascii_lowercase()
        })
        .filter(|w| !w.is_empty())
        .all(|w| {
            let amount = w
                .chars()
                .all(|c| c.is_ascii_digit() || "/.-½¼¾⅓⅔".contains(c));
            let unit = crate::unit::of_word(&w).is_some();
            let quality = QUALITIES.contains(&w.as_str())
                || is_cut(&w)
                || is_adverb(&w)
                || size_of(&w).is_some()
                || matches!(w.as_str(), "and" | "the" | "amount" | "to" | "taste");
            any |= quality;
            amount || unit || quality
        });
    any && all
}

pub(crate) fn is_adverb(word: &str) -> bool {
    matches!(
        word.to_ascii_lowercase().as_str(),
        "finely"
            | "roughly"
            | "coarsely"
            | "thinly"
            | "thickly"
            | "freshly"
            | "rough"
            | "fine"
            | "and"
            | "well"
            | "lightly"
    )
}

pub(crate) fn placement(lower: &str) -> Placement {
    if any(lower, &["optional", "opt", "if desired", "if wanted"]) {
        Placement::Optional
    } else if any(lower, &["on the side", "on side", "sos", "side of"]) {
        Placement::OnTheSide
    } else if any(lower, &["garnish", "to garnish", "for garnish"]) {
        Placement::Garnish
    } else {
        Placement::InDish
    }
}

/// Phrases that make a line or a change hang on something.
pub(crate) fn is_condition(phrase: &str) -> bool {
    let lower = phrase.to_ascii_lowercase();
    let opens = [
        "omit",
        "leave out",
        "if ",
        "only if",
        "unless",
        "gf only",
        "for gf",
        "use instead",
        "sub ",
        "hold for",
    ];
    opens.iter().any(|o| lower.starts_with(o))
        || any(&lower, &["on request", "omit for", "gf only"])
}

/// What a phrase says is left out: `no onion`, `w/o garlic`, `onion-free`.
pub(crate) fn without(phrase: &str) -> Option<&str> {
    let lower = phrase.to_ascii_lowercase();
    for lead in [
        "no ",
        "without ",
        "w/o ",
        "hold ",
        "hold the ",
        "sans ",
        "ohne ",
        "sin ",
    ] {
        if lower.starts_with(lead) {
            let rest = phrase.get(lead.len()..)?.trim();
            let digit = rest.starts_with(|c: char| c.is_ascii_digit());
            return (!rest.is_empty() && !digit).then_some(rest);
        }
    }
    None
}

/// The words before `-free` in a text.
pub(crate) fn free_of(text: &str) -> Vec<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let mut out = Vec::new();
    for (i, word) in words.iter().enumerate() {
        let lower = word.to_ascii_lowercase();
        let lower = lower.trim_matches(|c: char| !c.is_alphanumeric() && c != '-');
        if let Some(of) = lower.strip_suffix("-free") {
            out.push(of.to_owned());
        } else if lower == "free"
            && i > 0
            && words.get(i + 1).is_none_or(|w| !w.starts_with("range"))
        {
            out.push(words[i - 1].to_ascii_lowercase());
        }
    }
    out
}

/// A code of a sub-recipe: `SB-02`, `SUB-7`; `H08V` only where it stands alone.
pub(crate) fn is_code(word: &str, alone: bool) -> bool {
    let suffix = word
        .strip_suffix(|c: char| c.is_ascii_uppercase())
        .unwrap_or(word);
    let digits = suffix
        .chars()
        .rev()
        .take_while(char::is_ascii_digit)
        .count();
    let Some(head) = suffix.get(..suffix.len().saturating_sub(digits)) else {
        return false;
    };
    let upper = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_uppercase());
    match head.strip_suffix('-') {
        Some(letters) => {
            (1..=4).contains(&digits) && (2..=5).contains(&letters.len()) && upper(letters)
        }
        None => alone && (2..=3).contains(&digits) && head.len() <= 3 && upper(head),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_states_of_draining_and_one_open() {
        assert_eq!(drained("chickpeas drnd"), Ok(Drained::Drained));
        assert_eq!(
            drained("chickpeas, drained and rinsed"),
            Ok(Drained::Rinsed)
        );
        assert_eq!(drained("chickpeas undrained"), Ok(Drained::WithLiquid));
        assert_eq!(drained("chickpeas"), Ok(Drained::Unstated));
        assert!(drained("peaches, drain or not per cook").is_err());
    }

    #[test]
    fn codes_are_told_from_words() {
        for yes in ["SB-02", "SUB-7", "IO-01", "SUB-12A"] {
            assert!(is_code(yes, false), "{yes}");
        }
        assert!(is_code("H08V", true) && !is_code("H08V", false));
        for no in ["A10", "B12x", "-02", "SB-", "sb-02", "UHT", ""] {
            assert!(!is_code(no, false), "{no}");
        }
    }

    #[test]
    fn free_range_is_not_free_of_anything() {
        assert_eq!(free_of("onion-free stock"), ["onion"]);
        assert_eq!(free_of("lactose free milk"), ["lactose"]);
        assert!(free_of("free range eggs").is_empty());
        assert!(free_of("corn free range eggs").is_empty());
    }
}
