//! The units that kitchens write: a closed list.
//!
//! Factors are definitions (pound 453.59237 g, US gallon 231 cubic inches, imperial gallon
//! 4.54609 L); a disher holds a US quart divided by its number. What a tin, a clove or a bunch
//! weighs depends on the food and is not known here.

use std::fmt;

use crate::number::Number;

/// A US teaspoon in millilitres; every US measure of volume is a multiple of it.
const TEASPOON: f64 = 4.928_921_593_75;
/// A US fluid ounce in millilitres.
const FLUID_OUNCE: f64 = TEASPOON * 6.0;
/// A US quart in millilitres.
const QUART: f64 = TEASPOON * 192.0;
/// An imperial fluid ounce in millilitres.
const IMPERIAL_FLUID_OUNCE: f64 = 28.413_062_5;
/// An avoirdupois ounce in grams.
const OUNCE: f64 = 28.349_523_125;

/// What an amount is counted in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unit {
    /// g
    Gram,
    /// kg
    Kilogram,
    /// mg
    Milligram,
    /// Ounce by weight.
    OunceWeight,
    /// lb, or `#` after a number.
    Pound,
    /// `oz` and no more: by weight, or fluid for what is poured.
    Ounce,
    /// mL
    Millilitre,
    /// cL
    Centilitre,
    /// dL
    Decilitre,
    /// L
    Litre,
    /// US teaspoon.
    Teaspoon,
    /// US tablespoon.
    Tablespoon,
    /// US cup.
    Cup,
    /// Metric cup of 250 mL.
    CupMetric,
    /// US fluid ounce.
    FluidOunce,
    /// US pint.
    Pint,
    /// US quart.
    Quart,
    /// US gallon.
    Gallon,
    /// Imperial fluid ounce.
    FluidOunceImperial,
    /// Imperial pint.
    PintImperial,
    /// A disher by its number: level scoops in a US quart.
    Disher(u16),
    /// A ladle by its US fluid ounces.
    Ladle(Number),
    /// A spoodle (portion server) by its US fluid ounces.
    Spoodle(Number, Bowl),
    /// A tin of a trade size.
    Can(CanSize),
    /// A pack of which only the kind is said.
    Pack(Pack),
    /// A piece of something.
    Count(Count),
    /// Per cent of something that the line does not name.
    Percent,
    /// No unit, as with `to taste`.
    Unstated,
}

/// The bowl of a spoodle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Bowl {
    /// Solid: liquor comes along.
    Solid,
    /// Perforated: liquor runs off.
    Perforated,
    /// Not said.
    Unstated,
}

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal),* $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$vdoc])* $variant),* }

        impl $name {
            /// The word of the interface.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $word),* }
            }
        }
    };
}
pub(crate) use words;

words!(
    /// Trade sizes of tins.
    CanSize {
        /// 8Z, about 8 oz.
        EightOunce = "8z-can",
        /// Picnic, 10.5 to 12 oz.
        Picnic = "picnic-can",
        /// #300, 14 to 16 oz.
        No300 = "#300-can",
        /// #303, 16 to 17 oz.
        No303 = "#303-can",
        /// #2, 20 oz.
        No2 = "#2-can",
        /// #2-1/2, 26 to 30 oz.
        No2Half = "#2-1/2-can",
        /// #3 cylinder, 46 fl oz.
        No3 = "#3-can",
        /// #5 squat, 64 to 72 oz.
        No5 = "#5-can",
        /// #10, 6 lb to 7 lb 5 oz; A10 in the United Kingdom.
        No10 = "#10-can",
    }
);

words!(
    /// Packs of no fixed size.
    Pack {
        /// Tin or can.
        Tin = "can",
        /// Jar.
        Jar = "jar",
        /// Package.
        Package = "package",
        /// Packet.
        Packet = "packet",
        /// Bottle.
        Bottle = "bottle",
        /// Carton.
        Carton = "carton",
        /// Box.
        Box = "box",
        /// Bag.
        Bag = "bag",
        /// Case.
        Case = "case",
        /// Tub.
        Tub = "tub",
        /// Pail.
        Pail = "pail",
        /// Sleeve.
        Sleeve = "sleeve",
        /// Flat.
        Flat = "flat",
        /// Hotel pan.
        HotelPan = "hotel-pan",
        /// Sheet pan.
        SheetPan = "sheet",
        /// Tray.
        Tray = "tray",
    }
);

words!(
    /// What is counted.
    Count {
        /// Each, or a number with no unit.
        Each = "each",
        /// Clove.
        Clove = "clove",
        /// Head.
        Head = "head",
        /// Bulb.
        Bulb = "bulb",
        /// Bunch.
        Bunch = "bunch",
        /// Stalk.
        Stalk = "stalk",
        /// Stick: of butter, of cinnamon.
        Stick = "stick",
        /// `stk`: stalk or stick.
        StalkOrStick = "stalk-or-stick",
        /// Pat: of butter.
        Pat = "pat",
        /// Slice.
        Slice = "slice",
        /// Sprig.
        Sprig = "sprig",
        /// Ear.
        Ear = "ear",
        /// Leaf.
        Leaf = "leaf",
        /// Cube.
        Cube = "cube",
        /// Fillet.
        Fillet = "fillet",
        /// Block: of tofu, of cheese.
        Block = "block",
        /// Spear.
        Spear = "spear",
        /// Piece.
        Piece = "piece",
        /// Wedge.
        Wedge = "wedge",
        /// Knob.
        Knob = "knob",
        /// Handful.
        Handful = "handful",
        /// Pinch.
        Pinch = "pinch",
        /// Dash.
        Dash = "dash",
        /// Splash.
        Splash = "splash",
        /// Drop.
        Drop = "drop",
        /// Floret.
        Floret = "floret",
        /// Sheet: of gelatine, of nori.
        Sheet = "sheet",
        /// Rack: of ribs.
        Rack = "rack",
    }
);

impl Count {
    /// The piece that a word means, singular or plural: `leaves`, `clove`. None for `each` and for
    /// words that are no piece.
    #[must_use]
    pub fn of_word(word: &str) -> Option<Self> {
        match of_word(&word.to_lowercase()) {
            Some((Unit::Count(count), _)) if count != Self::Each => Some(count),
            _ => None,
        }
    }
}

impl CanSize {
    /// The contents that makers put in, lowest and highest, as ounces by weight; the #3 cylinder
    /// is sold by fluid ounces and is given as none.
    ///
    /// Trade figures (approximate, makers differ): pounds and ounces of the common can table.
    #[must_use]
    pub const fn ounces(self) -> Option<(Number, Number)> {
        let (low, high) = match self {
            Self::EightOunce => (8.0, 8.0),
            Self::Picnic => (10.5, 12.0),
            Self::No300 => (14.0, 16.0),
            Self::No303 => (16.0, 17.0),
            Self::No2 => (20.0, 20.0),
            Self::No2Half => (26.0, 30.0),
            Self::No3 => return None,
            Self::No5 => (64.0, 72.0),
            Self::No10 => (96.0, 117.0),
        };
        Some((Number::known(low), Number::known(high)))
    }

    /// The size of a number as written after `#`.
    pub(crate) fn of_number(number: f64) -> Option<Self> {
        [
            (10.0, Self::No10),
            (2.5, Self::No2Half),
            (303.0, Self::No303),
            (300.0, Self::No300),
            (2.0, Self::No2),
            (3.0, Self::No3),
            (5.0, Self::No5),
        ]
        .into_iter()
        .find(|(n, _)| (n - number).abs() < 1e-9)
        .map(|(_, size)| size)
    }
}

impl Unit {
    /// Grams in one unit, where the unit is one of mass. `oz` gives its reading by weight.
    #[must_use]
    pub const fn grams(self) -> Option<Number> {
        Some(Number::known(match self {
            Self::Gram => 1.0,
            Self::Kilogram => 1000.0,
            Self::Milligram => 0.001,
            Self::OunceWeight | Self::Ounce => OUNCE,
            Self::Pound => OUNCE * 16.0,
            _ => return None,
        }))
    }

    /// Millilitres in one unit, where the unit is one of volume. `oz` gives its fluid reading;
    /// tools give their nominal capacity, from which real ones stray by about a tenth.
    #[must_use]
    pub fn millilitres(self) -> Option<Number> {
        Some(Number::known(match self {
            Self::Millilitre => 1.0,
            Self::Centilitre => 10.0,
            Self::Decilitre => 100.0,
            Self::Litre => 1000.0,
            Self::Teaspoon => TEASPOON,
            Self::Tablespoon => TEASPOON * 3.0,
            Self::Cup => TEASPOON * 48.0,
            Self::CupMetric => 250.0,
            Self::FluidOunce | Self::Ounce => FLUID_OUNCE,
            Self::Pint => TEASPOON * 96.0,
            Self::Quart => QUART,
            Self::Gallon => QUART * 4.0,
            Self::FluidOunceImperial => IMPERIAL_FLUID_OUNCE,
            Self::PintImperial => IMPERIAL_FLUID_OUNCE * 20.0,
            Self::Disher(number) => QUART / f64::from(number.max(1)),
            Self::Ladle(ounces) | Self::Spoodle(ounces, _) => {
                return Some(Number::held(ounces.get() * FLUID_OUNCE));
            }
            _ => return None,
        }))
    }

    /// Whether amounts of it measure a food, rather than count packs or pieces of it.
    pub(crate) fn measures(self) -> bool {
        self.grams().is_some() || self.millilitres().is_some()
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Gram => "g",
            Self::Kilogram => "kg",
            Self::Milligram => "mg",
            Self::OunceWeight => "oz-weight",
            Self::Pound => "lb",
            Self::Ounce => "oz",
            Self::Millilitre => "ml",
            Self::Centilitre => "cl",
            Self::Decilitre => "dl",
            Self::Litre => "l",
            Self::Teaspoon => "tsp",
            Self::Tablespoon => "tbsp",
            Self::Cup => "cup",
            Self::CupMetric => "metric-cup",
            Self::FluidOunce => "fl-oz",
            Self::Pint => "pint",
            Self::Quart => "quart",
            Self::Gallon => "gallon",
            Self::FluidOunceImperial => "imperial-fl-oz",
            Self::PintImperial => "imperial-pint",
            Self::Disher(number) => return write!(f, "#{number}-disher"),
            Self::Ladle(ounces) => return write!(f, "{ounces}-fl-oz-ladle"),
            Self::Spoodle(ounces, bowl) => {
                let bowl = match bowl {
                    Bowl::Solid => "-solid",
                    Bowl::Perforated => "-perforated",
                    Bowl::Unstated => "",
                };
                return write!(f, "{ounces}-fl-oz{bowl}-spoodle");
            }
            Self::Can(size) => size.as_str(),
            Self::Pack(pack) => pack.as_str(),
            Self::Count(count) => count.as_str(),
            Self::Percent => "percent",
            Self::Unstated => "unstated",
        })
    }
}

/// How sure a spelling is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Spelling {
    Usual,
    Unusual,
    SpoonCase,
    Ambiguous,
}

/// The unit of one word, as it stands in the line (case matters for `T`, `t`).
pub(crate) fn of_word(word: &str) -> Option<(Unit, Spelling)> {
    use Spelling::{Ambiguous, SpoonCase, Unusual, Usual};
    match word {
        "T" => return Some((Unit::Tablespoon, SpoonCase)),
        "t" => return Some((Unit::Teaspoon, SpoonCase)),
        "L" => return Some((Unit::Litre, Usual)),
        _ => {}
    }
    if word.len() > 12 {
        return None;
    }
    let lower = word.to_lowercase();
    let found = match lower.as_str() {
        "g" | "gr" | "gm" | "gms" | "gram" | "grams" | "gramme" | "grammes" => (Unit::Gram, Usual),
        "kg" | "kgs" | "kilo" | "kilos" | "kilogram" | "kilograms" => (Unit::Kilogram, Usual),
        "mg" => (Unit::Milligram, Usual),
        "oz" | "ozs" | "ounce" | "ounces" => (Unit::Ounce, Ambiguous),
        "lb" | "lbs" | "pound" | "pounds" => (Unit::Pound, Usual),
        "ml" | "mls" | "cc" | "millilitre" | "millilitres" | "milliliter" | "milliliters" => {
            (Unit::Millilitre, Usual)
        }
        "cl" => (Unit::Centilitre, Ambiguous),
        "dl" => (Unit::Decilitre, Usual),
        "l" | "ltr" | "ltrs" | "lt" | "litre" | "litres" | "liter" | "liters" => {
            (Unit::Litre, Usual)
        }
        "tsp" | "tsps" | "teaspoon" | "teaspoons" => (Unit::Teaspoon, Usual),
        "ts" | "tspn" => (Unit::Teaspoon, Unusual),
        "tbsp" | "tbsps" | "tblsp" | "tablespoon" | "tablespoons" => (Unit::Tablespoon, Usual),
        "tb" | "tbs" | "tbspn" | "tbspns" | "tbl" => (Unit::Tablespoon, Unusual),
        "c" | "cup" | "cups" => (Unit::Cup, Usual),
        "floz" => (Unit::FluidOunce, Usual),
        "pt" | "pts" | "pint" | "pints" => (Unit::Pint, Usual),
        "qt" | "qts" | "quart" | "quarts" => (Unit::Quart, Usual),
        "gal" | "gals" | "gallon" | "gallons" => (Unit::Gallon, Usual),
        other => {
            return pack(other)
                .map(Unit::Pack)
                .or_else(|| count(other).map(Unit::Count))
                .map(|u| {
                    let ambiguous = u == Unit::Count(Count::StalkOrStick);
                    (u, if ambiguous { Ambiguous } else { Usual })
                });
        }
    };
    Some(found)
}

fn pack(word: &str) -> Option<Pack> {
    Some(match word {
        "tin" | "tins" | "can" | "cans" | "cn" | "cnd" => Pack::Tin,
        "jar" | "jars" => Pack::Jar,
        "pkg" | "pkgs" | "package" | "packages" | "pack" | "packs" => Pack::Package,
        "pkt" | "pkts" | "packet" | "packets" | "sachet" | "sachets" => Pack::Packet,
        "btl" | "btls" | "bottle" | "bottles" => Pack::Bottle,
        "ctn" | "ctns" | "carton" | "cartons" => Pack::Carton,
        "bx" | "box" | "boxes" => Pack::Box,
        "bag" | "bags" => Pack::Bag,
        "cs" | "case" | "cases" => Pack::Case,
        "tub" | "tubs" => Pack::Tub,
        "pail" | "pails" => Pack::Pail,
        "sleeve" | "sleeves" => Pack::Sleeve,
        "flat" | "flats" => Pack::Flat,
        "pn" | "pan" | "pans" => Pack::HotelPan,
        "sht" => Pack::SheetPan,
        "tray" | "trays" => Pack::Tray,
        _ => return None,
    })
}

fn count(word: &str) -> Option<Count> {
    Some(match word {
        "ea" | "each" | "ct" => Count::Each,
        "pc" | "pcs" | "piece" | "pieces" => Count::Piece,
        "clove" | "cloves" | "clv" => Count::Clove,
        "head" | "heads" | "hd" | "hds" => Count::Head,
        "bulb" | "bulbs" => Count::Bulb,
        "bunch" | "bunches" | "bu" | "bch" => Count::Bunch,
        "stalk" | "stalks" | "rib" | "ribs" => Count::Stalk,
        "stick" | "sticks" => Count::Stick,
        "stk" | "stks" => Count::StalkOrStick,
        "pat" | "pats" => Count::Pat,
        "slice" | "slices" | "sl" => Count::Slice,
        "sprig" | "sprigs" | "spr" => Count::Sprig,
        "ear" | "ears" => Count::Ear,
        "leaf" | "leaves" => Count::Leaf,
        "cube" | "cubes" => Count::Cube,
        "fillet" | "fillets" | "filet" | "filets" => Count::Fillet,
        "block" | "blocks" => Count::Block,
        "spear" | "spears" => Count::Spear,
        "wedge" | "wedges" => Count::Wedge,
        "knob" | "knobs" => Count::Knob,
        "handful" | "handfuls" => Count::Handful,
        "pinch" | "pinches" => Count::Pinch,
        "dash" | "dashes" => Count::Dash,
        "splash" | "splashes" => Count::Splash,
        "drop" | "drops" => Count::Drop,
        "floret" | "florets" => Count::Floret,
        "sheet" | "sheets" => Count::Sheet,
        "rack" | "racks" => Count::Rack,
        _ => return None,
    })
}

/// Units that stand without a number for one of them: `pinch salt`, `handful parsley`.
pub(crate) const fn stands_alone(unit: Unit) -> bool {
    matches!(
        unit,
        Unit::Count(
            Count::Pinch
                | Count::Dash
                | Count::Splash
                | Count::Knob
                | Count::Handful
                | Count::Drop
                | Count::Bunch
                | Count::Sprig
        )
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn factors_are_the_definitions() {
        let ml = |u: Unit| u.millilitres().unwrap().get();
        assert!((ml(Unit::Gallon) - 3_785.411_784).abs() < 1e-6);
        assert!((ml(Unit::Cup) - 236.588).abs() < 1e-3);
        assert!((ml(Unit::Disher(8)) - 118.3).abs() < 0.05);
        assert!((ml(Unit::PintImperial) - 568.261).abs() < 1e-3);
        assert!((Unit::Pound.grams().unwrap().get() - 453.592_37).abs() < 1e-9);
    }

    #[test]
    fn an_ounce_has_two_readings() {
        assert!(Unit::Ounce.grams().is_some() && Unit::Ounce.millilitres().is_some());
        assert!(Unit::OunceWeight.millilitres().is_none());
        assert!(Unit::FluidOunce.grams().is_none());
    }

    #[test]
    fn case_matters_for_spoons_only() {
        assert_eq!(of_word("T").unwrap().0, Unit::Tablespoon);
        assert_eq!(of_word("t").unwrap().0, Unit::Teaspoon);
        assert_eq!(of_word("C").unwrap(), of_word("c").unwrap());
        assert_eq!(
            of_word("TBSPN").unwrap(),
            (Unit::Tablespoon, Spelling::Unusual)
        );
    }
}
