//! A card and the cards it refers to, unfolded into one plate.

use tamis_catalogue::Catalogue;
use tamis_kitchen_text::{MethodSentence, Negation, Placement, ReadLine, read_line, read_method};
use tamis_scoring::allergens::Allergens;
use tamis_scoring::assessment::{LineRef, Remark, SubjectKind, Unresolved};
use tamis_scoring::composition::Composition;
use tamis_scoring::dish::{Amount, FoodClass, Freshness, Stage};
use tamis_scoring::estimate::Mass;
use tamis_scoring::quantity::{Grams, Quantity, Ratio};
use tamis_scoring::request::{RecipeCard, Service};

use crate::error::{Error, Reason};
use crate::limits::{MAX_COMPONENTS, MAX_DEPTH};
use crate::matching::{self, Found};
use crate::plate::{Item, Plate, Via};
use crate::steps;
use crate::weigh::{self, Extent, Ounces};

/// From this many portions on, a card without a word on service is a batch; common practice, no
/// source.
const BATCH_FROM: f64 = 10.0;

/// Unfolds a card into one portion.
///
/// # Errors
/// When sub-recipes lead back to themselves, lie too deep, or have no usable yield.
pub(crate) fn plate(
    catalogue: &Catalogue,
    card: &RecipeCard,
    kind: SubjectKind,
) -> Result<Plate, Error> {
    let mut unfolding = Unfolding {
        catalogue,
        kind,
        chain: Vec::new(),
        lines: 0,
    };
    let mut batch = unfolding.batch(card, &[])?;
    let (ratio, portion) = batch.one_portion(card, kind)?;
    for item in &mut batch.items {
        item.scale(ratio);
    }
    note_repeats(&batch.items, &mut batch.assumptions);
    Ok(Plate {
        name: card.name.clone(),
        code: card.code.clone(),
        kind,
        items: batch.items,
        portion,
        assumptions: batch.assumptions,
        unresolved: batch.unresolved,
    })
}

/// Everything a card makes.
struct Batch {
    items: Vec<Item>,
    assumptions: Vec<Remark>,
    unresolved: Vec<Unresolved>,
    /// Portions, and what the batch comes to, as stated.
    portions: Option<f64>,
    makes: Option<Extent>,
    portion: Option<Extent>,
}

impl Batch {
    /// How many portions the batch makes, as far as the card says; else it is one.
    fn portion_count(&self) -> Ratio {
        let by_size = || {
            let share = self.portion?.share_of(self.makes?)?.get();
            (share > 0.0).then(|| 1.0 / share)
        };
        Ratio::clamped(self.portions.or_else(by_size).unwrap_or(1.0))
    }

    fn input_grams(&self) -> Option<f64> {
        let mut grams = self
            .items
            .iter()
            .map(|item| match item.amount {
                Amount::Known(mass) => Some(mass.mean().get()),
                Amount::Unknown if item.class == FoodClass::WaterSalt => Some(0.0),
                Amount::Unknown => None,
            })
            .collect::<Option<Vec<f64>>>()?;
        // The order of lines must not reach the sum.
        grams.sort_by(f64::total_cmp);
        Some(grams.iter().sum())
    }

    /// The share of the batch that is one portion, and its grams.
    fn one_portion(
        &mut self,
        card: &RecipeCard,
        kind: SubjectKind,
    ) -> Result<(Ratio, Option<Grams>), Error> {
        let input = self.input_grams();
        let stated = self.portion.and_then(Extent::grams);
        let makes = self.makes.and_then(Extent::grams);
        if let Some(n) = self.portions {
            let ratio = Ratio::clamped(1.0 / n);
            let grams = stated.or(makes.map(|g| g / n)).or(input.map(|g| g / n));
            return Ok((ratio, grams.map(Grams::clamped)));
        }
        if let (Some(portion), Some(makes)) = (self.portion, self.makes) {
            let ratio = portion.share_of(makes).ok_or_else(|| {
                Error::new(Reason::YieldInvalid, format!("{}: the portion cannot be taken from what the card makes; give both by weight or by volume", card.name))
            })?;
            return Ok((ratio, stated.map(Grams::clamped)));
        }
        if let Some(Extent::Count(n)) = self
            .makes
            .filter(|m| matches!(m, Extent::Count(n) if *n > 0.0))
        {
            return Ok((
                Ratio::clamped(1.0 / n),
                input.map(|g| Grams::clamped(g / n)),
            ));
        }
        if let (Some(portion), Some(input)) = (stated, input.filter(|g| *g > 0.0)) {
            self.assume(format!(
                "no yield is stated; the batch is taken as the {input:.0} g that go in"
            ));
            return Ok((
                Ratio::clamped(portion / input),
                Some(Grams::clamped(portion)),
            ));
        }
        if kind != SubjectKind::Drink {
            self.assume("no yield is stated; the lines are taken as one portion".to_owned());
        }
        Ok((Ratio::clamped(1.0), makes.or(input).map(Grams::clamped)))
    }

    fn assume(&mut self, text: String) {
        self.assumptions.push(Remark { line: None, text });
    }
}

struct Unfolding<'a> {
    catalogue: &'a Catalogue,
    kind: SubjectKind,
    /// Names of the cards being unfolded, outermost first.
    chain: Vec<String>,
    lines: usize,
}

impl Unfolding<'_> {
    fn batch(&mut self, card: &RecipeCard, shelf: &[&RecipeCard]) -> Result<Batch, Error> {
        let key = label(card);
        if self.chain.contains(&key) {
            return Err(self.circle(key));
        }
        if self.chain.len() > MAX_DEPTH {
            return Err(Error::new(
                Reason::TooDeep,
                format!(
                    "sub-recipes lie more than {MAX_DEPTH} levels deep: {}",
                    self.chain.join(" -> ")
                ),
            )
            .with("limit", MAX_DEPTH));
        }
        let path: Vec<String> = self
            .chain
            .iter()
            .skip(1)
            .cloned()
            .chain((!self.chain.is_empty()).then(|| key.clone()))
            .collect();
        self.chain.push(key);
        // A card finds its own sub-recipes first, then those of the cards around it.
        let shelf: Vec<&RecipeCard> = card
            .sub_recipes
            .iter()
            .chain(shelf.iter().copied())
            .collect();
        let ounces = if self.kind == SubjectKind::Drink {
            Ounces::Fluid
        } else {
            Ounces::ByWeight
        };
        let mut batch = Batch {
            items: Vec::new(),
            assumptions: Vec::new(),
            unresolved: Vec::new(),
            portions: card.portions.map(|p| p.get()).filter(|p| *p > 0.0),
            makes: amount_of(card, "makes", card.makes.as_deref(), ounces)?,
            portion: amount_of(card, "portion", card.portion.as_deref(), ounces)?,
        };
        let stage = stage_of(card, &batch);
        let method = read_method(&card.method);
        for (number, text) in (1u32..).zip(&card.lines) {
            let line = read_line(text, number as usize);
            let at = LineRef {
                path: path.clone(),
                number,
                text: line.text.clone(),
            };
            self.line(&line, at, card, &shelf, stage, &mut batch)?;
        }
        let own: usize = path.len();
        let mut mine: Vec<Item> = Vec::new();
        let mut from_below: Vec<Item> = Vec::new();
        for item in batch.items {
            if item.line.path.len() == own {
                mine.push(item)
            } else {
                from_below.push(item)
            }
        }
        self.method(&method, &mut mine, &mut from_below, &mut batch.assumptions);
        mine.append(&mut from_below);
        batch.items = mine;
        self.chain.pop();
        Ok(batch)
    }

    fn circle(&self, back_to: String) -> Error {
        let mut path = self.chain.clone();
        path.push(back_to);
        let path = path.join(" -> ");
        Error::new(
            Reason::SubRecipeCycle,
            format!("sub-recipes lead back to themselves: {path}"),
        )
        .with("path", path)
    }

    fn method(
        &self,
        method: &[MethodSentence],
        mine: &mut [Item],
        below: &mut [Item],
        assumptions: &mut Vec<Remark>,
    ) {
        steps::apply_method(self.catalogue, method, mine, below, assumptions);
    }

    fn line(
        &mut self,
        line: &ReadLine,
        at: LineRef,
        card: &RecipeCard,
        shelf: &[&RecipeCard],
        stage: Stage,
        batch: &mut Batch,
    ) -> Result<(), Error> {
        self.lines += 1;
        if self.lines > MAX_COMPONENTS {
            return Err(Error::new(
                Reason::TooDeep,
                format!("more than {MAX_COMPONENTS} lines once sub-recipes are unfolded"),
            )
            .with("limit", MAX_COMPONENTS));
        }
        for doubt in &line.doubts {
            batch.assumptions.push(Remark {
                line: Some(at.clone()),
                text: doubt.to_string(),
            });
        }
        for condition in &line.conditions {
            let text = format!("kept although the line says `{condition}`");
            batch.assumptions.push(Remark {
                line: Some(at.clone()),
                text,
            });
        }
        if line.negation == Negation::Line {
            let text = format!("read as left out: {}", line.food_text);
            batch.assumptions.push(Remark {
                line: Some(at),
                text,
            });
            return Ok(());
        }
        if refers_to(line, card) {
            return Err(self.circle(label(card)));
        }
        if let Some(sub) = find_card(line, shelf, &label(card)) {
            let via = Via {
                name: sub.name.clone(),
                stage: at_the_plate(line.placement, stage),
            };
            return self.sub_recipe(line, &at, sub, via, shelf, batch);
        }
        let found = matching::find(self.catalogue, line);
        let item = match found {
            Found::Food { food, remarks } => {
                let ounces = if self.kind == SubjectKind::Drink {
                    Ounces::Fluid
                } else {
                    Ounces::ByWeight
                };
                let weighed = weigh::weigh(line, &food, ounces, batch.portion_count());
                for text in remarks.into_iter().chain(weighed.remarks) {
                    batch.assumptions.push(Remark {
                        line: Some(at.clone()),
                        text,
                    });
                }
                if let Some(reason) = weighed.missing {
                    batch.unresolved.push(Unresolved {
                        line: at.clone(),
                        column: column_of_fault(line),
                        reason,
                        tried: Vec::new(),
                    });
                }
                let mut item = Item {
                    line: at,
                    food: Some(food.food().clone()),
                    state: Some(food.state().clone()),
                    name: food.name().to_owned(),
                    class: food.class(),
                    freshness: food.freshness(),
                    amount: weighed.amount,
                    composition: *food.composition(),
                    retentions: Vec::new(),
                    processes: Vec::new(),
                    allergens: food.allergens(),
                    stage: if line.statement.is_some() {
                        Stage::Purchase
                    } else {
                        at_the_plate(line.placement, stage)
                    },
                    evidence: food.evidence(),
                    via: None,
                };
                for step in &line.steps {
                    let beyond = steps::of_line(self.catalogue, step, &mut item);
                    batch
                        .assumptions
                        .extend(beyond.into_iter().map(|text| Remark {
                            line: Some(item.line.clone()),
                            text,
                        }));
                }
                item
            }
            Found::Nothing {
                reason,
                column,
                tried,
            } => {
                batch.unresolved.push(Unresolved {
                    line: at.clone(),
                    column,
                    reason,
                    tried,
                });
                not_understood(line, at, at_the_plate(line.placement, stage))
            }
        };
        batch.items.push(item);
        Ok(())
    }

    fn sub_recipe(
        &mut self,
        line: &ReadLine,
        at: &LineRef,
        sub: &RecipeCard,
        via: Via,
        shelf: &[&RecipeCard],
        batch: &mut Batch,
    ) -> Result<(), Error> {
        let below = self.batch(sub, shelf)?;
        let Some(wanted) = line
            .amounts
            .iter()
            .find_map(|a| weigh::extent(a, Ounces::ByWeight))
        else {
            batch.unresolved.push(Unresolved {
                line: at.clone(),
                column: 1,
                reason: format!(
                    "how much of {} is not said; grams, a volume or portions are accepted",
                    sub.name
                ),
                tried: Vec::new(),
            });
            batch
                .items
                .push(not_understood(line, at.clone(), Stage::Prep));
            return Ok(());
        };
        let ratio = share_of_batch(wanted, &below).ok_or_else(|| {
            Error::new(
                Reason::YieldInvalid,
                format!(
                    "{}: the line `{}` takes a part of {}, whose card states no yield that it can be taken from; say `makes 2.4 kg`, `makes 5 gal` or `serves 24` above zero",
                    self.chain.last().map_or("", String::as_str), line.text, label(sub)
                ),
            )
            .with("sub_recipe", label(sub))
        })?;
        if ratio.get() > 1.0 {
            let text = format!("takes {:.1} batches of {}", ratio.get(), label(sub));
            batch.assumptions.push(Remark {
                line: Some(at.clone()),
                text,
            });
        }
        for mut item in below.items {
            item.scale(ratio);
            item.stage = item.stage.max(Stage::Prep);
            item.via = Some(via.clone());
            batch.items.push(item);
        }
        batch.assumptions.extend(below.assumptions);
        batch.unresolved.extend(below.unresolved);
        Ok(())
    }
}

fn share_of_batch(wanted: Extent, below: &Batch) -> Option<Ratio> {
    let n = below.portions;
    let by_yield = below.makes.and_then(|makes| wanted.share_of(makes));
    let by_portions = || match (wanted, n, below.portion) {
        (Extent::Count(count), Some(n), _) => Some(Ratio::clamped(count / n)),
        (wanted, Some(n), Some(portion)) => wanted
            .share_of(portion)
            .map(|r| Ratio::clamped(r.get() / n)),
        _ => None,
    };
    by_yield.or_else(by_portions)
}

fn label(card: &RecipeCard) -> String {
    card.code.clone().unwrap_or_else(|| card.name.clone())
}

/// Whether a line takes a card by its code.
fn refers_to(line: &ReadLine, card: &RecipeCard) -> bool {
    let is_code = |text: &str| {
        card.code
            .as_deref()
            .is_some_and(|code| code.trim().eq_ignore_ascii_case(text.trim()))
    };
    line.reference.as_deref().is_some_and(is_code) || is_code(&line.food_text)
}

/// The card that a line refers to, by its code or by its name. A card named after its own
/// ingredient does not refer to itself.
fn find_card<'a>(line: &ReadLine, shelf: &[&'a RecipeCard], own: &str) -> Option<&'a RecipeCard> {
    let named = |c: &RecipeCard| {
        c.name.trim().eq_ignore_ascii_case(line.food_text.trim()) && label(c) != own
    };
    let by_code = shelf.iter().find(|c| refers_to(line, c));
    by_code.or_else(|| shelf.iter().find(|c| named(c))).copied()
}

fn stage_of(card: &RecipeCard, batch: &Batch) -> Stage {
    match card.service {
        Service::MadeToOrder => Stage::Line,
        Service::Batch => Stage::Prep,
        Service::Unstated if batch.portions.is_some_and(|n| n >= BATCH_FROM) => Stage::Prep,
        Service::Unstated if batch.portions.is_none() && batch.makes.is_some() => Stage::Prep,
        Service::Unstated => Stage::Line,
    }
}

const fn at_the_plate(placement: Placement, stage: Stage) -> Stage {
    match placement {
        Placement::Garnish | Placement::OnTheSide | Placement::Optional => Stage::Line,
        Placement::InDish => stage,
    }
}

fn not_understood(line: &ReadLine, at: LineRef, stage: Stage) -> Item {
    let name = if line.food_text.is_empty() {
        line.text.clone()
    } else {
        line.food_text.clone()
    };
    Item {
        line: at,
        food: None,
        state: None,
        name,
        class: FoodClass::Composite,
        freshness: Freshness::Other,
        amount: weighed_without_food(line),
        composition: Composition::UNKNOWN,
        retentions: Vec::new(),
        processes: Vec::new(),
        allergens: Allergens::NONE,
        stage,
        evidence: Vec::new(),
        via: None,
    }
}

/// A line that names a mass has one, whatever the food is.
fn weighed_without_food(line: &ReadLine) -> Amount {
    let extent = line
        .amounts
        .iter()
        .find_map(|a| weigh::extent(a, Ounces::ByWeight));
    match extent.and_then(Extent::grams) {
        Some(grams) => Amount::Known(Mass::exact(Grams::clamped(grams))),
        None => Amount::Unknown,
    }
}

fn column_of_fault(line: &ReadLine) -> u32 {
    line.amounts
        .first()
        .map_or(1, |a| u32::try_from(a.span.column(&line.text)).unwrap_or(1))
}

/// `makes` and `portion` of a card, as an extent.
fn amount_of(
    card: &RecipeCard,
    field: &'static str,
    text: Option<&str>,
    ounces: Ounces,
) -> Result<Option<Extent>, Error> {
    let Some(text) = text.map(str::trim).filter(|t| !t.is_empty()) else {
        return Ok(None);
    };
    let read = read_line(&format!("{text} batch"), 1);
    let found = read
        .amounts
        .iter()
        .find_map(|a| weigh::extent(a, ounces))
        .filter(
            |e| matches!(e, Extent::Mass(v) | Extent::Volume(v) | Extent::Count(v) if *v > 0.0),
        );
    match found {
        Some(extent) => Ok(Some(extent)),
        None => Err(Error::new(
            Reason::YieldInvalid,
            format!("{}: `{field}` says `{text}`, which is no amount above zero; `2.4 kg`, `5 gal`, `6 oz ladle` or `#8` are accepted", label(card)),
        )
        .at(format!("/{field}"), "an amount above zero with a unit")),
    }
}

/// The same line twice is kept twice, and said.
fn note_repeats(items: &[Item], assumptions: &mut Vec<Remark>) {
    for (i, item) in items.iter().enumerate() {
        let same = |other: &&Item| {
            other.line.path == item.line.path
                && !item.line.text.is_empty()
                && other.line.text.eq_ignore_ascii_case(&item.line.text)
        };
        if items[..i].iter().any(|other| same(&other)) {
            assumptions.push(Remark {
                line: Some(item.line.clone()),
                text: "the same line stands twice; both count".to_owned(),
            });
        }
    }
}
