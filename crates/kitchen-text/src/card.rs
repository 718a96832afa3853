//! Recipe cards as plain text.
//!
//! A card is its name, its header lines, an empty line, one ingredient a line, an empty line, and
//! the method. Cards of one file are parted by a line `===`.
//!
//! ```text
//! Mashed potato
//! code H03
//! makes 100 x #8
//! portion #8
//! batch
//!
//! potato pearls 8#
//! hot water 3-1/2 gal
//!
//! Whip to level.
//! ```

use crate::amount::{Amount, Quantity};
use crate::clean::clean;
use crate::limits;
use crate::line::{ReadLine, read_line};
use crate::method::{MethodSentence, read_method};
use crate::number::{Number, Span};
use crate::reader::{Findings, Reader};
use crate::scan::scan;

/// What a header line may say.
const HEADERS: &str = "`serves 4`, `makes 2.4 kg`, `portion 120 g`, `code SB-02`, `made to order`, `batch`, `drink` or `note ...`; \
                       ingredients stand after an empty line";

/// Whether a card is eaten or drunk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A dish.
    Dish,
    /// A drink.
    Drink,
}

/// When the dish is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Service {
    /// To order: one portion can be changed.
    MadeToOrder,
    /// In a batch, ahead.
    Batch,
    /// Not said.
    Unstated,
}

/// A yield or a portion: its amount, and the words that say it.
#[derive(Debug, Clone, PartialEq)]
pub struct Extent {
    /// As written.
    pub text: String,
    /// As read.
    pub amount: Amount,
}

/// One recipe card.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// The line of the file on which the card starts.
    pub line: usize,
    /// The name.
    pub name: String,
    /// The code under which other cards use it.
    pub code: Option<String>,
    /// Portions in the batch, above zero.
    pub serves: Option<Number>,
    /// What the batch comes to, above zero.
    pub makes: Option<Extent>,
    /// One portion, above zero.
    pub portion: Option<Extent>,
    /// When it is made.
    pub service: Service,
    /// Dish or drink.
    pub kind: Kind,
    /// Notes of the header.
    pub notes: Vec<String>,
    /// Headings among the ingredients, such as `Marinade:`, with their line.
    pub headings: Vec<(usize, String)>,
    /// The ingredients, in order.
    pub lines: Vec<ReadLine>,
    /// The method, sentence by sentence.
    pub method: Vec<MethodSentence>,
}

/// Why a file cannot be read at all.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FileError {
    /// Larger than the limit.
    #[error("the file has {bytes} bytes; at most {limit} are read", limit = limits::FILE_BYTES)]
    TooLarge {
        /// Its size.
        bytes: usize,
    },
    /// More cards than the limit.
    #[error("the file has more than {limit} cards", limit = limits::CARDS)]
    TooManyCards,
    /// Nothing in it.
    #[error("the file is empty; at least one card with a name and an ingredient is needed")]
    Empty,
    /// In no known encoding.
    #[error("byte {at}: the encoding is not known; UTF-8, UTF-16 and Windows-1252 are accepted")]
    Encoding {
        /// The first byte that fits none.
        at: usize,
    },
    /// A menu without a needed column, or with one too many.
    #[error(
        "line 1: {problem}; columns are dish,serves,makes,portion,service,line,method, of which dish and line are needed"
    )]
    Columns {
        /// What is wrong.
        problem: String,
    },
    /// A menu that is not CSV.
    #[error("line {line}: the row cannot be read: {problem}")]
    Csv {
        /// Where.
        line: u64,
        /// What is wrong.
        problem: String,
    },
}

/// Why one card cannot be read. Lines count from 1 in the file, columns in characters from 1.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CardError {
    /// No name.
    #[error("line {line}, column 1: a card starts with its name")]
    NoName {
        /// Where the name should be.
        line: usize,
    },
    /// A name that is too long.
    #[error("line {line}, column {column}: the name is longer than {limit} characters", limit = limits::NAME_CHARS)]
    NameTooLong {
        /// Where.
        line: usize,
        /// The first column too many.
        column: usize,
    },
    /// A header line that says nothing known.
    #[error("line {line}, column 1: `{found}` is not understood; accepted: {HEADERS}")]
    Header {
        /// Where.
        line: usize,
        /// What stands there.
        found: String,
    },
    /// Something said twice.
    #[error(
        "line {line}, column 1: `{what}` is said twice with different values; once is accepted"
    )]
    Twice {
        /// Where the second stands.
        line: usize,
        /// What is said twice.
        what: &'static str,
    },
    /// Portions that are none.
    #[error(
        "line {line}, column {column}: `{found}` is no number of portions; a number above 0 is accepted, such as `serves 4`"
    )]
    Serves {
        /// Where.
        line: usize,
        /// Where in the line.
        column: usize,
        /// What stands there.
        found: String,
    },
    /// A yield or a portion that is no amount.
    #[error(
        "line {line}, column {column}: `{found}` is no amount; one above 0 with a unit is accepted, such as `{what} 2.4 kg`"
    )]
    Amount {
        /// Where.
        line: usize,
        /// Where in the line.
        column: usize,
        /// `makes` or `portion`.
        what: &'static str,
        /// What stands there.
        found: String,
    },
    /// A code that cannot be one.
    #[error("line {line}, column {column}: `{found}` is no code; letters, digits, `-`, `_` and `.` are accepted, at most {limit}", limit = limits::CODE_CHARS)]
    Code {
        /// Where.
        line: usize,
        /// Where in the line.
        column: usize,
        /// What stands there.
        found: String,
    },
    /// More lines than the limit.
    #[error("line {line}, column 1: the card has more than {limit} lines", limit = limits::CARD_LINES)]
    TooManyLines {
        /// The first line too many.
        line: usize,
    },
    /// A method that is too long.
    #[error("line {line}, column 1: the method is longer than {limit} characters", limit = limits::METHOD_CHARS)]
    MethodTooLong {
        /// Where the method starts.
        line: usize,
    },
    /// No ingredients.
    #[error(
        "line {line}, column 1: the card has no ingredients; after an empty line, one a line is accepted"
    )]
    NoLines {
        /// Where the card ends.
        line: usize,
    },
}

impl CardError {
    /// The line of the file that is at fault.
    #[must_use]
    pub const fn line(&self) -> usize {
        match self {
            Self::NoName { line }
            | Self::NameTooLong { line, .. }
            | Self::Header { line, .. }
            | Self::Twice { line, .. }
            | Self::Serves { line, .. }
            | Self::Amount { line, .. }
            | Self::Code { line, .. }
            | Self::TooManyLines { line }
            | Self::MethodTooLong { line }
            | Self::NoLines { line } => *line,
        }
    }
}

/// Reads a file of cards. One bad card leaves the others readable.
///
/// # Errors
/// When the file as a whole is too large, has too many cards, or has none.
pub fn read_cards(text: &str) -> Result<Vec<Result<Card, CardError>>, FileError> {
    if text.len() > limits::FILE_BYTES {
        return Err(FileError::TooLarge { bytes: text.len() });
    }
    let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
    let mut cards = Vec::new();
    let mut block: Vec<(usize, &str)> = Vec::new();
    let numbered = text.lines().enumerate().map(|(i, l)| (i + 1, l));
    for (number, line) in numbered.chain(std::iter::once((usize::MAX, "==="))) {
        if !is_divider(line) {
            block.push((number, line));
            continue;
        }
        if block.iter().any(|(_, l)| !l.trim().is_empty()) {
            if cards.len() == limits::CARDS {
                return Err(FileError::TooManyCards);
            }
            cards.push(read_card(&block));
        }
        block.clear();
    }
    if cards.is_empty() {
        Err(FileError::Empty)
    } else {
        Ok(cards)
    }
}

fn is_divider(line: &str) -> bool {
    let line = line.trim();
    line.len() >= 3 && line.bytes().all(|b| b == b'=')
}

fn read_card(block: &[(usize, &str)]) -> Result<Card, CardError> {
    let start = block
        .iter()
        .position(|(_, l)| !l.trim().is_empty())
        .unwrap_or(0);
    let end = block
        .iter()
        .rposition(|(_, l)| !l.trim().is_empty())
        .map_or(block.len(), |e| e + 1);
    let block = &block[start..end];
    let first = block.first().map_or(1, |(n, _)| *n);
    if let Some((line, _)) = block.get(limits::CARD_LINES) {
        return Err(CardError::TooManyLines { line: *line });
    }
    let mut sections = block.splitn(2, |(_, l)| l.trim().is_empty());
    let header = sections.next().unwrap_or_default();
    let rest = skip_empty(sections.next().unwrap_or_default());
    let mut sections = rest.splitn(2, |(_, l)| l.trim().is_empty());
    let ingredients = sections.next().unwrap_or_default();
    let method = skip_empty(sections.next().unwrap_or_default());

    let mut card = named(header.first().map_or("", |(_, l)| l), first)?;
    for (number, line) in header.iter().skip(1) {
        header_line(&mut card, line, *number)?;
    }
    for (number, line) in ingredients {
        ingredient(&mut card, line, *number);
    }
    if card.lines.is_empty() {
        return Err(CardError::NoLines {
            line: block.last().map_or(first, |(n, _)| *n),
        });
    }
    let text = method
        .iter()
        .map(|(_, l)| *l)
        .collect::<Vec<_>>()
        .join("\n");
    set_method(&mut card, &text, method.first().map_or(first, |(n, _)| *n))?;
    Ok(card)
}

fn skip_empty<'a, 'b>(lines: &'a [(usize, &'b str)]) -> &'a [(usize, &'b str)] {
    let start = lines
        .iter()
        .position(|(_, l)| !l.trim().is_empty())
        .unwrap_or(lines.len());
    &lines[start..]
}

/// A card of which only the name is known.
pub(crate) fn named(raw: &str, line: usize) -> Result<Card, CardError> {
    let (name, _) = clean(raw);
    if !name.chars().any(|c| c.is_alphanumeric() || !c.is_ascii()) {
        return Err(CardError::NoName { line });
    }
    if name.chars().count() > limits::NAME_CHARS {
        return Err(CardError::NameTooLong {
            line,
            column: limits::NAME_CHARS + 1,
        });
    }
    Ok(Card {
        line,
        name,
        code: None,
        serves: None,
        makes: None,
        portion: None,
        service: Service::Unstated,
        kind: Kind::Dish,
        notes: Vec::new(),
        headings: Vec::new(),
        lines: Vec::new(),
        method: Vec::new(),
    })
}

pub(crate) fn ingredient(card: &mut Card, raw: &str, number: usize) {
    let line = raw.trim();
    let heading = line
        .strip_suffix(':')
        .filter(|h| !h.is_empty() && !h.contains(|c: char| c.is_ascii_digit()));
    match heading {
        Some(heading) => card.headings.push((number, clean(heading).0)),
        None => card.lines.push(read_line(raw, number)),
    }
}

pub(crate) fn set_method(card: &mut Card, text: &str, line: usize) -> Result<(), CardError> {
    if text.chars().count() > limits::METHOD_CHARS {
        return Err(CardError::MethodTooLong { line });
    }
    // Cleaned a line at a time, since line breaks end sentences.
    let text = text
        .lines()
        .map(|l| clean(l).0)
        .collect::<Vec<_>>()
        .join("\n");
    card.method = read_method(&text);
    Ok(())
}

/// Reads one header line into the card.
pub(crate) fn header_line(card: &mut Card, raw: &str, line: usize) -> Result<(), CardError> {
    let (text, _) = clean(raw);
    let (word, value) = match text.split_once([' ', ':']) {
        Some((word, value)) => (word, value.trim_start_matches([' ', ':']).trim()),
        None => (text.as_str(), ""),
    };
    let column = text.len() - value.len();
    let column = Span::new(column, column).column(&text);
    let all = text.to_ascii_lowercase();
    match (word.to_ascii_lowercase().as_str(), all.as_str()) {
        ("serves", _) => set(
            &mut card.serves,
            serves(value, line, column)?,
            line,
            "serves",
        ),
        ("makes", _) => set(
            &mut card.makes,
            amount(value, line, column, "makes")?,
            line,
            "makes",
        ),
        ("portion", _) => set(
            &mut card.portion,
            amount(value, line, column, "portion")?,
            line,
            "portion",
        ),
        ("code", _) => set(&mut card.code, code(value, line, column)?, line, "code"),
        ("note", _) if !value.is_empty() => {
            card.notes.push(value.to_owned());
            Ok(())
        }
        (_, "made to order" | "to order") => service(card, Service::MadeToOrder, line),
        (_, "batch" | "batch cooked" | "made in a batch") => service(card, Service::Batch, line),
        (_, "drink") => {
            card.kind = Kind::Drink;
            Ok(())
        }
        _ => Err(CardError::Header {
            line,
            found: text.chars().take(80).collect(),
        }),
    }
}

fn set<T: PartialEq>(
    slot: &mut Option<T>,
    value: T,
    line: usize,
    what: &'static str,
) -> Result<(), CardError> {
    match slot {
        Some(old) if *old != value => Err(CardError::Twice { line, what }),
        _ => {
            *slot = Some(value);
            Ok(())
        }
    }
}

fn service(card: &mut Card, service: Service, line: usize) -> Result<(), CardError> {
    if card.service != Service::Unstated && card.service != service {
        return Err(CardError::Twice {
            line,
            what: "service",
        });
    }
    card.service = service;
    Ok(())
}

fn serves(value: &str, line: usize, column: usize) -> Result<Number, CardError> {
    let refused = || CardError::Serves {
        line,
        column,
        found: value.chars().take(80).collect(),
    };
    let tokens = scan(value);
    let reader = Reader {
        text: value,
        tokens: &tokens,
    };
    let mut found = Findings::default();
    let (amount, next) = reader.amount(0, &mut found).ok_or_else(refused)?;
    let rest = reader.word(next).to_ascii_lowercase();
    let people = matches!(
        rest.as_str(),
        "portions" | "portion" | "people" | "covers" | "servings"
    );
    let whole = next + usize::from(people) == tokens.len();
    match amount.quantity {
        Quantity::Exact(n)
            if n.get() > 0.0 && whole && found.faults.is_empty() && amount.each.is_none() =>
        {
            let counted = matches!(
                amount.unit,
                crate::unit::Unit::Count(crate::unit::Count::Each)
            );
            if counted { Ok(n) } else { Err(refused()) }
        }
        _ => Err(refused()),
    }
}

fn amount(
    value: &str,
    line: usize,
    column: usize,
    what: &'static str,
) -> Result<Extent, CardError> {
    let refused = || CardError::Amount {
        line,
        column,
        what,
        found: value.chars().take(80).collect(),
    };
    let tokens = scan(value);
    let reader = Reader {
        text: value,
        tokens: &tokens,
    };
    let mut found = Findings::default();
    let (amount, next) = reader
        .amount(0, &mut found)
        .or_else(|| reader.lone_unit(0, &mut found))
        .ok_or_else(refused)?;
    let above_zero = amount
        .quantity
        .bounds()
        .is_some_and(|(low, _)| low.get() > 0.0);
    // A word may follow that names the piece: `2 pc falafel`, `1 wrap`.
    let worded = (next..tokens.len()).all(|i| !reader.word(i).is_empty());
    if above_zero && found.faults.is_empty() && worded {
        Ok(Extent {
            text: value.to_owned(),
            amount,
        })
    } else {
        Err(refused())
    }
}

fn code(value: &str, line: usize, column: usize) -> Result<String, CardError> {
    let fits = |c: char| c.is_ascii_alphanumeric() || "-_.".contains(c);
    if !value.is_empty() && value.len() <= limits::CODE_CHARS && value.chars().all(fits) {
        Ok(value.to_owned())
    } else {
        Err(CardError::Code {
            line,
            column,
            found: value.chars().take(80).collect(),
        })
    }
}
