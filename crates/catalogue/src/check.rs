//! What no single row can show: references, duplicates, bases without their conversion, and the
//! traps of the literature.

mod rules;

use std::collections::{BTreeMap, BTreeSet, HashMap};

use tamis_scoring::cutoffs::Cutoffs;
use tamis_scoring::dish::FoodClass;
use tamis_scoring::quantity::{FoodId, SourceId, StateId};
use tamis_scoring::subgroup::Analyte;

use crate::compose::Accounts;
use crate::constituent::Constituent;
use crate::fault::{Faults, Severity};
use crate::load::Tables;
use crate::matching::names;
use crate::matching::normal::Accents;
use crate::measures::{density, vessel_key};
use crate::schema::{self, Basis, CompositionRow, FoodRow, Value};
use crate::schema_tools::{self as tools, Scope, VesselRow};
use crate::table::{At, column, note};

/// By how much the parts may exceed the whole, g per 100 g: different samples, different methods.
const SUM_SLACK: f64 = 5.0;

struct Known<'a> {
    sources: BTreeSet<&'a SourceId>,
    foods: BTreeMap<&'a FoodId, &'a FoodRow>,
    states: BTreeSet<(&'a FoodId, &'a StateId)>,
    families: BTreeSet<&'a str>,
}

impl Known<'_> {
    fn source(&self, at: &At, columns: &[&str], source: &SourceId, faults: &mut Faults) {
        if !self.sources.contains(source) {
            let what = format!("'{source}' is no known source");
            note(
                faults,
                at,
                column(columns, "source"),
                what,
                "an id of the folder sources",
                Severity::Error,
            );
        }
    }

    fn food(
        &self,
        at: &At,
        columns: &[&str],
        name: &str,
        food: &FoodId,
        faults: &mut Faults,
    ) -> bool {
        let there = self.foods.contains_key(food);
        if !there {
            let what = format!("'{food}' is no known food");
            note(
                faults,
                at,
                column(columns, name),
                what,
                "an id of the folder foods",
                Severity::Error,
            );
        }
        there
    }

    fn state(
        &self,
        at: &At,
        columns: &[&str],
        names: (&str, &str),
        of: (&FoodId, Option<&StateId>),
        faults: &mut Faults,
    ) {
        let (food, Some(state)) = of else {
            self.food(at, columns, names.0, of.0, faults);
            return;
        };
        if self.food(at, columns, names.0, food, faults) && !self.states.contains(&(food, state)) {
            let what = format!("'{food}' has no state '{state}'");
            let accepted: Vec<&str> = self
                .states
                .iter()
                .filter(|(f, _)| *f == food)
                .map(|(_, s)| s.as_str())
                .collect();
            note(
                faults,
                at,
                column(columns, names.1),
                what,
                accepted.join(", "),
                Severity::Error,
            );
        }
    }

    fn scope(&self, at: &At, columns: &[&str], scope: &Scope, faults: &mut Faults) {
        if let Some(food) = &scope.food {
            self.food(at, columns, "food", food, faults);
        }
        if let Some(family) = scope
            .family
            .as_deref()
            .filter(|f| !self.families.contains(f))
        {
            let what = format!("no food is of the family '{family}'");
            note(
                faults,
                at,
                column(columns, "family"),
                what,
                "a family of the folder foods",
                Severity::Warning,
            );
        }
    }
}

/// Checks the tables against each other. Identical shared sources are reduced to one.
pub(crate) fn tables(t: &mut Tables, faults: &mut Faults) -> Cutoffs {
    shared_sources(t, faults);
    let known = Known {
        sources: t.sources.iter().map(|s| &s.id).collect(),
        foods: t.foods.iter().map(|f| (&f.id, f)).collect(),
        states: t.states.iter().map(|s| (&s.food, &s.state)).collect(),
        families: t.foods.iter().map(|f| f.family.as_str()).collect(),
    };
    foods_and_states(t, &known, faults);
    composition(t, &known, faults);
    amounts(t, &known, faults);
    rules::check(t, &known, faults);
    let rows = t.cutoffs.iter().map(|(_, row)| row.clone()).collect();
    for (at, row) in &t.cutoffs {
        known.source(at, tools::CUTOFFS, &row.source, faults);
    }
    Cutoffs::new(rows).unwrap_or_else(|error| {
        faults.file(
            "cutoffs.csv",
            error.to_string(),
            "one general row for every subgroup or its total",
        );
        Cutoffs::default()
    })
}

fn shared_sources(t: &mut Tables, faults: &mut Faults) {
    let mut seen: BTreeMap<SourceId, usize> = BTreeMap::new();
    let mut keep = vec![true; t.sources.len()];
    for (i, row) in t.sources.iter().enumerate() {
        let Some(&first) = seen.get(&row.id) else {
            seen.insert(row.id.clone(), i);
            continue;
        };
        keep[i] = false;
        let other = &t.sources[first];
        if (&other.citation, &other.licence, &other.url) != (&row.citation, &row.licence, &row.url)
        {
            let what = format!(
                "source '{}' is another text in {}, line {}",
                row.id, other.at.file, other.at.line
            );
            note(
                faults,
                &row.at,
                column(schema::SOURCES, "id"),
                what,
                "the same text wherever an id stands",
                Severity::Error,
            );
        }
    }
    let mut keep = keep.into_iter();
    t.sources.retain(|_| keep.next().unwrap_or(true));
}

fn foods_and_states(t: &Tables, known: &Known<'_>, faults: &mut Faults) {
    let mut ids: BTreeMap<&FoodId, &At> = BTreeMap::new();
    let mut phrases: HashMap<String, (&FoodId, String)> = HashMap::new();
    for food in &t.foods {
        if let Some(first) = ids.insert(&food.id, &food.at) {
            let what = format!(
                "food '{}' is there twice, also in {}, line {}",
                food.id, first.file, first.line
            );
            note(
                faults,
                &food.at,
                column(schema::FOODS, "food"),
                what,
                "one row a food",
                Severity::Error,
            );
            continue;
        }
        if !known.states.contains(&(&food.id, &food.default_state)) {
            let what = format!("'{}' has no state '{}'", food.id, food.default_state);
            note(
                faults,
                &food.at,
                column(schema::FOODS, "default_state"),
                what,
                "a state of the folder states",
                Severity::Error,
            );
        }
        for name in names(food, Accents::Kept) {
            let key = name.join(" ");
            match phrases.get(&key) {
                Some((other, place)) if *other != &food.id => {
                    let what = format!("'{key}' names both '{}' and '{other}' ({place})", food.id);
                    note(
                        faults,
                        &food.at,
                        column(schema::FOODS, "synonyms"),
                        what,
                        "a name for one food only",
                        Severity::Error,
                    );
                }
                Some(_) => {}
                None => {
                    phrases.insert(
                        key,
                        (&food.id, format!("{}, line {}", food.at.file, food.at.line)),
                    );
                }
            }
        }
    }
    let mut pairs: BTreeSet<(&FoodId, &StateId)> = BTreeSet::new();
    for state in &t.states {
        known.food(&state.at, schema::STATES, "food", &state.food, faults);
        if !pairs.insert((&state.food, &state.state)) {
            let what = format!("state '{}' of '{}' is there twice", state.state, state.food);
            note(
                faults,
                &state.at,
                column(schema::STATES, "state"),
                what,
                "one row a food and state",
                Severity::Error,
            );
        }
    }
}

fn composition(t: &Tables, known: &Known<'_>, faults: &mut Faults) {
    let wet: BTreeSet<(&FoodId, &StateId)> = t
        .composition
        .iter()
        .filter(|r| {
            r.analyte == Constituent::Water && r.basis == Basis::Fresh && r.rejected.is_none()
        })
        .map(|r| (&r.food, &r.state))
        .collect();
    let mut seen: HashMap<String, &At> = HashMap::new();
    for row in &t.composition {
        let columns = schema::COMPOSITION;
        known.state(
            &row.at,
            columns,
            ("food", "state"),
            (&row.food, Some(&row.state)),
            faults,
        );
        known.source(&row.at, columns, &row.source, faults);
        if row.basis == Basis::Dry && !wet.contains(&(&row.food, &row.state)) {
            let what = "a dry basis without a water row of this food and state";
            note(
                faults,
                &row.at,
                column(columns, "basis"),
                what,
                "fresh, or a used water row on the fresh basis",
                Severity::Error,
            );
        }
        if row.basis == Basis::Per100Ml && density(t, &row.food, &row.state).is_none() {
            let what = "a value per 100 mL of a food without a density";
            note(
                faults,
                &row.at,
                column(columns, "basis"),
                what,
                "fresh, or a measure 'ml' of this food",
                Severity::Error,
            );
        }
        let same = format!(
            "{}|{}|{}|{}|{:?}|{:?}|{:?}|{}|{}|{}",
            row.food,
            row.state,
            row.analyte.word(),
            row.text,
            row.low,
            row.high,
            row.basis,
            row.source,
            row.locator,
            row.note
        );
        if let Some(first) = seen.insert(same, &row.at) {
            let what = format!(
                "the same observation as in {}, line {}",
                first.file, first.line
            );
            note(
                faults,
                &row.at,
                None,
                what,
                "each observation once",
                Severity::Error,
            );
        }
        if row.rejected.is_none()
            && let Some(food) = known.foods.get(&row.food)
        {
            traps(row, food, faults);
        }
    }
}

fn traps(row: &CompositionRow, food: &FoodRow, faults: &mut Faults) {
    let some = match row.value {
        Value::Number(v) => v > 0.1,
        Value::Below(_) => false,
        Value::Interval => row.high.is_some_and(|h| h > 0.1),
    };
    let stores_fructan = food.family == "amaryllidaceae"
        || (food.family == "asteraceae"
            && matches!(food.class, FoodClass::Vegetable | FoodClass::Additive));
    if row.analyte == Constituent::Analyte(Analyte::Galactans) && some && stores_fructan {
        let what = format!(
            "galactans in '{}': alliums and the roots of the daisy family carry none, fructans are often booked as raffinose",
            row.food
        );
        note(
            faults,
            &row.at,
            column(schema::COMPOSITION, "analyte"),
            what,
            "fructans, or use 'no: ' and the reason",
            Severity::Error,
        );
    }
    let partial = |text: &str| {
        text.split(|c: char| !c.is_alphanumeric())
            .any(|w| w == "FOS")
    };
    if row.analyte == Constituent::Analyte(Analyte::Fructans)
        && (partial(&row.note) || partial(&row.locator))
    {
        let what = "FOS is a part of the fructans, not the total";
        note(
            faults,
            &row.at,
            column(schema::COMPOSITION, "analyte"),
            what,
            "total fructans, or use 'no: ' and the reason",
            Severity::Error,
        );
    }
}

fn amounts(t: &Tables, known: &Known<'_>, faults: &mut Faults) {
    let mut measures = BTreeSet::new();
    for row in &t.measures {
        known.state(
            &row.at,
            schema::MEASURES,
            ("food", "state"),
            (&row.food, row.state.as_ref()),
            faults,
        );
        known.source(&row.at, schema::MEASURES, &row.source, faults);
        if !measures.insert((&row.food, &row.state, row.measure.as_str())) {
            let what = format!("measure '{}' of '{}' is there twice", row.measure, row.food);
            note(
                faults,
                &row.at,
                column(schema::MEASURES, "measure"),
                what,
                "one row a food, state and measure",
                Severity::Error,
            );
        }
    }
    let mut yields = BTreeSet::new();
    for row in &t.yields {
        known.state(
            &row.at,
            schema::YIELDS,
            ("food", "state"),
            (&row.food, row.state.as_ref()),
            faults,
        );
        known.source(&row.at, schema::YIELDS, &row.source, faults);
        if !yields.insert((&row.food, &row.state)) {
            let what = format!("the yield of '{}' is there twice", row.food);
            note(
                faults,
                &row.at,
                column(schema::YIELDS, "food"),
                what,
                "one row a food and state",
                Severity::Error,
            );
        }
    }
    vessels(&t.packs, tools::PACKS, known, faults);
    vessels(&t.utensils, tools::UTENSILS, known, faults);
    let mut regions = BTreeSet::new();
    for row in &t.drinks {
        known.source(&row.at, tools::DRINKS, &row.source, faults);
        if !regions.insert(row.region.as_str()) {
            let what = format!("the standard drink of '{}' is there twice", row.region);
            note(
                faults,
                &row.at,
                column(tools::DRINKS, "region"),
                what,
                "one row a region",
                Severity::Error,
            );
        }
    }
}

fn vessels(
    rows: &[VesselRow],
    columns: &'static [&'static str],
    known: &Known<'_>,
    faults: &mut Faults,
) {
    let mut words: HashMap<String, &str> = HashMap::new();
    for row in rows {
        known.source(&row.at, columns, &row.source, faults);
        for word in std::iter::once(&row.id).chain(&row.words) {
            if let Some(other) = words
                .insert(vessel_key(word), &row.id)
                .filter(|o| *o != row.id)
            {
                let what = format!("'{word}' names both '{}' and '{other}'", row.id);
                note(
                    faults,
                    &row.at,
                    column(columns, "words"),
                    what,
                    "a word for one row only",
                    Severity::Error,
                );
            }
        }
    }
}

/// Checks what the pooled numbers say together.
pub(crate) fn accounts(t: &Tables, accounts: &Accounts, faults: &mut Faults) {
    let foods: BTreeMap<&FoodId, &FoodRow> = t.foods.iter().map(|f| (&f.id, f)).collect();
    for state in &t.states {
        let (Some(account), Some(food)) = (
            accounts.get(&(state.food.clone(), state.state.clone())),
            foods.get(&state.food),
        ) else {
            continue;
        };
        let mean = |c: Constituent| account.pooled.get(&c).map(|p| p.estimate.mean().get());
        let analyte = |a: Analyte| mean(Constituent::Analyte(a)).unwrap_or(0.0);
        let polyols = analyte(Analyte::Sorbitol)
            + analyte(Analyte::Mannitol)
            + analyte(Analyte::OtherPolyols);
        let sum = analyte(Analyte::Fructans)
            + analyte(Analyte::Galactans)
            + analyte(Analyte::Lactose)
            + analyte(Analyte::Fructose)
            + analyte(Analyte::Glucose)
            + mean(Constituent::Sucrose).unwrap_or(0.0)
            + polyols.max(mean(Constituent::TotalPolyols).unwrap_or(0.0));
        if let Some(room) = mean(Constituent::Water).map(|w| 100.0 - w)
            && sum > room + SUM_SLACK
        {
            let what = format!(
                "sugars, polyols, fructans and galactans of '{}' {} sum to {sum:.1} g, beside {room:.1} g of solids",
                state.food, state.state
            );
            note(
                faults,
                &state.at,
                None,
                what,
                format!("at most the solids and {SUM_SLACK} g"),
                Severity::Error,
            );
        }
        for a in [Analyte::Fructose, Analyte::Glucose] {
            if !food.family.is_empty()
                && matches!(
                    account.composition.content(a),
                    tamis_scoring::composition::Content::Unknown
                        | tamis_scoring::composition::Content::AtMost(_)
                )
            {
                let what = format!("no {a} of '{}' {}", state.food, state.state);
                note(
                    faults,
                    &state.at,
                    None,
                    what,
                    "a row for fructose and one for glucose of every plant food",
                    Severity::Warning,
                );
            }
        }
    }
}
