//! So many packs or pieces, each of which holds a measure.

use crate::amount::{Amount, Measure, Quantity};
use crate::figure::figure;
use crate::number::Number;
use crate::reader::{Findings, Part, Reader};
use crate::unit::{self, Bowl, Count, Pack, Unit};

impl Reader<'_> {
    /// `2 14-ounce cans`, `4 6 oz fillets`, `1 6 oz ladle`: so many of a size.
    pub fn sized(self, i: usize, count: &Part) -> Option<(Amount, usize)> {
        let size = figure(self, count.next)?;
        let number = Number::new(size.value).ok()?;
        let hyphen = self.mark(size.next, '-');
        let (unit, next) = self.unit(size.next + usize::from(hyphen), &mut Findings::default())?;
        if !unit.measures() {
            return None;
        }
        let fluid = matches!(unit, Unit::Ounce | Unit::FluidOunce);
        let (of, next) = match self.lower(next).as_str() {
            "ladle" | "ladles" if fluid => (Unit::Ladle(number), next + 1),
            "spoodle" | "spoodles" if fluid => (Unit::Spoodle(number, Bowl::Unstated), next + 1),
            _ => match self.piece_after(next) {
                Some(piece) => piece,
                // `1 500 g` may be a number with a gap in it; an ounce or a hyphen makes it a size.
                None if hyphen || fluid || matches!(unit, Unit::OunceWeight | Unit::Pound) => {
                    (Unit::Count(Count::Each), next)
                }
                None => return None,
            },
        };
        let tool = matches!(of, Unit::Ladle(_) | Unit::Spoodle(..));
        let each = Measure {
            quantity: Quantity::Exact(number),
            unit,
        };
        let amount = Amount {
            quantity: count.quantity.clone(),
            unit: of,
            each: (!tool).then_some(each),
            span: self.span(i, next),
        };
        Some((amount, next))
    }

    /// `3 tins 400 g`: what each pack holds may follow it.
    pub fn plain(
        self,
        i: usize,
        quantity: Quantity,
        unit: Option<Unit>,
        next: usize,
    ) -> (Amount, usize) {
        let unit = unit.unwrap_or(Unit::Count(Count::Each));
        let mut amount = Amount {
            quantity,
            unit,
            each: None,
            span: self.span(i, next),
        };
        let mut next = next;
        if matches!(unit, Unit::Pack(_)) {
            let skip = usize::from(self.lower(next) == "of");
            let mut aside = Findings::default();
            if let Some(part) = self.part(next + skip, &mut aside)
                && let Some(unit) = part.unit.filter(|u| u.measures())
            {
                amount.each = Some(Measure {
                    quantity: part.quantity,
                    unit,
                });
                next = part.next;
                amount.span = self.span(i, next);
            }
        }
        (amount, next)
    }

    pub fn multiplied(self, i: usize, first: Part, second: Part) -> (Amount, usize) {
        // `4 oz x 50` says the number of pieces last.
        let (count, held) = match (first.unit, second.unit) {
            (Some(unit), None) if unit.measures() => (second, first),
            _ => (first, second),
        };
        let mut next = count.next.max(held.next);
        let mut unit = count.unit.unwrap_or(Unit::Count(Count::Each));
        if let Some((pack, after)) = self.pack_after(next) {
            unit = Unit::Pack(pack);
            next = after;
        }
        let each = held.unit.map(|unit| Measure {
            quantity: held.quantity.clone(),
            unit,
        });
        // `2 x 3` with no unit: pieces, multiplied out.
        let quantity = match (&each, count.quantity.bounds(), held.quantity.bounds()) {
            (None, Some((a, b)), Some((c, d))) => {
                Quantity::of(a.get() * c.get(), b.get() * d.get())
            }
            _ => count.quantity,
        };
        (
            Amount {
                quantity,
                unit,
                each,
                span: self.span(i, next),
            },
            next,
        )
    }

    /// A word for a pack or a piece.
    pub fn piece_after(self, i: usize) -> Option<(Unit, usize)> {
        let pack = self
            .pack_after(i)
            .map(|(pack, next)| (Unit::Pack(pack), next));
        pack.or_else(|| match unit::of_word(self.word(i)) {
            Some((piece @ Unit::Count(_), _)) => Some((piece, i + 1)),
            _ => None,
        })
    }

    /// A pack word right after a measure: `400 g tin`, `1.1 kg pkt`.
    pub fn pack_after(self, i: usize) -> Option<(Pack, usize)> {
        match unit::of_word(self.word(i)) {
            Some((Unit::Pack(pack), _)) if self.lower(i) != "cnd" => Some((pack, i + 1)),
            _ => None,
        }
    }
}
