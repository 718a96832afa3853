//! The search for the smallest change that makes a portion servable.
//!
//! First version: one or two changes from a list of candidates, or a smaller portion. Every plan
//! is judged again as a whole, and none is returned that does not rule `serve`.

use crate::dish::{Component, Portion, Stage};
use crate::quantity::{Quantity, Ratio};
use crate::ruling::{Ceiling, Finding, Outcome, Rules, Standing};
use crate::screen::{Screen, Tally};
use crate::subgroup::{Subgroup, words};

/// The kind of a change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AmendmentKind {
    /// Leave a component out.
    Hold,
    /// Put another in its place.
    Sub,
    /// Serve a smaller portion.
    Downsize,
    /// Prepare it another way.
    Rework,
}

words!(AmendmentKind, "a kind of amendment", {
    Hold = "hold",
    Sub = "sub",
    Downsize = "downsize",
    Rework = "rework",
});

/// One change that could be made.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Which components of the portion it touches, by their place in it.
    pub targets: Vec<usize>,
    /// What stands in their place; empty for a hold.
    pub replacement: Vec<Component>,
    /// Hold, sub or rework.
    pub kind: AmendmentKind,
    /// When it can be made: the latest stage at which all its targets can still change.
    pub stage: Stage,
    /// How much it disturbs the dish; smaller is better.
    pub disruption: Ratio,
}

/// A set of changes after which the portion rules `serve`.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What to do.
    pub action: Action,
    /// The sum of the disruptions.
    pub disruption: Ratio,
    /// The portion after the change, judged.
    pub outcome: Outcome,
}

/// What a plan does.
#[derive(Debug, Clone, PartialEq)]
pub enum Action {
    /// Makes the candidates with these places in the list, one or two.
    Changes(Vec<usize>),
    /// Serves the portion at this ratio of its size.
    Downsize(Ratio),
}

/// The smallest share of a portion that is still offered as that dish: a third; common practice, no
/// source.
pub const SMALLEST_DOWNSIZE: f64 = 1.0 / 3.0;
/// How much a portion halved disturbs, against a component of the same share held.
const DOWNSIZE_WEIGHT: f64 = 1.2;
/// How many candidates are paired at most; the least disruptive are kept.
pub const PAIRED_CANDIDATES: usize = 40;

/// The plans that rule `serve`, least disruptive first, at most `most`. Of several that change the
/// same components in the same way, only the least disruptive is given.
///
/// Pairs are only looked at where no single change serves. Excess fructose that was over its cut-off
/// is not amended away by bringing in glucose: each component's own excess must then be under it as
/// well (adding glucose is a weak strategy in trials: Tuck et al. 2017, recalled).
#[must_use]
pub fn search(
    portion: &Portion,
    candidates: &[Candidate],
    rules: &Rules<'_>,
    most: usize,
) -> Vec<Plan> {
    let mut plans = Vec::new();
    let mut order: Vec<usize> = (0..candidates.len()).collect();
    order.sort_by(|&a, &b| {
        candidates[a]
            .disruption
            .get()
            .total_cmp(&candidates[b].disruption.get())
            .then(a.cmp(&b))
    });
    let screen = Screen::of(rules.cutoffs, rules.diner, rules.policy.netting);
    let tallies: Vec<Tally> = portion.parts().iter().map(Tally::of_parts).collect();
    let whole = tallies.iter().fold(Tally::default(), |sum, t| sum.plus(t));
    let effects: Vec<Tally> = candidates
        .iter()
        .map(|c| {
            let added = c
                .replacement
                .iter()
                .map(Tally::of)
                .fold(Tally::default(), |s, t| s.plus(&t));
            c.targets
                .iter()
                .fold(added, |effect, &i| effect.minus(&tallies[i]))
        })
        .collect();
    let fructose_presses = !matches!(
        rules.judge(portion).finding(Subgroup::ExcessFructose),
        Finding::Within | Finding::NotLimited
    );
    let only_netted = |outcome: &Outcome| {
        let by_component = outcome
            .loads
            .excess_by_component()
            .at(rules.policy.confidence);
        let limit = outcome.limits.of_subgroup(Subgroup::ExcessFructose);
        fructose_presses
            && limit.is_some_and(|limit| by_component.is_none_or(|held| held > limit.grams))
    };
    let consider = |changes: &[usize], plans: &mut Vec<Plan>| {
        if !screen.may_serve(&changes.iter().fold(whole, |sum, &i| sum.plus(&effects[i]))) {
            return;
        }
        let changed = apply(portion, candidates, changes);
        let outcome = rules.judge(&changed);
        if outcome.standing == Standing::Serves
            && !changed.components().is_empty()
            && !only_netted(&outcome)
        {
            let disruption = changes
                .iter()
                .map(|&i| candidates[i].disruption.get())
                .sum();
            plans.push(Plan {
                action: Action::Changes(changes.to_vec()),
                disruption: Ratio::clamped(disruption),
                outcome,
            });
        }
    };
    for &i in &order {
        consider(&[i], &mut plans);
    }
    if plans.is_empty() {
        let paired = &order[..order.len().min(PAIRED_CANDIDATES)];
        for (n, &i) in paired.iter().enumerate() {
            for &j in &paired[n + 1..] {
                if disjoint(&candidates[i], &candidates[j]) {
                    consider(&[i, j], &mut plans);
                }
            }
        }
    }
    plans.extend(downsize(portion, rules));
    plans.sort_by(|a, b| a.disruption.get().total_cmp(&b.disruption.get()));
    let mut seen: Vec<Vec<(&[usize], AmendmentKind)>> = Vec::new();
    plans.retain(|plan| {
        let Action::Changes(changes) = &plan.action else {
            return true;
        };
        let mut way: Vec<_> = changes
            .iter()
            .map(|&i| (candidates[i].targets.as_slice(), candidates[i].kind))
            .collect();
        way.sort_unstable();
        let new = !seen.contains(&way);
        if new {
            seen.push(way);
        }
        new
    });
    plans.truncate(most);
    plans
}

fn downsize(portion: &Portion, rules: &Rules<'_>) -> Option<Plan> {
    let Ceiling::Times(ratio) = rules.judge(portion).ceiling(rules) else {
        return None;
    };
    if !(SMALLEST_DOWNSIZE..1.0).contains(&ratio.get()) {
        return None;
    }
    let outcome = rules.judge(&portion.scaled(ratio));
    (outcome.standing == Standing::Serves).then(|| Plan {
        action: Action::Downsize(ratio),
        disruption: Ratio::clamped((1.0 - ratio.get()) * DOWNSIZE_WEIGHT),
        outcome,
    })
}

/// The portion with the given candidates made.
#[must_use]
pub fn apply(portion: &Portion, candidates: &[Candidate], changes: &[usize]) -> Portion {
    let touched = |index: usize| {
        changes
            .iter()
            .any(|&c| candidates[c].targets.contains(&index))
    };
    let kept = portion
        .components()
        .iter()
        .enumerate()
        .filter(|(i, _)| !touched(*i));
    let added = changes
        .iter()
        .flat_map(|&c| candidates[c].replacement.iter());
    Portion::new(kept.map(|(_, c)| c).chain(added).cloned().collect())
}

fn disjoint(a: &Candidate, b: &Candidate) -> bool {
    a.targets.iter().all(|t| !b.targets.contains(t))
}
