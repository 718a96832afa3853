//! A plate held against the rules, as the answer that every door encodes.

use tamis_catalogue::Catalogue;
use tamis_scoring::assessment::{
    Assessment, ChoiceDecides, ContributedLoad, Contribution, CutoffUsed, ExcessFructose,
    HeadroomRow, LoadRow, SubjectKind,
};
use tamis_scoring::cutoffs::{Limit, LimitBasis};
use tamis_scoring::diner::Netting;
use tamis_scoring::dish::Amount;
use tamis_scoring::loads::{self, Load, LoadState};
use tamis_scoring::quantity::{Grams, Quantity};
use tamis_scoring::ruling::{Ceiling, Finding, Outcome, Rules, Ruling, Standing};
use tamis_scoring::subgroup::Subgroup;

use crate::plate::{Item, Plate};
use crate::{alcohol, cautions, changes, practice};

/// Judges a plate and accounts for it.
pub(crate) fn assess(catalogue: &Catalogue, plate: &Plate, rules: &Rules<'_>) -> Assessment {
    let portion = plate.as_portion();
    let outcome = rules.judge(&portion);
    let amendments = if outcome.standing == Standing::Serves {
        Vec::new()
    } else {
        changes::amendments(catalogue, plate, &portion, &outcome, rules)
    };
    let ruling = match outcome.standing {
        Standing::Serves => Ruling::Serve,
        Standing::Refers => Ruling::Refer,
        Standing::Over if amendments.is_empty() => Ruling::Withhold,
        Standing::Over => Ruling::Alter,
    };
    let ceiling = match (outcome.ceiling(rules), plate.portion) {
        (Ceiling::Times(ratio), Some(grams)) => Some(grams.times(ratio)),
        _ => None,
    };
    Assessment {
        name: plate.name.clone(),
        code: plate.code.clone(),
        kind: plate.kind,
        ruling,
        reasons: reasons(plate, &outcome, rules),
        portion: plate.portion,
        loads: Subgroup::ALL
            .iter()
            .map(|&s| load_row(s, &outcome, rules))
            .collect(),
        excess_fructose: excess_fructose(&outcome, rules),
        headroom: outcome
            .headroom(rules.policy.confidence)
            .map(|h| HeadroomRow {
                subgroup: h.subgroup,
                ratio: h.ratio,
            }),
        portion_ceiling: ceiling,
        contributions: plate.items.iter().map(contribution).collect(),
        amendments,
        alcohol: alcohol::of(catalogue, plate, rules.policy.region),
        allergens: portion.allergens(),
        practice_notes: practice::notes(catalogue, plate, &outcome),
        assumptions: plate.assumptions.clone(),
        unresolved: plate.unresolved.clone(),
        cautions: cautions::for_kind(plate.kind),
        policy: rules.policy.name.clone(),
        catalogue_version: catalogue.version().to_owned(),
        items: Vec::new(),
    }
}

fn load_row(subgroup: Subgroup, outcome: &Outcome, rules: &Rules<'_>) -> LoadRow {
    let load = outcome.loads.of_subgroup(subgroup);
    let limit = outcome.limits.of_subgroup(subgroup);
    let state = load.state();
    LoadRow {
        subgroup,
        state,
        grams: load.central(),
        low: (state != LoadState::Unknown || load.low() > Grams::ZERO).then(|| load.low()),
        high: load.high(),
        cutoff: limit.map(|l| cutoff_used(subgroup, l, rules)),
        exceedance: limit.and_then(|l| load.exceedance(l.grams)),
        finding: outcome.finding(subgroup),
        grade: load.grade(),
    }
}

fn cutoff_used(subgroup: Subgroup, limit: &Limit, rules: &Rules<'_>) -> CutoffUsed {
    let row = match limit.basis {
        LimitBasis::Published(class) => rules.cutoffs.row(subgroup, class).or_else(|| {
            subgroup
                .total()
                .and_then(|total| rules.cutoffs.row(total, class))
        }),
        LimitBasis::SharedTotal(class) => subgroup
            .total()
            .and_then(|total| rules.cutoffs.row(total, class)),
        LimitBasis::Tolerance => None,
    };
    CutoffUsed {
        grams: limit.grams,
        basis: limit.basis,
        source: row.map(|r| r.source.clone()),
    }
}

fn excess_fructose(outcome: &Outcome, rules: &Rules<'_>) -> ExcessFructose {
    let over_portion = outcome.loads.excess_over_portion();
    let by_component = outcome.loads.excess_by_component();
    let limit = outcome.limits.of_subgroup(Subgroup::ExcessFructose);
    let over = |load: &Load, limit: &Limit| {
        load.at(rules.policy.confidence)
            .is_none_or(|held| held > limit.grams)
    };
    let differs = limit.is_some_and(|l| over(over_portion, l) != over(by_component, l));
    ExcessFructose {
        netting: rules.policy.netting,
        over_portion: over_portion.central(),
        by_component: by_component.central(),
        choice_decides: if differs {
            ChoiceDecides::Yes
        } else {
            ChoiceDecides::No
        },
    }
}

fn contribution(item: &Item) -> Contribution {
    let component = item.component();
    let brought = loads::of_component(&component);
    let loads = Subgroup::ALL
        .iter()
        .map(|&subgroup| (subgroup, brought.of_subgroup(subgroup)))
        .filter(|(_, load)| load.state() != LoadState::Zero)
        .map(|(subgroup, load)| ContributedLoad {
            subgroup,
            state: load.state(),
            grams: load.central(),
        })
        .collect();
    Contribution {
        line: item.line.clone(),
        food: item.food.clone(),
        food_name: item.name.clone(),
        state: item.state.clone(),
        grams: match item.amount {
            Amount::Known(mass) => Some(mass.mean()),
            Amount::Unknown => None,
        },
        processes: item.processes.clone(),
        loads,
        evidence: item.evidence.clone(),
    }
}

/// Why a plate rules as it does, the deciding reasons first.
fn reasons(plate: &Plate, outcome: &Outcome, rules: &Rules<'_>) -> Vec<String> {
    let mut reasons = Vec::new();
    if outcome.loads.not_understood() > 0 {
        let n = outcome.loads.not_understood();
        let lines = if n == 1 { "line was" } else { "lines were" };
        reasons.push(format!("{n} ingredient {lines} not understood"));
    }
    for (subgroup, limit) in outcome.limits.deciding() {
        let load = outcome.loads.of_subgroup(subgroup);
        let name = subgroup.plain_words();
        let cutoff = figure(limit.grams);
        let held = load
            .at(rules.policy.confidence)
            .map_or_else(String::new, figure);
        let grade = load.grade().map_or("none", |g| g.word());
        match outcome.finding(subgroup) {
            Finding::Within | Finding::NotLimited => {}
            Finding::Over => {
                reasons.push(format!("{name}: {held} over the cut-off of {cutoff}"));
            }
            Finding::Unknown => {
                let who = unknown_from(plate, subgroup);
                let least = figure(load.low());
                reasons.push(match load.high() {
                    None => format!("{name}: unknown, at least {least}{who}"),
                    Some(high) => format!(
                        "{name}: only bounded, between {least} and {}, cut-off {cutoff}{who}",
                        figure(high)
                    ),
                });
            }
            Finding::TooWeak => reasons.push(format!(
                "{name}: rests on {grade} evidence, weaker than the policy allows ({})",
                rules.policy.weakest_grade
            )),
            Finding::Unsettled => {
                let chance = load
                    .exceedance(limit.grams)
                    .map_or(0.0, |p| p.get() * 100.0);
                reasons.push(format!(
                    "{name}: {held} is too close to the cut-off of {cutoff} for {grade} evidence ({chance:.0} % chance of being over)"
                ));
            }
        }
    }
    let excess = excess_fructose(outcome, rules);
    if excess.choice_decides == ChoiceDecides::Yes {
        let other = match excess.netting {
            Netting::Portion => "summed per component, each cut off at zero",
            Netting::Component => "netted over the portion",
        };
        reasons.push(format!(
            "the excess fructose finding hangs on netting: {other} it would differ"
        ));
    }
    reasons
}

fn unknown_from(plate: &Plate, subgroup: Subgroup) -> String {
    let names: Vec<&str> = plate
        .items
        .iter()
        .filter(|item| {
            let load = *loads::of_component(&item.component()).of_subgroup(subgroup);
            matches!(load.state(), LoadState::Unknown | LoadState::Bounded)
        })
        .map(|item| item.name.as_str())
        .take(3)
        .collect();
    if names.is_empty() {
        String::new()
    } else {
        format!(" ({})", names.join(", "))
    }
}

/// Grams as a sentence shows them.
pub(crate) fn figure(grams: Grams) -> String {
    let g = grams.get();
    if g < 0.005 {
        "<0.01 g".to_owned()
    } else if g < 10.0 {
        format!("{g:.2} g")
    } else {
        format!("{g:.0} g")
    }
}

/// One sitting out of its plates: everything together, and each by itself.
pub(crate) fn sitting(catalogue: &Catalogue, plates: &[Plate], rules: &Rules<'_>) -> Assessment {
    let together = Plate {
        name: plates
            .iter()
            .map(|p| p.name.as_str())
            .collect::<Vec<_>>()
            .join(" + "),
        code: None,
        kind: SubjectKind::Sitting,
        items: plates
            .iter()
            .flat_map(|p| p.items.iter().cloned())
            .collect(),
        portion: plates
            .iter()
            .map(|p| p.portion.map(Grams::get))
            .sum::<Option<f64>>()
            .map(Grams::clamped),
        assumptions: plates
            .iter()
            .flat_map(|p| p.assumptions.iter().cloned())
            .collect(),
        unresolved: plates
            .iter()
            .flat_map(|p| p.unresolved.iter().cloned())
            .collect(),
    };
    let mut answer = assess(catalogue, &together, rules);
    answer.assumptions.push(tamis_scoring::assessment::Remark {
        line: None,
        text: "the published cut-offs are for one serve of one food; a sitting is held against them as a whole, which is the cautious reading".to_owned(),
    });
    answer.items = plates
        .iter()
        .map(|plate| assess(catalogue, plate, rules))
        .collect();
    answer
}
