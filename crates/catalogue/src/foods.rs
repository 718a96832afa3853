//! Foods as a reader sees them: lists, and a page with every observation.

use tamis_scoring::composition::Content;
use tamis_scoring::diner::{Diner, Policy};
use tamis_scoring::dish::{Amount, Component, FoodClass, Freshness, Portion, Stage};
use tamis_scoring::estimate::Mass;
use tamis_scoring::evidence::{Evidence, Grade};
use tamis_scoring::foods::{AnalyteRow, FoodPage, FoodState, FoodSummary, MeasureRow, Observation};
use tamis_scoring::loads::LoadState;
use tamis_scoring::quantity::{FoodId, Grams, GramsPer100g, Quantity, Ratio, SourceId, StateId};
use tamis_scoring::ruling::{Ceiling, Rules, Standing};
use tamis_scoring::subgroup::Analyte;

use crate::compose::{Account, BasedOn};
use crate::constituent::Constituent;
use crate::infer::{FEWEST, INFERRED, Predicted};
use crate::schema::CompositionRow;
use crate::schema_tools::RuleRow;
use crate::{Catalogue, Food};

/// The most foods on one page of a list.
pub const MAX_PAGE: usize = 200;

/// Which part of a list is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Page {
    /// How many to leave out first.
    pub skip: usize,
    /// How many to give, at most [`MAX_PAGE`].
    pub take: usize,
}

/// One page of a list of foods.
#[derive(Debug, Clone, PartialEq)]
pub struct Summaries {
    /// The foods, by id.
    pub foods: Vec<FoodSummary>,
    /// How many there are in all.
    pub total: usize,
}

impl Catalogue {
    /// Foods whose id, name or synonyms hold every word of the query, the words as beginnings; all
    /// foods for an empty query. Ordered by id.
    #[must_use]
    pub fn summaries(&self, query: &str, page: Page) -> Summaries {
        let ids = self.inner.index.holding(query);
        let total = ids.len();
        let foods = ids
            .into_iter()
            .skip(page.skip)
            .take(page.take.min(MAX_PAGE))
            .filter_map(|id| self.food(id))
            .map(|food| FoodSummary {
                id: food.id.clone(),
                name: food.name.clone(),
                class: food.class,
                states: food.states.clone(),
            })
            .collect();
        Summaries { foods, total }
    }

    /// Everything known of a food; `None` where the catalogue has no such food.
    #[must_use]
    pub fn page(&self, id: &FoodId) -> Option<FoodPage> {
        let food = self.food(id)?;
        Some(FoodPage {
            id: food.id.clone(),
            name: food.name.clone(),
            class: food.class,
            family: food.family.clone(),
            synonyms: food.synonyms.clone(),
            allergens: food.allergens,
            states: food
                .states
                .iter()
                .map(|state| self.state_page(food, state))
                .collect(),
            practice_notes: self
                .practice_notes(id, None)
                .into_iter()
                .map(|n| n.text)
                .collect(),
            catalogue_version: self.version().to_owned(),
        })
    }

    /// The observations behind an analyte of a food and state that count; for one that rests on a
    /// rule, the rule. Empty where nothing is known.
    #[must_use]
    pub fn evidence(&self, food: &FoodId, state: &StateId, analyte: Analyte) -> Vec<Evidence> {
        let Some(account) = self.account(food, state) else {
            return Vec::new();
        };
        self.observations_of(account, analyte)
            .into_iter()
            .filter(|o| o.rejected.is_none())
            .map(|o| o.evidence)
            .collect()
    }

    /// One food by itself as a component of a portion.
    #[must_use]
    pub fn component(
        &self,
        food: &FoodId,
        state: &StateId,
        amount: Amount,
        stage: Stage,
    ) -> Option<Component> {
        let found = self.food(food)?;
        Some(Component {
            food: Some(food.clone()),
            state: Some(state.clone()),
            class: found.class,
            freshness: self.freshness(food, state),
            amount,
            composition: self.composition(food, state)?,
            allergens: found.allergens,
            stage,
        })
    }

    /// Whether a food in a state counts as fresh fruit or vegetable.
    #[must_use]
    pub fn freshness(&self, food: &FoodId, state: &StateId) -> Freshness {
        let produce = self.food(food).is_some_and(|f| {
            matches!(
                f.class,
                FoodClass::Fruit | FoodClass::Vegetable | FoodClass::Mushroom
            )
        });
        match state.as_str() {
            "raw" | "ripe" | "unripe" | "overripe" if produce => Freshness::FreshProduce,
            _ => Freshness::Other,
        }
    }

    fn state_page(&self, food: &Food, state: &StateId) -> FoodState {
        let account = self.account(&food.id, state);
        let analytes = account.map_or_else(Vec::new, |a| {
            Analyte::ALL
                .iter()
                .map(|&analyte| self.analyte_row(a, analyte))
                .collect()
        });
        let measures = self
            .measures(&food.id)
            .filter(|r| r.state.as_ref().is_none_or(|s| s == state))
            .map(|r| MeasureRow {
                measure: r.measure.clone(),
                grams: Grams::clamped(r.grams),
                grade: r.grade,
            })
            .collect();
        let (portion_ceiling, headroom_of_100g) = self.limits_of(food, state);
        FoodState {
            id: state.clone(),
            analytes,
            measures,
            edible_share: self.edible_share(&food.id, state).map(|e| e.share.mean()),
            portion_ceiling,
            headroom_of_100g,
        }
    }

    fn analyte_row(&self, account: &Account, analyte: Analyte) -> AnalyteRow {
        let content = account.composition.content(analyte);
        let zero = GramsPer100g::ZERO;
        let (state, grams, low, high, grade) = match content {
            Content::Absent => (LoadState::Zero, Some(zero), Some(zero), Some(zero), None),
            Content::Known(c, grade) => (
                LoadState::Estimated,
                Some(c.mean()),
                Some(c.low()),
                Some(c.high()),
                Some(grade),
            ),
            Content::AtMost(c) => (LoadState::Bounded, None, Some(zero), Some(c), None),
            Content::Unknown => (LoadState::Unknown, None, None, None, None),
        };
        AnalyteRow {
            analyte,
            state,
            grams,
            low,
            high,
            grade,
            observations: self.observations_of(account, analyte),
        }
    }

    fn observations_of(&self, account: &Account, analyte: Analyte) -> Vec<Observation> {
        let based_on = account
            .based_on
            .iter()
            .find(|(a, _)| *a == analyte)
            .map_or(&BasedOn::Nothing, |(_, b)| b);
        let rows = |constituent: Constituent| {
            account
                .rows
                .iter()
                .filter_map(|&i| self.inner.tables.composition.get(i))
                .filter(move |r| r.analyte == constituent)
                .map(|r| self.observation(r))
        };
        let mut out: Vec<Observation> = rows(Constituent::Analyte(analyte)).collect();
        match based_on {
            BasedOn::TotalPolyols => out.extend(rows(Constituent::TotalPolyols)),
            BasedOn::Absent(i) => {
                out.extend(self.inner.tables.absent.get(*i).map(|r| self.rule(r)))
            }
            BasedOn::Relatives(predicted) => {
                out.extend(self.relatives(account, analyte, predicted));
            }
            BasedOn::Inferred(i, relatives) => {
                out.extend(self.inner.tables.inferred.get(*i).map(|r| {
                    let mut rule = self.rule(r);
                    if INFERRED.contains(&analyte) {
                        rule.evidence.note += &judged_for_want_of(*relatives);
                    }
                    rule
                }));
            }
            BasedOn::Observations | BasedOn::Ceiling(_) | BasedOn::Nothing => {}
        }
        out
    }

    fn observation(&self, row: &CompositionRow) -> Observation {
        let value = match (row.text.is_empty(), row.low, row.high) {
            (false, ..) => row.text.clone(),
            (true, Some(low), Some(high)) => format!("{low} to {high}"),
            (true, _, Some(high)) => format!("at most {high}"),
            (true, ..) => String::new(),
        };
        Observation {
            value: format!("{value} {} {}", row.analyte.word(), row.basis.words()),
            evidence: Evidence {
                source: row.source.clone(),
                locator: row.locator.clone(),
                grade: row.grade,
                samples: row.n,
                note: row.note.clone(),
            },
            citation: self.citation(&row.source).unwrap_or_default().to_owned(),
            rejected: row.rejected.clone(),
        }
    }

    fn rule(&self, rule: &RuleRow) -> Observation {
        let value = match rule.interval {
            None => "absent by nature".to_owned(),
            Some((low, high)) => format!("{low} to {high} g per 100 g, by rule"),
        };
        Observation {
            value,
            evidence: Evidence {
                source: rule.source.clone(),
                locator: format!("{}, line {}", rule.at.file, rule.at.line),
                grade: rule.grade,
                samples: None,
                note: rule.reason.clone(),
            },
            citation: self.citation(&rule.source).unwrap_or_default().to_owned(),
            rejected: None,
        }
    }

    fn relatives(
        &self,
        account: &Account,
        analyte: Analyte,
        from: &Predicted,
    ) -> Option<Observation> {
        let value = match account.composition.content(analyte) {
            Content::Known(c, _) => format!(
                "{:.3} to {:.3} g per 100 g, from {} measured relatives",
                c.low().get(),
                c.high().get(),
                from.relatives
            ),
            _ => format!("from {} measured relatives", from.relatives),
        };
        let below = match from.below {
            0 => String::new(),
            n => format!(", {n} of them below detection"),
        };
        let note = format!(
            "{} foods of the same family and class{below}, per dry matter, drawn to the class; foods are measured \
             where something is there, so this tends to be high",
            from.relatives
        );
        let source = SourceId::new("inferred").ok()?;
        Some(Observation {
            value,
            citation: self.citation(&source).unwrap_or_default().to_owned(),
            evidence: Evidence {
                source,
                locator: "measured rows of the catalogue".to_owned(),
                grade: Grade::Inferred,
                samples: u32::try_from(from.relatives).ok(),
                note,
            },
            rejected: None,
        })
    }

    /// The largest portion of a food by itself that serves in the restriction phase, and the
    /// headroom of 100 g.
    fn limits_of(
        &self,
        food: &Food,
        state: &StateId,
    ) -> (Option<Grams>, Option<tamis_scoring::ruling::Headroom>) {
        let hundred = Grams::clamped(100.0);
        let Some(component) = self.component(
            &food.id,
            state,
            Amount::Known(Mass::exact(hundred)),
            Stage::Line,
        ) else {
            return (None, None);
        };
        let (diner, policy) = (Diner::restriction(), Policy::default());
        let rules = Rules {
            cutoffs: self.cutoffs(),
            diner: &diner,
            policy: &policy,
        };
        let portion = Portion::new(vec![component]);
        let outcome = rules.judge(&portion);
        let headroom = outcome.headroom(policy.confidence);
        let ceiling = match outcome.ceiling(&rules) {
            Ceiling::Times(ratio) => {
                serving_ratio(&rules, &portion, ratio).map(|r| hundred.times(r))
            }
            Ceiling::Unlimited | Ceiling::Undetermined => None,
        };
        (ceiling, headroom)
    }
}

fn judged_for_want_of(relatives: usize) -> String {
    let found = match relatives {
        0 => "no measured relative".to_owned(),
        1 => "one measured relative".to_owned(),
        n => format!("{n} measured relatives"),
    };
    format!("; judged, since there are fewer than {FEWEST} measured relatives: {found}")
}

/// The ratio if it serves, else the largest smaller one that does, found by halving: close to the
/// cut-off loose evidence refers, and the share of portions over it falls with the portion.
fn serving_ratio(rules: &Rules<'_>, portion: &Portion, ratio: Ratio) -> Option<Ratio> {
    let serves = |r: Ratio| rules.judge(&portion.scaled(r)).standing == Standing::Serves;
    if serves(ratio) {
        return Some(ratio);
    }
    let (mut low, mut high) = (0.0, ratio.get());
    for _ in 0..48 {
        let middle = f64::midpoint(low, high);
        if serves(Ratio::clamped(middle)) {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low > 0.0).then(|| Ratio::clamped(low))
}
