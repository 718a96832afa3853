//! For whom a page is: phase, challenge and confidence, as a form or a query string gives them.

use serde::Deserialize;
use tamis_app::error::{Error, Reason};
use tamis_scoring::diner::{Confidence, Diner, Phase, Policy};
use tamis_scoring::subgroup::{Subgroup, WordError};

/// The words of the form; an empty one stands for the default.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Choices {
    /// Phase of the diet.
    pub phase: String,
    /// The subgroup under challenge.
    pub challenge: String,
    /// Where a load is held against its cut-off.
    pub confidence: String,
}

/// What the words mean.
#[derive(Debug, Clone)]
pub struct Chosen {
    /// For whom.
    pub diner: Diner,
    /// By which policy.
    pub policy: Policy,
}

/// One entry of a list to choose from.
#[derive(Debug)]
pub struct Entry {
    /// The word of the interface.
    pub word: &'static str,
    /// What a person reads.
    pub text: &'static str,
    /// Whether it is the one chosen.
    pub chosen: Selection,
}

/// Whether an entry is the one chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Selection {
    /// It is.
    Chosen,
    /// Another one is.
    Open,
}

impl Entry {
    fn new(word: &'static str, text: &'static str, given: &str) -> Self {
        let chosen = if word == given {
            Selection::Chosen
        } else {
            Selection::Open
        };
        Self { word, text, chosen }
    }

    /// The attribute that marks the entry in HTML.
    pub const fn attribute(&self) -> &'static str {
        match self.chosen {
            Selection::Chosen => " selected",
            Selection::Open => "",
        }
    }
}

/// The lists of the form.
#[derive(Debug)]
pub struct Options {
    /// Phases.
    pub phases: Vec<Entry>,
    /// Challenges.
    pub challenges: Vec<Entry>,
    /// Confidences.
    pub confidences: Vec<Entry>,
}

impl Choices {
    /// Reads the words.
    ///
    /// # Errors
    /// When a word is not known, or a challenge stands in another phase.
    pub fn chosen(&self) -> Result<Chosen, Error> {
        let mut diner = Diner::restriction();
        let mut policy = Policy::default();
        if let Some(phase) = read("phase", &self.phase, Phase::from_word)? {
            diner.phase = phase;
        }
        diner.challenge = read("challenge", &self.challenge, Subgroup::from_word)?;
        if diner.challenge.is_some() && diner.phase != Phase::Reintroduction {
            return Err(not_accepted(
                "challenge",
                format!(
                    "a challenge belongs to the reintroduction phase, not to {}",
                    diner.phase
                ),
            ));
        }
        if let Some(confidence) = read("confidence", &self.confidence, Confidence::from_word)?
            && confidence != policy.confidence
        {
            policy.confidence = confidence;
            policy.name = format!("published cut-offs, {confidence}");
        }
        Ok(Chosen { diner, policy })
    }

    /// The lists with these words chosen.
    #[must_use]
    pub fn options(&self) -> Options {
        let phases = Phase::ALL
            .iter()
            .map(|p| Entry::new(p.word(), p.word(), &self.phase));
        let challenges = Subgroup::ALL
            .iter()
            .filter(|s| !matches!(s, Subgroup::TotalOligosaccharides | Subgroup::TotalPolyols))
            .map(|s| Entry::new(s.word(), s.plain_words(), &self.challenge));
        let confidences = Confidence::ALL
            .iter()
            .map(|&c| Entry::new(c.word(), confidence_words(c), &self.confidence));
        Options {
            phases: phases.collect(),
            challenges: std::iter::once(Entry::new("", "none", &self.challenge))
                .chain(challenges)
                .collect(),
            confidences: confidences.collect(),
        }
    }
}

impl Chosen {
    /// The query string that leads to the same choices; empty for the defaults.
    #[must_use]
    pub fn query(&self) -> String {
        let mut parts = Vec::new();
        if self.diner.phase != Phase::Restriction {
            parts.push(format!("phase={}", self.diner.phase));
        }
        if let Some(challenge) = self.diner.challenge {
            parts.push(format!("challenge={challenge}"));
        }
        if self.policy.confidence != Policy::default().confidence {
            parts.push(format!("confidence={}", self.policy.confidence));
        }
        if parts.is_empty() {
            String::new()
        } else {
            format!("?{}", parts.join("&"))
        }
    }

    /// The choices in a sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let challenge = self.diner.challenge.map_or_else(String::new, |challenge| {
            format!(", {} under challenge", challenge.plain_words())
        });
        format!(
            "For a diner in the {} phase{challenge}; loads are held against their cut-offs at the {}.",
            self.diner.phase,
            confidence_words(self.policy.confidence)
        )
    }
}

const fn confidence_words(confidence: Confidence) -> &'static str {
    match confidence {
        Confidence::Central => "mean",
        Confidence::Upper95 => "95 % bound",
    }
}

fn read<T>(
    field: &str,
    word: &str,
    from_word: impl FnOnce(&str) -> Result<T, WordError>,
) -> Result<Option<T>, Error> {
    if word.is_empty() {
        return Ok(None);
    }
    from_word(word)
        .map(Some)
        .map_err(|error| not_accepted(field, error.to_string()))
}

fn not_accepted(field: &str, description: String) -> Error {
    Error::new(Reason::FieldInvalid, "A choice is not accepted.").at(field, description)
}
