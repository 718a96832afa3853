//! What a file, a card, a line and a number may at most be.

/// Bytes in one file of cards or one menu.
pub const FILE_BYTES: usize = 1024 * 1024;
/// Cards in one file.
pub const CARDS: usize = 2_000;
/// Lines in one card, empty ones included.
pub const CARD_LINES: usize = 200;
/// Characters in one ingredient line; the rest of a longer line is not read.
pub const LINE_CHARS: usize = 500;
/// Characters in the name of a card.
pub const NAME_CHARS: usize = 200;
/// Characters in a recipe code.
pub const CODE_CHARS: usize = 40;
/// Characters in the method of one card.
pub const METHOD_CHARS: usize = 20_000;
/// Brackets within brackets; deeper ones are read as plain text.
pub const BRACKET_DEPTH: usize = 4;
/// The largest number that is read as a quantity, whatever its unit.
pub const QUANTITY: f64 = 1.0e6;
