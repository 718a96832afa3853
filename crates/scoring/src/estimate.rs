//! Estimates: a mean with the spread of a log-normal, or exactly zero.
//!
//! A quantity that cannot be negative and is known to within a factor is log-normal: with mean `m`
//! and squared coefficient of variation `c`, `sigma^2 = ln(1 + c)` and `mu = ln m - sigma^2 / 2`
//! (Johnson, Kotz & Balakrishnan 1994, Continuous Univariate Distributions 1, ch. 14; recalled).
//! Products of independent log-normals are log-normal exactly; sums are matched by their first two
//! moments (Fenton 1960, IRE Trans. Commun. Syst. 8:57-67; recalled).

use std::marker::PhantomData;

use crate::quantity::{Fraction, Grams, GramsPer100g, Quantity};

/// The 95 % point of the standard normal distribution.
pub const Z95: f64 = 1.644_853_626_951_472_2;
/// The 75 % point of the standard normal distribution.
pub const Z75: f64 = 0.674_489_750_196_081_7;

/// The widest spread kept: a 5 % to 95 % interval spanning a factor of 1000.
const SIGMA_MAX: f64 = 2.1;
/// The same as a squared coefficient of variation: `exp(SIGMA_MAX^2) - 1`.
const CV2_MAX: f64 = 81.269_463_504_201_7;

/// A mean and a spread, log-normal; a mean of zero is exactly zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate<Q> {
    mean: f64,
    cv2: f64,
    quantity: PhantomData<Q>,
}

/// The grams of something in a portion.
pub type Mass = Estimate<Grams>;
/// The grams of an analyte in 100 g of food.
pub type Concentration = Estimate<GramsPer100g>;
/// A share that is not exactly known.
pub type Share = Estimate<Fraction>;

impl<Q: Quantity> Estimate<Q> {
    /// Exactly none.
    pub const ZERO: Self = Self {
        mean: 0.0,
        cv2: 0.0,
        quantity: PhantomData,
    };

    /// A value without spread.
    #[must_use]
    pub fn exact(value: Q) -> Self {
        Self::from_moments(value.value(), 0.0)
    }

    pub(crate) fn from_moments(mean: f64, cv2: f64) -> Self {
        if mean > 0.0 {
            Self {
                mean,
                cv2: cv2.clamp(0.0, CV2_MAX),
                quantity: PhantomData,
            }
        } else {
            Self::ZERO
        }
    }

    /// A mean with a standard deviation.
    #[must_use]
    pub fn with_sd(mean: Q, sd: Q) -> Self {
        let m = mean.value();
        let cv = if m > 0.0 { sd.value() / m } else { 0.0 };
        Self::from_moments(m, cv * cv)
    }

    /// A mean with a relative standard deviation.
    #[must_use]
    pub fn with_relative_sd(mean: Q, relative_sd: crate::quantity::Ratio) -> Self {
        Self::from_moments(mean.value(), relative_sd.get() * relative_sd.get())
    }

    /// An interval read as the 5 % and the 95 % point; the mean follows from the log-normal.
    ///
    /// A lower bound of zero is read as a thirtieth of the upper bound, since a log-normal has no
    /// mass at zero.
    #[must_use]
    pub fn from_interval(low: Q, high: Q) -> Self {
        let (low, high) = ordered(low.value(), high.value());
        if high <= 0.0 {
            return Self::ZERO;
        }
        let low = low.max(high / 30.0);
        let sigma = (libm::log(high / low) / (2.0 * Z95)).min(SIGMA_MAX);
        let median = libm::sqrt(low * high);
        Self::from_moments(
            median * libm::exp(sigma * sigma / 2.0),
            libm::expm1(sigma * sigma),
        )
    }

    /// A mean with an interval read as the 5 % and the 95 % point: the mean is kept, the spread
    /// comes from the ratio of the bounds.
    #[must_use]
    pub fn with_interval(mean: Q, low: Q, high: Q) -> Self {
        let spread = Self::from_interval(low, high);
        Self::from_moments(mean.value(), spread.cv2)
    }

    /// A mean with an interval read as the 5 % and the 95 % point of a quantity that does not reach
    /// far beyond it, such as a share: the mean is kept, the standard deviation is the interval over
    /// `2 * Z95`.
    #[must_use]
    pub fn with_spread_over(mean: Q, low: Q, high: Q) -> Self {
        let (low, high) = ordered(low.value(), high.value());
        let m = mean.value();
        let cv = if m > 0.0 {
            (high - low) / (2.0 * Z95 * m)
        } else {
            0.0
        };
        Self::from_moments(m, cv * cv)
    }

    /// The mean.
    #[must_use]
    pub fn mean(self) -> Q {
        Q::clamped(self.mean)
    }

    /// The squared coefficient of variation.
    pub(crate) fn cv2(self) -> f64 {
        self.cv2
    }

    pub(crate) fn raw_mean(self) -> f64 {
        self.mean
    }

    /// The standard deviation.
    #[must_use]
    pub fn sd(self) -> Q {
        Q::clamped(self.mean * libm::sqrt(self.cv2))
    }

    /// The standard deviation of the logarithm.
    #[must_use]
    pub fn log_sd(self) -> crate::quantity::Ratio {
        crate::quantity::Ratio::clamped(libm::sqrt(libm::log1p(self.cv2)))
    }

    /// The point at `z` standard normal deviations.
    #[must_use]
    pub(crate) fn at_z(self, z: f64) -> f64 {
        if self.mean <= 0.0 {
            return 0.0;
        }
        let s2 = libm::log1p(self.cv2);
        self.mean * libm::exp(z * libm::sqrt(s2) - s2 / 2.0)
    }

    /// The 5 % point.
    #[must_use]
    pub fn low(self) -> Q {
        Q::clamped(self.at_z(-Z95))
    }

    /// The 95 % point.
    #[must_use]
    pub fn high(self) -> Q {
        Q::clamped(self.at_z(Z95))
    }

    /// The probability of lying over `limit`.
    #[must_use]
    pub fn probability_over(self, limit: Q) -> Fraction {
        let limit = limit.value();
        if self.mean <= 0.0 {
            return Fraction::ZERO;
        }
        if limit <= 0.0 {
            return Fraction::clamped(1.0);
        }
        if self.cv2 <= 0.0 {
            return Fraction::clamped(if self.mean > limit { 1.0 } else { 0.0 });
        }
        let s2 = libm::log1p(self.cv2);
        let z = (libm::log(limit / self.mean) + s2 / 2.0) / libm::sqrt(s2);
        Fraction::clamped(normal_tail(z))
    }

    /// The product with an independent ratio-like estimate.
    #[must_use]
    pub fn scaled_by<R: Quantity>(self, other: Estimate<R>) -> Self {
        Self::from_moments(
            self.mean * other.mean,
            (1.0 + self.cv2) * (1.0 + other.cv2) - 1.0,
        )
    }

    /// The sum with an independent estimate of the same quantity.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        let mean = self.mean + other.mean;
        let variance = self.cv2 * self.mean * self.mean + other.cv2 * other.mean * other.mean;
        Self::from_moments(
            mean,
            if mean > 0.0 {
                variance / (mean * mean)
            } else {
                0.0
            },
        )
    }
}

impl Concentration {
    /// The grams in an amount of the food.
    #[must_use]
    pub fn in_amount(self, amount: Mass) -> Mass {
        Mass::from_moments(
            self.mean * amount.mean / 100.0,
            (1.0 + self.cv2) * (1.0 + amount.cv2) - 1.0,
        )
    }
}

impl Share {
    /// A share from its mean and the interval read as its 5 % and 95 % point.
    ///
    /// A log-normal knows no upper bound, a share does: the spread is cut where its 95 % point would
    /// pass one, so that a process adds nothing. With mean `m` and log spread `s` that point is
    /// `m exp(Z95 s - s^2 / 2)`, which is one at `s = Z95 - sqrt(Z95^2 + 2 ln m)`.
    #[must_use]
    pub fn kept(mean: Fraction, low: Fraction, high: Fraction) -> Self {
        let free = Self::with_spread_over(mean, low, high);
        if free.at_z(Z95) <= 1.0 || free.mean <= 0.0 {
            return free;
        }
        let under = (Z95 * Z95 + 2.0 * libm::log(free.mean)).max(0.0);
        let s = Z95 - libm::sqrt(under);
        Self::from_moments(free.mean, libm::expm1(s * s))
    }

    /// What is not kept.
    #[must_use]
    pub fn complement(self) -> Self {
        let rest = 1.0 - self.mean;
        if rest <= 0.0 {
            return Self::ZERO;
        }
        Self::from_moments(rest, self.cv2 * self.mean * self.mean / (rest * rest))
    }
}

fn ordered(a: f64, b: f64) -> (f64, f64) {
    if a <= b { (a, b) } else { (b, a) }
}

/// The probability that a standard normal lies over `z`.
pub(crate) fn normal_tail(z: f64) -> f64 {
    0.5 * libm::erfc(z / std::f64::consts::SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grams(v: f64) -> Grams {
        Grams::new(v).unwrap()
    }

    #[test]
    fn an_interval_comes_back() {
        let e = Mass::from_interval(grams(1.0), grams(9.0));
        assert!((e.low().get() - 1.0).abs() < 1e-12);
        assert!((e.high().get() - 9.0).abs() < 1e-12);
        assert!(
            e.mean().get() > 3.0,
            "the mean of a skewed estimate lies over its median"
        );
    }

    #[test]
    fn tail_of_the_normal_against_tables() {
        // Abramowitz & Stegun, Handbook of Mathematical Functions, table 26.1: Q(1.0) = 0.15866, Q(1.96) = 0.02500 (recalled).
        assert!((normal_tail(1.0) - 0.158_655_254).abs() < 1e-9);
        assert!((normal_tail(1.96) - 0.024_997_895).abs() < 1e-9);
    }

    #[test]
    fn a_product_of_log_normals_keeps_its_log_spread() {
        let a = Mass::from_interval(grams(10.0), grams(20.0));
        let b = Share::from_interval(Fraction::new(0.2).unwrap(), Fraction::new(0.4).unwrap());
        let p = a.scaled_by(b);
        let expected = a.log_sd().get().powi(2) + b.log_sd().get().powi(2);
        assert!((p.log_sd().get().powi(2) - expected).abs() < 1e-12);
    }

    #[test]
    fn the_widest_spread_is_the_same_in_both_forms() {
        assert!((libm::expm1(SIGMA_MAX * SIGMA_MAX) - CV2_MAX).abs() < 1e-12);
    }

    #[test]
    fn zero_is_never_over_anything() {
        assert_eq!(Mass::ZERO.probability_over(Grams::ZERO), Fraction::ZERO);
        assert_eq!(Mass::ZERO.high(), Grams::ZERO);
    }
}
