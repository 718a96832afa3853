//! Requests in a few words.

use tamis_wire::scoring::diner::{Diner, Policy};
use tamis_wire::scoring::quantity::Portions;
use tamis_wire::scoring::request::{AssessmentRequest, RecipeCard, Service, Serving, Subject};

/// A recipe card in the making.
///
/// ```
/// use tamis_client::Card;
/// use tamis_client::scoring::diner::Confidence;
///
/// let mut request = Card::new("Lentil soup")
///     .makes("5 gal")
///     .portion("6 oz ladle")
///     .lines(["2 kg lentils, canned, drained", "1 batch Stock B"])
///     .sub_recipe(Card::new("Stock B").makes("12 l").lines(["2 onions", "12 l water"]))
///     .method("Simmer until soft.")
///     .into_dish();
/// // Without more, for a diner in the restriction phase and by the default policy.
/// request.policy.confidence = Confidence::Upper95;
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Card(RecipeCard);

impl Card {
    /// A card with its name.
    #[must_use]
    pub fn new(name: impl Into<String>) -> Self {
        Self(RecipeCard {
            name: name.into(),
            code: None,
            portions: None,
            makes: None,
            portion: None,
            service: Service::Unstated,
            lines: Vec::new(),
            method: String::new(),
            sub_recipes: Vec::new(),
        })
    }

    /// Its code, by which lines of other cards refer to it.
    #[must_use]
    pub fn code(mut self, code: impl Into<String>) -> Self {
        self.0.code = Some(code.into());
        self
    }

    /// How many portions the lines make.
    #[must_use]
    pub const fn portions(mut self, portions: Portions) -> Self {
        self.0.portions = Some(portions);
        self
    }

    /// What the lines make, as a kitchen writes it: `2.4 kg`, `5 gal`.
    #[must_use]
    pub fn makes(mut self, makes: impl Into<String>) -> Self {
        self.0.makes = Some(makes.into());
        self
    }

    /// One portion, as a kitchen writes it: `6 oz ladle`, `120 g`.
    #[must_use]
    pub fn portion(mut self, portion: impl Into<String>) -> Self {
        self.0.portion = Some(portion.into());
        self
    }

    /// Whether components can be left out when the plate is made.
    #[must_use]
    pub const fn service(mut self, service: Service) -> Self {
        self.0.service = service;
        self
    }

    /// Adds ingredient lines, as written.
    #[must_use]
    pub fn lines<L: Into<String>>(mut self, lines: impl IntoIterator<Item = L>) -> Self {
        self.0.lines.extend(lines.into_iter().map(Into::into));
        self
    }

    /// The method, as written.
    #[must_use]
    pub fn method(mut self, method: impl Into<String>) -> Self {
        self.0.method = method.into();
        self
    }

    /// Adds a card that a line refers to by code or name.
    #[must_use]
    pub fn sub_recipe(mut self, card: Self) -> Self {
        self.0.sub_recipes.push(card.0);
        self
    }

    /// The card as an item of a sitting that is eaten.
    #[must_use]
    pub fn into_served_dish(self) -> Serving {
        Serving::Dish(self.0)
    }

    /// The card as an item of a sitting that is drunk.
    #[must_use]
    pub fn into_served_drink(self) -> Serving {
        Serving::Drink(self.0)
    }

    /// Asks about the card as a dish, for a diner in the restriction phase, by the default policy.
    #[must_use]
    pub fn into_dish(self) -> AssessmentRequest {
        ask(Subject::Dish(self.0))
    }

    /// Asks about the card as a drink, for a diner in the restriction phase, by the default policy.
    #[must_use]
    pub fn into_drink(self) -> AssessmentRequest {
        ask(Subject::Drink(self.0))
    }
}

impl From<Card> for RecipeCard {
    fn from(card: Card) -> Self {
        card.0
    }
}

fn ask(subject: Subject) -> AssessmentRequest {
    AssessmentRequest {
        subject,
        diner: Diner::restriction(),
        policy: Policy::default(),
    }
}
