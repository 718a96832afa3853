//! How far sources and samples differ, estimated over the whole catalogue and pooled in part.

use std::collections::BTreeMap;

use tamis_scoring::dish::FoodClass;

use super::{Kind, MOST_FREEDOM, Observed, Voice, centre, found_voices, resolution};
use crate::constituent::Constituent;

/// Degrees of freedom that a level counts for in the next one.
const LEVEL_FREEDOM: f64 = 10.0;
/// The same for one pool, and for one row.
pub(super) const OWN_FREEDOM: f64 = 4.0;
/// Variances where the data say nothing: between sources and between samples.
const BETWEEN_UNSAID: f64 = 0.25 * 0.25;
const SAMPLE_UNSAID: f64 = 0.20 * 0.20;
/// Sources do not differ by more than this variance.
const MOST_BETWEEN: f64 = 16.0;
const MOST_STEPS: u32 = 200;

/// The variances that a pool of an analyte and food class starts from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spread {
    pub(crate) between: f64,
    pub(crate) sample: f64,
}

impl Spread {
    /// The variance between the sources of one pool, drawn to that of its analyte and class.
    pub(crate) fn of_pool(self, found: &[Voice]) -> f64 {
        let freedom = found.iter().skip(1).fold(0.0, |f, _| f + 1.0);
        let own = paule_mandel(&[found]);
        (OWN_FREEDOM * self.between + freedom * own) / (OWN_FREEDOM + freedom)
    }
}

/// What one level says of a spread: a variance, or the logarithm of one, by its degrees of freedom.
#[derive(Debug, Clone, Copy, Default)]
struct Level {
    variance: f64,
    freedom: f64,
}

fn drawn(up: f64, own: Level) -> f64 {
    (LEVEL_FREEDOM * up + own.freedom * own.variance) / (LEVEL_FREEDOM + own.freedom)
}

/// One food and state as the spreads see it.
#[derive(Debug, Clone)]
struct Entry {
    constituent: Constituent,
    class: FoodClass,
    /// Logarithms of the variances between samples by their degrees of freedom, summed.
    sample: (f64, f64),
    rows: Vec<Observed>,
    /// Whether several sources found something.
    several: Several,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Several {
    Sources,
    No,
}

/// The observations of the catalogue, as far as they say how far sources and samples differ.
#[derive(Debug, Default)]
pub(crate) struct Spreads {
    entries: Vec<Entry>,
    samples: Samples,
}

#[derive(Debug, Default)]
struct Samples {
    all: BTreeMap<bool, (f64, f64)>,
    analyte: BTreeMap<Constituent, (f64, f64)>,
    class: BTreeMap<(Constituent, &'static str), (f64, f64)>,
}

/// Bulk is known far better than what is dissolved in it; the two do not lend each other spreads.
const fn is_bulk(constituent: Constituent) -> bool {
    !matches!(
        constituent,
        Constituent::Analyte(_) | Constituent::Sucrose | Constituent::TotalPolyols
    )
}

impl Spreads {
    /// Counts one food and state. Returns its place, to leave it out by.
    pub(crate) fn add(
        &mut self,
        constituent: Constituent,
        class: FoodClass,
        all: &[Observed],
    ) -> usize {
        let mut sample = (0.0, 0.0);
        for o in all {
            if let Kind::Found(Some((s, freedom))) = o.kind {
                let freedom = freedom.min(MOST_FREEDOM);
                sample.0 += freedom * (libm::log(s) - bias(freedom));
                sample.1 += freedom;
            }
        }
        let mut found = all.iter().filter(|o| o.is_found()).map(|o| &o.source);
        let first = found.next();
        let several = if found.any(|source| Some(source) != first) {
            Several::Sources
        } else {
            Several::No
        };
        let entry = Entry {
            several,
            constituent,
            class,
            sample,
            rows: all.iter().filter(|o| o.is_found()).cloned().collect(),
        };
        self.samples.add(&entry, 1.0);
        self.entries.push(entry);
        self.entries.len() - 1
    }

    /// The spreads of all analytes and classes.
    pub(crate) fn fit(&self) -> Fitted {
        let mut all: BTreeMap<bool, f64> = BTreeMap::new();
        let mut analytes: BTreeMap<Constituent, f64> = BTreeMap::new();
        let mut fitted = Fitted::default();
        for entry in &self.entries {
            let (constituent, class) = (entry.constituent, entry.class);
            let key = (constituent, class.word());
            if fitted.0.contains_key(&key) {
                continue;
            }
            let up = *all
                .entry(is_bulk(constituent))
                .or_insert_with(|| self.of_all(constituent, None));
            let up = *analytes
                .entry(constituent)
                .or_insert_with(|| self.of_analyte(constituent, up, None));
            let spread = Spread {
                between: self.of_class(constituent, class, up, None),
                sample: self.samples.of(constituent, class, None),
            };
            fitted.0.insert(key, spread);
        }
        fitted
    }

    /// The spread of an analyte and class, where one food and state is left out of every level.
    pub(crate) fn without(
        &self,
        constituent: Constituent,
        class: FoodClass,
        place: usize,
    ) -> Spread {
        let without = Some(place);
        let up = self.of_all(constituent, without);
        let up = self.of_analyte(constituent, up, without);
        Spread {
            between: self.of_class(constituent, class, up, without),
            sample: self.samples.of(constituent, class, self.entries.get(place)),
        }
    }

    fn of_all(&self, constituent: Constituent, without: Option<usize>) -> f64 {
        let bulk = is_bulk(constituent);
        let own = self.level(without, |e| is_bulk(e.constituent) == bulk);
        drawn(BETWEEN_UNSAID, own)
    }

    fn of_analyte(&self, constituent: Constituent, up: f64, without: Option<usize>) -> f64 {
        drawn(up, self.level(without, |e| e.constituent == constituent))
    }

    fn of_class(
        &self,
        constituent: Constituent,
        class: FoodClass,
        up: f64,
        without: Option<usize>,
    ) -> f64 {
        let own = self.level(without, |e| {
            e.constituent == constituent && e.class == class
        });
        drawn(up, own)
    }

    fn level(&self, without: Option<usize>, keep: impl Fn(&Entry) -> bool) -> Level {
        let left_out = without.and_then(|i| self.entries.get(i));
        let voices: Vec<Vec<Voice>> = self
            .entries
            .iter()
            .enumerate()
            .filter(|(i, e)| Some(*i) != without && e.several == Several::Sources && keep(e))
            .map(|(_, e)| {
                let own = self.samples.of(e.constituent, e.class, left_out);
                found_voices(&e.rows, own, resolution(e.rows.iter())).0
            })
            .collect();
        let slices: Vec<&[Voice]> = voices.iter().map(Vec::as_slice).collect();
        Level {
            variance: paule_mandel(&slices),
            freedom: freedom(&slices),
        }
    }
}

impl Samples {
    fn add(&mut self, entry: &Entry, sign: f64) {
        let class = entry.class.word();
        for slot in [
            self.all.entry(is_bulk(entry.constituent)).or_default(),
            self.analyte.entry(entry.constituent).or_default(),
            self.class.entry((entry.constituent, class)).or_default(),
        ] {
            slot.0 += sign * entry.sample.0;
            slot.1 += sign * entry.sample.1;
        }
    }

    fn of(&self, constituent: Constituent, class: FoodClass, without: Option<&Entry>) -> f64 {
        let level = |slot: Option<&(f64, f64)>, same: &dyn Fn(&Entry) -> bool| {
            let (mut sum, mut freedom) = slot.copied().unwrap_or_default();
            if let Some(entry) = without.filter(|e| same(e)) {
                sum -= entry.sample.0;
                freedom -= entry.sample.1;
            }
            if freedom < 0.5 {
                return Level::default();
            }
            Level {
                variance: sum / freedom,
                freedom,
            }
        };
        let bulk = is_bulk(constituent);
        let all = level(self.all.get(&bulk), &|e| is_bulk(e.constituent) == bulk);
        let analyte = level(self.analyte.get(&constituent), &|e| {
            e.constituent == constituent
        });
        let class_level = level(self.class.get(&(constituent, class.word())), &|e| {
            e.constituent == constituent && e.class == class
        });
        let own = bias(OWN_FREEDOM);
        let unsaid = libm::log(SAMPLE_UNSAID) - own;
        libm::exp(drawn(drawn(drawn(unsaid, all), analyte), class_level) + own)
    }
}

/// The spreads of all analytes and classes that have an observation.
#[derive(Debug, Default)]
pub(crate) struct Fitted(BTreeMap<(Constituent, &'static str), Spread>);

impl Fitted {
    pub(crate) fn of(&self, constituent: Constituent, class: FoodClass) -> Spread {
        self.0
            .get(&(constituent, class.word()))
            .copied()
            .unwrap_or(Spread {
                between: BETWEEN_UNSAID,
                sample: SAMPLE_UNSAID,
            })
    }
}

/// By how much the logarithm of a variance of so many degrees of freedom is low on average.
fn bias(freedom: f64) -> f64 {
    digamma(freedom / 2.0) - libm::log(freedom / 2.0)
}

/// The derivative of the logarithm of the gamma function, for arguments above zero (Abramowitz & Stegun
/// 6.3.5 and 6.3.18, recalled).
fn digamma(x: f64) -> f64 {
    let (mut x, mut down) = (x, 0.0);
    while x < 12.0 {
        down += 1.0 / x;
        x += 1.0;
    }
    let r = 1.0 / (x * x);
    let series =
        r * (1.0 / 12.0 - r * (1.0 / 120.0 - r * (1.0 / 252.0 - r * (1.0 / 240.0 - r / 132.0))));
    libm::log(x) - 0.5 / x - series - down
}

fn freedom(pools: &[&[Voice]]) -> f64 {
    pools
        .iter()
        .flat_map(|p| p.iter().skip(1))
        .fold(0.0, |f, _| f + 1.0)
}

/// The variance between sources at which the weighted squares around the centres equal their degrees
/// of freedom; zero where they are less already, or without a pool of two.
pub(crate) fn paule_mandel(pools: &[&[Voice]]) -> f64 {
    let freedom = freedom(pools);
    if freedom < 1.0 {
        return 0.0;
    }
    // The squares fall as the variance grows, ever more slowly, so Newton's steps from zero come to
    // the one root from below and never pass it (DerSimonian & Kacker 2007, recalled).
    let mut between = 0.0;
    for _ in 0..MOST_STEPS {
        let (mut excess, mut slope) = (-freedom, 0.0);
        for pool in pools {
            let (m, _) = centre(pool, between);
            for voice in *pool {
                let weight = 1.0 / (between + voice.v);
                let square = weight * (voice.y - m) * (voice.y - m);
                excess += square;
                slope += weight * square;
            }
        }
        if excess <= 0.0 || slope <= 0.0 {
            break;
        }
        let next: f64 = between + excess / slope;
        if next >= MOST_BETWEEN || next <= between {
            return next.min(MOST_BETWEEN);
        }
        between = next;
    }
    between
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digamma_at_one_half_one_and_two() {
        let euler = 0.577_215_664_901_532_9;
        assert!((digamma(1.0) + euler).abs() < 1e-13);
        assert!((digamma(2.0) + euler - 1.0).abs() < 1e-13);
        assert!((digamma(0.5) + euler + 2.0 * 2.0_f64.ln()).abs() < 1e-13);
    }
}
