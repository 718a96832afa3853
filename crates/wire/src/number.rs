//! The rounding of answers.

/// Rounds to four significant digits.
///
/// Every number that leaves the domain in an answer goes through here once, so that all doors give
/// the same bytes; no estimate of this program is known better. It is idempotent: the decimal with
/// four digits nearest to a result is the result itself.
///
/// ```
/// use tamis_wire::number::round;
/// assert_eq!(round(0.123_456), 0.1235);
/// assert_eq!(round(123_456.0), 123_500.0);
/// assert_eq!(round(round(1.0 / 3.0)), round(1.0 / 3.0));
/// ```
#[must_use]
pub fn round(value: f64) -> f64 {
    // Through the decimal text: scaling by powers of ten would add errors of its own.
    format!("{value:.3e}").parse().unwrap_or(value)
}

/// The nearest that a probability comes to certain: no interval here is known further out.
const NEAREST: f64 = 1.0e-6;

/// Rounds a probability: within one in a million of an end it is the end, else as [`round`].
///
/// ```
/// use tamis_wire::number::round_probability;
/// assert_eq!(round_probability(1.0e-108), 0.0);
/// assert_eq!(round_probability(0.123_456), 0.1235);
/// ```
#[must_use]
pub fn round_probability(value: f64) -> f64 {
    if value < NEAREST {
        0.0
    } else if value > 1.0 - NEAREST {
        1.0
    } else {
        round(value)
    }
}
