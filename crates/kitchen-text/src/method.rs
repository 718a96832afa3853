//! Sentences of a method to the steps that change the grams on the plate.
//!
//! What is not understood stays as [`Step::Other`]; no sentence is dropped.

use crate::extent::{dose, hours, hours_of, reduction, warmth};
use crate::making;
use crate::number::Span;
use crate::phrase::{any, find, without};
use crate::step::{Hours, MethodStep, Solids, Step, Terms};

/// A sentence of a method.
#[derive(Debug, Clone, PartialEq)]
pub struct MethodSentence {
    /// The sentence.
    pub text: String,
    /// Where it stands in the method.
    pub span: Span,
    /// What it does; at least one step, [`Step::Other`] where nothing was understood.
    pub steps: Vec<MethodStep>,
    /// What it says is left out: `no onion`.
    pub without: Vec<String>,
}

/// Reads a method.
#[must_use]
pub fn read_method(text: &str) -> Vec<MethodSentence> {
    let mut flow = Flow::default();
    for span in sentences(text) {
        flow.sentence(text, span);
    }
    flow.finish()
}

/// The steps in a phrase of a recipe line, placed in the line. Draining is left to the mark of
/// the line; dried, aged, pickled and their like are states of the food there.
pub(crate) fn steps_of_phrase(phrase: &str, line: &str) -> Vec<MethodStep> {
    let at = line.find(phrase).unwrap_or(0);
    read_method(phrase)
        .into_iter()
        .flat_map(|s| s.steps)
        .filter(|s| {
            matches!(
                s.step,
                Step::SoakDiscardWater { .. }
                    | Step::BoilDiscardWater
                    | Step::RehydrateDiscardWater
                    | Step::StrainDiscardSolids
                    | Step::MarinateDiscard { .. }
                    | Step::InfuseOil(_)
                    | Step::ReduceBy(_)
                    | Step::ReduceTo(_)
                    | Step::ReduceUnclear(_)
                    | Step::Ferment(_)
                    | Step::Lactase
            )
        })
        .map(|s| MethodStep {
            span: s.span.shifted(at),
            ..s
        })
        .collect()
}

/// Sentences end at a line break, or at a full stop before a capital or the end; `30 min. then`
/// goes on.
fn sentences(text: &str) -> Vec<Span> {
    let mut out = Vec::new();
    let mut start = 0;
    let mut push = |from: usize, to: usize| {
        let whole = &text[from..to];
        let lead = whole.len() - whole.trim_start().len();
        let kept = whole.trim();
        if !kept.is_empty() {
            out.push(Span::new(from + lead, from + lead + kept.len()));
        }
    };
    for (i, c) in text.char_indices() {
        let after = i + c.len_utf8();
        let ends = match c {
            '\n' => true,
            '.' | '!' => {
                let rest = &text[after..];
                let next = rest.trim_start().chars().next();
                rest.is_empty()
                    || (rest.starts_with(char::is_whitespace)
                        && !next.is_some_and(char::is_lowercase))
            }
            _ => false,
        };
        if ends {
            push(start, after);
            start = after;
        }
    }
    push(start, text.len());
    out
}

/// What was begun and may end with its liquid thrown away.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Begun {
    Soak(Option<Hours>),
    Rehydrate,
    Boil { sentence: usize },
    Marinate(Option<Hours>),
    Infuse { sentence: usize, span: Span },
}

#[derive(Default)]
struct Flow {
    done: Vec<MethodSentence>,
    begun: Option<Begun>,
    /// How long something has been in the water of the pot.
    cooked: Option<Hours>,
}

impl Flow {
    fn sentence(&mut self, text: &str, span: Span) {
        let index = self.done.len();
        let own = span.of(text);
        self.done.push(MethodSentence {
            text: own.to_owned(),
            span,
            steps: Vec::new(),
            without: Vec::new(),
        });
        let lower = own.to_ascii_lowercase();
        for clause in clauses(&lower) {
            let words = clause.of(&lower);
            let place = clause.shifted(span.start);
            if let Some(out) = without(words).filter(|_| !words.starts_with("hold")) {
                self.done[index].without.push(out.to_owned());
            }
            if let Some(at) = find(words, "without")
                && !words[at.end..].trim().is_empty()
                && at.start > 0
            {
                self.done[index]
                    .without
                    .push(words[at.end..].trim().to_owned());
            }
            self.clause(clause, &lower, place, index);
        }
        let rinses = any(&lower, &["rinse", "rinsed", "rnsd"]);
        let told = Terms {
            hours: hours_of(&lower),
            warmth: warmth(&lower),
            dose: dose(&lower),
        };
        for step in &mut self.done[index].steps {
            if rinses && step.step == Step::DrainDiscardLiquid {
                step.step = Step::DrainRinse;
            }
            let terms = &mut step.terms;
            terms.hours = terms.hours.or(told.hours);
            terms.warmth = terms.warmth.or(told.warmth);
            terms.dose = terms.dose.or(told.dose);
        }
    }

    fn clause(&mut self, clause: Span, sentence: &str, place: Span, index: usize) {
        let words = clause.of(sentence);
        // `reduce wine and thyme by half` goes on past its `and`.
        let onward = sentence[clause.start..]
            .split([',', ';'])
            .next()
            .unwrap_or_default();
        let hours = || hours(words).or_else(|| hours_of(sentence));
        let refused = any(words, &["do not", "don't", "never", "not"]);
        let drains = any(words, &["drain", "drained", "drnd"]);
        let discards = any(
            words,
            &[
                "discard",
                "discarded",
                "throw away",
                "pour off",
                "pour away",
                "tip away",
                "bin",
                "binned",
            ],
        );
        if any(words, &["or not"]) {
            return;
        }
        // Water boiled two sentences ago, or poured over something, is not the water drained now.
        if matches!(self.begun, Some(Begun::Boil { sentence }) if index > sentence + 1 || any(words, &["pour over"]))
        {
            self.begun = None;
        }
        if refused && (drains || discards) || find(words, "undrained").is_some() {
            self.keep(place, index);
            return;
        }
        if refused {
            return;
        }
        if any(words, &["lactase"]) {
            self.push(Step::Lactase, place, index);
        }
        if any(
            words,
            &[
                "reduce",
                "reduced",
                "boil down",
                "cook down",
                "reduce by",
                "reducing",
            ],
        ) && let Some(step) = reduction(onward)
        {
            self.push(step, place, index);
        }
        for step in making::steps(words, sentence) {
            self.push(step, place, index);
        }
        if making::whey_leaves(words, drains || discards) {
            self.push(Step::DiscardWhey, place, index);
            return;
        }
        if making::in_water(words)
            && let Some(hours) = crate::extent::hours(words)
        {
            self.cooked = Some(hours);
        }
        if any(words, &["rehydrate", "rehydrated"]) {
            self.begin(Begun::Rehydrate);
        } else if any(words, &["soak", "soaked"]) {
            self.begin(Begun::Soak(hours()));
        } else if any(words, &["marinate", "marinated"]) {
            self.begin(Begun::Marinate(hours()));
        } else if warms_oil(words, sentence) {
            self.begin(Begun::Infuse {
                sentence: index,
                span: place,
            });
        } else if any(
            words,
            &[
                "boil",
                "boiled",
                "boiling",
                "parboil",
                "parboiled",
                "blanch",
                "blanched",
            ],
        ) {
            self.begin(Begun::Boil { sentence: index });
        }
        if ferments(words)
            && let Some(hours) = hours()
        {
            self.push(Step::Ferment(hours), place, index);
        }
        let liquids = any(words, &LIQUIDS);
        let keeps = any(
            words,
            &["keep", "reserve", "reserved", "reserving", "save", "kept"],
        ) && liquids
            && !any(words, &["keep in", "kept in", "keep under"]);
        let uses = any(
            words,
            &[
                "liquor used",
                "liquid used",
                "use liquor",
                "use the liquor",
                "use soaking",
                "use aquafaba",
            ],
        );
        if (keeps || uses) && !discards {
            self.keep(place, index);
        } else if strains(words) && any(sentence, &["ice", "rocks", "glass", "shake", "coupe"]) {
            // A bar strains off its ice.
        } else if strains(words) {
            self.strain(words, place, index);
        } else if drains || discards {
            self.discard(words, drains, place, index);
        }
    }

    fn push(&mut self, step: Step, span: Span, index: usize) {
        let hours = match step {
            Step::Ferment(hours) | Step::Rest(hours) => Some(hours),
            Step::SoakDiscardWater { hours } | Step::MarinateDiscard { hours } => hours,
            Step::BoilDiscardWater | Step::StrainDiscardSolids => self.cooked.take(),
            _ => None,
        };
        let terms = Terms {
            hours,
            ..Terms::default()
        };
        self.done[index]
            .steps
            .push(MethodStep { step, span, terms });
    }

    fn last(&mut self, index: usize) -> Option<&mut MethodStep> {
        self.done[index].steps.last_mut()
    }

    fn begin(&mut self, next: Begun) {
        self.leave_solids();
        self.begun = Some(next);
    }

    /// An infusion of which no straining was said.
    fn leave_solids(&mut self) {
        if let Some(Begun::Infuse { sentence, span }) = self.begun.take() {
            self.push(Step::InfuseOil(Solids::Left), span, sentence);
        }
    }

    fn keep(&mut self, place: Span, index: usize) {
        match self.last(index) {
            Some(last) if last.step == Step::StrainDiscardSolids => {}
            Some(last) if throws_liquid(last.step) => last.step = Step::KeepLiquid,
            _ => self.push(Step::KeepLiquid, place, index),
        }
    }

    fn strain(&mut self, words: &str, place: Span, index: usize) {
        let step = match self.begun {
            Some(Begun::Infuse { .. }) => {
                self.begun = None;
                Step::InfuseOil(Solids::Strained)
            }
            _ if any(
                words,
                &["discard liquid", "keep solids", "discard the liquid"],
            ) =>
            {
                Step::DrainDiscardLiquid
            }
            _ => Step::StrainDiscardSolids,
        };
        self.push(step, place, index);
    }

    fn discard(&mut self, words: &str, drains: bool, place: Span, index: usize) {
        let last = self.done[index].steps.last().map(|s| s.step);
        if any(words, &SOLIDS) && !drains {
            let strained = matches!(
                last,
                Some(Step::StrainDiscardSolids | Step::InfuseOil(Solids::Strained))
            );
            if !strained {
                self.strain(words, place, index);
            }
            return;
        }
        // `discard @ 4 d` is shelf life; `discard bay leaf` and `drain fat` move no liquor.
        let liquid_meant = drains
            || words
                .split_whitespace()
                .all(|w| FILLING.contains(&w) || LIQUIDS.contains(&w));
        let aside = any(words, &["fat", "grease", "or not", "oil"])
            || words.contains('@')
            || hours(words).is_some() && !any(words, &["soak", "soaked", "marinate", "marinated"]);
        let named = any(words, &LIQUIDS);
        if (aside || !liquid_meant) && !named {
            return;
        }
        match last {
            Some(Step::StrainDiscardSolids) if !drains => {
                if let Some(last) = self.last(index) {
                    last.step = Step::DrainDiscardLiquid;
                }
                return;
            }
            Some(step) if throws_liquid(step) && self.begun.is_none() => return,
            _ => {}
        }
        let step = match self.begun.take() {
            Some(Begun::Marinate(hours)) => Step::MarinateDiscard { hours },
            _ if any(words, &["marinade"]) => Step::MarinateDiscard { hours: None },
            Some(Begun::Soak(hours)) => Step::SoakDiscardWater { hours },
            Some(Begun::Rehydrate) => Step::RehydrateDiscardWater,
            Some(Begun::Boil { .. }) => Step::BoilDiscardWater,
            Some(Begun::Infuse { .. }) => Step::InfuseOil(Solids::Strained),
            None => Step::DrainDiscardLiquid,
        };
        self.push(step, place, index);
    }

    fn finish(mut self) -> Vec<MethodSentence> {
        self.leave_solids();
        for sentence in &mut self.done {
            if sentence.steps.is_empty() {
                sentence.steps.push(MethodStep {
                    step: Step::Other,
                    span: sentence.span,
                    terms: Terms::default(),
                });
            }
        }
        self.done
    }
}

const LIQUIDS: [&str; 15] = [
    "water", "liquid", "liquor", "brine", "juice", "jce", "syrup", "aquafaba", "marinade", "broth",
    "soaking", "stock", "cooking", "whey", "liq",
];
const SOLIDS: [&str; 11] = [
    "solids",
    "solid",
    "bones",
    "carcass",
    "carcasses",
    "vegetables",
    "veg",
    "aromatics",
    "mirepoix",
    "trimmings",
    "pulp",
];
const FILLING: [&str; 14] = [
    "discard",
    "discarded",
    "throw",
    "away",
    "pour",
    "off",
    "tip",
    "bin",
    "binned",
    "the",
    "all",
    "it",
    "excess",
    "well",
];

const fn throws_liquid(step: Step) -> bool {
    matches!(
        step,
        Step::DrainDiscardLiquid
            | Step::SoakDiscardWater { .. }
            | Step::BoilDiscardWater
            | Step::RehydrateDiscardWater
            | Step::MarinateDiscard { .. }
    )
}

fn strains(words: &str) -> bool {
    any(
        words,
        &[
            "strain",
            "strained",
            "sieve",
            "sieved",
            "pass through",
            "chinois",
            "strain out",
            "strain off",
        ],
    )
}

fn warms_oil(words: &str, sentence: &str) -> bool {
    let oil = any(sentence, &["oil", "evoo", "canola", "ghee"]);
    let steeps = any(words, &["infuse", "infused", "steep", "confit"])
        || (any(words, &["warm"]) && any(words, &["oil", "evoo", "canola", "ghee"]));
    oil && steeps
}

fn ferments(words: &str) -> bool {
    any(
        words,
        &[
            "ferment",
            "fermented",
            "fermentation",
            "prove",
            "proved",
            "proof",
            "proofed",
            "rise",
            "bulk",
            "retard",
            "levain",
        ],
    )
}

/// Parts a sentence at commas, brackets and joining words.
pub(crate) fn clauses(sentence: &str) -> Vec<Span> {
    let mut cuts: Vec<(usize, usize)> = sentence
        .match_indices([',', ';', ':', '(', ')', '.'])
        .filter(|(i, m)| {
            // A comma or point within a number parts nothing.
            let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
            !(digit(sentence[..*i].chars().next_back())
                && digit(sentence[i + m.len()..].chars().next()))
        })
        .map(|(i, m)| (i, i + m.len()))
        .collect();
    for joint in [" then ", " and ", " & ", " + "] {
        cuts.extend(sentence.match_indices(joint).map(|(i, m)| (i, i + m.len())));
    }
    cuts.sort_unstable();
    cuts.push((sentence.len(), sentence.len()));
    let mut out = Vec::new();
    let mut start = 0;
    for (from, to) in cuts {
        if from >= start {
            let whole = &sentence[start..from];
            let lead = whole.len() - whole.trim_start().len();
            let kept = whole.trim();
            if !kept.is_empty() {
                out.push(Span::new(start + lead, start + lead + kept.len()));
            }
            start = to;
        }
    }
    out
}
