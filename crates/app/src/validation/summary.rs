//! Checks to figures.

use tamis_catalogue::validate::{Checked, Reported};

use super::dishes::DishCheck;

/// The goals: the share of 90 % intervals that hold, and the median fold error.
pub(super) const HELD: (f64, f64) = (0.85, 0.95);
pub(super) const FOLD_FOODS: f64 = 1.3;
pub(super) const FOLD_DISHES: f64 = 1.6;

/// What a group of checks comes to.
#[derive(Debug, Clone, Default)]
pub(super) struct Summary {
    pub(super) count: usize,
    held: f64,
    /// Found values over the upper point, and under the lower.
    pub(super) over: usize,
    pub(super) under: usize,
    folds: Vec<f64>,
}

impl Summary {
    pub(super) fn of<'a>(checks: impl IntoIterator<Item = &'a Checked>) -> Self {
        let mut s = Self::default();
        for check in checks {
            s.count += 1;
            s.held += check.held.get();
            if let Reported::Found(x) = check.reported {
                s.over += usize::from(x > check.high);
                s.under += usize::from(x < check.low);
            }
            s.folds.extend(check.fold());
        }
        s
    }

    /// Of the dishes for which something is predicted.
    pub(super) fn of_dishes<'a>(checks: impl IntoIterator<Item = &'a DishCheck>) -> Self {
        let mut s = Self::default();
        for check in checks {
            let (Some(held), Ok(p)) = (check.held(), &check.predicted) else {
                continue;
            };
            s.count += 1;
            if held {
                s.held += 1.0;
            } else if let Reported::Found(x) = check.measured.reported {
                s.over += usize::from(x.get() > p.high.get());
                s.under += usize::from(x.get() < p.low.get());
            }
            s.folds.extend(check.fold());
        }
        s
    }

    /// The share of intervals that hold; `None` of no checks.
    pub(super) fn share(&self) -> Option<f64> {
        let count = (0..self.count).fold(0.0, |n, _| n + 1.0);
        (count > 0.0).then(|| self.held / count)
    }

    /// How many have a fold error: found, not below a limit.
    pub(super) fn found(&self) -> usize {
        self.folds.len()
    }

    pub(super) fn median_fold(&self) -> Option<f64> {
        let mut folds = self.folds.clone();
        folds.sort_by(f64::total_cmp);
        let n = folds.len();
        let (low, high) = (folds.get(n.checked_sub(1)? / 2)?, folds.get(n / 2)?);
        Some(f64::midpoint(*low, *high))
    }

    /// What is missed of the goals, in words; empty where all are met.
    pub(super) fn missed(&self, fold_goal: f64) -> Vec<String> {
        let mut out = Vec::new();
        if let Some(share) = self.share() {
            if share < HELD.0 {
                out.push(format!(
                    "the 90 % intervals are too narrow: {} hold",
                    percent(share)
                ));
            }
            if share > HELD.1 {
                out.push(format!(
                    "the 90 % intervals are wider than they need be: {} hold",
                    percent(share)
                ));
            }
        }
        if let Some(fold) = self.median_fold().filter(|f| *f > fold_goal) {
            out.push(format!(
                "the median fold error is {fold:.3}, over the goal of {fold_goal:.1}"
            ));
        }
        out
    }
}

pub(super) fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}
