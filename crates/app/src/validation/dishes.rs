//! Measured dishes, predicted from their cards.

use tamis_catalogue::Catalogue;
use tamis_catalogue::validate::Reported;
use tamis_catalogue::validate_dishes::{Measurand, MeasuredDish, Per};
use tamis_scoring::assessment::SubjectKind;
use tamis_scoring::composition::Content;
use tamis_scoring::diner::{Diner, Netting, Policy};
use tamis_scoring::dish::{Amount, Portion};
use tamis_scoring::estimate::{Estimate, Mass};
use tamis_scoring::loads::{LoadState, Loads};
use tamis_scoring::quantity::{Grams, Quantity, Ratio};
use tamis_scoring::request::{RecipeCard, Subject};
use tamis_scoring::subgroup::{Analyte, Subgroup};

use crate::cards::{CardFormat, requests_from_text};
use crate::plate::Plate;
use crate::unfold;

/// One measured value of a dish beside its prediction.
#[derive(Debug, Clone)]
pub struct DishCheck {
    /// The name on the card; the code where there is no card.
    pub name: String,
    /// What was measured.
    pub measured: MeasuredDish,
    /// What the card predicts, on the basis of the measured value; else why nothing.
    pub predicted: Result<Prediction, String>,
}

/// What a card predicts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prediction {
    /// The mean.
    pub mean: Grams,
    /// The 5 % point.
    pub low: Grams,
    /// The 95 % point.
    pub high: Grams,
}

impl DishCheck {
    /// Whether the interval holds the measured value; `None` where nothing is predicted.
    #[must_use]
    pub fn held(&self) -> Option<bool> {
        let p = self.predicted.as_ref().ok()?;
        Some(match self.measured.reported {
            Reported::Found(x) => (p.low.get()..=p.high.get()).contains(&x.get()),
            Reported::Below(limit) => p.low.get() <= limit.get(),
        })
    }

    /// How many times too high or too low the mean is, without end where something was found and none
    /// predicted; `None` where nothing is predicted, or nothing was found.
    #[must_use]
    pub fn fold(&self) -> Option<f64> {
        let p = self.predicted.as_ref().ok()?;
        match self.measured.reported {
            Reported::Found(x) if x.get() > 0.0 => {
                let ratio = p.mean.get() / x.get();
                Some(ratio.max(1.0 / ratio))
            }
            _ => None,
        }
    }
}

/// How far the share of an ingredient differs between recipes of one kind of dish, as a standard
/// deviation of its logarithm.
///
/// From the shares of the same ingredient in recipes of one category, pooled over 139 categories of
/// Agribalyse 3 recipes (918 degrees of freedom): 0.61. A category holds more than one dish, so this
/// is on the wide side. It was set before it was tried on any dish here.
const RECIPE_LOG_SD: f64 = 0.61;

/// What is taken for granted of a card.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Recipe {
    /// The dish was cooked as the card says.
    AsWritten,
    /// The card is a typical recipe; the cook's own was another.
    Assumed,
}

/// Predicts every measured dish.
pub(super) fn check(catalogue: &Catalogue, recipe: Recipe) -> Vec<DishCheck> {
    let cards = match requests_from_text(
        catalogue.dish_cards(),
        CardFormat::PlainText,
        &Diner::restriction(),
        &Policy::default(),
    ) {
        Ok(requests) => Ok(requests),
        Err(error) => Err(error.to_string()),
    };
    catalogue
        .measured_dishes()
        .iter()
        .map(|measured| {
            let found = cards.as_ref().map_err(Clone::clone).and_then(|requests| {
                requests
                    .iter()
                    .find_map(|r| card_of(&r.subject, &measured.code))
                    .ok_or_else(|| "no card has its code".to_owned())
            });
            match found {
                Ok((card, kind)) => DishCheck {
                    name: card.name.clone(),
                    measured: measured.clone(),
                    predicted: predict(catalogue, card, kind, measured, recipe),
                },
                Err(why) => DishCheck {
                    name: measured.code.clone(),
                    measured: measured.clone(),
                    predicted: Err(why),
                },
            }
        })
        .collect()
}

fn card_of<'a>(subject: &'a Subject, code: &str) -> Option<(&'a RecipeCard, SubjectKind)> {
    let (card, kind) = match subject {
        Subject::Dish(card) => (card, SubjectKind::Dish),
        Subject::Drink(card) => (card, SubjectKind::Drink),
        Subject::Sitting(_) => return None,
    };
    card.code
        .as_deref()
        .is_some_and(|c| c.eq_ignore_ascii_case(code))
        .then_some((card, kind))
}

fn predict(
    catalogue: &Catalogue,
    card: &RecipeCard,
    kind: SubjectKind,
    measured: &MeasuredDish,
    recipe: Recipe,
) -> Result<Prediction, String> {
    let mut plate = unfold::plate(catalogue, card, kind).map_err(|e| e.to_string())?;
    if let Some(line) = plate.unresolved.first() {
        return Err(format!("a line is not understood: {}", line.line.text));
    }
    own_check(&plate, measured)?;
    if recipe == Recipe::Assumed {
        let one = Ratio::clamped(1.0);
        let cv = libm::sqrt(libm::expm1(RECIPE_LOG_SD * RECIPE_LOG_SD));
        let share = Estimate::with_relative_sd(one, Ratio::clamped(cv));
        for item in &mut plate.items {
            if let Amount::Known(mass) = item.amount {
                item.amount = Amount::Known(mass.scaled_by(share));
            }
        }
    }
    let portion = plate.as_portion();
    let served = match measured.measurand {
        Measurand::Subgroup(subgroup) => of_subgroup(&portion, subgroup)?,
        Measurand::Sugar(analyte) => of_sugar(&portion, analyte)?,
        Measurand::Total => {
            let parts = [
                Subgroup::TotalOligosaccharides,
                Subgroup::Lactose,
                Subgroup::ExcessFructose,
                Subgroup::TotalPolyols,
            ];
            let mut sum = Mass::ZERO;
            for part in parts {
                let p = of_subgroup(&portion, part)?;
                sum = sum.plus(as_mass(p));
            }
            of_mass(sum)
        }
    };
    match (measured.per, plate.portion) {
        (Per::Serve, _) => Ok(served),
        (Per::HundredGrams, Some(grams)) if grams.get() > 0.0 => {
            let share = |g: Grams| Grams::clamped(g.get() * 100.0 / grams.get());
            Ok(Prediction {
                mean: share(served.mean),
                low: share(served.low),
                high: share(served.high),
            })
        }
        (Per::HundredGrams, _) => Err("the card does not say what the dish weighs".to_owned()),
    }
}

/// A value that stands behind an ingredient of the card cannot check it.
fn own_check(plate: &Plate, measured: &MeasuredDish) -> Result<(), String> {
    let same = plate.items.iter().flat_map(|i| &i.evidence).any(|row| {
        row.evidence.source == measured.source && row.evidence.locator == measured.locator
    });
    if same {
        return Err("the measured value stands behind an ingredient of its card".to_owned());
    }
    Ok(())
}

fn of_subgroup(portion: &Portion, subgroup: Subgroup) -> Result<Prediction, String> {
    let loads = Loads::of(portion, Netting::Portion);
    let load = loads.of_subgroup(subgroup);
    match (load.state(), load.central(), load.high()) {
        (LoadState::Zero | LoadState::Estimated, Some(mean), Some(high)) => Ok(Prediction {
            mean,
            low: load.low(),
            high,
        }),
        (LoadState::Bounded, ..) => Err("only bounds are known".to_owned()),
        _ => Err("an amount or a content is not known".to_owned()),
    }
}

fn of_sugar(portion: &Portion, analyte: Analyte) -> Result<Prediction, String> {
    let mut sum = Mass::ZERO;
    for component in portion.components() {
        match (component.composition.content(analyte), component.amount) {
            (Content::Absent, _) => {}
            (Content::Known(content, _), Amount::Known(amount)) => {
                sum = sum.plus(content.in_amount(amount));
            }
            _ => return Err("an amount or a content is not known".to_owned()),
        }
    }
    Ok(of_mass(sum))
}

fn of_mass(mass: Mass) -> Prediction {
    Prediction {
        mean: mass.mean(),
        low: mass.low(),
        high: mass.high(),
    }
}

fn as_mass(p: Prediction) -> Mass {
    Mass::with_interval(p.mean, p.low, p.high)
}
