use proptest::prelude::*;

use super::*;

const SPREAD: Spread = Spread {
    between: 0.09,
    sample: 0.04,
};

fn source(id: usize) -> SourceId {
    SourceId::new(&format!("source-{id}")).unwrap()
}

fn seen(id: usize, mean: f64, grade: Grade) -> Observed {
    Observed {
        log_mean: mean.ln(),
        interval_var: 0.0,
        samples: 1.0,
        grade,
        kind: Kind::Found(None),
        source: source(id),
    }
}

pub(crate) fn found(mean: f64) -> Observed {
    seen(1, mean, Grade::Measured)
}

fn under(id: usize, limit: f64) -> Observed {
    let (log_mean, interval_var, kind) = below(limit);
    Observed {
        log_mean,
        interval_var,
        kind,
        ..seen(id, 1.0, Grade::Measured)
    }
}

fn floor(mean: f64) -> f64 {
    ((PRINTED_ZERO / mean).powi(2)).ln_1p()
}

#[test]
fn one_source_keeps_its_mean() {
    let one = pool(&[seen(1, 2.4, Grade::Measured)], SPREAD).unwrap();
    assert!((one.estimate.mean().get() - 2.4).abs() < 1e-12);
    let s = one.estimate.log_sd().get();
    // Between twice: this source around the level, the next lot around it; samples twice likewise.
    let expected = 2.0 * 0.09 + 2.0 * 0.04 + floor(2.4);
    assert!((s * s - expected).abs() < 1e-9);
}

#[test]
fn two_sources_by_hand() {
    let both = [seen(1, 2.0, Grade::Measured), seen(2, 3.0, Grade::Measured)];
    let pooled = pool(&both, SPREAD).unwrap();
    let (level, distance) = (6.0_f64.sqrt(), 1.5_f64.ln());
    let v = 0.04 + floor(level);
    // Two equal voices: d^2 / 2 / (t^2 + v) = 1 at the root.
    let own = (distance * distance / 2.0 - v).max(0.0);
    let between = (4.0 * 0.09 + own) / 5.0;
    assert!((pooled.estimate.mean().get() - 2.5).abs() < 1e-9);
    let s = pooled.estimate.log_sd().get();
    assert!((s * s - (between + (between + v) / 2.0 + 0.04)).abs() < 1e-9);
}

#[test]
fn sources_that_differ_widen_the_spread() {
    let of = |a, b| {
        let rows = [seen(1, a, Grade::Measured), seen(2, b, Grade::Measured)];
        pool(&rows, SPREAD).unwrap().estimate.log_sd()
    };
    assert!(of(1.0, 4.0) > of(2.0, 2.1));
}

#[test]
fn many_rows_of_one_source_are_one_voice() {
    let mut rows: Vec<Observed> = (0..9).map(|_| seen(1, 1.0, Grade::Measured)).collect();
    rows.push(seen(2, 4.0, Grade::Measured));
    let mean = pool(&rows, SPREAD).unwrap().estimate.mean().get();
    assert!(mean > 1.6, "{mean}");
}

#[test]
fn more_samples_and_a_better_grade_weigh_more() {
    let mut many = seen(2, 3.0, Grade::Measured);
    many.samples = 30.0;
    let one = seen(1, 2.0, Grade::Measured);
    let mean = |rows: &[Observed]| pool(rows, SPREAD).unwrap().estimate.mean();
    let even = mean(&[one.clone(), seen(2, 3.0, Grade::Measured)]);
    assert!(mean(&[one.clone(), many]) > even);
    assert!(mean(&[one, seen(2, 3.0, Grade::Recalled)]) < even);
}

#[test]
fn a_limit_over_the_found_values_says_nothing() {
    let found = seen(1, 0.1, Grade::Measured);
    assert_eq!(
        pool(&[found.clone(), under(2, 0.5)], SPREAD),
        pool(std::slice::from_ref(&found), SPREAD)
    );
    let low = pool(&[seen(1, 1.0, Grade::Measured), under(2, 0.5)], SPREAD).unwrap();
    assert!(low.estimate.mean().get() < 1.0 && low.detected);
}

#[test]
fn below_a_limit_is_an_interval_and_not_zero() {
    let pooled = pool(&[under(1, 0.2)], SPREAD).unwrap();
    assert!(!pooled.detected);
    assert!((pooled.estimate.high().get() - 0.2).abs() < 1e-9);
    assert!((pooled.estimate.low().get() - 0.2 / 30.0).abs() < 1e-9);
}

#[test]
fn the_grade_is_the_one_that_carries_half() {
    let mut rows = vec![seen(1, 1.0, Grade::Measured), seen(2, 1.0, Grade::Recalled)];
    assert_eq!(pool(&rows, SPREAD).unwrap().grade, Grade::Measured);
    rows.remove(0);
    rows.push(seen(3, 1.0, Grade::Practice));
    assert_eq!(pool(&rows, SPREAD).unwrap().grade, Grade::Recalled);
}

#[test]
fn the_root_solves_its_equation() {
    let voices = |ys: &[f64]| -> Vec<Voice> {
        let voice = |&y| Voice {
            y,
            v: 0.01,
            grade: Grade::Measured,
            limit: None,
        };
        ys.iter().map(voice).collect()
    };
    let (a, b) = (voices(&[0.0, 0.5, 1.1]), voices(&[2.0, 2.2]));
    let root = spread::paule_mandel(&[&a, &b]);
    let squares: f64 = [a, b]
        .iter()
        .map(|p| {
            let (m, _) = centre(p, root);
            p.iter()
                .map(|v| (v.y - m).powi(2) / (root + v.v))
                .sum::<f64>()
        })
        .sum();
    assert!((squares - 3.0).abs() < 1e-9);
    assert!(spread::paule_mandel(&[&voices(&[1.0, 1.01])]).abs() < f64::EPSILON);
}

proptest! {
    #[test]
    fn the_mean_lies_between_the_smallest_and_the_largest(values in proptest::collection::vec(0.001_f64..90.0, 1..12)) {
        let rows: Vec<Observed> = values.iter().enumerate().map(|(i, &v)| seen(i, v, Grade::Measured)).collect();
        let mean = pool(&rows, SPREAD).unwrap().estimate.mean().get();
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        let most = values.iter().copied().fold(0.0, f64::max);
        prop_assert!(mean >= least * (1.0 - 1e-12) && mean <= most * (1.0 + 1e-12));
    }
}
