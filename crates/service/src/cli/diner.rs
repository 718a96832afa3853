//! For whom, and by which policy: options that several commands share.

use clap::Args;
use tamis_scoring::allergens::{Allergen, Allergens};
use tamis_scoring::diner::{Confidence, Diner, Netting, Phase, Policy, Region, Tolerance};
use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::Grams;
use tamis_scoring::request::AssessmentRequest;
use tamis_scoring::subgroup::Subgroup;

use super::Failure;

/// For whom, and by which policy. What is not given here stays as the file has it.
#[derive(Debug, Default, Args)]
#[command(next_help_heading = "For whom, and by which policy")]
pub struct DinerOptions {
    /// Phase of the diet: restriction, reintroduction or personalisation.
    #[arg(long, value_parser = Phase::from_word)]
    phase: Option<Phase>,
    /// The subgroup under challenge, in the reintroduction phase.
    #[arg(long, value_name = "SUBGROUP", value_parser = Subgroup::from_word)]
    challenge: Option<Subgroup>,
    /// An own tolerance, in the personalisation phase: `lactose=12` grams, or `lactose=unlimited`.
    /// May be repeated.
    #[arg(long = "tolerance", value_name = "SUBGROUP=GRAMS", value_parser = tolerance)]
    tolerances: Vec<(Subgroup, Tolerance)>,
    /// An allergen that no amendment may bring in. May be repeated.
    #[arg(long = "exclude", value_name = "ALLERGEN", value_parser = Allergen::from_word)]
    excluded: Vec<Allergen>,
    /// Where a load is held against its cut-off: central or upper_95.
    #[arg(long, value_parser = Confidence::from_word)]
    confidence: Option<Confidence>,
    /// How fructose is netted against glucose: over the portion, or by component.
    #[arg(long, value_parser = Netting::from_word)]
    netting: Option<Netting>,
    /// The weakest grade of evidence that may still rule `serve`.
    #[arg(long, value_name = "GRADE", value_parser = Grade::from_word)]
    weakest_grade: Option<Grade>,
    /// Whose standard drink is shown: us, uk or au.
    #[arg(long, value_parser = Region::from_word)]
    region: Option<Region>,
}

impl DinerOptions {
    /// The diner and the policy where nobody says anything.
    #[must_use]
    pub fn defaults() -> (Diner, Policy) {
        (Diner::restriction(), Policy::default())
    }

    /// Puts the options into a request.
    ///
    /// # Errors
    /// When an option has no meaning in the phase of the request.
    pub fn apply(&self, request: &mut AssessmentRequest) -> Result<(), Failure> {
        let diner = &mut request.diner;
        if let Some(phase) = self.phase {
            diner.phase = phase;
        }
        if let Some(challenge) = self.challenge {
            if diner.phase != Phase::Reintroduction {
                return Err(needs("--challenge", Phase::Reintroduction));
            }
            diner.challenge = Some(challenge);
        }
        if !self.tolerances.is_empty() {
            if diner.phase != Phase::Personalisation {
                return Err(needs("--tolerance", Phase::Personalisation));
            }
            diner.tolerances.clone_from(&self.tolerances);
        }
        if !self.excluded.is_empty() {
            diner.excluded_allergens = self.excluded.iter().copied().collect::<Allergens>();
        }
        let policy = &mut request.policy;
        let before = policy.clone();
        policy.confidence = self.confidence.unwrap_or(policy.confidence);
        policy.netting = self.netting.unwrap_or(policy.netting);
        policy.weakest_grade = self.weakest_grade.unwrap_or(policy.weakest_grade);
        policy.region = self.region.unwrap_or(policy.region);
        if *policy != before {
            // The name stands on every answer, and must not claim what no longer holds.
            policy.name = format!(
                "published cut-offs, {}, fructose by {}, evidence down to {}",
                policy.confidence, policy.netting, policy.weakest_grade
            );
        }
        Ok(())
    }
}

fn needs(option: &str, phase: Phase) -> Failure {
    Failure::Options(format!(
        "{option} has a meaning in the {phase} phase only; add --phase {phase}"
    ))
}

fn tolerance(text: &str) -> Result<(Subgroup, Tolerance), String> {
    let (subgroup, amount) = text
        .split_once('=')
        .ok_or("accepted: a subgroup, =, and grams or unlimited, for instance lactose=12")?;
    let subgroup = Subgroup::from_word(subgroup).map_err(|e| e.to_string())?;
    if amount == "unlimited" {
        return Ok((subgroup, Tolerance::Unlimited));
    }
    let grams = amount
        .parse::<f64>()
        .map_err(|_| format!("'{amount}' is not grams; accepted: a number, or unlimited"))?;
    let grams = Grams::new(grams).map_err(|e| e.to_string())?;
    Ok((subgroup, Tolerance::UpTo(grams)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tolerance_is_grams_or_unlimited() {
        assert_eq!(
            tolerance("lactose=12.5"),
            Ok((
                Subgroup::Lactose,
                Tolerance::UpTo(Grams::new(12.5).unwrap())
            ))
        );
        assert_eq!(
            tolerance("sorbitol=unlimited"),
            Ok((Subgroup::Sorbitol, Tolerance::Unlimited))
        );
        for bad in [
            "lactose",
            "lactose=",
            "lactose=-1",
            "lactose=NaN",
            "sugar=1",
        ] {
            assert!(tolerance(bad).is_err(), "{bad}");
        }
    }
}
