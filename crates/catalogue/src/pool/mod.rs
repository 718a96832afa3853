//! Observations of one analyte in one food and state, pooled to one estimate.
//!
//! # The model
//!
//! Contents are positive and known to within a factor, so all is done on natural logarithms. Source
//! `j` reports `y_j`, the logarithm of its mean, for a food and state whose level is `mu`:
//!
//! ```text
//! y_j = mu + b_j + e_j      b_j ~ N(0, t^2)      e_j ~ N(0, v_j)
//! ```
//!
//! `t^2` is how far sources differ (cultivar, season, country, assay). `v_j` is known:
//!
//! * A row with `n` samples of spread `u^2` each: `u^2 / n`. `u^2` comes from the reported standard
//!   deviation (`ln(1 + (sd/x)^2)`), else from the reported range read as 5 % and 95 % points
//!   (`(ln(high/low) / (2 * 1.645))^2`), less the absolute error below and at least 0.001, drawn to that of its
//!   analyte and class by its degrees of freedom; else it is that of its analyte and class. `n` that is not
//!   reported counts as 1.
//! * Rows of one source are first combined by inverse variance, `v = 1 / sum(n/u^2)`.
//! * Plus the variance of the grade (averaged over the rows of the source by the same weights), for what a reader can get wrong: none if measured, 0.10^2 secondary,
//!   0.30^2 recalled, 0.50^2 inferred, 0.60^2 practice (ours: common practice, no source).
//! * Plus `ln(1 + (0.05/x)^2)`, with `x` the geometric mean of the found values: an absolute error of
//!   half the last digit of a table in tenths. Without it, traces that differ by a digit would say that
//!   sources differ by a factor everywhere (two-component error, Rocke & Lorenzato 1995).
//! * A value below a detection limit `L`, and a printed zero (`L` = 0.05), is the interval `L/30` to `L`: never
//!   zero. Beside found values whose centre is not over `L` it says nothing and does not count.
//! * An interval that was judged as a whole keeps its own variance.
//!
//! Weights are `w_j = 1 / (t^2 + v_j)`: more samples and a better grade weigh more, and no source outweighs
//! the others by its samples alone. Then, with `k` sources,
//!
//! ```text
//! m = sum(w y) / sum(w)     Var m = 1 / sum(w)     mean = sum(w exp(y)) / sum(w)
//! s^2 = t^2 + u^2 + Var m
//! ```
//!
//! The mean is that of what the sources report, by the same weights: unbiased for what a source reports
//! next whatever the shape of the spread, and never outside of what was reported. `exp(m + s^2/2)` would
//! lift it by a spread that is largely borrowed from other foods. One source alone keeps its printed
//! mean. `s^2` is the spread of the lot that a kitchen buys next: between sources, between samples (`u^2`
//! of this pool), and of the centre itself.
//!
//! # The spreads
//!
//! `t^2` of a group of pools solves `sum over pools of sum(w (y - m)^2) = sum(k - 1)` (Paule & Mandel 1982,
//! the root that DerSimonian & Laird 1986 take one step towards; over many pools as in Rukhin 2013), zero
//! where even `t = 0` leaves less. Only found values enter. It is pooled in part along
//! all analytes -> analyte -> analyte and food class -> this pool; each level counts as `d` degrees of freedom
//! of the next: `t^2 = (d t_up^2 + f t_own^2) / (d + f)`, `f = sum(k - 1)`, `d` = 10 between levels and 4 for
//! one pool (scaled inverse-chi-square prior: Gelman et al., Bayesian Data Analysis, ch. 2). Sugars, polyols and
//! fructans are one "all", water and the other bulk another.
//!
//! `u^2` goes the same way on the logarithm, so that a few wild traces do not speak for all: each reported
//! variance `r` with `f` degrees of freedom is `e = ln r - psi(f/2) + ln(f/2)`; levels average `e`
//! by `f`; the prior scale of a class is `exp(e + psi(d/2) - ln(d/2))`, `d` = 4 (the moderated variances of Smyth 2004).
//!
//! Without a found value the rows are opinions: centre `sum(y/v)/sum(1/v)`, variance that of their mixture.
//!
//! The grade of a source and of the pool is the strongest grade such that it and stronger ones carry at
//! least half of the weight. What the rest of the food says of the sums is in [`crate::compose`].
//!
//! Sources, all recalled: Paule & Mandel 1982, J Res NBS 87:377-385; DerSimonian & Laird 1986, Control Clin
//! Trials 7:177-188; Rukhin 2013, J R Stat Soc B 75:451-469; Rocke & Lorenzato 1995, Technometrics 37:176-184;
//! Smyth 2004, Stat Appl Genet Mol Biol 3:3.
//! Held against NumPy and SciPy by `tests/outside/pooling.py`.

mod spread;

use tamis_scoring::estimate::{Concentration, Z95};
use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::{GramsPer100g, Quantity, Ratio, SourceId};

use crate::schema::{CompositionRow, Value};

pub(crate) use spread::{Fitted, Spread, Spreads, paule_mandel};

/// The limit a printed zero is read as, and the absolute error of a printed value, g per 100 g.
pub(crate) const PRINTED_ZERO: f64 = 0.05;
/// What is taken of a spread reported without its samples, in degrees of freedom.
const RANGE_FREEDOM: f64 = 3.0;
/// No single row says more about a spread than this.
const MOST_FREEDOM: f64 = 20.0;
/// The least variance between samples that is believed.
const LEAST_SAMPLE: f64 = 0.001;
/// A centre this close to a limit, as a share, is not over it: a tie does not hang on the last bit.
const TIE: f64 = 1e-9;
/// The widest variance kept.
const MOST_VARIANCE: f64 = 4.0;

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Kind {
    /// A number: the spread between samples where reported, with its degrees of freedom.
    Found(Option<(f64, f64)>),
    /// Below this limit.
    Below(f64),
    /// An interval that was judged as a whole.
    Judged,
}

/// One observation on the fresh basis.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Observed {
    pub(crate) log_mean: f64,
    /// Variance of an interval as a whole; of no meaning for a found value.
    interval_var: f64,
    pub(crate) samples: f64,
    pub(crate) grade: Grade,
    pub(crate) kind: Kind,
    pub(crate) source: SourceId,
}

impl Observed {
    pub(crate) fn is_found(&self) -> bool {
        matches!(self.kind, Kind::Found(_))
    }

    /// The 5 % and the 95 % point of an interval that was judged.
    pub(crate) fn judged_bounds(&self) -> (f64, f64) {
        bounds(self.log_mean, self.interval_var)
    }

    /// Whether somebody looked: not judged, inferred or taught.
    pub(crate) fn is_observation(&self) -> bool {
        self.grade <= Grade::Recalled && self.kind != Kind::Judged
    }
}

/// One estimate from several observations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pooled {
    pub(crate) estimate: Concentration,
    pub(crate) grade: Grade,
    /// Whether any source found the analyte.
    pub(crate) detected: bool,
    /// Variance of the centre and between sources: what another source's mean is spread by.
    pub(crate) another_source: f64,
    /// The variance that the absolute error of a printed value makes at this level.
    pub(crate) resolution: f64,
}

/// One source of a pool: its centre, and its variance without that between sources.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Voice {
    pub(crate) y: f64,
    pub(crate) v: f64,
    grade: Grade,
    limit: Option<f64>,
}

impl Voice {
    /// A centre with its variance, where no grade and no limit matter.
    pub(crate) const fn of(y: f64, v: f64) -> Self {
        Self {
            y,
            v,
            grade: Grade::Measured,
            limit: None,
        }
    }
}

/// Reads a row, multiplied onto the fresh basis; `None` for a value that is nothing at all.
pub(crate) fn observed(row: &CompositionRow, factor: f64) -> Option<Observed> {
    let range = row.low.zip(row.high).filter(|(_, high)| *high > 0.0);
    let freedom = row
        .n
        .map_or(RANGE_FREEDOM, |n| (f64::from(n) - 1.0).min(MOST_FREEDOM));
    let (log_mean, interval_var, kind) = match row.value {
        Value::Number(v) if v > 0.0 => {
            let spread = match (row.sd, range) {
                (Some(sd), _) if sd > 0.0 => Some(libm::log1p((sd / v) * (sd / v))),
                (_, Some((low, high))) => Some(interval(low, high).1),
                _ => None,
            };
            let spread = spread
                .filter(|_| freedom > 0.0)
                .map(|s| ((s - absolute(v * factor)).max(LEAST_SAMPLE), freedom));
            (libm::log(v * factor), 0.0, Kind::Found(spread))
        }
        Value::Number(_) => match range {
            // A printed zero with a range: the range says more.
            Some((low, high)) => judged_row(low * factor, high * factor),
            None => below(PRINTED_ZERO * factor),
        },
        Value::Below(limit) => below(limit * factor),
        Value::Interval => {
            let high = row.high.filter(|h| *h > 0.0)?;
            judged_row(row.low.unwrap_or(0.0) * factor, high * factor)
        }
    };
    log_mean.is_finite().then(|| Observed {
        log_mean,
        interval_var,
        samples: row.n.map_or(1.0, f64::from),
        grade: row.grade,
        kind,
        source: row.source.clone(),
    })
}

fn below(limit: f64) -> (f64, f64, Kind) {
    let (y, v) = interval(0.0, limit);
    (y, v, Kind::Below(limit))
}

fn judged_row(low: f64, high: f64) -> (f64, f64, Kind) {
    let (y, v) = interval(low, high);
    (y, v, Kind::Judged)
}

/// The logarithm of the mean, and the log variance, of an interval.
fn interval(low: f64, high: f64) -> (f64, f64) {
    let e = judged(low, high);
    let s = e.log_sd().get();
    (libm::log(e.mean().get()), s * s)
}

/// An interval that was judged, as an estimate.
pub(crate) fn judged(low: f64, high: f64) -> Concentration {
    Concentration::from_interval(GramsPer100g::clamped(low), GramsPer100g::clamped(high))
}

pub(crate) fn grade_variance(grade: Grade) -> f64 {
    let s: f64 = match grade {
        Grade::Measured => 0.0,
        Grade::Secondary => 0.10,
        Grade::Recalled => 0.30,
        Grade::Inferred => 0.50,
        Grade::Practice => 0.60,
    };
    s * s
}

/// The variance of the absolute error at the level of the found values; none without any.
pub(crate) fn resolution<'a>(all: impl Iterator<Item = &'a Observed>) -> f64 {
    let (sum, count) = all
        .filter(|o| o.is_found())
        .fold((0.0, 0.0), |(s, n), o| (s + o.log_mean, n + 1.0));
    if count < 1.0 {
        return 0.0;
    }
    absolute(libm::exp(sum / count))
}

/// The log variance that the absolute error makes at a level.
fn absolute(level: f64) -> f64 {
    let relative = PRINTED_ZERO / level;
    libm::log1p(relative * relative)
}

/// The found values as one voice a source, in the order of the sources, and the squares of rows around
/// their source with their degrees of freedom.
pub(crate) fn found_voices(all: &[Observed], sample: f64, floor: f64) -> (Vec<Voice>, (f64, f64)) {
    let mut found: Vec<&Observed> = all.iter().filter(|o| o.is_found()).collect();
    found.sort_by(|a, b| a.source.cmp(&b.source));
    let (mut squares, mut freedom) = (0.0, 0.0);
    let voices = found
        .chunk_by(|a, b| a.source == b.source)
        .map(|rows| {
            let weight = |o: &Observed| o.samples / row_spread(o, sample);
            let sum: f64 = rows.iter().map(|o| weight(o)).sum();
            let y = rows.iter().map(|o| weight(o) * o.log_mean).sum::<f64>() / sum;
            for o in rows {
                squares += (o.log_mean - y) * (o.log_mean - y);
                freedom += 1.0;
            }
            freedom -= 1.0;
            let weighed: Vec<(Grade, f64)> = rows.iter().map(|o| (o.grade, weight(o))).collect();
            let of_grade = |&(grade, weight): &(Grade, f64)| weight * grade_variance(grade);
            let by_grade = weighed.iter().map(of_grade).sum::<f64>() / sum;
            Voice {
                y,
                v: 1.0 / sum + by_grade + floor,
                grade: grade(&weighed),
                limit: None,
            }
        })
        .collect();
    (voices, (squares, freedom))
}

/// The spread between samples of a row: its own, drawn to that of its analyte and class.
fn row_spread(o: &Observed, sample: f64) -> f64 {
    match o.kind {
        Kind::Found(Some((s, freedom))) => {
            (spread::OWN_FREEDOM * sample + freedom * s) / (spread::OWN_FREEDOM + freedom)
        }
        _ => sample,
    }
}

/// Centre, and one over its variance.
pub(crate) fn centre(voices: &[Voice], between: f64) -> (f64, f64) {
    let weight = |v: &Voice| 1.0 / (between + v.v);
    let sum: f64 = voices.iter().map(weight).sum();
    let m = voices.iter().map(|v| weight(v) * v.y).sum::<f64>() / sum;
    (m, sum)
}

/// Pools observations; `None` without any.
pub(crate) fn pool(all: &[Observed], spread: Spread) -> Option<Pooled> {
    let floor = resolution(all.iter());
    let (found, (squares, freedom)) = found_voices(all, spread.sample, floor);
    let others = all.iter().filter(|o| !o.is_found()).map(|o| Voice {
        y: o.log_mean,
        v: o.interval_var,
        grade: o.grade,
        limit: match o.kind {
            Kind::Below(limit) => Some(limit),
            _ => None,
        },
    });
    if found.is_empty() {
        return opinions(&others.collect::<Vec<_>>());
    }
    let between = spread.of_pool(&found);
    let told: Vec<Voice> = found
        .iter()
        .copied()
        .chain(others.clone().filter(|v| v.limit.is_none()))
        .collect();
    let level = libm::exp(centre(&told, between).0);
    let counted: Vec<Voice> = told
        .iter()
        .copied()
        .chain(others.filter(|v| v.limit.is_some_and(|l| l < level * (1.0 - TIE))))
        .collect();
    let weight = |v: &Voice| 1.0 / (between + v.v);
    let precision: f64 = counted.iter().map(weight).sum();
    let mean = counted
        .iter()
        .map(|v| weight(v) * libm::exp(v.y))
        .sum::<f64>()
        / precision;
    let log_mean = libm::log(mean);
    let sample = all
        .iter()
        .fold((squares, freedom), |(s, f), o| match o.kind {
            Kind::Found(Some((own, free))) => (s + free * own, f + free),
            _ => (s, f),
        });
    let sample =
        (spread::OWN_FREEDOM * spread.sample + sample.0) / (spread::OWN_FREEDOM + sample.1);
    let another_source = between + 1.0 / precision;
    Some(Pooled {
        estimate: log_normal(log_mean, another_source + sample),
        grade: grade(&weighed(&counted, between)),
        detected: true,
        another_source,
        resolution: floor,
    })
}

/// A pool of intervals: the mixture of what was judged, by its first two moments.
fn opinions(voices: &[Voice]) -> Option<Pooled> {
    if voices.is_empty() {
        return None;
    }
    let (m, precision) = centre(voices, 0.0);
    let variance = voices
        .iter()
        .map(|v| (v.v + (v.y - m) * (v.y - m)) / v.v)
        .sum::<f64>()
        / precision;
    Some(Pooled {
        estimate: log_normal(m, variance),
        grade: grade(&weighed(voices, 0.0)),
        detected: false,
        another_source: variance,
        resolution: 0.0,
    })
}

/// A log-normal by the logarithm of its mean and its log variance.
pub(crate) fn log_normal(log_mean: f64, variance: f64) -> Concentration {
    let relative = libm::sqrt(libm::expm1(variance.min(MOST_VARIANCE)));
    Concentration::with_relative_sd(
        GramsPer100g::clamped(libm::exp(log_mean)),
        Ratio::clamped(relative),
    )
}

/// The 5 % and the 95 % point of a log-normal by the logarithm of its mean.
pub(crate) fn bounds(log_mean: f64, variance: f64) -> (f64, f64) {
    let (middle, reach) = (log_mean - variance / 2.0, Z95 * libm::sqrt(variance));
    (libm::exp(middle - reach), libm::exp(middle + reach))
}

fn weighed(voices: &[Voice], between: f64) -> Vec<(Grade, f64)> {
    voices
        .iter()
        .map(|v| (v.grade, 1.0 / (between + v.v)))
        .collect()
}

/// The strongest grade such that it and stronger ones carry half of the weight.
fn grade(weighed: &[(Grade, f64)]) -> Grade {
    let all: f64 = weighed.iter().map(|w| w.1).sum();
    let mut carried = 0.0;
    for &grade in Grade::ALL {
        carried += weighed
            .iter()
            .filter(|w| w.0 == grade)
            .map(|w| w.1)
            .sum::<f64>();
        if carried >= all / 2.0 {
            return grade;
        }
    }
    Grade::Practice
}

#[cfg(test)]
pub(crate) mod tests;
