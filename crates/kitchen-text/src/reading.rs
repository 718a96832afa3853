//! One line on its way to structure: its amounts and its marks.

use crate::amount::{Amount, Measure, Quantity};
use crate::doubt::{Doubt, DoubtKind, LineFault};
use crate::line::ReadLine;
use crate::number::Span;
use crate::phrase::{self, Basis};
use crate::reader::{Findings, Reader};
use crate::scan::{Kind, Token, scan};
use crate::unit::{self, Count, Unit};

/// A line while it is read.
pub(crate) struct Reading<'a> {
    pub text: &'a str,
    pub tokens: &'a [Token],
    pub line: ReadLine,
    /// What stands beside the food, in order.
    pub phrases: Vec<String>,
    /// Tokens that are spent, from and to.
    pub used: Vec<(usize, usize)>,
}

impl<'a> Reading<'a> {
    pub fn reader(&self) -> Reader<'a> {
        Reader {
            text: self.text,
            tokens: self.tokens,
        }
    }

    pub fn read(mut self) -> ReadLine {
        self.note_unclosed();
        if !self.refuse_unreal_number() {
            self.find_amounts();
        }
        self.marks();
        let food = self.segments();
        self.brackets();
        self.name_food(&food);
        self.finish()
    }

    fn note_unclosed(&mut self) {
        for token in self.tokens.iter().filter(|t| !t.closed) {
            let tried = "read to the end of the line";
            self.line
                .doubts
                .push(Doubt::new(DoubtKind::Unclosed, token.span, tried));
        }
    }

    /// `-3 cups`, `NaN g`, `Infinity`: no amount can be made of them.
    fn refuse_unreal_number(&mut self) -> bool {
        let r = self.reader();
        for (i, token) in self.tokens.iter().enumerate() {
            let after_number =
                i > 0 && matches!(self.tokens[i - 1].kind, Kind::Digits | Kind::Vulgar(_));
            let signed = token.is_mark('-') && token.parted && !after_number;
            let number = i + usize::from(token.is_mark('-'));
            let next = self.tokens.get(number);
            if signed
                && next
                    .is_some_and(|t| matches!(t.kind, Kind::Digits | Kind::Vulgar(_)) && !t.parted)
            {
                let end = r
                    .amount(number, &mut Findings::default())
                    .map_or(number + 1, |(_, end)| end);
                let found = r.span(i, end).of(self.text).to_owned();
                let column = token.span.column(self.text);
                self.line.faults.push(LineFault::Negative { column, found });
                self.used.push((i, end));
                return true;
            }
            let word = r.word(number);
            let has_unit = unit::of_word(r.word(number + 1)).is_some();
            let unreal = matches!(word, "NaN" | "Infinity" | "∞")
                || (matches!(
                    word.to_ascii_lowercase().as_str(),
                    "nan" | "inf" | "infinity"
                ) && has_unit);
            if i == 0 && unreal {
                let end = number + 1 + usize::from(has_unit);
                let found = r.span(i, end).of(self.text).to_owned();
                self.line
                    .faults
                    .push(LineFault::NotFinite { column: 1, found });
                self.used.push((i, end));
                return true;
            }
        }
        false
    }

    fn find_amounts(&mut self) {
        let mut i = 0;
        let mut further: Vec<Span> = Vec::new();
        while i < self.tokens.len() {
            let mut found = Findings::default();
            let Some((amount, next)) = self.amount_at(i, &mut found) else {
                i += 1;
                continue;
            };
            if self.line.amounts.is_empty() {
                self.take(amount, (i, next), found);
                i = self.equivalents_after(next);
            } else {
                further.push(amount.span);
                i = next;
            }
        }
        self.bracketed_amounts();
        if self.line.amounts.is_empty() {
            self.amount_without_number();
        }
        let lower = self.text.to_ascii_lowercase();
        let explained = [
            "keep",
            "reserve",
            "save",
            "drained weight",
            "per",
            "soaked",
            "g drained",
        ];
        if let Some(span) = further.first().filter(|_| !phrase::any(&lower, &explained)) {
            let tried = "only the first amount is used; write one ingredient a line";
            self.line
                .doubts
                .push(Doubt::new(DoubtKind::SeveralAmounts, *span, tried));
        }
    }

    fn take(&mut self, amount: Amount, tokens: (usize, usize), found: Findings) {
        self.line.amounts.push(amount);
        self.line.doubts.extend(found.doubts);
        self.line.faults.extend(found.faults);
        self.used.push(tokens);
    }

    /// An amount at token `i`, where an amount can stand.
    fn amount_at(&self, i: usize, found: &mut Findings) -> Option<(Amount, usize)> {
        let r = self.reader();
        let before = i.checked_sub(1).and_then(|b| self.tokens.get(b).copied());
        let glued = !self.tokens.get(i)?.parted;
        if before.is_some_and(|b| {
            b.is_mark('@') || (glued && (b.is_mark(':') || b.is_mark('/') || b.is_mark('.')))
        }) {
            return None;
        }
        // `a glug`, `a few`
        let worded = i == 0 && !r.word(0).is_empty();
        if worded
            && phrase::unquantified(&self.text.to_ascii_lowercase()).is_some_and(|s| s.start == 0)
        {
            return None;
        }
        let (amount, next) = r.amount(i, found)?;
        let last = self.tokens.get(next.checked_sub(1)?)?;
        let bare = amount.unit == Unit::Count(Count::Each)
            && amount.each.is_none()
            && matches!(last.kind, Kind::Digits | Kind::Vulgar(_));
        if !bare || i == 0 || r.mark(i, 'x') {
            return Some((amount, next));
        }
        let said = i
            .checked_sub(1)
            .map(|b| r.word(b).to_ascii_lowercase())
            .unwrap_or_default();
        // `juice of 1 lemon`
        if said == "of" {
            return Some((amount, next));
        }
        if matches!(
            said.as_str(),
            "iddsi" | "no" | "type" | "grade" | "level" | "step" | "recipe" | "item" | "v"
        ) {
            return None;
        }
        let ends = match self.tokens.get(next) {
            None => true,
            Some(t) => {
                matches!(
                    t.kind,
                    Kind::Mark(',' | ';' | '.' | '*') | Kind::Bracket | Kind::Arrow
                ) || phrase::size_of(r.word(next)).is_some()
                    || matches!(r.word(next), "AP" | "EP")
            }
        };
        ends.then_some((amount, next))
    }

    /// `450 g (1 lb)`, `450 g / 1 lb`, `1 hd ~600-900 g`: the same amount again.
    fn equivalents_after(&mut self, mut i: usize) -> usize {
        loop {
            let r = self.reader();
            let joined = usize::from(r.mark(i, '/') || r.mark(i, '=') || r.word(i) == "or");
            let mut found = Findings::default();
            let Some((amount, next)) = r.amount(i + joined, &mut found) else {
                return i;
            };
            let measured = amount.unit.measures() || amount.each.is_some();
            if !measured || self.line.amounts.len() > 4 {
                return i;
            }
            self.line.doubts.extend(found.doubts);
            self.line.faults.extend(found.faults);
            self.used.push((i, next));
            self.same_again(amount, false);
            i = next;
        }
    }

    fn bracketed_amounts(&mut self) {
        for (i, token) in self
            .tokens
            .iter()
            .enumerate()
            .filter(|(_, t)| t.kind == Kind::Bracket)
        {
            let inner = token.inner(self.text);
            let text = inner.of(self.text);
            let tokens = scan(text);
            let r = Reader {
                text,
                tokens: &tokens,
            };
            let mut found = Findings::default();
            let Some((mut amount, next)) = r.amount(0, &mut found) else {
                continue;
            };
            let each = matches!(r.word(next).to_ascii_lowercase().as_str(), "each" | "ea");
            let total = matches!(
                r.word(next).to_ascii_lowercase().as_str(),
                "total" | "in total" | "net"
            );
            let rest = next + usize::from(each || total);
            let bare = amount.unit == Unit::Count(Count::Each) && amount.each.is_none() && !each;
            // `(14 oz: "flour, ...")` goes on with the statement of the product.
            let statement = r.mark(rest, ':') || r.mark(rest, ';');
            if bare || !(rest == tokens.len() || statement) {
                continue;
            }
            let shifted = |d: Doubt| Doubt {
                span: d.span.shifted(inner.start),
                ..d
            };
            self.line
                .doubts
                .extend(found.doubts.into_iter().map(shifted));
            self.line.faults.extend(found.faults);
            amount.span = amount.span.shifted(inner.start);
            if !statement {
                self.used.push((i, i + 1));
            }
            // `1 (14 oz) can`
            let follows = self.used.first().is_some_and(|u| u.1 == i);
            if let Some((piece, next)) = self.reader().piece_after(i + 1)
                && let Some(first) = self.line.amounts.first_mut()
                && follows
                && first.unit == Unit::Count(Count::Each)
            {
                first.unit = piece;
                self.used.push((i + 1, next));
            }
            // `2 (6 oz) fillets`: a size right after a bare number is that of each.
            let counted = |a: &Amount| matches!(a.unit, Unit::Count(_)) && a.each.is_none();
            let sizes = follows && self.line.amounts.first().is_some_and(counted);
            self.same_again(amount, each || sizes);
        }
    }

    fn same_again(&mut self, amount: Amount, each: bool) {
        let measure = Measure {
            quantity: amount.quantity.clone(),
            unit: amount.unit,
        };
        let Some(first) = self.line.amounts.first_mut() else {
            self.line.amounts.push(amount);
            return;
        };
        let packed = matches!(first.unit, Unit::Pack(_) | Unit::Can(_));
        let held = amount.each.is_none() && amount.unit.measures() && first.each.is_none();
        if held && (packed || each) && !first.unit.measures() {
            first.each = Some(measure);
            first.span = first.span.to(amount.span);
            return;
        }
        let mut again = amount;
        self.settle_ounces(&mut again);
        self.compare(&again);
        self.line.amounts.push(again);
    }

    /// `225 g (8 oz)` settles what kind of ounce was meant.
    fn settle_ounces(&mut self, again: &mut Amount) {
        let Some(first) = self.line.amounts.first_mut() else {
            return;
        };
        let (ounce, other) = match (first.unit, again.unit) {
            (Unit::Ounce, Unit::Ounce) => return,
            (Unit::Ounce, _) => (first, &mut *again),
            (_, Unit::Ounce) => (again, first),
            _ => return,
        };
        let span = ounce.span;
        if close(ounce.grams(), other.grams()) {
            ounce.unit = Unit::OunceWeight;
        } else if close(ounce.millilitres(), other.millilitres()) {
            ounce.unit = Unit::FluidOunce;
        } else {
            return;
        }
        let settled = |d: &Doubt| {
            d.kind == DoubtKind::AmbiguousUnit
                && d.span.start >= span.start
                && d.span.end <= span.end
        };
        self.line.doubts.retain(|d| !settled(d));
    }

    fn compare(&mut self, again: &Amount) {
        let Some(first) = self.line.amounts.first() else {
            return;
        };
        let pairs = [
            (first.grams(), again.grams()),
            (first.millilitres(), again.millilitres()),
        ];
        let known = pairs.iter().any(|(a, b)| a.is_some() && b.is_some());
        let agrees = pairs.into_iter().any(|(a, b)| close(a, b));
        if known && !agrees {
            let tried = format!(
                "{} {} and {} {} differ by more than 5 %; the first is used",
                first.quantity, first.unit, again.quantity, again.unit
            );
            self.line.doubts.push(Doubt::new(
                DoubtKind::MismatchedEquivalents,
                again.span,
                tried,
            ));
        }
    }

    /// `to taste`, `pinch salt`, or nothing at all.
    fn amount_without_number(&mut self) {
        let r = self.reader();
        let lower = self.text.to_ascii_lowercase();
        let mut found = Findings::default();
        if let Some(span) = phrase::unquantified(&lower) {
            let span = if self.text[span.end..].starts_with('.') {
                Span::new(span.start, span.end + 1)
            } else {
                span
            };
            let word = span.of(self.text).to_owned();
            let inside = |t: &Token| t.span.start >= span.start && t.span.end <= span.end;
            let from = self.tokens.iter().position(inside);
            let to = self.tokens.iter().rposition(inside);
            if let (Some(from), Some(to)) = (from, to) {
                self.used.push((from, to + 1));
            }
            let tried = format!("`{word}` is no number");
            self.line
                .doubts
                .push(Doubt::new(DoubtKind::Unquantified, span, tried));
            self.line.amounts.push(Amount::unquantified(word, span));
            return;
        }
        let lone = (0..self.tokens.len())
            .find_map(|i| r.lone_unit(i, &mut found).map(|(a, next)| (a, (i, next))));
        match lone {
            Some((amount, tokens)) => self.take(amount, tokens, found),
            None => {
                let span = Span::new(0, self.text.len());
                self.line.doubts.push(Doubt::new(
                    DoubtKind::Unquantified,
                    span,
                    "no amount is written",
                ));
            }
        }
    }

    fn marks(&mut self) {
        let mut plain = self.text.to_owned();
        // A quoted statement speaks of the product's making, not of this kitchen's.
        for token in self.tokens.iter().filter(|t| t.kind == Kind::Quote) {
            plain.replace_range(
                token.span.start..token.span.end,
                &" ".repeat(token.span.end - token.span.start),
            );
        }
        let lower = plain.to_ascii_lowercase();
        match phrase::drained(&lower) {
            Ok(drained) => self.line.drained = drained,
            Err(span) => {
                self.line.doubts.push(Doubt::new(
                    DoubtKind::DrainUnclear,
                    span,
                    "drained or with liquid",
                ));
            }
        }
        self.line.part = phrase::part(&lower);
        self.line.placement = phrase::placement(&lower);
        let r = self.reader();
        for i in 0..self.tokens.len() {
            let before_flour = r.word(i + 1).eq_ignore_ascii_case("flour")
                || r.word(i + 1).eq_ignore_ascii_case("fl");
            self.line.basis = match r.word(i) {
                "AP" if !before_flour => Basis::AsPurchased,
                "EP" => Basis::EdiblePortion,
                _ => continue,
            };
            self.used.push((i, i + 1));
        }
        if self.line.basis == Basis::Unstated {
            if phrase::any(&lower, &["as purchased"]) {
                self.line.basis = Basis::AsPurchased;
            } else if phrase::any(&lower, &["edible portion"]) {
                self.line.basis = Basis::EdiblePortion;
            }
        }
    }
}

/// Within 5 % of each other, by the middle of ranges.
fn close(a: Option<Quantity>, b: Option<Quantity>) -> bool {
    let middle = |q: Quantity| {
        q.bounds()
            .map(|(low, high)| f64::midpoint(low.get(), high.get()))
    };
    match (a.and_then(middle), b.and_then(middle)) {
        (Some(a), Some(b)) => (a - b).abs() <= 0.05 * a.max(b),
        _ => false,
    }
}
