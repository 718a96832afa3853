//! The words that are ours on every page.

use tamis_scoring::allergens::Allergens;
use tamis_scoring::amendments::AmendmentKind;
use tamis_scoring::assessment::{Amendment, Assessment, LoadRow};
use tamis_scoring::cutoffs::LimitBasis;
use tamis_scoring::diner::Region;
use tamis_scoring::drinks::StandardDrinks;
use tamis_scoring::loads::LoadState;
use tamis_scoring::ruling::{Finding, Ruling};
use tamis_scoring::subgroup::Subgroup;

use crate::figures;
use crate::page::whole;

/// The caution that no page goes without.
pub(crate) const CAUTION: &str = "Estimate from recipe and published data. Not medical advice. \
     Not an allergen statement. Low-FODMAP is not gluten-free. Dietitian and local codes decide.";

/// What every practice note says of itself.
const NO_SOURCE: &str = "common practice, no source";

/// The ruling as the pass calls it.
pub(crate) const fn ruling(ruling: Ruling) -> &'static str {
    match ruling {
        Ruling::Serve => "SERVE",
        Ruling::Alter => "ALTER",
        Ruling::Withhold => "WITHHOLD",
        Ruling::Refer => "REFER",
    }
}

/// A subgroup in at most 14 characters, for columns.
pub(crate) const fn short(subgroup: Subgroup) -> &'static str {
    match subgroup {
        Subgroup::Fructans => "fructans",
        Subgroup::Galactans => "galactans",
        Subgroup::TotalOligosaccharides => "fruct.+galact.",
        Subgroup::Lactose => "lactose",
        Subgroup::ExcessFructose => "exc. fructose",
        Subgroup::Sorbitol => "sorbitol",
        Subgroup::Mannitol => "mannitol",
        Subgroup::OtherPolyols => "other polyols",
        Subgroup::TotalPolyols => "all polyols",
    }
}

/// Whether the ruling looks at this row itself, not at the total it is counted in.
pub(crate) const fn decides(row: &LoadRow) -> bool {
    !matches!(&row.cutoff, Some(cutoff) if matches!(cutoff.basis, LimitBasis::SharedTotal(_)))
}

/// The row of the tightest subgroup.
pub(crate) fn tightest(assessment: &Assessment) -> Option<&LoadRow> {
    let tightest = assessment.headroom?.subgroup;
    assessment.loads.iter().find(|r| r.subgroup == tightest)
}

/// A load with its interval: `0.62 g (0.31-1.15 g)`, on one line where the paper allows.
pub(crate) fn load(row: &LoadRow) -> String {
    let (central, interval) = (figures::central_beside_cutoff(row), figures::interval(row));
    whole(&match (row.state, interval.is_empty()) {
        (_, true) => central,
        (LoadState::Bounded, false) => format!("bounds {interval}"),
        (_, false) => format!("{central} ({interval})"),
    })
}

/// Why the data cannot settle a load; `None` where they do.
pub(crate) fn cannot_say(row: &LoadRow) -> Option<String> {
    let grade = row.grade.map_or("weak", |g| g.word());
    match row.finding {
        Finding::Unknown if row.state == LoadState::Bounded => {
            Some(format!("{}, on both sides of the cut-off", load(row)))
        }
        Finding::Unknown => Some(load(row)),
        Finding::TooWeak => Some(format!("{}, rests on {grade} evidence", load(row))),
        Finding::Unsettled => Some(format!(
            "{}, too near the cut-off for {grade} evidence",
            load(row)
        )),
        Finding::NotLimited | Finding::Within | Finding::Over => None,
    }
}

/// Allergens as a list of words.
pub(crate) fn allergens(set: Allergens) -> String {
    let words: Vec<&str> = set.iter().map(|a| a.word()).collect();
    words.join(", ")
}

/// Ethanol as the region counts it.
pub(crate) fn drinks(drinks: StandardDrinks) -> String {
    let count = figures::count(drinks.count);
    let one = match drinks.region {
        Region::Us => "US standard drinks (14 g each)",
        Region::Uk => "UK units (8 g each)",
        Region::Au => "Australian standard drinks (10 g each)",
    };
    format!(
        "{} ethanol, {count} {one}",
        whole(&figures::grams(drinks.ethanol))
    )
}

/// The verb of an amendment, padded so that the items stand in one column.
pub(crate) const fn verb(kind: AmendmentKind) -> &'static str {
    match kind {
        AmendmentKind::Hold => "NO      ",
        AmendmentKind::Sub => "SUB     ",
        AmendmentKind::Downsize => "PORTION ",
        AmendmentKind::Rework => "REWORK  ",
    }
}

/// What the verb is about: the line of the amendment without its verb and its stage, both of which
/// are printed by themselves. Built from target and replacement where there is no line.
pub(crate) fn item(amendment: &Amendment) -> String {
    let mut text = amendment.text.trim();
    for stage in ["(line)", "(prep)", "(purchase)"] {
        text = text.strip_suffix(stage).unwrap_or(text).trim_end();
    }
    let verbs: &[&str] = match amendment.kind {
        AmendmentKind::Hold => &["NO", "HOLD"],
        AmendmentKind::Sub => &["SUB", "SWAP"],
        AmendmentKind::Downsize => &["PORTION", "DOWNSIZE"],
        AmendmentKind::Rework => &["REWORK"],
    };
    for verb in verbs {
        if let Some(rest) = text.strip_prefix(verb)
            && (rest.is_empty() || rest.starts_with([' ', ':']))
        {
            text = rest.trim_start_matches([' ', ':']);
            break;
        }
    }
    match (&amendment.replacement, text.is_empty()) {
        (_, false) => text.to_owned(),
        (Some(replacement), true) => format!("{} > {replacement}", amendment.target),
        (None, true) => amendment.target.clone(),
    }
}

/// A practice note without the words that the page prints in front of it.
pub(crate) fn practice(note: &str) -> &str {
    const EDGE: &[char] = &[' ', ':', ';', ',', '.', '-', '(', ')'];
    if let Some(rest) = note.strip_prefix(NO_SOURCE) {
        rest.trim_start_matches(EDGE)
    } else if let Some(start) = note.trim_end_matches(EDGE).strip_suffix(NO_SOURCE) {
        start.trim_end_matches([' ', ':', ';', ',', '-', '('])
    } else {
        note
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tamis_scoring::dish::Stage;

    fn amendment(kind: AmendmentKind, text: &str) -> Amendment {
        Amendment {
            plan: 1,
            kind,
            when: Stage::Line,
            target: "onion".to_owned(),
            replacement: Some("chives".to_owned()),
            text: text.to_owned(),
            resulting_ruling: Ruling::Serve,
            added_allergens: Allergens::NONE,
        }
    }

    #[test]
    fn the_verb_and_the_stage_are_not_printed_twice() {
        for (kind, text, expected) in [
            (AmendmentKind::Hold, "NO onion (line)", "onion"),
            (AmendmentKind::Hold, "NOodles", "NOodles"),
            (
                AmendmentKind::Sub,
                "SUB chives for onion",
                "chives for onion",
            ),
            (AmendmentKind::Sub, "", "onion > chives"),
            (AmendmentKind::Downsize, "PORTION: 120 g", "120 g"),
            (
                AmendmentKind::Rework,
                "strain the stock",
                "strain the stock",
            ),
        ] {
            assert_eq!(item(&amendment(kind, text)), expected, "{text}");
        }
    }

    #[test]
    fn a_practice_note_says_once_that_it_has_no_source() {
        let note = "Rinse twice";
        for text in [
            "common practice, no source: Rinse twice",
            "Rinse twice (common practice, no source).",
            "Rinse twice",
        ] {
            assert_eq!(practice(text), note);
        }
    }

    #[test]
    fn short_words_fit_their_column() {
        assert!(Subgroup::ALL.iter().all(|&s| short(s).len() <= 14));
    }
}
