//! Text to comparable words: folded, singular, one spelling.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// The most words of a line that are looked at.
pub(crate) const MAX_WORDS: usize = 48;
/// The longest word kept.
const MAX_WORD_BYTES: usize = 48;

/// Kitchen shorthand and spellings, each to the one we compare by.
const SPELLINGS: &[(&str, &str)] = &[
    ("appl", "apple"),
    ("blk", "black"),
    ("bnls", "boneless"),
    ("brn", "brown"),
    ("brst", "breast"),
    ("brwn", "brown"),
    ("btr", "butter"),
    ("buttr", "butter"),
    ("chedder", "cheddar"),
    ("chile", "chilli"),
    ("chiles", "chilli"),
    ("chilies", "chilli"),
    ("chillies", "chilli"),
    ("chix", "chicken"),
    ("chkn", "chicken"),
    ("chkpea", "chickpea"),
    ("chp", "chopped"),
    ("chpd", "chopped"),
    ("ckd", "cooked"),
    ("cnd", "canned"),
    ("crm", "cream"),
    ("crsh", "crushed"),
    ("dcd", "diced"),
    ("dehyd", "dehydrated"),
    ("dk", "dark"),
    ("donut", "doughnut"),
    ("drnd", "drained"),
    ("drnd&rnsd", "drained"),
    ("fibre", "fiber"),
    ("frsh", "fresh"),
    ("froz", "frozen"),
    ("frz", "frozen"),
    ("frzn", "frozen"),
    ("gran", "granulated"),
    ("grd", "ground"),
    ("grn", "green"),
    ("grnd", "ground"),
    ("grtd", "grated"),
    ("hlvs", "half"),
    ("hvy", "heavy"),
    ("jce", "juice"),
    ("jul", "julienne"),
    ("lg", "large"),
    ("lite", "light"),
    ("lrg", "large"),
    ("lt", "light"),
    ("marg", "margarine"),
    ("med", "medium"),
    ("mnc", "minced"),
    ("mncd", "minced"),
    ("mush", "mushroom"),
    ("nood", "noodle"),
    ("org", "organic"),
    ("parm", "parmesan"),
    ("pdr", "powder"),
    ("pld", "peeled"),
    ("pnut", "peanut"),
    ("potatos", "potato"),
    ("pur", "puree"),
    ("pwd", "powder"),
    ("pwdr", "powder"),
    ("reconst", "reconstituted"),
    ("rnsd", "rinsed"),
    ("rst", "roasted"),
    ("rstd", "roasted"),
    ("rw", "raw"),
    ("sdd", "seeded"),
    ("shrd", "shredded"),
    ("shrdd", "shredded"),
    ("skls", "skinless"),
    ("sknls", "skinless"),
    ("slcd", "sliced"),
    ("sli", "sliced"),
    ("sm", "small"),
    ("sml", "small"),
    ("syr", "syrup"),
    ("tinned", "canned"),
    ("tomatos", "tomato"),
    ("trmd", "trimmed"),
    ("unslt", "unsalted"),
    ("unsltd", "unsalted"),
    ("vin", "vinegar"),
    ("whl", "whole"),
    ("wht", "white"),
    ("wholewheat", "wholemeal"),
    ("yel", "yellow"),
    ("ylw", "yellow"),
    ("yog", "yoghurt"),
    ("yoghourt", "yoghurt"),
    ("yogurt", "yoghurt"),
    ("w", "with"),
];

const IRREGULAR: &[(&str, &str)] = &[
    ("brownies", "brownie"),
    ("calves", "calf"),
    ("cookies", "cookie"),
    ("halves", "half"),
    ("knives", "knife"),
    ("leaves", "leaf"),
    ("loaves", "loaf"),
    ("pies", "pie"),
    ("radishes", "radish"),
    ("shelves", "shelf"),
    ("smoothies", "smoothie"),
    ("veggies", "veggie"),
    ("geese", "goose"),
    ("greens", "greens"),
    // Drops of bitters are no glass of bitter, a sponge finger is no okra.
    ("bitters", "bitters"),
    ("ladyfinger", "ladyfingers"),
    ("ladyfingers", "ladyfingers"),
    ("peas", "pea"),
    ("pease", "pea"),
    ("cloves", "clove"),
    ("olives", "olive"),
    ("chives", "chive"),
    ("endives", "endive"),
    ("grapes", "grape"),
    ("dates", "date"),
    ("limes", "lime"),
    ("prunes", "prune"),
    ("oranges", "orange"),
    ("lettuces", "lettuce"),
    ("sausages", "sausage"),
    ("cheeses", "cheese"),
    ("sauces", "sauce"),
    ("juices", "juice"),
    ("slices", "slice"),
    ("spices", "spice"),
    ("bases", "base"),
    ("purees", "puree"),
    ("lentils", "lentil"),
    ("molasses", "molasses"),
    ("swiss", "swiss"),
    ("asparagus", "asparagus"),
    ("couscous", "couscous"),
    ("hummus", "hummus"),
    ("citrus", "citrus"),
];

/// One word in its plain form: singular, one spelling.
fn plain(word: &str) -> String {
    if let Some((_, to)) = SPELLINGS.iter().find(|(from, _)| *from == word) {
        return (*to).to_owned();
    }
    let one = singular(word);
    match SPELLINGS.iter().find(|(from, _)| *from == one) {
        Some((_, to)) => (*to).to_owned(),
        None => one,
    }
}

fn singular(word: &str) -> String {
    if let Some((_, to)) = IRREGULAR.iter().find(|(from, _)| *from == word) {
        return (*to).to_owned();
    }
    if !word.is_ascii()
        || word.len() <= 3
        || word.ends_with("ss")
        || word.ends_with("us")
        || word.ends_with("is")
    {
        return word.to_owned();
    }
    if let Some(stem) = word.strip_suffix("ies") {
        return format!("{stem}y");
    }
    for ending in ["oes", "ches", "shes", "sses", "xes"] {
        if word.ends_with(ending) {
            return word[..word.len() - 2].to_owned();
        }
    }
    word.strip_suffix('s').unwrap_or(word).to_owned()
}

/// Whether diacritics stay: `poire` is a pear, `poiré` a perry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Accents {
    Kept,
    Folded,
}

/// The words of a text: compatibility forms unified, lower case, diacritics folded, one spelling.
pub(crate) fn words(text: &str) -> Vec<String> {
    words_with(text, Accents::Folded)
}

/// The same with diacritics kept or folded; both give the same number of words.
pub(crate) fn words_with(text: &str, accents: Accents) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut word = String::new();
    let mut last_base = ' ';
    // A bound on the text itself: a line of a recipe is a few hundred characters.
    for c in text.chars().take(2_000).flat_map(char::to_lowercase).nfkd() {
        match c {
            '\'' | '\u{2019}' | '\u{02BC}' | '\u{00AD}' => {}
            c if accents == Accents::Folded
                && is_combining_mark(c)
                && last_base.is_ascii_alphabetic() => {}
            'ß' => word.push_str("ss"),
            'æ' => word.push_str("ae"),
            'œ' => word.push_str("oe"),
            'ø' => word.push('o'),
            'ł' => word.push('l'),
            'đ' => word.push('d'),
            '%' if word.bytes().last().is_some_and(|b| b.is_ascii_digit()) => word.push('%'),
            '&' => {
                push(&mut out, &mut word);
                word.push_str("and");
                push(&mut out, &mut word);
            }
            c if c.is_alphanumeric() || is_combining_mark(c) => word.push(c),
            _ => push(&mut out, &mut word),
        }
        if !is_combining_mark(c) {
            last_base = c;
        }
        if out.len() >= MAX_WORDS {
            break;
        }
    }
    push(&mut out, &mut word);
    out.truncate(MAX_WORDS);
    for i in 0..out.len() {
        // A chili is a chilli, but chili powder is a blend with garlic and chilli powder is not.
        if out[i] == "chili" && out.get(i + 1).is_none_or(|next| next != "powder") {
            "chilli".clone_into(&mut out[i]);
        }
    }
    out
}

fn push(out: &mut Vec<String>, word: &mut String) {
    if !word.is_empty() && word.len() <= MAX_WORD_BYTES {
        out.push(plain(word));
    } else if !word.is_empty() {
        // Too long to be a word of a kitchen, but it must still count as not understood.
        out.push(word.chars().take(MAX_WORD_BYTES / 4).collect());
    }
    word.clear();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folds_and_singles() {
        assert_eq!(words("Crème fraîche"), ["creme", "fraiche"]);
        assert_eq!(
            words("2 Tomatoes, dcd & drnd"),
            ["2", "tomato", "diced", "and", "drained"]
        );
        assert_eq!(words("bay leaves; cherries"), ["bay", "leaf", "cherry"]);
        assert_eq!(words("Weißkohl"), ["weisskohl"]);
        assert_eq!(words("confectioners’ sugar"), words("confectioner's sugar"));
        assert_eq!(words("yogurts"), words("yoghurt"));
    }
}
