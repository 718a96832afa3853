//! Finds the amounts in the tokens of a text.

use crate::amount::{Amount, Measure, Quantity};
use crate::doubt::{Doubt, DoubtKind, LineFault};
use crate::figure::{Figure, figure};
use crate::number::{Number, Span};
use crate::scan::{Kind, Token};
use crate::unit::{self, CanSize, Count, Unit};

/// What came up while an amount was read.
#[derive(Debug, Default)]
pub(crate) struct Findings {
    pub doubts: Vec<Doubt>,
    pub faults: Vec<LineFault>,
}

/// Reads amounts from the tokens of one text.
#[derive(Clone, Copy)]
pub(crate) struct Reader<'a> {
    pub text: &'a str,
    pub tokens: &'a [Token],
}

/// A piece of an amount, and the token after it.
pub(crate) struct Part {
    pub quantity: Quantity,
    pub unit: Option<Unit>,
    pub next: usize,
}

impl<'a> Reader<'a> {
    pub fn word(self, i: usize) -> &'a str {
        match self.tokens.get(i) {
            Some(t) if t.kind == Kind::Word => t.span.of(self.text),
            _ => "",
        }
    }

    pub fn lower(self, i: usize) -> String {
        self.word(i).to_lowercase()
    }

    pub fn mark(self, i: usize, c: char) -> bool {
        self.tokens.get(i).is_some_and(|t| t.is_mark(c))
    }

    pub fn parted(self, i: usize) -> bool {
        self.tokens.get(i).is_none_or(|t| t.parted)
    }

    pub fn span(self, from: usize, next: usize) -> Span {
        match (
            self.tokens.get(from),
            self.tokens.get(next.saturating_sub(1)),
        ) {
            (Some(a), Some(b)) => a.span.to(b.span),
            _ => Span::new(self.text.len(), self.text.len()),
        }
    }

    /// The amount that starts at token `i`, and the token after it.
    pub fn amount(self, i: usize, found: &mut Findings) -> Option<(Amount, usize)> {
        let mut seen = Findings::default();
        let (amount, next) = self.counted(i, &mut seen)?;
        found.doubts.append(&mut seen.doubts);
        found.faults.append(&mut seen.faults);
        Some((amount, next))
    }

    fn counted(self, i: usize, found: &mut Findings) -> Option<(Amount, usize)> {
        if let Some(pack) = self.can_by_size(i, found) {
            return Some(pack);
        }
        let lead = usize::from(self.mark(i, 'x'));
        let first = self.part(i + lead, found)?;
        if lead == 1 && first.unit.is_some() {
            return None;
        }
        if let Some((number, next)) = self
            .number_sign(first.next)
            .filter(|_| first.unit.is_none())
        {
            return Some(self.numbered(i, first, number, next, found));
        }
        if self.mark(first.next, 'x')
            && let Some(second) = self.part(first.next + 1, found)
        {
            return Some(self.multiplied(i, first, second));
        }
        if first.unit.is_none()
            && let Some(sized) = self.sized(i, &first)
        {
            return Some(sized);
        }
        let (amount, next) = match (first.unit, self.pack_after(first.next)) {
            (Some(unit), Some((pack, next))) if unit.measures() => (
                Amount {
                    quantity: Quantity::Exact(Number::ONE),
                    unit: Unit::Pack(pack),
                    each: Some(Measure {
                        quantity: first.quantity,
                        unit,
                    }),
                    span: self.span(i, next),
                },
                next,
            ),
            (unit, _) => self.plain(i, first.quantity, unit, first.next),
        };
        Some(self.compounded(i, amount, next, found))
    }

    /// `4 lb 5 oz`, `1 c + 2 T`: the sum, in the smaller unit.
    fn compounded(
        self,
        i: usize,
        amount: Amount,
        next: usize,
        found: &mut Findings,
    ) -> (Amount, usize) {
        let joined = self.mark(next, '+') || matches!(self.lower(next).as_str(), "plus" | "and");
        let mut aside = Findings::default();
        let Some(second) = self.part(next + usize::from(joined), &mut aside) else {
            return (amount, next);
        };
        let (Some(unit), None) = (second.unit, &amount.each) else {
            return (amount, next);
        };
        let unit = if amount.unit == Unit::Pound && unit == Unit::Ounce {
            Unit::OunceWeight
        } else {
            unit
        };
        let factors = match (
            amount.unit.grams(),
            unit.grams(),
            amount.unit.millilitres(),
            unit.millilitres(),
        ) {
            (Some(a), Some(b), _, None) | (None, None, Some(a), Some(b)) => (a.get(), b.get()),
            _ => return (amount, next),
        };
        // The second must be the smaller unit, or it is another way to say the first.
        if factors.1 >= factors.0 {
            return (amount, next);
        }
        let (Some((a, b)), Some((c, d))) = (amount.quantity.bounds(), second.quantity.bounds())
        else {
            return (amount, next);
        };
        let ratio = factors.0 / factors.1;
        if d.get() >= ratio && !joined {
            return (amount, next);
        }
        found.doubts.extend(
            aside
                .doubts
                .into_iter()
                .filter(|d| d.kind != DoubtKind::AmbiguousUnit),
        );
        let sum = Quantity::of(a.get() * ratio + c.get(), b.get() * ratio + d.get());
        let span = self.span(i, second.next);
        (
            Amount {
                quantity: sum,
                unit,
                each: None,
                span,
            },
            second.next,
        )
    }

    /// `#10` with nothing before it: a disher, or a tin where a word says so.
    fn can_by_size(self, i: usize, found: &mut Findings) -> Option<(Amount, usize)> {
        let (number, next) = self.number_sign(i)?;
        let one = Part {
            quantity: Quantity::Exact(Number::ONE),
            unit: None,
            next: i,
        };
        let before = i > 0
            && matches!(
                self.lower(i - 1).as_str(),
                "can" | "tin" | "toms" | "cnd" | "canned"
            );
        if before && let Some(size) = CanSize::of_number(number.get()) {
            let span = self.span(i, next);
            found.doubts.push(Doubt::new(
                DoubtKind::ImpliedOne,
                span,
                "read as one tin of this size",
            ));
            let amount = Amount {
                quantity: one.quantity,
                unit: Unit::Can(size),
                each: None,
                span,
            };
            return Some((amount, next));
        }
        Some(self.numbered(i, one, number, next, found))
    }

    /// `#10`, `No. 10`, `A10`: the number, and the token after it.
    fn number_sign(self, i: usize) -> Option<(Number, usize)> {
        let word = self.lower(i);
        if word == "a10" || word == "a-10" {
            return Some((Number::known(10.0), i + 1));
        }
        let start = if self.mark(i, '#') || word == "nr" {
            i + 1
        } else if word == "no" {
            i + 1 + usize::from(self.mark(i + 1, '.') && !self.parted(i + 1))
        } else if self.mark(i, '/') && self.mark(i + 1, '#') {
            i + 2
        } else {
            return None;
        };
        if self.parted(start) && word.is_empty() {
            return None;
        }
        match figure(self, start) {
            Some(Figure { value, next, .. }) => {
                // `no 2 eggs` is no tin.
                let bare_no = word == "no" && start == i + 1;
                let said = self.lower(next);
                let sized = matches!(
                    said.as_str(),
                    "can" | "cans" | "tin" | "tins" | "scoop" | "disher"
                );
                Number::new(value)
                    .ok()
                    .filter(|_| !bare_no || sized)
                    .map(|n| (n, next))
            }
            None => None,
        }
    }

    /// Tells a tin from a disher by the words around it.
    fn numbered(
        self,
        i: usize,
        count: Part,
        number: Number,
        next: usize,
        found: &mut Findings,
    ) -> (Amount, usize) {
        let said = self.lower(next);
        let lettered = self.lower(count.next).starts_with('a') || self.mark(count.next, '/');
        let size = CanSize::of_number(number.get());
        let counted = count.next > i;
        let (unit, next) = match (said.as_str(), size) {
            ("can" | "cans" | "tin" | "tins" | "cn" | "cyl" | "squat", Some(size)) => {
                (Unit::Can(size), next + 1)
            }
            ("scoop" | "scoops" | "disher" | "dishers" | "sc", _) => (disher(number), next + 1),
            (_, Some(size)) if lettered => (Unit::Can(size), next),
            (_, Some(size)) if counted => {
                let span = self.span(i, next);
                let tried = format!(
                    "read as a #{number} tin; a #{number} disher is written `#{number} scoop`"
                );
                found
                    .doubts
                    .push(Doubt::new(DoubtKind::AmbiguousUnit, span, tried));
                (Unit::Can(size), next)
            }
            _ => (disher(number), next),
        };
        let amount = Amount {
            quantity: count.quantity,
            unit,
            each: None,
            span: self.span(i, next),
        };
        (amount, next)
    }

    /// A number or a range with its unit, if it has one.
    pub fn part(self, i: usize, found: &mut Findings) -> Option<Part> {
        let mut at = i;
        let approximate = self.mark(at, '~')
            || self.mark(at, '≈')
            || matches!(
                self.lower(at).as_str(),
                "about" | "approx" | "circa" | "ca" | "around" | "roughly"
            );
        if approximate {
            at += 1 + usize::from(self.mark(at + 1, '.'));
        }
        if let Some(part) = self.hash_scoop(at) {
            return Some(part);
        }
        let low = figure(self, at)?;
        let mut next = low.next;
        let mut high = None;
        let mut unit = None;
        if !self.mark(next, '-')
            && let Some((first, after)) = self.unit(next, &mut Findings::default())
            && let Some(second) = self.range_end(after)
            && let Some((second_unit, end)) = self.unit(second.next, &mut Findings::default())
            && second_unit == first
        {
            // `600 g - 900 g`
            self.unit(next, found);
            unit = Some(first);
            high = Some(second);
            next = end;
        } else if let Some(second) = self.range_end(next) {
            next = second.next;
            high = Some(second);
        }
        let share = self.mark(next, '%') && self.unit(next, &mut Findings::default()).is_none();
        if share || self.is_no_amount(next) {
            return None;
        }
        let span = self.span(i, next);
        if approximate {
            found.doubts.push(Doubt::new(
                DoubtKind::Approximate,
                span,
                "taken as the number itself",
            ));
        }
        let mut quantity = self.quantity(&low, high.as_ref(), span, found);
        if unit.is_none() {
            let dozen = matches!(self.lower(next).as_str(), "doz" | "dozen" | "dz");
            if dozen {
                quantity = quantity.times(Number::known(12.0));
                next += 1 + usize::from(self.mark(next + 1, '.'));
            }
            match self.unit(next, found) {
                Some((u, end)) => {
                    unit = Some(u);
                    next = end;
                }
                None if dozen => unit = Some(Unit::Count(Count::Each)),
                None => {}
            }
        }
        if let Some(tool @ (Unit::Ladle(_) | Unit::Spoodle(..))) = unit {
            let held = quantity.bounds().map_or(Number::ONE, |(low, _)| low);
            unit = Some(match tool {
                Unit::Spoodle(_, bowl) => Unit::Spoodle(held, bowl),
                _ => Unit::Ladle(held),
            });
            quantity = Quantity::Exact(Number::ONE);
        }
        Some(Part {
            quantity,
            unit,
            next,
        })
    }

    /// `#8` as what each of a number of portions is: `100 x #8`.
    fn hash_scoop(self, i: usize) -> Option<Part> {
        let after_times = i > 0 && self.mark(i - 1, 'x');
        let (number, next) = self.number_sign(i).filter(|_| after_times)?;
        let next = next
            + usize::from(matches!(
                self.lower(next).as_str(),
                "scoop" | "disher" | "scoops"
            ));
        Some(Part {
            quantity: Quantity::Exact(Number::ONE),
            unit: Some(disher(number)),
            next,
        })
    }

    fn range_end(self, i: usize) -> Option<Figure> {
        let joins = self.mark(i, '-') || matches!(self.lower(i).as_str(), "to" | "or" | "bis");
        if !joins {
            return None;
        }
        let again = usize::from(self.mark(i + 1, '~'));
        figure(self, i + 1 + again)
    }

    fn quantity(
        self,
        low: &Figure,
        high: Option<&Figure>,
        span: Span,
        found: &mut Findings,
    ) -> Quantity {
        let mut bounded = |f: &Figure| {
            found.doubts.extend(f.doubts.iter().cloned());
            found.faults.extend(f.fault.iter().cloned());
            Number::new(f.value).unwrap_or_else(|_| Number::held(f.value))
        };
        let low = bounded(low);
        match high.map(&mut bounded) {
            Some(high) if high < low => {
                let tried = format!("read as from {high} to {low}");
                found
                    .doubts
                    .push(Doubt::new(DoubtKind::SeveralReadings, span, tried));
                Quantity::Range {
                    low: high,
                    high: low,
                }
            }
            Some(high) => Quantity::Range { low, high },
            None => Quantity::Exact(low),
        }
    }

    /// Numbers of hours, degrees, inches, proof and ratios are no amounts.
    fn is_no_amount(self, i: usize) -> bool {
        if self.mark(i, '"') || self.mark(i, '°') || self.mark(i, '\'') {
            return true;
        }
        if self.mark(i, ':')
            && self
                .tokens
                .get(i + 1)
                .is_some_and(|t| t.kind == Kind::Digits && !t.parted)
        {
            return true;
        }
        if self.mark(i, '/')
            && self
                .tokens
                .get(i + 1)
                .is_some_and(|t| t.kind == Kind::Digits && !t.parted)
        {
            return true;
        }
        let i = i + usize::from(self.mark(i, '-'));
        let word = self.word(i);
        let hot = matches!(word, "F" | "ºF" | "ºC" | "º")
            || (word == "C" && i > 0 && !self.parted(i) && {
                let before = self.tokens[i - 1].span.of(self.text);
                before.parse::<f64>().is_ok_and(|n| n >= 40.0)
            });
        hot || matches!(
            word.to_lowercase().as_str(),
            "h" | "hr"
                | "hrs"
                | "hour"
                | "hours"
                | "min"
                | "mins"
                | "minute"
                | "minutes"
                | "d"
                | "day"
                | "days"
                | "wk"
                | "wks"
                | "week"
                | "weeks"
                | "sec"
                | "secs"
                | "proof"
                | "inch"
                | "inches"
                | "cm"
                | "mm"
                | "abv"
                | "kcal"
                | "kj"
                | "day-old"
                | "fold"
                | "ply"
        )
    }

    /// A unit without a number that stands for one: `pinch salt`; or a tool code `L2`, `sp4`.
    pub fn lone_unit(self, i: usize, found: &mut Findings) -> Option<(Amount, usize)> {
        let word = self.word(i);
        let span = self.span(i, i + 1);
        let one = Quantity::Exact(Number::ONE);
        let tool = |prefix: &str| {
            word.strip_prefix(prefix)?
                .parse::<f64>()
                .ok()
                .and_then(|n| Number::new(n).ok())
        };
        if let Some(held) = tool("L") {
            return Some((
                Amount {
                    quantity: one,
                    unit: Unit::Ladle(held),
                    each: None,
                    span,
                },
                i + 1,
            ));
        }
        if let Some(held) = tool("sp") {
            let unit = Unit::Spoodle(held, self.bowl(i + 1));
            return Some((
                Amount {
                    quantity: one,
                    unit,
                    each: None,
                    span,
                },
                i + 1,
            ));
        }
        let (unit, _) = unit::of_word(word).filter(|(u, _)| i == 0 && unit::stands_alone(*u))?;
        found.doubts.push(Doubt::new(
            DoubtKind::ImpliedOne,
            span,
            format!("read as one {unit}"),
        ));
        Some((
            Amount {
                quantity: one,
                unit,
                each: None,
                span,
            },
            i + 1,
        ))
    }
}

fn disher(number: Number) -> Unit {
    // Numbers of dishers are whole and small; anything else is held at the largest in use.
    let whole = number.get().round().clamp(1.0, 200.0);
    Unit::Disher(
        (1..=200_u16)
            .find(|n| f64::from(*n) >= whole)
            .unwrap_or(200),
    )
}
