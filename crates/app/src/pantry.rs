//! A food of the catalogue in one state, as the use cases handle it.

use tamis_catalogue::measures::{Size as CatalogueSize, Weighed};
use tamis_catalogue::{Catalogue, Food};
use tamis_kitchen_text::{CanSize, Count, Pack, Size, Unit};
use tamis_scoring::allergens::Allergens;
use tamis_scoring::assessment::EvidenceRow;
use tamis_scoring::composition::Composition;
use tamis_scoring::dish::{FoodClass, Freshness};
use tamis_scoring::estimate::{Estimate, Mass, Share};
use tamis_scoring::quantity::{FoodId, Fraction, Millilitres, Quantity, Ratio, StateId};
use tamis_scoring::subgroup::Analyte;

/// What is left of a tin's net weight where no drained weight is on record, 5 % and 95 %; common
/// practice, no source.
const DRAINED: (f64, f64) = (0.50, 0.70);

/// How far a drained share varies between tins; common practice, no source.
const DRAINED_RELATIVE_SD: f64 = 0.05;

/// One food in one state.
#[derive(Debug, Clone)]
pub(crate) struct FoodState<'a> {
    catalogue: &'a Catalogue,
    food: &'a Food,
    state: StateId,
    composition: Composition,
}

impl<'a> FoodState<'a> {
    pub fn of(catalogue: &'a Catalogue, food: &FoodId, state: &StateId) -> Option<Self> {
        let composition = catalogue.composition(food, state)?;
        Some(Self {
            catalogue,
            food: catalogue.food(food)?,
            state: state.clone(),
            composition,
        })
    }

    pub fn food(&self) -> &FoodId {
        &self.food.id
    }

    pub const fn state(&self) -> &StateId {
        &self.state
    }

    pub fn name(&self) -> &'a str {
        &self.food.name
    }

    /// Whether the word for a piece is the last of its own plain name: a bay leaf is one, a lettuce
    /// leaf is none.
    pub fn is_one(&self, word: &str) -> bool {
        let stem = |w: &str| {
            w.to_lowercase()
                .trim_end_matches('s')
                .replace("leave", "leaf")
        };
        let own = self.food.name.split(',').next().unwrap_or_default();
        own.rsplit(' ')
            .next()
            .is_some_and(|last| stem(last) == stem(word))
    }

    pub const fn class(&self) -> FoodClass {
        self.food.class
    }

    pub const fn allergens(&self) -> Allergens {
        self.food.allergens
    }

    pub const fn composition(&self) -> &Composition {
        &self.composition
    }

    pub fn freshness(&self) -> Freshness {
        self.catalogue.freshness(&self.food.id, &self.state)
    }

    /// The observations behind every analyte.
    pub fn evidence(&self) -> Vec<EvidenceRow> {
        let of = |&analyte: &Analyte| {
            let rows = self.catalogue.evidence(&self.food.id, &self.state, analyte);
            rows.into_iter()
                .map(move |evidence| EvidenceRow { analyte, evidence })
        };
        Analyte::ALL.iter().flat_map(of).collect()
    }

    /// Whether a kitchen pours it, so that `oz` can mean fluid ounces.
    pub fn is_pourable(&self) -> bool {
        matches!(
            self.class(),
            FoodClass::Drink
                | FoodClass::Spirit
                | FoodClass::Condiment
                | FoodClass::FatOil
                | FoodClass::Dairy
        ) && self.catalogue_has_density()
    }

    fn catalogue_has_density(&self) -> bool {
        let one = Estimate::exact(Millilitres::clamped(1.0));
        self.catalogue
            .weigh_volume(&self.food.id, &self.state, one, &[])
            .is_some_and(|w| w.grams.mean().get() > 0.8)
    }

    /// Grams of a volume.
    pub fn by_volume(&self, ml: Estimate<Millilitres>, forms: &[&str]) -> Option<Weighed> {
        self.catalogue
            .weigh_volume(&self.food.id, &self.state, ml, forms)
    }

    /// Grams of one of a unit that is counted.
    pub fn one(&self, unit: Unit, size: Size, forms: &[&str]) -> Option<Weighed> {
        let size = match size {
            Size::Small | Size::Petite => Some(CatalogueSize::Small),
            Size::Medium => Some(CatalogueSize::Medium),
            Size::Large => Some(CatalogueSize::Large),
            Size::ExtraLarge => Some(CatalogueSize::ExtraLarge),
            Size::Unstated => None,
        };
        let words: &[&str] = match unit {
            Unit::Count(Count::StalkOrStick) => &["stalk", "stick"],
            Unit::Count(Count::Bulb | Count::Head) => &["head", "bulb", "each"],
            Unit::Count(count) => &[count.as_str()],
            Unit::Pack(Pack::Package | Pack::Packet) => &["packet", "package"],
            Unit::Pack(pack) => &[pack.as_str()],
            _ => &[],
        };
        words
            .iter()
            .find_map(|word| self.count(&self.state, word, size, forms))
    }

    /// Grams in one tin of a trade size, where the food has a measure of it.
    pub fn tin(&self, size: CanSize, forms: &[&str]) -> Option<Weighed> {
        let key = size.as_str().trim_end_matches("-can");
        let keys = [key.to_owned(), key.replace('#', "can:")];
        keys.iter()
            .find_map(|key| self.count(&self.state, key, None, forms))
    }

    fn count(
        &self,
        state: &StateId,
        measure: &str,
        size: Option<CatalogueSize>,
        forms: &[&str],
    ) -> Option<Weighed> {
        let one = Ratio::clamped(1.0);
        self.catalogue
            .weigh_count(&self.food.id, state, measure, size, forms, one)
    }

    /// What a kitchen can count of it, in the words of the catalogue.
    pub fn measure_words(&self) -> Vec<String> {
        let page = self.catalogue.page(&self.food.id);
        let state = page
            .iter()
            .flat_map(|p| &p.states)
            .find(|s| s.id == self.state);
        let mut words: Vec<String> = state
            .into_iter()
            .flat_map(|s| s.measures.iter().map(|m| m.measure.clone()))
            .filter(|m| !m.contains(':') && m != "ml")
            .collect();
        words.truncate(6);
        words
    }

    /// The edible share of it as purchased.
    pub fn edible_share(&self) -> Option<Share> {
        self.catalogue
            .edible_share(&self.food.id, &self.state)
            .map(|e| e.share)
    }

    /// What is left of a tin's net weight, for a state that is drained: the drained weight of one tin
    /// over the net weight of the same, where the catalogue has both.
    pub fn drained_share(&self) -> Option<Share> {
        if self.state.as_str() != "canned-drained" {
            return None;
        }
        let whole = StateId::new("canned-undrained").ok();
        let can = |state: &StateId| Some(self.count(state, "can", None, &[])?.grams.mean().get());
        let share = whole
            .and_then(|whole| Some(can(&self.state)? / can(&whole)?))
            .filter(|share| (0.2..1.0).contains(share));
        Some(match share {
            Some(share) => Share::with_relative_sd(
                Fraction::clamped(share),
                Ratio::clamped(DRAINED_RELATIVE_SD),
            ),
            None => {
                Share::from_interval(Fraction::clamped(DRAINED.0), Fraction::clamped(DRAINED.1))
            }
        })
    }

    /// What one pack of a trade size holds, net.
    pub fn pack(&self, words: &str) -> Option<Mass> {
        self.catalogue
            .pack(&words.replace("-can", " can"))
            .or_else(|| self.catalogue.pack(words.trim_end_matches("-can")))
            .map(|p| p.net)
    }
}
