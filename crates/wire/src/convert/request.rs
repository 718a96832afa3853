//! Requests.

use tamis_scoring::diner::{Diner, Phase, Policy, Tolerance};
use tamis_scoring::quantity::{Grams, Portions};
use tamis_scoring::request::{AssessmentRequest, RecipeCard, Service, Serving, Subject};
use tamis_scoring::subgroup::Subgroup;

use super::faults::{ConversionErrors, Converted, Faults};
use super::{allergens, optional_word, word};
use crate::v1;

impl TryFrom<v1::AssessmentRequest> for AssessmentRequest {
    type Error = ConversionErrors;

    fn try_from(message: v1::AssessmentRequest) -> Result<Self, ConversionErrors> {
        Faults::gather(|f| request(f, message))
    }
}

impl TryFrom<v1::Diner> for Diner {
    type Error = ConversionErrors;

    fn try_from(message: v1::Diner) -> Result<Self, ConversionErrors> {
        Faults::gather(|f| diner(f, message))
    }
}

impl TryFrom<v1::Policy> for Policy {
    type Error = ConversionErrors;

    fn try_from(message: v1::Policy) -> Result<Self, ConversionErrors> {
        Faults::gather(|f| policy(f, message))
    }
}

fn request(f: &mut Faults, message: v1::AssessmentRequest) -> Converted<AssessmentRequest> {
    let v1::AssessmentRequest {
        dish,
        drink,
        sitting,
        diner: who,
        policy: by,
    } = message;
    let subject = match (dish, drink, sitting.is_empty()) {
        (Some(dish), None, true) => f.at("dish", |f| card(f, dish)).map(Subject::Dish),
        (None, Some(drink), true) => f.at("drink", |f| card(f, drink)).map(Subject::Drink),
        (None, None, false) => f.list("sitting", sitting, serving).map(Subject::Sitting),
        (dish, drink, _) => {
            // The fault is noted at the last of those given, or at the one mostly wanted.
            let (field, given) = match (dish, drink) {
                (None, None) => ("dish", "none is given"),
                (Some(_), Some(_)) if sitting.is_empty() => ("drink", "dish and drink are given"),
                _ => ("sitting", "sitting and another are given"),
            };
            f.at(field, |f| {
                Err(f.note(format_args!(
                    "give exactly one of dish, drink and sitting; {given}"
                )))
            })
        }
    };
    let diner = f.optional("diner", who, diner);
    let policy = f.optional("policy", by, policy);
    Ok(AssessmentRequest {
        subject: subject?,
        diner: diner?.unwrap_or(Diner::restriction()),
        policy: policy?.unwrap_or_default(),
    })
}

fn serving(f: &mut Faults, message: v1::Serving) -> Converted<Serving> {
    let v1::Serving { dish, drink } = message;
    match (dish, drink) {
        (Some(dish), None) => f.at("dish", |f| card(f, dish)).map(Serving::Dish),
        (None, Some(drink)) => f.at("drink", |f| card(f, drink)).map(Serving::Drink),
        (None, None) => Err(f.note("give exactly one of dish and drink; none is given")),
        (Some(_), Some(_)) => Err(f.note("give exactly one of dish and drink; both are given")),
    }
}

fn card(f: &mut Faults, message: v1::RecipeCard) -> Converted<RecipeCard> {
    let v1::RecipeCard {
        name,
        code,
        portions,
        makes,
        portion,
        service,
        lines,
        method,
        sub_recipes,
    } = message;
    let portions = f.optional_quantity("portions", portions, Portions::new);
    let service = f.optional_word::<v1::ServiceStyle>("service", service);
    let sub_recipes = f.list("sub_recipes", sub_recipes, card);
    Ok(RecipeCard {
        name,
        code,
        portions: portions?,
        makes,
        portion,
        service: service?.unwrap_or(Service::Unstated),
        lines,
        method,
        sub_recipes: sub_recipes?,
    })
}

fn diner(f: &mut Faults, message: v1::Diner) -> Converted<Diner> {
    let v1::Diner {
        phase,
        challenge,
        tolerances,
        excluded_allergens,
    } = message;
    let phase = f.optional_word::<v1::Phase>("phase", phase);
    let challenge = f.optional_word::<v1::Subgroup>("challenge", challenge);
    let mut seen = Vec::new();
    let tolerances = f.list("tolerances", tolerances, |f, message| {
        let (subgroup, tolerance) = tolerance(f, message)?;
        if seen.contains(&subgroup) {
            return f.at("subgroup", |f| {
                Err(f.note(format_args!(
                    "{subgroup} stands twice; one tolerance a subgroup is accepted"
                )))
            });
        }
        seen.push(subgroup);
        Ok((subgroup, tolerance))
    });
    let excluded_allergens = f.allergens("excluded_allergens", excluded_allergens);
    Ok(Diner {
        phase: phase?.unwrap_or(Phase::Restriction),
        challenge: challenge?,
        tolerances: tolerances?,
        excluded_allergens: excluded_allergens?,
    })
}

fn tolerance(f: &mut Faults, message: v1::Tolerance) -> Converted<(Subgroup, Tolerance)> {
    let v1::Tolerance {
        subgroup,
        grams,
        unlimited,
    } = message;
    let subgroup = f.word::<v1::Subgroup>("subgroup", subgroup);
    let tolerance = match (grams, unlimited) {
        (Some(grams), false) => f.quantity("grams", grams, Grams::new).map(Tolerance::UpTo),
        (None, true) => Ok(Tolerance::Unlimited),
        (None, false) => Err(f.note("give grams, or unlimited as true; neither is given")),
        (Some(_), true) => Err(f.note("give grams, or unlimited as true; both are given")),
    };
    Ok((subgroup?, tolerance?))
}

fn policy(f: &mut Faults, message: v1::Policy) -> Converted<Policy> {
    let v1::Policy {
        name,
        confidence,
        weakest_grade,
        netting,
        region,
    } = message;
    let default = Policy::default();
    let confidence = f.optional_word::<v1::Confidence>("confidence", confidence);
    let weakest_grade = f.optional_word::<v1::Grade>("weakest_grade", weakest_grade);
    let netting = f.optional_word::<v1::Netting>("netting", netting);
    let region = f.optional_word::<v1::Region>("region", region);
    Ok(Policy {
        name: if name.is_empty() { default.name } else { name },
        confidence: confidence?.unwrap_or(default.confidence),
        weakest_grade: weakest_grade?.unwrap_or(default.weakest_grade),
        netting: netting?.unwrap_or(default.netting),
        region: region?.unwrap_or(default.region),
    })
}

impl From<&AssessmentRequest> for v1::AssessmentRequest {
    fn from(request: &AssessmentRequest) -> Self {
        let AssessmentRequest {
            subject,
            diner,
            policy,
        } = request;
        let (dish, drink, sitting) = match subject {
            Subject::Dish(card) => (Some(card.into()), None, Vec::new()),
            Subject::Drink(card) => (None, Some(card.into()), Vec::new()),
            Subject::Sitting(items) => (None, None, items.iter().map(Into::into).collect()),
        };
        Self {
            dish,
            drink,
            sitting,
            diner: Some(diner.into()),
            policy: Some(policy.into()),
        }
    }
}

impl From<&Serving> for v1::Serving {
    fn from(serving: &Serving) -> Self {
        match serving {
            Serving::Dish(card) => Self {
                dish: Some(card.into()),
                drink: None,
            },
            Serving::Drink(card) => Self {
                dish: None,
                drink: Some(card.into()),
            },
        }
    }
}

impl From<&RecipeCard> for v1::RecipeCard {
    fn from(card: &RecipeCard) -> Self {
        let RecipeCard {
            name,
            code,
            portions,
            makes,
            portion,
            service,
            lines,
            method,
            sub_recipes,
        } = card;
        Self {
            name: name.clone(),
            code: code.clone(),
            portions: portions.map(Portions::get),
            makes: makes.clone(),
            portion: portion.clone(),
            service: word::<v1::ServiceStyle>(*service),
            lines: lines.clone(),
            method: method.clone(),
            sub_recipes: sub_recipes.iter().map(Into::into).collect(),
        }
    }
}

impl From<&Diner> for v1::Diner {
    fn from(diner: &Diner) -> Self {
        let Diner {
            phase,
            challenge,
            tolerances,
            excluded_allergens,
        } = diner;
        Self {
            phase: word::<v1::Phase>(*phase),
            challenge: optional_word::<v1::Subgroup, _>(*challenge),
            tolerances: tolerances
                .iter()
                .map(|&(subgroup, tolerance)| {
                    let (grams, unlimited) = match tolerance {
                        Tolerance::UpTo(grams) => (Some(grams.get()), false),
                        Tolerance::Unlimited => (None, true),
                    };
                    v1::Tolerance {
                        subgroup: word::<v1::Subgroup>(subgroup),
                        grams,
                        unlimited,
                    }
                })
                .collect(),
            excluded_allergens: allergens(*excluded_allergens),
        }
    }
}

impl From<&Policy> for v1::Policy {
    fn from(policy: &Policy) -> Self {
        let Policy {
            name,
            confidence,
            weakest_grade,
            netting,
            region,
        } = policy;
        Self {
            name: name.clone(),
            confidence: word::<v1::Confidence>(*confidence),
            weakest_grade: word::<v1::Grade>(*weakest_grade),
            netting: word::<v1::Netting>(*netting),
            region: word::<v1::Region>(*region),
        }
    }
}
