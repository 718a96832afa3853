//! Predictions of observations that had no part in them.
//!
//! [`Catalogue::leave_one_source_out`] predicts what a source reports of a food and state from the other
//! sources of it: the spread of the analyte and class is estimated anew without this food and state at all,
//! and what was judged, inferred or taught is left aside, since whoever judged may have seen the number.
//! The prediction is the pool as the program shows it, with the error of the held-out report in place of
//! that of a lot. [`Catalogue::leave_one_food_out`] predicts a measured food from its relatives.
//!
//! A number counts as held by an interval or not. A report below a detection limit counts by the chance that
//! it lies in the interval given that it lies below the limit, `max(0, min(F(L), 0.95) - 0.05) / F(L)`, the
//! expectation of a randomised probability integral transform (Czado, Gneiting & Held 2009, Biometrics
//! 65:1254-1261, recalled), so that wide intervals are not flattered by limits that they cannot miss.

use tamis_scoring::estimate::Z95;
use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::{FoodId, Fraction, GramsPer100g, Quantity, SourceId, StateId};

use crate::Catalogue;
use crate::compose::{Body, Seen};
use crate::constituent::Constituent;
use crate::infer::normal;
use crate::measures::density;
use crate::pool::{Kind, Observed, Spread, bounds, found_voices, pool};

/// What was observed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reported {
    /// This much.
    Found(GramsPer100g),
    /// Less than this.
    Below(GramsPer100g),
}

/// One observation beside what was predicted without it.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// The food.
    pub food: FoodId,
    /// Its state; `None` where all its states were left out together.
    pub state: Option<StateId>,
    /// The analyte, or what bounds the analytes: `water`, `total_sugars`, ...
    pub analyte: &'static str,
    /// Whether it carries a load; the others are bulk, sucrose and totals.
    pub carries_load: Carries,
    /// The source that was left out; `None` where a whole food was.
    pub source: Option<SourceId>,
    /// The weakest grade of what was left out.
    pub grade: Grade,
    /// What was observed; per 100 g of dry matter where a whole food was left out.
    pub reported: Reported,
    /// The mean predicted.
    pub mean: GramsPer100g,
    /// The 5 % point predicted.
    pub low: GramsPer100g,
    /// The 95 % point predicted.
    pub high: GramsPer100g,
    /// How far the interval holds the report: one or none, between for a report below a limit.
    pub held: Fraction,
    /// From how many other sources, or relatives.
    pub from: usize,
}

/// Whether a constituent carries a load.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carries {
    /// One of the analytes that a diner reacts to.
    Load,
    /// What only bounds them.
    Nothing,
}

impl Checked {
    /// How many times too high or too low the mean is, one or more; `None` for a report below a limit.
    #[must_use]
    pub fn fold(&self) -> Option<f64> {
        match self.reported {
            Reported::Found(x) if x.get() > 0.0 && self.mean.get() > 0.0 => {
                let ratio = self.mean.get() / x.get();
                Some(ratio.max(1.0 / ratio))
            }
            _ => None,
        }
    }
}

/// A source of one food and state that is left out.
struct LeftOut {
    grade: Grade,
    reported: Reported,
    log: f64,
    variance: f64,
}

impl Catalogue {
    /// Every source of a food, state and constituent with several sources, predicted from the others.
    /// In the order of foods, states, constituents and sources.
    #[must_use]
    pub fn leave_one_source_out(&self) -> Vec<Checked> {
        let tables = &self.inner.tables;
        let density = |food: &_, state: &_| density(tables, food, state);
        let body = Body::new(tables, &density);
        let mut out = Vec::new();
        for seen in &body.seen {
            for (&constituent, all) in &seen.by {
                sources_out(&body, seen, constituent, all, &mut out);
            }
        }
        out
    }

    /// Every measured food with three measured relatives or more, predicted from all foods but itself, per
    /// 100 g of dry matter. In the order of analytes and foods.
    #[must_use]
    pub fn leave_one_food_out(&self) -> Vec<Checked> {
        let tables = &self.inner.tables;
        let density = |food: &_, state: &_| density(tables, food, state);
        let out = Body::new(tables, &density).relatives.leave_one_out();
        out.into_iter()
            .map(|left| {
                let (log, variance) = (left.predicted.log, left.predicted.variance);
                let log_mean = log + variance / 2.0;
                let value = GramsPer100g::clamped(libm::exp(left.relative.log));
                let reported = if left.relative.found {
                    Reported::Found(value)
                } else {
                    Reported::Below(value)
                };
                let (low, high) = bounds(log_mean, variance);
                Checked {
                    food: left.relative.food,
                    state: None,
                    analyte: left.analyte.word(),
                    carries_load: Carries::Load,
                    source: None,
                    grade: Grade::Inferred,
                    reported,
                    mean: GramsPer100g::clamped(libm::exp(log_mean)),
                    low: GramsPer100g::clamped(low),
                    high: GramsPer100g::clamped(high),
                    held: held(reported, left.relative.log, log_mean, variance),
                    from: left.predicted.relatives,
                }
            })
            .collect()
    }
}

fn sources_out(
    body: &Body<'_>,
    seen: &Seen<'_>,
    constituent: Constituent,
    all: &[Observed],
    out: &mut Vec<Checked>,
) {
    let looked: Vec<&Observed> = all.iter().filter(|o| o.is_observation()).collect();
    let mut sources: Vec<&SourceId> = looked.iter().map(|o| &o.source).collect();
    sources.sort_unstable();
    sources.dedup();
    let Some(&place) = seen.places.get(&constituent).filter(|_| sources.len() > 1) else {
        return;
    };
    let spread = body.spreads.without(constituent, seen.food.class, place);
    for source in &sources {
        let part = |own: bool| -> Vec<Observed> {
            looked
                .iter()
                .filter(|o| (o.source == **source) == own)
                .map(|o| (*o).clone())
                .collect()
        };
        let others = part(false);
        let Some(pooled) = pool(&others, spread) else {
            continue;
        };
        let Some(left) = left_out(&part(true), spread, pooled.resolution) else {
            continue;
        };
        let between = if pooled.detected { 0.0 } else { spread.between };
        let variance = pooled.another_source + between + left.variance;
        let log_mean = libm::log(pooled.estimate.mean().get());
        let (low, high) = bounds(log_mean, variance);
        out.push(Checked {
            food: seen.food.id.clone(),
            state: Some(seen.state.clone()),
            analyte: constituent.word(),
            carries_load: match constituent {
                Constituent::Analyte(_) => Carries::Load,
                _ => Carries::Nothing,
            },
            source: Some((*source).clone()),
            grade: left.grade,
            reported: left.reported,
            mean: pooled.estimate.mean(),
            low: GramsPer100g::clamped(low),
            high: GramsPer100g::clamped(high),
            held: held(left.reported, left.log, log_mean, variance),
            from: sources.len() - 1,
        });
    }
}

/// The rows of one source as one report, with the error that it has of itself.
fn left_out(rows: &[Observed], spread: Spread, resolution: f64) -> Option<LeftOut> {
    let grade = rows.iter().fold(Grade::Measured, |g, o| g.weaker(o.grade));
    if let Some(voice) = found_voices(rows, spread.sample, resolution).0.first() {
        return Some(LeftOut {
            grade,
            reported: Reported::Found(GramsPer100g::clamped(libm::exp(voice.y))),
            log: voice.y,
            variance: voice.v,
        });
    }
    let limits = rows.iter().filter_map(|o| match o.kind {
        Kind::Below(limit) => Some(limit),
        Kind::Found(_) | Kind::Judged => None,
    });
    let limit = limits.reduce(f64::min)?;
    Some(LeftOut {
        grade,
        reported: Reported::Below(GramsPer100g::clamped(limit)),
        log: libm::log(limit),
        variance: spread.sample + resolution,
    })
}

/// How far the 90 % interval of a log-normal holds a report.
fn held(reported: Reported, log: f64, log_mean: f64, variance: f64) -> Fraction {
    let z = (log - (log_mean - variance / 2.0)) / libm::sqrt(variance);
    let share = match reported {
        Reported::Found(_) if z.abs() <= Z95 => 1.0,
        Reported::Found(_) => 0.0,
        Reported::Below(_) => {
            let below = normal(z);
            if below > 0.05 {
                (below.min(0.95) - 0.05) / below
            } else {
                0.0
            }
        }
    };
    Fraction::clamped(share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_report_below_a_limit_counts_by_what_could_be_missed() {
        let under = Reported::Below(GramsPer100g::clamped(1.0));
        // A limit far over all that is predicted: nine in ten.
        let far = held(under, 50.0, 0.0, 1.0).get();
        assert!((far - 0.9).abs() < 1e-9);
        assert_eq!(held(under, -50.0, 0.0, 1.0), Fraction::ZERO);
    }

    /// Among measured foods the intervals that relatives give hold as often as they say, as far as so
    /// many foods can tell: within three standard deviations of the binomial.
    #[test]
    fn relatives_give_honest_intervals() {
        let foods = Catalogue::embedded().unwrap().leave_one_food_out();
        let n = foods.iter().fold(0.0, |n, _| n + 1.0);
        let held: f64 = foods.iter().map(|c| c.held.get()).sum();
        let band = 3.0 * (n * 0.9 * 0.1_f64).sqrt();
        println!(
            "{held:.1} of {n} held; {:.1} +- {band:.1} expected",
            0.9 * n
        );
        assert!(n >= 50.0);
        assert!((held - 0.9 * n).abs() <= band);
    }

    #[test]
    fn what_is_left_out_has_no_part_in_its_prediction() {
        let sources = Catalogue::embedded().unwrap().leave_one_source_out();
        assert!(sources.len() > 100);
        assert!(sources.iter().all(|c| c.from >= 1));
        assert!(sources.iter().all(|c| c.grade <= Grade::Recalled));
        assert!(sources.iter().all(|c| c.low <= c.high));
    }
}
