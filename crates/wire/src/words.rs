//! Enums of the wire: their words in JSON, and the enums of the domain behind them.
//!
//! In JSON a value is its word and an unspecified one is `null`; a word that is not known is an
//! error that lists those that are.

use std::fmt;
use std::marker::PhantomData;

use serde::de::{self, Deserializer, SeqAccess, Visitor};
use serde::ser::{self, SerializeSeq, Serializer};
use tamis_scoring::subgroup::WordError;

use crate::v1;

/// An enum of the wire whose values have words.
pub trait WireEnum: Copy + Default + TryFrom<i32> + Into<i32> {
    /// What a value is called in an error.
    const NAME: &'static str;

    /// The word; `None` for the unspecified value.
    fn word(self) -> Option<&'static str>;

    /// Reads a word.
    ///
    /// # Errors
    /// When the word is not one of [`Self::accepted`].
    fn from_word(word: &str) -> Result<Self, WordError>;

    /// The words, in the order of the interface.
    fn accepted() -> Vec<&'static str>;
}

/// An enum of the wire with an enum of the domain behind it.
pub trait DomainEnum: WireEnum {
    /// The enum of the domain.
    type Domain;

    /// The value of the domain; `None` for the unspecified one.
    fn domain(self) -> Option<Self::Domain>;
}

/// A value that stands for nothing: the field was not given.
#[must_use]
pub fn is_unspecified(value: &i32) -> bool {
    *value == 0
}

/// The JSON form of one enum field, for `#[serde(with)]`.
pub struct One<E>(PhantomData<E>);

/// The JSON form of a repeated enum field, for `#[serde(with)]`.
pub struct List<E>(PhantomData<E>);

impl<E: WireEnum> One<E> {
    /// Writes the word, or `null` for the unspecified value.
    ///
    /// # Errors
    /// When the number is no value of the enum.
    pub fn serialize<S: Serializer>(value: &i32, serializer: S) -> Result<S::Ok, S::Error> {
        match known::<E, S::Error>(*value)?.word() {
            Some(word) => serializer.serialize_str(word),
            None => serializer.serialize_none(),
        }
    }

    /// Reads a word, or `null`.
    ///
    /// # Errors
    /// When the word is not known.
    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<i32, D::Error> {
        deserializer.deserialize_any(OneVisitor::<E>(PhantomData))
    }
}

impl<E: WireEnum> List<E> {
    /// Writes the words.
    ///
    /// # Errors
    /// When a number is no value of the enum.
    pub fn serialize<S: Serializer>(values: &[i32], serializer: S) -> Result<S::Ok, S::Error> {
        let mut seq = serializer.serialize_seq(Some(values.len()))?;
        for &value in values {
            seq.serialize_element(&known::<E, S::Error>(value)?.word())?;
        }
        seq.end()
    }

    /// Reads words.
    ///
    /// # Errors
    /// When a word is not known.
    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<i32>, D::Error> {
        deserializer.deserialize_seq(ListVisitor::<E>(PhantomData))
    }
}

fn known<E: WireEnum, R: ser::Error>(value: i32) -> Result<E, R> {
    E::try_from(value).map_err(|_| R::custom(format_args!("{value} is not {}", E::NAME)))
}

struct OneVisitor<E>(PhantomData<E>);

impl<E: WireEnum> Visitor<'_> for OneVisitor<E> {
    type Value = i32;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: one of {}", E::NAME, E::accepted().join(", "))
    }

    fn visit_str<R: de::Error>(self, word: &str) -> Result<i32, R> {
        E::from_word(word).map(Into::into).map_err(R::custom)
    }

    fn visit_unit<R: de::Error>(self) -> Result<i32, R> {
        Ok(E::default().into())
    }

    fn visit_none<R: de::Error>(self) -> Result<i32, R> {
        self.visit_unit()
    }
}

/// One word of a list, where `null` would say nothing.
struct Listed<E>(i32, PhantomData<E>);

impl<'de, E: WireEnum> serde::Deserialize<'de> for Listed<E> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let word = std::borrow::Cow::<'de, str>::deserialize(deserializer)?;
        E::from_word(&word)
            .map(|e| Self(e.into(), PhantomData))
            .map_err(de::Error::custom)
    }
}

struct ListVisitor<E>(PhantomData<E>);

impl<'de, E: WireEnum> Visitor<'de> for ListVisitor<E> {
    type Value = Vec<i32>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "a list of words, each {}: {}",
            E::NAME,
            E::accepted().join(", ")
        )
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Vec<i32>, A::Error> {
        let mut values = Vec::new();
        while let Some(Listed::<E>(value, _)) = seq.next_element()? {
            values.push(value);
        }
        Ok(values)
    }
}

/// Ties an enum of the wire to the enum of the domain with the same variants.
macro_rules! domain_words {
    ($($wire:ident = $module:ident::$domain:ident, $name:literal, { $($variant:ident),+ $(,)? };)+) => { $(
        impl From<tamis_scoring::$module::$domain> for v1::$wire {
            fn from(value: tamis_scoring::$module::$domain) -> Self {
                match value { $(tamis_scoring::$module::$domain::$variant => Self::$variant),+ }
            }
        }

        impl DomainEnum for v1::$wire {
            type Domain = tamis_scoring::$module::$domain;

            fn domain(self) -> Option<Self::Domain> {
                match self {
                    Self::Unspecified => None,
                    $(Self::$variant => Some(tamis_scoring::$module::$domain::$variant)),+
                }
            }
        }

        impl WireEnum for v1::$wire {
            const NAME: &'static str = $name;

            fn word(self) -> Option<&'static str> {
                self.domain().map(tamis_scoring::$module::$domain::word)
            }

            fn from_word(word: &str) -> Result<Self, WordError> {
                tamis_scoring::$module::$domain::from_word(word).map(Self::from)
            }

            fn accepted() -> Vec<&'static str> {
                tamis_scoring::$module::$domain::ALL.iter().map(|v| v.word()).collect()
            }
        }

        schema!($wire, $name);
    )+ };
}

/// Enums that only the wire has.
macro_rules! wire_words {
    ($($wire:ident, $name:literal, { $($variant:ident = $word:literal),+ $(,)? };)+) => { $(
        impl WireEnum for v1::$wire {
            const NAME: &'static str = $name;

            fn word(self) -> Option<&'static str> {
                match self {
                    Self::Unspecified => None,
                    $(Self::$variant => Some($word)),+
                }
            }

            fn from_word(word: &str) -> Result<Self, WordError> {
                match word {
                    $($word => Ok(Self::$variant),)+
                    _ => Err(WordError {
                        given: word.chars().take(60).collect(),
                        what: $name,
                        accepted: &[$($word),+],
                    }),
                }
            }

            fn accepted() -> Vec<&'static str> {
                vec![$($word),+]
            }
        }

        schema!($wire, $name);
    )+ };
}

macro_rules! schema {
    ($wire:ident, $name:literal) => {
        #[cfg(feature = "openapi")]
        impl utoipa::PartialSchema for v1::$wire {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                utoipa::openapi::ObjectBuilder::new()
                    .schema_type(utoipa::openapi::schema::Type::String)
                    .description(Some(concat!("The word of ", $name, ".")))
                    .enum_values(Some(<Self as WireEnum>::accepted()))
                    .into()
            }
        }

        #[cfg(feature = "openapi")]
        impl utoipa::ToSchema for v1::$wire {
            fn name() -> std::borrow::Cow<'static, str> {
                stringify!($wire).into()
            }
        }
    };
}

domain_words! {
    ServiceStyle = request::Service, "a way of service", { MadeToOrder, Batch, Unstated };
    Phase = diner::Phase, "a phase", { Restriction, Reintroduction, Personalisation };
    Subgroup = subgroup::Subgroup, "a subgroup", {
        Fructans, Galactans, TotalOligosaccharides, Lactose, ExcessFructose, Sorbitol, Mannitol,
        OtherPolyols, TotalPolyols,
    };
    Analyte = subgroup::Analyte, "an analyte", {
        Fructans, Galactans, Lactose, Fructose, Glucose, Sorbitol, Mannitol, OtherPolyols,
    };
    Allergen = allergens::Allergen, "an allergen", {
        Gluten, Wheat, Milk, Egg, Fish, Crustacean, Mollusc, Peanut, TreeNut, Soy, Sesame, Celery,
        Mustard, Sulphite, Lupin,
    };
    Confidence = diner::Confidence, "a confidence", { Central, Upper95 };
    Grade = evidence::Grade, "a grade of evidence", {
        Measured, Secondary, Recalled, Inferred, Practice,
    };
    Netting = diner::Netting, "a netting of fructose", { Portion, Component };
    Region = diner::Region, "a region", { Us, Uk, Au };
    SubjectKind = assessment::SubjectKind, "a kind of subject", { Dish, Drink, Sitting };
    Ruling = ruling::Ruling, "a ruling", { Serve, Alter, Withhold, Refer };
    LoadState = loads::LoadState, "a load state", { Zero, Estimated, Bounded, Unknown };
    Finding = ruling::Finding, "a finding", {
        NotLimited, Within, Over, Unknown, TooWeak, Unsettled,
    };
    CutoffAppliesTo = cutoffs::AppliesTo, "a class of dish", {
        General, GrainLegumeNut, FreshProduceFructoseAlone,
    };
    AmendmentKind = amendments::AmendmentKind, "a kind of amendment", {
        Hold, Sub, Downsize, Rework,
    };
    Stage = dish::Stage, "a stage", { Line, Prep, Purchase };
    FoodClass = dish::FoodClass, "a food class", {
        Grain, Legume, NutSeed, Vegetable, Fruit, Mushroom, HerbSpice, Dairy, Egg, Meat, Fish,
        FatOil, Sweetener, Drink, Spirit, Condiment, Additive, Composite, WaterSalt,
    };
}

wire_words! {
    CutoffBasis, "a basis of a cut-off", {
        Published = "published", SharedTotal = "shared_total", Tolerance = "tolerance",
    };
    TicketKind, "a kind of ticket", { Kitchen = "kitchen", Tray = "tray" };
}
