//! Observations of one analyte in one food and state, pooled to one estimate.
//!
//! Work is done on the log scale, since contents are positive and known to within a factor.
//! For observation *i* with reported mean `x_i` and log spread `s_i`:
//!
//! * `s_i` comes from the reported standard deviation (`s^2 = ln(1 + (sd/x)^2)`), else from the
//!   reported range read as 5 % and 95 % points (`s = ln(high/low) / (2 * 1.645)`), else from a
//!   default relative standard deviation: 0.20 measured or secondary, 0.35 recalled, 0.60 weaker.
//! * A value below a detection limit `L`, and a printed zero (`L` = 0.05, half the last digit of a
//!   table in tenths), is the interval `L/30` to `L`. Beside detected values whose centre lies under
//!   `L` it says nothing about the centre and does not count.
//! * Weight `w_i` = grade (1, 0.6, 0.4, 0.15, 0.1 from measured to practice) times `min(sqrt n, 4)`.
//! * Centre `m = sum(w ln x) / sum(w)`; variance of the sources around it `v = sum(w (ln x - m)^2) / sum(w)`.
//!   The mean of the pool is that of a log-normal with that centre and variance, `exp(m + v/2)`, held
//!   between the smallest and the largest `x_i`. One source alone keeps its reported mean.
//! * Spread of the pool: `s^2 = sum(w s_i^2)/sum(w) + t^2`, where the variance between sources is drawn
//!   towards that of the analyte over all foods with several detected values, `T^2`, as if by two more
//!   degrees of freedom: `t^2 = (2 T^2 + k v) / (2 + k - 1)`. For one source alone this is `T^2`. An
//!   interval that was judged as a whole and stands alone already holds it, and gets none.
//!
//! The grade of the pool is the strongest grade such that rows of that grade or stronger carry at
//! least half of the weight.
//!
//! Sources (recalled): Sutton & Higgins 2008, Stat Med 27:625-650, for pooling on the log scale with
//! a variance between sources; the pull towards a common variance is the usual scaled
//! inverse-chi-square prior (Gelman et al., Bayesian Data Analysis, ch. 2). The default spreads and
//! grade weights are ours: common practice, no source.

use std::collections::BTreeMap;

use tamis_scoring::estimate::Concentration;
use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::{GramsPer100g, Quantity, Ratio};

use crate::constituent::Constituent;
use crate::schema::{CompositionRow, Value};

/// The limit a printed zero is read as, g per 100 g.
const PRINTED_ZERO: f64 = 0.05;
/// Degrees of freedom with which a pool is drawn towards the analyte's own spread.
const PRIOR_FREEDOM: f64 = 2.0;
/// The spread between sources where too few foods have several, and the range it is held in.
const DEFAULT_BETWEEN: f64 = 0.25;
const BETWEEN: std::ops::RangeInclusive<f64> = 0.10..=0.60;
/// Degrees of freedom from which an analyte's own spread between sources is believed.
const ENOUGH_FREEDOM: f64 = 5.0;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    Detected,
    Below(f64),
    Judged,
}

/// One observation on the fresh basis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Observed {
    mean: f64,
    log_var: f64,
    weight: f64,
    grade: Grade,
    kind: Kind,
}

/// One estimate from several observations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pooled {
    pub(crate) estimate: Concentration,
    pub(crate) grade: Grade,
    /// Whether any source found the analyte.
    pub(crate) detected: bool,
}

/// Reads a row, multiplied onto the fresh basis.
pub(crate) fn observed(row: &CompositionRow, factor: f64) -> Observed {
    let range = row
        .low
        .zip(row.high)
        .map(|(l, h)| interval(l * factor, h * factor));
    let (mean, log_var, kind) = match row.value {
        Value::Number(v) if v > 0.0 => {
            let var = match (row.sd, range) {
                (Some(sd), _) if sd > 0.0 => libm::log1p((sd / v) * (sd / v)),
                (_, Some((_, var))) => var,
                _ => default_log_var(row.grade),
            };
            (v * factor, var, Kind::Detected)
        }
        Value::Number(_) => below(range, PRINTED_ZERO * factor),
        Value::Below(limit) => below(None, limit * factor),
        Value::Interval => {
            let (mean, var) =
                range.unwrap_or_else(|| interval(0.0, row.high.unwrap_or(0.0) * factor));
            (mean, var, Kind::Judged)
        }
    };
    let samples = row.n.map_or(1.0, |n| libm::sqrt(f64::from(n)).min(4.0));
    Observed {
        mean,
        log_var,
        weight: grade_weight(row.grade) * samples,
        grade: row.grade,
        kind,
    }
}

fn below(range: Option<(f64, f64)>, limit: f64) -> (f64, f64, Kind) {
    match range {
        // A printed zero with a range: the range says more.
        Some((mean, var)) if mean > 0.0 => (mean, var, Kind::Judged),
        _ => {
            let (mean, var) = interval(0.0, limit);
            (mean, var, Kind::Below(limit))
        }
    }
}

/// The mean and the log variance of an interval.
fn interval(low: f64, high: f64) -> (f64, f64) {
    let e = Concentration::from_interval(GramsPer100g::clamped(low), GramsPer100g::clamped(high));
    let s = e.log_sd().get();
    (e.mean().get(), s * s)
}

fn default_log_var(grade: Grade) -> f64 {
    let relative: f64 = match grade {
        Grade::Measured | Grade::Secondary => 0.20,
        Grade::Recalled => 0.35,
        Grade::Inferred | Grade::Practice => 0.60,
    };
    libm::log1p(relative * relative)
}

const fn grade_weight(grade: Grade) -> f64 {
    match grade {
        Grade::Measured => 1.0,
        Grade::Secondary => 0.6,
        Grade::Recalled => 0.4,
        Grade::Inferred => 0.15,
        Grade::Practice => 0.1,
    }
}

struct Centre {
    log_mean: f64,
    log_var: f64,
}

fn centre(observed: &[Observed]) -> Centre {
    let weight: f64 = observed.iter().map(|o| o.weight).sum();
    let log_mean = observed
        .iter()
        .map(|o| o.weight * libm::log(o.mean))
        .sum::<f64>()
        / weight;
    let log_var = observed
        .iter()
        .map(|o| {
            let d = libm::log(o.mean) - log_mean;
            o.weight * d * d
        })
        .sum::<f64>()
        / weight;
    Centre { log_mean, log_var }
}

/// Pools observations; `None` without any.
pub(crate) fn pool(all: &[Observed], between: f64) -> Option<Pooled> {
    let positive: Vec<Observed> = all.iter().copied().filter(|o| o.mean > 0.0).collect();
    let found: Vec<Observed> = positive
        .iter()
        .copied()
        .filter(|o| !matches!(o.kind, Kind::Below(_)))
        .collect();
    let detected = found.iter().any(|o| o.kind == Kind::Detected);
    let counted: Vec<Observed> = if found.is_empty() {
        positive
    } else {
        let limit = libm::exp(centre(&found).log_mean);
        positive
            .into_iter()
            .filter(|o| !matches!(o.kind, Kind::Below(l) if l >= limit))
            .collect()
    };
    if counted.is_empty() {
        return None;
    }
    let Centre { log_mean, log_var } = centre(&counted);
    let weight: f64 = counted.iter().map(|o| o.weight).sum();
    let count = counted.iter().fold(0.0, |n, _| n + 1.0);
    let (least, most) = counted.iter().fold((f64::INFINITY, 0.0_f64), |(l, m), o| {
        (l.min(o.mean), m.max(o.mean))
    });
    let mean = libm::exp(log_mean + log_var / 2.0).clamp(least, most);
    let within = counted.iter().map(|o| o.weight * o.log_var).sum::<f64>() / weight;
    let alone = counted.len() == 1;
    let sources = if alone && counted[0].kind != Kind::Detected {
        0.0
    } else {
        (PRIOR_FREEDOM * between * between + count * log_var) / (PRIOR_FREEDOM + count - 1.0)
    };
    let relative = libm::sqrt(libm::expm1((within + sources).min(4.0)));
    Some(Pooled {
        estimate: Concentration::with_relative_sd(
            GramsPer100g::clamped(mean),
            Ratio::clamped(relative),
        ),
        grade: grade(&counted, weight),
        detected,
    })
}

fn grade(counted: &[Observed], weight: f64) -> Grade {
    let mut carried = 0.0;
    for &grade in Grade::ALL {
        carried += counted
            .iter()
            .filter(|o| o.grade == grade)
            .map(|o| o.weight)
            .sum::<f64>();
        if carried >= weight / 2.0 {
            return grade;
        }
    }
    Grade::Practice
}

/// How far sources differ, by analyte, as a standard deviation of the logarithm.
#[derive(Debug, Default)]
pub(crate) struct Between(BTreeMap<Constituent, (f64, f64)>);

impl Between {
    /// Counts the detected values of one food and state.
    pub(crate) fn add(&mut self, constituent: Constituent, all: &[Observed]) {
        let found: Vec<Observed> = all
            .iter()
            .copied()
            .filter(|o| o.kind == Kind::Detected)
            .collect();
        if found.len() < 2 {
            return;
        }
        let count = found.iter().fold(0.0, |n, _| n + 1.0);
        let slot = self.0.entry(constituent).or_default();
        slot.0 += count * centre(&found).log_var;
        slot.1 += count - 1.0;
    }

    pub(crate) fn of(&self, constituent: Constituent) -> f64 {
        match self.0.get(&constituent) {
            Some(&(sum, freedom)) if freedom >= ENOUGH_FREEDOM => {
                libm::sqrt(sum / freedom).clamp(*BETWEEN.start(), *BETWEEN.end())
            }
            _ => DEFAULT_BETWEEN,
        }
    }
}

/// The spread of an interval that was judged, as an estimate.
pub(crate) fn judged(low: f64, high: f64) -> Concentration {
    Concentration::from_interval(GramsPer100g::clamped(low), GramsPer100g::clamped(high))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn seen(mean: f64, grade: Grade, kind: Kind) -> Observed {
        Observed {
            mean,
            log_var: default_log_var(grade),
            weight: grade_weight(grade),
            grade,
            kind,
        }
    }

    #[test]
    fn one_source_keeps_its_mean() {
        let one = pool(&[seen(2.4, Grade::Measured, Kind::Detected)], 0.3).unwrap();
        assert!((one.estimate.mean().get() - 2.4).abs() < 1e-12);
        let s = one.estimate.log_sd().get();
        assert!((s * s - (default_log_var(Grade::Measured) + 0.09)).abs() < 1e-9);
    }

    #[test]
    fn sources_that_differ_widen_the_spread() {
        let close = [
            seen(2.0, Grade::Measured, Kind::Detected),
            seen(2.1, Grade::Measured, Kind::Detected),
        ];
        let far = [
            seen(1.0, Grade::Measured, Kind::Detected),
            seen(4.0, Grade::Measured, Kind::Detected),
        ];
        let (close, far) = (pool(&close, 0.3).unwrap(), pool(&far, 0.3).unwrap());
        assert!(far.estimate.log_sd() > close.estimate.log_sd());
        assert!(close.estimate.log_sd().get() < 0.36);
    }

    #[test]
    fn a_limit_over_the_found_values_says_nothing() {
        let found = seen(0.1, Grade::Measured, Kind::Detected);
        let (mean, log_var) = interval(0.0, 0.5);
        let under = Observed {
            mean,
            log_var,
            ..seen(0.1, Grade::Measured, Kind::Below(0.5))
        };
        assert_eq!(pool(&[found, under], 0.3), pool(&[found], 0.3));
    }

    #[test]
    fn the_grade_is_the_one_that_carries_half() {
        let rows = [
            seen(1.0, Grade::Measured, Kind::Detected),
            seen(1.0, Grade::Practice, Kind::Judged),
            seen(1.0, Grade::Recalled, Kind::Detected),
        ];
        assert_eq!(pool(&rows, 0.3).unwrap().grade, Grade::Measured);
        assert_eq!(pool(&rows[1..], 0.3).unwrap().grade, Grade::Recalled);
    }

    proptest! {
        #[test]
        fn the_mean_lies_between_the_smallest_and_the_largest(values in proptest::collection::vec(0.001_f64..90.0, 1..12)) {
            let rows: Vec<Observed> = values.iter().map(|&v| seen(v, Grade::Measured, Kind::Detected)).collect();
            let mean = pool(&rows, 0.3).unwrap().estimate.mean().get();
            let least = values.iter().copied().fold(f64::INFINITY, f64::min);
            let most = values.iter().copied().fold(0.0, f64::max);
            prop_assert!(mean >= least * (1.0 - 1e-12) && mean <= most * (1.0 + 1e-12));
        }
    }
}
