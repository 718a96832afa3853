//! A card unfolded into what lies on one plate.

use tamis_scoring::allergens::Allergens;
use tamis_scoring::assessment::{EvidenceRow, LineRef, Remark, SubjectKind, Unresolved};
use tamis_scoring::composition::Composition;
use tamis_scoring::dish::{Amount, Component, FoodClass, Freshness, Portion, Stage};
use tamis_scoring::processing::Retention;
use tamis_scoring::quantity::{FoodId, Grams, Ratio, StateId};

/// One ingredient line, matched and weighed.
#[derive(Debug, Clone)]
pub(crate) struct Item {
    pub line: LineRef,
    pub food: Option<FoodId>,
    pub state: Option<StateId>,
    /// The plain name, or the words of the line where no food was matched.
    pub name: String,
    pub class: FoodClass,
    pub freshness: Freshness,
    pub amount: Amount,
    pub composition: Composition,
    /// What each process in turn leaves and makes.
    pub retentions: Vec<Retention>,
    pub processes: Vec<String>,
    pub allergens: Allergens,
    pub stage: Stage,
    pub evidence: Vec<EvidenceRow>,
    /// The sub-recipe of the plate's own card that it came in with.
    pub via: Option<Via>,
}

/// A sub-recipe on the plate: it can be left off as one, whatever is inside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Via {
    pub name: String,
    pub stage: Stage,
}

impl Item {
    /// The component that the scoring core sums.
    pub fn component(&self) -> Component {
        Component {
            food: self.food.clone(),
            state: self.state.clone(),
            class: self.class,
            freshness: self.freshness,
            amount: self.amount,
            composition: self
                .retentions
                .iter()
                .fold(self.composition, |c, process| c.retained(process)),
            allergens: self.allergens,
            stage: self.stage,
        }
    }

    pub fn scale(&mut self, ratio: Ratio) {
        self.amount = self.amount.times(ratio);
    }
}

/// What lies on one plate or stands in one glass.
#[derive(Debug, Clone)]
pub(crate) struct Plate {
    pub name: String,
    pub code: Option<String>,
    pub kind: SubjectKind,
    pub items: Vec<Item>,
    pub portion: Option<Grams>,
    pub assumptions: Vec<Remark>,
    pub unresolved: Vec<Unresolved>,
}

impl Plate {
    pub fn components(&self) -> Vec<Component> {
        self.items.iter().map(Item::component).collect()
    }

    pub fn as_portion(&self) -> Portion {
        Portion::new(self.components())
    }
}
