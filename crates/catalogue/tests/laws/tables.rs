//! Pairs of rows of national tables: a food before and after a process, never of one batch.
//!
//! What is compared is the geometric mean over the tables after, over that before. The lots of two tables differ,
//! so our share is spread by the standard deviation of the logarithm between the tables, before and after
//! together. It comes from the rows on each side and not from how far the sides lie apart. Where only one
//! table has the row after, it is given the spread of those before. Where tables differ much (tomato purée,
//! lemon) the pair says little, as the width shows.

use tamis_scoring::composition::{Composition, Content};
use tamis_scoring::estimate::Concentration;
use tamis_scoring::evidence::Grade;
use tamis_scoring::processing::Process;
use tamis_scoring::quantity::{GramsPer100g, Ratio};
use tamis_scoring::subgroup::Analyte;

use super::checks::Check;
use super::{UNSAID, after};

/// Grams of an analyte for each gram of what the process leaves where it is: dry matter, or dry matter
/// without fat where fat is added or differs. The rest is water, or water and fat, per 100 g.
fn per_rest(grams: f64, rest: f64) -> f64 {
    grams / (100.0 - rest)
}

fn log_mean(values: &[f64]) -> f64 {
    values.iter().map(|v| v.ln()).sum::<f64>() / values.len() as f64
}

fn log_variance(values: &[f64]) -> f64 {
    let mean = log_mean(values);
    let squares: f64 = values.iter().map(|v| (v.ln() - mean).powi(2)).sum();
    squares / (values.len() as f64 - 1.0)
}

/// A triple of shares over a known one.
pub fn over((low, mean, high): (f64, f64, f64), by: f64) -> (f64, f64, f64) {
    (low / by, mean / by, high / by)
}

struct Pair {
    law: &'static str,
    source: &'static str,
    food: &'static str,
    analyte: Analyte,
    process: Process,
    before: Vec<f64>,
    after: Vec<f64>,
    /// Grams after for each gram before, where the rows are not per gram of what stays.
    grams: f64,
}

impl Pair {
    fn check(self) -> Check {
        let before = log_variance(&self.before);
        let after_variance = if self.after.len() > 1 {
            log_variance(&self.after)
        } else {
            before
        };
        let relative_sd = (before + after_variance).exp_m1().sqrt();
        let lot = Concentration::with_relative_sd(
            GramsPer100g::new(10.0).unwrap(),
            Ratio::new(relative_sd).unwrap(),
        );
        let start = Composition::ABSENT.with(self.analyte, Content::Known(lot, Grade::Measured));
        let ours = after(self.food, start, &[(self.process, UNSAID)], self.analyte);
        Check {
            law: self.law,
            published: self.grams * (log_mean(&self.after) - log_mean(&self.before)).exp(),
            source: self.source,
            ours: over(ours, 10.0),
        }
    }
}

/// Raw tomato, fructose per dry matter: USDA SR26 11529, AFCD F009193, Ciqual 20276, Ciqual 20584.
fn tomato() -> Vec<f64> {
    vec![
        per_rest(1.37, 94.52),
        per_rest(1.4, 94.3),
        per_rest(1.6, 94.1),
        per_rest(1.4, 94.6),
    ]
}

pub fn pairs() -> Vec<Check> {
    let kept_in_place = kept_in_place();
    let juices = juices();
    kept_in_place
        .into_iter()
        .chain(juices)
        .map(Pair::check)
        .collect()
}

fn kept_in_place() -> Vec<Pair> {
    use Process as P;
    let pair = |law, source, food, process, before, after| Pair {
        law,
        source,
        food,
        analyte: Analyte::Fructose,
        process,
        before,
        after,
        grams: 1.0,
    };
    vec![
        // USDA SR26 09003, Foundation Foods (mean of five), AFCD (mean of ten), Ciqual 13086;
        // purée: USDA SR26 09019, Foundation Foods, Ciqual 13187.
        pair(
            "water kept in the pot",
            "Tables: apple, and purée unsweetened, fructose per dry matter",
            "apple",
            P::WaterKept,
            vec![
                per_rest(5.9, 85.56),
                per_rest(7.81, 84.6),
                per_rest(6.69, 84.82),
                per_rest(6.9, 85.5),
            ],
            vec![
                per_rest(5.88, 88.22),
                per_rest(5.86, 87.1),
                per_rest(7.24, 85.1),
            ],
        ),
        // In its juice, not drained: USDA SR26 11531, AFCD F009222.
        pair(
            "water kept in the pot",
            "Tables: tomato, and tinned with its juice, fructose per dry matter",
            "tomato",
            P::WaterKept,
            tomato(),
            vec![per_rest(1.27, 94.28), per_rest(1.6, 94.0)],
        ),
        // Without added salt: USDA SR26 11546, Foundation Foods 2685580, AFCD F009206; Ciqual 20068, 20268.
        pair(
            "reduced",
            "Tables: tomato, and its paste, fructose per dry matter",
            "tomato",
            P::Reduced,
            tomato(),
            vec![
                per_rest(5.85, 73.5),
                per_rest(6.01, 71.9),
                per_rest(5.2, 76.5),
                per_rest(6.6, 72.0),
                per_rest(7.14, 74.3),
            ],
        ),
        // USDA SR26 11547, Foundation Foods 2685582; Ciqual 20170, 20260.
        pair(
            "reduced",
            "Tables: tomato, and its purée, fructose per dry matter",
            "tomato",
            P::Reduced,
            tomato(),
            vec![
                per_rest(2.38, 87.88),
                per_rest(2.25, 89.1),
                per_rest(1.7, 85.6),
                per_rest(2.6, 88.2),
            ],
        ),
        // Whole milk: USDA SR26 01077, Foundation Foods 746782, AFCD F005634, Ciqual 19023 and 19024;
        // evaporated: AFCD F005581, Ciqual 19026.
        Pair {
            analyte: Analyte::Lactose,
            ..pair(
                "reduced",
                "Tables: whole milk, and evaporated, lactose per solids without fat",
                "milk-whole",
                P::Reduced,
                vec![
                    per_rest(5.05, 88.13 + 3.25),
                    per_rest(4.81, 88.1 + 3.2),
                    per_rest(5.4, 88.0 + 3.4),
                    per_rest(4.2, 87.5 + 3.63),
                    per_rest(3.2, 89.1 + 3.3),
                ],
                vec![per_rest(10.0, 72.0 + 8.2), per_rest(9.47, 74.5 + 5.9)],
            )
        },
        // USDA SR26 11821, AFCD F002247, Ciqual 20087; sautéed, the oil that stays weighed in: USDA SR26 11921.
        pair(
            "oil kept with its solids",
            "Tables: red pepper, and sautéed, fructose per solids without fat",
            "pepper-red",
            P::InfusedOilSolidsLeft,
            vec![
                per_rest(2.26, 92.21 + 0.3),
                per_rest(2.3, 93.0 + 0.4),
                per_rest(2.6, 90.2),
            ],
            vec![per_rest(2.31, 78.95 + 12.75)],
        ),
        // USDA SR26 11333, AFCD F002239, Ciqual 20085; USDA SR26 11339.
        pair(
            "oil kept with its solids",
            "Tables: green pepper, and sautéed, fructose per solids without fat",
            "pepper-green",
            P::InfusedOilSolidsLeft,
            vec![
                per_rest(1.12, 93.89 + 0.17),
                per_rest(1.2, 94.4),
                per_rest(1.5, 93.0),
            ],
            vec![per_rest(1.08, 82.65 + 11.85)],
        ),
        // USDA SR26 11282, Foundation Foods 790646, AFCD F006225, Ciqual 20034; USDA SR26 11286.
        pair(
            "oil kept with its solids",
            "Tables: yellow onion, and sautéed, fructose per solids without fat",
            "onion",
            P::InfusedOilSolidsLeft,
            vec![
                per_rest(1.29, 89.11 + 0.1),
                per_rest(1.91, 90.1 + 0.05),
                per_rest(1.7, 88.8),
                per_rest(1.7, 89.6 + 0.62),
            ],
            vec![per_rest(1.48, 80.01 + 10.8)],
        ),
    ]
}

/// Every fruit whose juice has a yield in the weights of USDA SR28, and total sugars, pressed and raw. Grams
/// are the juice of one fruit over the flesh of one fruit.
fn juices() -> Vec<Pair> {
    let pair = |source, food, grams, before, after| Pair {
        law: "juiced",
        source,
        food,
        analyte: Analyte::Fructose,
        process: Process::Juiced,
        before,
        after,
        grams,
    };
    vec![
        // Raw: USDA 09200, AFCD F006277, Ciqual 13034.
        pair(
            "USDA SR28 09206: an orange of 131 g yields 86 g of juice; total sugars",
            "orange",
            86.0 / 131.0,
            vec![9.35, 8.2, 7.6],
            vec![8.4],
        ),
        // Two sizes of lemon, 58 and 84 g. Raw: USDA 09150, AFCD F005174, Ciqual 13009.
        pair(
            "USDA SR28 09152: a lemon of 71 g yields 48 g of juice; total sugars",
            "lemon",
            48.0 / 71.0,
            vec![2.5, 1.8, 0.8],
            vec![2.52, 2.06],
        ),
        // Raw: USDA 09159, AFCD F005199, Ciqual 13067.
        pair(
            "USDA SR28 09160: a lime of 67 g yields 44 g of juice; total sugars",
            "lime",
            44.0 / 67.0,
            vec![1.69, 1.2, 2.1],
            vec![1.69],
        ),
        // Raw: USDA 09116, AFCD F004262, Ciqual 13040.
        pair(
            "USDA SR28 09128: a grapefruit of 236 g yields 196 g of juice; total sugars",
            "grapefruit",
            196.0 / 236.0,
            vec![7.31, 4.8, 6.6],
            vec![9.1],
        ),
    ]
}
