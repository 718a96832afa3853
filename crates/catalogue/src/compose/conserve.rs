//! What the sums of a food say of its parts.
//!
//! Fructose, glucose, sucrose and lactose are no more than the total sugars; they, the starch, the fructans,
//! the galactans and the polyols are no more than what is not water (carbohydrate by difference is the same
//! balance). The numbers come from different samples, so means may break this. Where they do, means `x_i` and the
//! bound `B` move by their variances until the sum fits, what is known best the least:
//!
//! ```text
//! x_i' = x_i - v_i d / D     B' = B + v_B d / D     d = sum(x) - B     D = sum(v) + v_B
//! ```
//!
//! (least squares under a linear constraint, as in the reconciliation of process data: Kuehn & Davidson 1961,
//! Chem Eng Prog 57:44-47, recalled). A mean keeps at least a fifth of itself, since the normal that this assumes
//! has no floor and a content has. Where means fit, nothing moves. Relative spreads stay: they are those of the next
//! lot, in which parts and whole rise and fall together, so the balance of the means does not narrow them.

use std::collections::BTreeMap;

use tamis_scoring::estimate::Concentration;
use tamis_scoring::subgroup::Analyte;

use crate::constituent::Constituent;
use crate::pool::{Pooled, log_normal};

const LEAST_KEPT: f64 = 0.2;

const SUGARS: &[Constituent] = &[
    Constituent::Analyte(Analyte::Lactose),
    Constituent::Analyte(Analyte::Fructose),
    Constituent::Analyte(Analyte::Glucose),
    Constituent::Sucrose,
];
const SOLIDS: &[Constituent] = &[
    Constituent::Analyte(Analyte::Fructans),
    Constituent::Analyte(Analyte::Galactans),
    Constituent::Analyte(Analyte::Lactose),
    Constituent::Analyte(Analyte::Fructose),
    Constituent::Analyte(Analyte::Glucose),
    Constituent::Analyte(Analyte::Sorbitol),
    Constituent::Analyte(Analyte::Mannitol),
    Constituent::Analyte(Analyte::OtherPolyols),
    Constituent::Sucrose,
    Constituent::Starch,
];

/// The pools of one food and state, moved to where their sums fit.
pub(super) fn reconciled(pooled: &BTreeMap<Constituent, Pooled>) -> BTreeMap<Constituent, Pooled> {
    let mut out = pooled.clone();
    if let Some(total) = out.get(&Constituent::TotalSugars).filter(|p| p.detected) {
        let bound = (total.estimate.mean().get(), variance(total.estimate));
        if let Some(total) = fit(&mut out, SUGARS, bound) {
            moved(&mut out, Constituent::TotalSugars, total);
        }
    }
    if let Some(water) = out.get(&Constituent::Water) {
        let bound = (
            100.0 - water.estimate.mean().get(),
            variance(water.estimate),
        );
        if let Some(solids) = fit(&mut out, SOLIDS, bound) {
            moved(&mut out, Constituent::Water, (100.0 - solids).max(0.0));
        }
    }
    out
}

fn variance(estimate: Concentration) -> f64 {
    let sd = estimate.sd().get();
    sd * sd
}

fn moved(out: &mut BTreeMap<Constituent, Pooled>, which: Constituent, mean: f64) {
    if let Some(pooled) = out.get_mut(&which) {
        let s = pooled.estimate.log_sd().get();
        pooled.estimate = log_normal(libm::log(mean), s * s);
    }
}

/// Moves the parts, and gives the bound as moved; `None` where the sum fits.
fn fit(
    out: &mut BTreeMap<Constituent, Pooled>,
    parts: &[Constituent],
    bound: (f64, f64),
) -> Option<f64> {
    let known: Vec<(Constituent, f64, f64)> = parts
        .iter()
        .filter_map(|&c| {
            let e = out.get(&c)?.estimate;
            Some((c, e.mean().get(), variance(e)))
        })
        .collect();
    let excess = known.iter().map(|p| p.1).sum::<f64>() - bound.0;
    let whole = known.iter().map(|p| p.2).sum::<f64>() + bound.1;
    if excess <= 0.0 || whole <= 0.0 {
        return None;
    }
    for (constituent, mean, v) in known {
        moved(
            out,
            constituent,
            (mean - v * excess / whole).max(LEAST_KEPT * mean),
        );
    }
    Some(bound.0 + bound.1 * excess / whole)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pool::{Spread, pool, tests::found};

    fn pools(values: &[(Constituent, f64)]) -> BTreeMap<Constituent, Pooled> {
        let spread = Spread {
            between: 0.04,
            sample: 0.04,
        };
        values
            .iter()
            .filter_map(|&(c, x)| Some((c, pool(&[found(x)], spread)?)))
            .collect()
    }

    fn mean(pools: &BTreeMap<Constituent, Pooled>, c: Constituent) -> f64 {
        pools[&c].estimate.mean().get()
    }

    const FRUCTOSE: Constituent = Constituent::Analyte(Analyte::Fructose);
    const GLUCOSE: Constituent = Constituent::Analyte(Analyte::Glucose);

    #[test]
    fn sugars_that_fit_stay_as_they_are() {
        let before = pools(&[
            (FRUCTOSE, 3.0),
            (GLUCOSE, 2.0),
            (Constituent::TotalSugars, 6.0),
        ]);
        assert_eq!(reconciled(&before), before);
    }

    #[test]
    fn sugars_over_their_total_move_until_they_fit() {
        let before = pools(&[
            (FRUCTOSE, 6.0),
            (GLUCOSE, 2.0),
            (Constituent::TotalSugars, 7.0),
        ]);
        let after = reconciled(&before);
        let sum = mean(&after, FRUCTOSE) + mean(&after, GLUCOSE);
        assert!((sum - mean(&after, Constituent::TotalSugars)).abs() < 1e-9);
        assert!(mean(&after, Constituent::TotalSugars) > 7.0);
        // The larger part is known less well in grams, and gives way more.
        let given = |c, x: f64| x - mean(&after, c);
        assert!(given(FRUCTOSE, 6.0) > given(GLUCOSE, 2.0));
        let spread = |p: &BTreeMap<Constituent, Pooled>| p[&FRUCTOSE].estimate.log_sd().get();
        assert!((spread(&after) - spread(&before)).abs() < 1e-12);
    }

    #[test]
    fn what_is_dissolved_fits_into_what_is_not_water() {
        let before = pools(&[
            (FRUCTOSE, 30.0),
            (GLUCOSE, 30.0),
            (Constituent::Water, 50.0),
        ]);
        let after = reconciled(&before);
        let sum = mean(&after, FRUCTOSE) + mean(&after, GLUCOSE);
        assert!(sum <= 100.0 - mean(&after, Constituent::Water) + 1e-9);
    }
}
