//! Finds the unit that follows a number.

use crate::doubt::{Doubt, DoubtKind};
use crate::number::Number;
use crate::reader::{Findings, Reader};
use crate::scan::Kind;
use crate::unit::{self, Bowl, Count, Pack, Spelling, Unit};

impl Reader<'_> {
    /// The unit at token `i`, and the token after it.
    pub(crate) fn unit(self, i: usize, found: &mut Findings) -> Option<(Unit, usize)> {
        let i = i + usize::from(self.mark(i, '-') && !self.parted(i) && !self.parted(i + 1));
        if self.mark(i, '#') {
            let sized = self
                .tokens
                .get(i + 1)
                .is_some_and(|t| t.kind == Kind::Digits && !t.parted);
            return (!sized || !self.parted(i)).then_some((Unit::Pound, i + 1));
        }
        if self.mark(i, '%') {
            let ends = match self.tokens.get(i + 1) {
                None => true,
                Some(t) => matches!(t.kind, Kind::Mark(',' | ';' | ')') | Kind::Bracket),
            };
            if ends {
                let tried = "a share of something that the line does not name";
                found
                    .doubts
                    .push(Doubt::new(DoubtKind::Percent, self.span(i, i + 1), tried));
            }
            return ends.then_some((Unit::Percent, i + 1));
        }
        let i = i + usize::from(self.lower(i) == "full" && self.lower(i + 1) == "hotel");
        let (first, second) = (self.lower(i), self.lower(i + 1));
        let two = match (first.as_str(), second.as_str()) {
            ("fl" | "fluid", "oz" | "ounce" | "ounces") | ("oz", "fl" | "fluid") => {
                Some(Unit::FluidOunce)
            }
            ("oz" | "ounce" | "ounces", "wt" | "weight") | ("wt", "oz") | ("dry", "oz") => {
                Some(Unit::OunceWeight)
            }
            ("imp" | "imperial" | "uk", "pint" | "pints" | "pt") => Some(Unit::PintImperial),
            ("metric", "cup" | "cups") => Some(Unit::CupMetric),
            ("hotel", "pan" | "pans") => Some(Unit::Pack(Pack::HotelPan)),
            ("oz", "ladle" | "ladles" | "ldl") => Some(Unit::Ladle(Number::ONE)),
            ("oz", "l") if self.word(i + 1) == "L" => Some(Unit::Ladle(Number::ONE)),
            ("oz", "spoodle" | "spoodles" | "sp") => {
                Some(Unit::Spoodle(Number::ONE, self.bowl(i + 2)))
            }
            _ => None,
        };
        if let Some(unit) = two {
            let bowl = matches!(unit, Unit::Spoodle(_, Bowl::Solid | Bowl::Perforated));
            return Some((unit, i + 2 + usize::from(bowl)));
        }
        let fluid = matches!(self.lower(i + 1).as_str(), "fl" | "fluid");
        if matches!(first.as_str(), "imp" | "imperial" | "uk")
            && (fluid && matches!(self.lower(i + 2).as_str(), "oz" | "ounce" | "ounces"))
        {
            return Some((Unit::FluidOunceImperial, i + 3));
        }
        if first == "oz" && second == "by" && matches!(self.lower(i + 2).as_str(), "wt" | "weight")
        {
            return Some((Unit::OunceWeight, i + 3));
        }
        self.single(i, found)
    }

    pub(crate) fn bowl(self, i: usize) -> Bowl {
        match self.lower(i).as_str() {
            "perf" | "perforated" | "slotted" => Bowl::Perforated,
            "solid" => Bowl::Solid,
            _ => Bowl::Unstated,
        }
    }

    fn single(self, i: usize, found: &mut Findings) -> Option<(Unit, usize)> {
        let word = self.word(i);
        let (mut unit, spelling) = unit::of_word(word)?;
        // `large cn`, `2 cnd ...`: canned is a state of the food, not a pack.
        if word.eq_ignore_ascii_case("cnd") {
            return None;
        }
        let end = i + 1 + usize::from(self.mark(i + 1, '.') && !self.parted(i + 1));
        let span = self.span(i, i + 1);
        let near = self.text.to_lowercase();
        let has = |words: &[&str]| words.iter().any(|w| near.contains(w));
        let mut doubt = |kind, tried: &str| found.doubts.push(Doubt::new(kind, span, tried));
        match (unit, spelling) {
            (Unit::Centilitre, _) if has(&["garlic", "knoblauch", "ajo"]) => {
                unit = Unit::Count(Count::Clove)
            }
            (Unit::Centilitre, _) if word == "cl" || word == "cL" => {
                doubt(
                    DoubtKind::AmbiguousUnit,
                    "read as centilitres; cloves are also written so",
                );
            }
            (Unit::Count(Count::StalkOrStick), _)
                if has(&["celery", "rhubarb", "lemongrass", "leek"]) =>
            {
                unit = Unit::Count(Count::Stalk);
            }
            (Unit::Count(Count::StalkOrStick), _) if has(&["butter", "marg", "cinnamon"]) => {
                unit = Unit::Count(Count::Stick);
            }
            (Unit::Count(Count::StalkOrStick), _) => {
                doubt(DoubtKind::AmbiguousUnit, "a stalk or a stick");
            }
            (Unit::Ounce, _) => {
                doubt(
                    DoubtKind::AmbiguousUnit,
                    "an ounce by weight, or a fluid ounce of what is poured",
                );
            }
            (_, Spelling::SpoonCase) => {
                let read = if unit == Unit::Tablespoon {
                    "tablespoon; t is a teaspoon"
                } else {
                    "teaspoon; T is a tablespoon"
                };
                doubt(DoubtKind::SpoonCase, &format!("read as a {read}"));
            }
            (_, Spelling::Unusual) => doubt(DoubtKind::UnusualSpelling, &format!("read as {unit}")),
            _ => {}
        }
        Some((unit, end))
    }
}
