//! How numbers are written, once for every page.
//!
//! Two decimals under 10 g, one under 100 g, none above. What is under 0.005 g is `<0.01 g`; `0 g`
//! is kept for what is zero by nature, and what is unknown is `unknown`.

use tamis_scoring::assessment::LoadRow;
use tamis_scoring::loads::LoadState;
use tamis_scoring::quantity::{Fraction, Grams, Ratio};

/// The word for a load that is not known.
pub const UNKNOWN: &str = "unknown";
/// The smallest mass that is written with digits.
const SMALLEST: f64 = 0.005;

/// A known mass: `0.05 g`, `12.3 g`, `320 g`; `0 g` only for exactly none.
#[must_use]
pub fn grams(mass: Grams) -> String {
    format!("{} g", number(mass.get()))
}

/// A mass that may not be known.
#[must_use]
pub fn grams_or_unknown(mass: Option<Grams>) -> String {
    mass.map_or_else(|| UNKNOWN.to_owned(), grams)
}

/// The central value of a load: `0.62 g`; `0 g` for none by nature; `bounded` where there are only
/// bounds; `unknown`.
#[must_use]
pub fn central(state: LoadState, mean: Option<Grams>) -> String {
    match (state, mean) {
        (LoadState::Zero, _) => "0 g".to_owned(),
        (LoadState::Estimated, Some(mean)) if mean.get() < SMALLEST => "<0.01 g".to_owned(),
        (LoadState::Estimated, Some(mean)) => grams(mean),
        (LoadState::Bounded, _) => "bounded".to_owned(),
        (LoadState::Estimated, None) | (LoadState::Unknown, _) => UNKNOWN.to_owned(),
    }
}

/// The central value of a load with a third decimal where two would not tell it from its cut-off.
#[must_use]
pub fn central_beside_cutoff(row: &LoadRow) -> String {
    let plain = central(row.state, row.grams);
    match (row.state, row.grams, &row.cutoff) {
        (LoadState::Estimated, Some(mean), Some(cutoff))
            if mean != cutoff.grams && mean.get() < 9.995 && plain == grams(cutoff.grams) =>
        {
            format!("{:.3} g", mean.get())
        }
        _ => plain,
    }
}

/// The 5 % to 95 % interval of a load: `0.31-1.15 g`, `>=0.30 g`, or empty where there is
/// nothing to say.
#[must_use]
pub fn interval(row: &LoadRow) -> String {
    match (row.state, row.low, row.high) {
        (LoadState::Zero, _, _) => String::new(),
        (LoadState::Estimated | LoadState::Bounded, Some(low), Some(high)) => {
            if low.get().max(high.get()) < SMALLEST {
                "<0.01 g".to_owned()
            } else {
                format!("{}-{} g", number(low.get()), number(high.get()))
            }
        }
        (LoadState::Estimated | LoadState::Bounded, None, Some(high)) => {
            format!("<={}", grams(high))
        }
        (_, Some(low), _) if low.get() >= SMALLEST => format!(">={}", grams(low)),
        _ => String::new(),
    }
}

/// A headroom: `0.32x`, `12.4x`, `>100x`; cut off rather than rounded, so that `1.00x` is never under one.
#[must_use]
pub fn headroom(ratio: Ratio) -> String {
    let r = ratio.get() + 1.0e-9;
    if r < 10.0 {
        format!("{:.2}x", (r * 100.0).floor() / 100.0)
    } else if r < 100.0 {
        format!("{:.1}x", (r * 10.0).floor() / 10.0)
    } else {
        ">100x".to_owned()
    }
}

/// A probability: `0.87`, `<0.01`, `>0.99`.
#[must_use]
pub fn probability(p: Fraction) -> String {
    let p = p.get();
    if p <= 0.0 {
        "0".to_owned()
    } else if p < 0.01 {
        "<0.01".to_owned()
    } else if p > 0.99 {
        ">0.99".to_owned()
    } else {
        format!("{p:.2}")
    }
}

/// A count of drinks: `1.2`.
#[must_use]
pub fn count(ratio: Ratio) -> String {
    match ratio.get() {
        r if r > 0.0 && r < 0.05 => "<0.1".to_owned(),
        r => format!("{r:.1}"),
    }
}

fn number(value: f64) -> String {
    if value <= 0.0 {
        "0".to_owned()
    } else if value < SMALLEST {
        "<0.01".to_owned()
    } else if value < 9.995 {
        format!("{value:.2}")
    } else if value < 99.95 {
        format!("{value:.1}")
    } else {
        format!("{value:.0}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tamis_scoring::assessment::CutoffUsed;
    use tamis_scoring::cutoffs::LimitBasis;
    use tamis_scoring::ruling::Finding;
    use tamis_scoring::subgroup::Subgroup;

    fn g(v: f64) -> Grams {
        Grams::new(v).unwrap()
    }

    #[test]
    fn grams_are_written_one_way() {
        let written: Vec<String> = [
            0.0, 0.004, 0.005, 0.05, 1.0, 9.994, 9.995, 99.94, 99.95, 320.4,
        ]
        .map(|v| grams(g(v)))
        .to_vec();
        let expected = [
            "0 g", "<0.01 g", "0.01 g", "0.05 g", "1.00 g", "9.99 g", "10.0 g", "99.9 g", "100 g",
            "320 g",
        ];
        assert_eq!(written, expected);
    }

    #[test]
    fn unknown_is_never_a_number_and_zero_only_by_nature() {
        assert_eq!(central(LoadState::Unknown, Some(Grams::ZERO)), "unknown");
        assert_eq!(central(LoadState::Estimated, None), "unknown");
        assert_eq!(central(LoadState::Estimated, Some(Grams::ZERO)), "<0.01 g");
        assert_eq!(central(LoadState::Zero, None), "0 g");
        assert_eq!(grams_or_unknown(None), "unknown");
    }

    #[test]
    fn a_load_just_over_its_cutoff_does_not_look_like_it() {
        let row = LoadRow {
            subgroup: Subgroup::Lactose,
            state: LoadState::Estimated,
            grams: Some(g(1.003)),
            low: Some(g(0.6)),
            high: None,
            cutoff: Some(CutoffUsed {
                grams: g(1.0),
                basis: LimitBasis::Tolerance,
                source: None,
            }),
            exceedance: None,
            finding: Finding::Over,
            grade: None,
        };
        assert_eq!(central_beside_cutoff(&row), "1.003 g");
        assert_eq!(interval(&row), ">=0.60 g");
    }

    #[test]
    fn headroom_is_never_rounded_up_to_one() {
        let text = [0.29, 0.9999, 1.0, 12.39, 4000.0].map(|v| headroom(Ratio::new(v).unwrap()));
        assert_eq!(text, ["0.29x", "0.99x", "1.00x", "12.3x", ">100x"]);
    }

    #[test]
    fn probabilities_keep_off_certainty() {
        let text = [0.0, 0.001, 0.5, 0.9999].map(|v| probability(Fraction::new(v).unwrap()));
        assert_eq!(text, ["0", "<0.01", "0.50", ">0.99"]);
    }
}
