//! Judging a dish of 12 components against the bare multiply-add loop over the same numbers.

use std::hint::black_box;
use std::time::Instant;

use tamis_scoring::allergens::Allergens;
use tamis_scoring::composition::{Composition, Content};
use tamis_scoring::cutoffs::{AppliesTo, CutoffRow, Cutoffs};
use tamis_scoring::diner::{Diner, Policy};
use tamis_scoring::dish::{Amount, Component, FoodClass, Freshness, Portion, Stage};
use tamis_scoring::estimate::{Concentration, Mass};
use tamis_scoring::evidence::Grade;
use tamis_scoring::quantity::{FoodId, Grams, GramsPer100g, Quantity, Ratio, SourceId};
use tamis_scoring::ruling::Rules;
use tamis_scoring::subgroup::{Analyte, Subgroup};

const COMPONENTS: usize = 12;

fn value(component: usize, analyte: usize) -> f64 {
    0.01 + 0.002 * ((component * 7 + analyte * 3) % 11) as f64
}

fn amount(component: usize) -> f64 {
    5.0 + component as f64
}

fn portion() -> Option<Portion> {
    let component = |i: usize| {
        let composition =
            Analyte::ALL
                .iter()
                .enumerate()
                .fold(Composition::ABSENT, |c, (j, &a)| {
                    let mean = GramsPer100g::clamped(value(i, j));
                    let estimate = Concentration::with_relative_sd(mean, Ratio::clamped(0.2));
                    c.with(a, Content::Known(estimate, Grade::Measured))
                });
        Some(Component {
            food: FoodId::new(&format!("food-{i}")).ok(),
            state: None,
            class: FoodClass::Vegetable,
            freshness: Freshness::Other,
            amount: Amount::Known(Mass::with_relative_sd(
                Grams::clamped(amount(i)),
                Ratio::clamped(0.1),
            )),
            composition,
            allergens: Allergens::NONE,
            stage: Stage::Line,
        })
    };
    Some(Portion::new(
        (0..COMPONENTS).map(component).collect::<Option<_>>()?,
    ))
}

fn cutoffs() -> Option<Cutoffs> {
    let source = SourceId::new("bench").ok()?;
    let rows = Subgroup::ALL
        .iter()
        .map(|&subgroup| CutoffRow {
            subgroup,
            applies_to: AppliesTo::General,
            grams: Grams::clamped(0.2),
            source: source.clone(),
            locator: String::new(),
            grade: Grade::Measured,
        })
        .collect();
    Cutoffs::new(rows).ok()
}

/// Median nanoseconds of one call, over batches.
fn median_ns(mut f: impl FnMut()) -> f64 {
    const CALLS: u32 = 2_000;
    let mut samples: Vec<f64> = (0..201)
        .map(|_| {
            let start = Instant::now();
            for _ in 0..CALLS {
                f();
            }
            start.elapsed().as_nanos() as f64 / f64::from(CALLS)
        })
        .collect();
    samples.sort_by(f64::total_cmp);
    samples[samples.len() / 2]
}

fn main() {
    let (Some(portion), Some(cutoffs)) = (portion(), cutoffs()) else {
        eprintln!("the bench dish could not be built");
        std::process::exit(1);
    };
    let (diner, policy) = (Diner::restriction(), Policy::default());
    let rules = Rules {
        cutoffs: &cutoffs,
        diner: &diner,
        policy: &policy,
    };
    let amounts: Vec<f64> = (0..COMPONENTS).map(amount).collect();
    let values: Vec<[f64; Analyte::COUNT]> = (0..COMPONENTS)
        .map(|i| std::array::from_fn(|j| value(i, j)))
        .collect();

    let bare = median_ns(|| {
        let mut sums = [0.0; Analyte::COUNT];
        for (a, row) in black_box(&amounts).iter().zip(black_box(&values)) {
            for (sum, v) in sums.iter_mut().zip(row) {
                *sum += a * v / 100.0;
            }
        }
        black_box(sums);
    });
    let judged = median_ns(|| {
        black_box(rules.judge(black_box(&portion)));
    });
    let components = portion.components().to_vec();
    let built = median_ns(|| {
        black_box(rules.judge(&Portion::new(black_box(&components).clone())));
    });
    println!("bare multiply-add loop, 12 components x 8 analytes: {bare:.0} ns");
    println!(
        "judge a portion: {judged:.0} ns, {:.1} of the bare loop",
        judged / bare
    );
    println!(
        "put a portion together from its components and judge it: {built:.0} ns, {:.1} of the bare loop",
        built / bare
    );
}
