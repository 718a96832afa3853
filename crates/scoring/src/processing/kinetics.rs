//! Laws in time: how much is kept after so many hours, in so much water, so warm, at such a dose.
//!
//! Three forms, each monotone in time:
//!
//! - *decay*, what a culture or an enzyme takes: `kept = floor + (1 - floor) 2^(-(t - lag) / half)`;
//! - *leach*, what moves from a food into water that is thrown away. At rest the solute is as
//!   concentrated in the water that the food holds as in the water around it, so of `W` grams of water
//!   for each gram of food, of which the food holds `h`, the share `1 - h / W` ends up outside
//!   (partition between two volumes with coefficient one). It is approached with a half-time:
//!   `kept = 1 - (1 - h / W) (1 - 2^(-t / half))`;
//! - *extract*, the same seen from the liquor: `kept = (1 - h / W) (1 - 2^(-t / half))`.
//!
//! Warmth multiplies the rate by `q10^((T - at) / 10)`, a dose by `(dose / at)^power`.
//!
//! Parameters come as low, central and high, inputs as ranges; all slow ends together give one end of
//! the interval, all fast ends the other. Outside its range a law never extrapolates: beyond its
//! hours the interval runs on to the end that time cannot pass, beyond its warmth, its dose or its
//! water the law refuses and what is left is [`Kept::Unknown`].

use std::fmt;

use super::Kept;
use crate::estimate::Share;
use crate::evidence::Grade;
use crate::quantity::{Fraction, Hours, MilligramsPerLitre, Quantity, Ratio};

/// From a low to a high value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range<T> {
    low: T,
    high: T,
}

impl<T: Copy + PartialOrd> Range<T> {
    /// From one to the other, whichever way round.
    #[must_use]
    pub fn between(a: T, b: T) -> Self {
        if a <= b {
            Self { low: a, high: b }
        } else {
            Self { low: b, high: a }
        }
    }

    /// One value.
    #[must_use]
    pub const fn exactly(value: T) -> Self {
        Self {
            low: value,
            high: value,
        }
    }

    /// The low end.
    #[must_use]
    pub const fn low(&self) -> T {
        self.low
    }

    /// The high end.
    #[must_use]
    pub const fn high(&self) -> T {
        self.high
    }

    fn holds(&self, other: &Self) -> bool {
        self.low <= other.low && other.high <= self.high
    }
}

/// A temperature in degrees Celsius, between -40 and 300.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Celsius(f64);

impl Celsius {
    /// The temperature, cut at the ends of the scale; what is no number is zero.
    #[must_use]
    pub fn clamped(value: f64) -> Self {
        Self(if value.is_nan() {
            0.0
        } else {
            value.clamp(-40.0, 300.0)
        })
    }

    /// Degrees Celsius.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// What a recipe says of a step. What it does not say is taken over the whole range of the law; an
/// unsaid warmth or dose is the one the law was measured at, whose spread its parameters carry.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Conditions {
    /// How long.
    pub hours: Option<Range<Hours>>,
    /// Grams of water for each gram of food.
    pub water: Option<Range<Ratio>>,
    /// How warm.
    pub warmth: Option<Range<Celsius>>,
    /// How much enzyme.
    pub dose: Option<Range<MilligramsPerLitre>>,
}

/// A parameter: 5 % point, centre, 95 % point, in rising order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parameter<Q> {
    low: Q,
    central: Q,
    high: Q,
}

impl<Q: Copy + PartialOrd> Parameter<Q> {
    /// Three numbers in rising order; `None` in any other.
    #[must_use]
    pub fn new(low: Q, central: Q, high: Q) -> Option<Self> {
        (low <= central && central <= high).then_some(Self { low, central, high })
    }
}

/// The form of a law.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Form {
    /// Eaten or split: what never goes, and the hours before it starts.
    Decay {
        /// The share that stays however long.
        floor: Fraction,
        /// Hours before it begins.
        lag: Hours,
    },
    /// Moved into water that is thrown away.
    Leach(Bath),
    /// Moved into a liquor that is kept.
    Extract(Bath),
}

/// Water around a food.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bath {
    /// Grams of water that a gram of the food, as weighed in, holds at the end.
    pub holds: Ratio,
    /// The grams of water for each gram of food over which the law holds.
    pub water: Range<Ratio>,
    /// What cooks take who do not say.
    pub usual: Range<Ratio>,
}

/// How warmth enters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warmth {
    /// Where the half-time was measured.
    pub at: Celsius,
    /// By how much ten degrees more speed it up.
    pub q10: Ratio,
    /// Where that holds.
    pub within: Range<Celsius>,
}

/// How a dose enters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dosing {
    /// Where the half-time was measured.
    pub at: MilligramsPerLitre,
    /// The power of the dose that the rate goes with.
    pub power: Ratio,
    /// Where that holds.
    pub within: Range<MilligramsPerLitre>,
}

/// A law in time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Law {
    /// Its form.
    pub form: Form,
    /// The half-time.
    pub half: Parameter<Hours>,
    /// The hours over which it was seen.
    pub hours: Range<Hours>,
    /// How warmth enters, if it does.
    pub warmth: Option<Warmth>,
    /// How a dose enters, if it does.
    pub dosing: Option<Dosing>,
    /// How good its numbers are.
    pub grade: Grade,
}

/// Where a recipe left the range of a law.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Beyond {
    /// Fewer hours than the law was seen at; the interval runs up to all.
    Shorter,
    /// More hours; the interval runs down to none.
    Longer,
    /// Colder or warmer; the law refuses.
    Warmth,
    /// Less or more enzyme; the law refuses.
    Dose,
    /// Less or more water; the law refuses.
    Water,
}

impl fmt::Display for Beyond {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Shorter => {
                "shorter than the evidence reaches, so anything up to no effect is allowed for"
            }
            Self::Longer => "longer than the evidence reaches, so the interval is widened downwards",
            Self::Warmth => {
                "outside the temperatures of the evidence, so nothing is credited and what went in is a ceiling"
            }
            Self::Dose => {
                "outside the doses of the evidence, so nothing is credited and what went in is a ceiling"
            }
            Self::Water => {
                "outside the amounts of water of the evidence, so nothing is credited and what went in is a ceiling"
            }
        })
    }
}

impl Law {
    /// What is kept under these conditions, and where they leave the range of the law.
    #[must_use]
    pub fn kept(&self, conditions: &Conditions) -> (Kept, Vec<Beyond>) {
        let mut beyond = Vec::new();
        let speed = self.speed(conditions, &mut beyond);
        let water = self.water(conditions, &mut beyond);
        let (Some((slow, fast)), Some((little, much))) = (speed, water) else {
            return (Kept::Unknown, beyond);
        };
        let said = conditions.hours.unwrap_or(self.hours);
        let cut = |h: Hours| h.get().clamp(self.hours.low.get(), self.hours.high.get());
        let (from, to) = (cut(said.low), cut(said.high));
        let end = |hours: f64, speed: f64, half: Hours, water: f64| {
            self.form.at(hours * speed, half.get(), water)
        };
        let (least_done, most_done) = (
            end(from, slow, self.half.high, little),
            end(to, fast, self.half.low, much),
        );
        let speed = libm::sqrt(slow * fast);
        let central = |hours: f64| end(hours, speed, self.half.central, libm::sqrt(little * much));
        let mean = (central(from) + central(to)) / 2.0;
        let (mut low, mut high) = if least_done <= most_done {
            (least_done, most_done)
        } else {
            (most_done, least_done)
        };
        let (before, after) = self.form.ends();
        let mut grade = self.grade;
        for (out, what, bound) in [
            (said.low < self.hours.low, Beyond::Shorter, before),
            (said.high > self.hours.high, Beyond::Longer, after),
        ] {
            if out {
                beyond.push(what);
                grade = grade.weaker(Grade::Inferred);
                (low, high) = (low.min(bound), high.max(bound));
            }
        }
        let share = Share::kept(
            Fraction::clamped(mean.clamp(low, high)),
            Fraction::clamped(low),
            Fraction::clamped(high),
        );
        (Kept::Share(share, grade), beyond)
    }

    /// The slowest and the fastest factor of the rate; `None` where the law refuses.
    fn speed(&self, conditions: &Conditions, beyond: &mut Vec<Beyond>) -> Option<(f64, f64)> {
        let (mut slow, mut fast) = (1.0, 1.0);
        if let (Some(w), Some(said)) = (self.warmth, conditions.warmth) {
            if !w.within.holds(&said) {
                beyond.push(Beyond::Warmth);
                return None;
            }
            let factor = |t: Celsius| libm::pow(w.q10.get(), (t.get() - w.at.get()) / 10.0);
            (slow, fast) = (slow * factor(said.low), fast * factor(said.high));
        }
        if let (Some(d), Some(said)) = (self.dosing, conditions.dose) {
            if !d.within.holds(&said) {
                beyond.push(Beyond::Dose);
                return None;
            }
            let factor = |mg: MilligramsPerLitre| libm::pow(mg.get() / d.at.get(), d.power.get());
            (slow, fast) = (slow * factor(said.low), fast * factor(said.high));
        }
        Some((slow, fast))
    }

    /// The least and the most water; `None` where the law refuses.
    fn water(&self, conditions: &Conditions, beyond: &mut Vec<Beyond>) -> Option<(f64, f64)> {
        let (Form::Leach(bath) | Form::Extract(bath)) = self.form else {
            return Some((1.0, 1.0));
        };
        let said = conditions.water.unwrap_or(bath.usual);
        if !bath.water.holds(&said) {
            beyond.push(Beyond::Water);
            return None;
        }
        Some((said.low.get(), said.high.get()))
    }
}

impl Form {
    /// What is kept after `hours` with a half-time, in `water` grams for each gram.
    fn at(&self, hours: f64, half: f64, water: f64) -> f64 {
        let left = |t: f64| {
            if half > 0.0 {
                libm::exp2(-t / half)
            } else {
                0.0
            }
        };
        let moved = |bath: &Bath| {
            let outside = if water > 0.0 {
                (1.0 - bath.holds.get() / water).max(0.0)
            } else {
                0.0
            };
            outside * (1.0 - left(hours))
        };
        match self {
            Self::Decay { floor, lag } => {
                let t = (hours - lag.get()).max(0.0);
                floor.get() + (1.0 - floor.get()) * left(t)
            }
            Self::Leach(bath) => 1.0 - moved(bath),
            Self::Extract(bath) => moved(bath),
        }
    }

    /// What is kept at the very start, and the end that no time can pass.
    const fn ends(&self) -> (f64, f64) {
        match self {
            Self::Decay { .. } | Self::Leach(_) => (1.0, 0.0),
            Self::Extract(_) => (0.0, 1.0),
        }
    }
}
