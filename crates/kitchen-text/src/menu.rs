//! A menu as CSV: `dish,serves,makes,portion,service,line,method`, one ingredient a row.
//!
//! The dish is repeated in each of its rows; what is said of it once counts for all. Cells are
//! text: a formula is never evaluated.

use crate::card::{Card, CardError, FileError, header_line, ingredient, named, set_method};
use crate::decode::decode;
use crate::limits;

const COLUMNS: [&str; 7] = [
    "dish", "serves", "makes", "portion", "service", "line", "method",
];

/// A dish while its rows come in.
struct Dish {
    name: String,
    card: Result<Card, CardError>,
    rows: usize,
    method: String,
    line: usize,
}

/// Reads a menu. One bad dish leaves the others readable.
///
/// Commas, semicolons and tabs are told apart by the first line.
///
/// # Errors
/// When the file as a whole cannot be read: its size, encoding, columns or quoting.
pub fn read_menu(bytes: &[u8]) -> Result<Vec<Result<Card, CardError>>, FileError> {
    let (text, _) = decode(bytes)?;
    if text.trim().is_empty() {
        return Err(FileError::Empty);
    }
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter(&text))
        .flexible(true)
        .from_reader(text.as_bytes());
    let columns = columns(reader.headers().map_err(|e| csv_error(&e))?)?;
    let mut dishes: Vec<Dish> = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|e| csv_error(&e))?;
        let position = row.position().map_or(0, csv::Position::line);
        if row.len() > columns.len() {
            let problem = format!("{} cells under {} columns", row.len(), columns.len());
            return Err(FileError::Csv {
                line: position,
                problem,
            });
        }
        let line = usize::try_from(position).unwrap_or(usize::MAX);
        let cell = |name: &str| {
            columns
                .iter()
                .position(|c| *c == name)
                .and_then(|i| row.get(i))
                .map_or("", str::trim)
        };
        if row.iter().all(|c| c.trim().is_empty()) {
            continue;
        }
        let at = match dishes.iter().position(|d| d.name == cell("dish")) {
            Some(at) => at,
            None if dishes.len() == limits::CARDS => return Err(FileError::TooManyCards),
            None => {
                let name = cell("dish").to_owned();
                let card = named(&name, line);
                dishes.push(Dish {
                    name,
                    card,
                    rows: 0,
                    method: String::new(),
                    line,
                });
                dishes.len() - 1
            }
        };
        dishes[at].take(&cell, line);
    }
    if dishes.is_empty() {
        return Err(FileError::Empty);
    }
    Ok(dishes.into_iter().map(Dish::close).collect())
}

impl Dish {
    fn take<'r>(&mut self, cell: &impl Fn(&str) -> &'r str, line: usize) {
        let Ok(card) = &mut self.card else { return };
        self.rows += 1;
        let said = ["serves", "makes", "portion"]
            .into_iter()
            .filter(|n| !cell(n).is_empty());
        let mut taken = said
            .map(|n| format!("{n} {}", cell(n)))
            .chain(Some(cell("service").to_owned()).filter(|s| !s.is_empty()))
            .try_for_each(|header| header_line(card, &header, line));
        if self.rows > limits::CARD_LINES {
            taken = Err(CardError::TooManyLines { line });
        }
        if let Err(error) = taken {
            self.card = Err(error);
            return;
        }
        for part in cell("line").lines().filter(|l| !l.trim().is_empty()) {
            ingredient(card, part, line);
        }
        let method = cell("method");
        if !method.is_empty() && self.method != method {
            if !self.method.is_empty() {
                self.method.push('\n');
            }
            self.method.push_str(method);
        }
        if card.lines.len() > limits::CARD_LINES {
            self.card = Err(CardError::TooManyLines { line });
        }
    }

    fn close(self) -> Result<Card, CardError> {
        let mut card = self.card?;
        if card.lines.is_empty() {
            return Err(CardError::NoLines { line: self.line });
        }
        set_method(&mut card, &self.method, self.line)?;
        Ok(card)
    }
}

fn columns(headers: &csv::StringRecord) -> Result<Vec<String>, FileError> {
    let columns: Vec<String> = headers.iter().map(|h| h.trim().to_lowercase()).collect();
    for (i, column) in columns.iter().enumerate() {
        if !COLUMNS.contains(&column.as_str()) {
            return Err(FileError::Columns {
                problem: format!("column `{column}` is not known"),
            });
        }
        if columns[..i].contains(column) {
            return Err(FileError::Columns {
                problem: format!("column `{column}` stands twice"),
            });
        }
    }
    for needed in ["dish", "line"] {
        if !columns.iter().any(|c| c == needed) {
            return Err(FileError::Columns {
                problem: format!("column `{needed}` is missing"),
            });
        }
    }
    Ok(columns)
}

fn delimiter(text: &str) -> u8 {
    let first = text.lines().next().unwrap_or_default();
    let count = |d: char| first.matches(d).count();
    [(';', b';'), ('\t', b'\t')]
        .into_iter()
        .filter(|(d, _)| count(*d) > count(','))
        .max_by_key(|(d, _)| count(*d))
        .map_or(b',', |(_, byte)| byte)
}

fn csv_error(error: &csv::Error) -> FileError {
    FileError::Csv {
        line: error.position().map_or(1, csv::Position::line),
        problem: error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::card::Service;

    const MENU: &str = "dish,serves,makes,portion,service,line,method\n\
        Rice bowl,4,,120 g,made to order,300 g rice,\n\
        Rice bowl,,,,,\"2 cloves garlic, minced\",\"Boil rice, drain.\nServe.\"\n\
        Soup,,1 gal,,batch,=HYPERLINK(\"x\"),\n";

    fn read(text: &str) -> Vec<Card> {
        read_menu(text.as_bytes())
            .unwrap()
            .into_iter()
            .map(Result::unwrap)
            .collect()
    }

    #[test]
    fn rows_of_a_dish_make_one_card() {
        let cards = read(MENU);
        assert_eq!(cards.len(), 2);
        assert_eq!(cards[0].lines.len(), 2);
        assert_eq!(cards[0].lines[1].food_text, "garlic");
        assert_eq!(cards[0].lines[1].number, 3);
        assert_eq!(cards[0].serves.map(|n| n.get()), Some(4.0));
        assert_eq!(cards[0].service, Service::MadeToOrder);
        assert_eq!(cards[0].method.len(), 2);
        assert_eq!(cards[1].service, Service::Batch);
    }

    #[test]
    fn a_formula_is_text() {
        let line = &read(MENU)[1].lines[0];
        assert!(line.food_text.starts_with("=HYPERLINK("));
        assert_eq!(line.doubts[0].kind, crate::DoubtKind::Formula);
        assert!(line.amounts.is_empty());
    }

    #[test]
    fn semicolons_and_encodings_give_the_same_cards() {
        let menu = MENU.replace("rice, drain", "rice and drain");
        let semicolons = menu
            .replace("garlic, minced", "garlic\u{1}")
            .replace(',', ";")
            .replace('\u{1}', ", minced");
        let cards = read(&semicolons);
        assert_eq!(cards, read(&menu));
        let utf16: Vec<u8> = MENU.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let marked = [&[0xFF, 0xFE][..], &utf16].concat();
        assert_eq!(read_menu(&marked).unwrap().len(), 2);
    }

    #[test]
    fn faults_name_line_and_remedy() {
        let unknown = read_menu(b"dish,line,colour\na,b,c\n").unwrap_err();
        assert!(unknown.to_string().contains("`colour` is not known"));
        assert!(matches!(
            read_menu(b"dish\na\n"),
            Err(FileError::Columns { .. })
        ));
        assert!(matches!(
            read_menu(b"dish,line\na,b,c\n"),
            Err(FileError::Csv { line: 2, .. })
        ));
        assert_eq!(read_menu(b""), Err(FileError::Empty));
        let menu =
            read_menu(b"dish,serves,line\nA,0,1 g salt\nB,2,1 g salt\nB,3,1 g oil\nC,1,1 g oil\n")
                .unwrap();
        assert!(matches!(menu[0], Err(CardError::Serves { line: 2, .. })));
        assert!(matches!(menu[1], Err(CardError::Twice { line: 4, .. })));
        assert!(menu[2].is_ok());
    }
}
