//! How large, deep and slow a request may be. Every door reads these.

use std::time::Duration;

/// Bytes of one request body or message.
pub const MAX_BODY_BYTES: usize = 1024 * 1024;
/// Bytes of a file given to the command line.
pub const MAX_FILE_BYTES: usize = 16 * 1024 * 1024;
/// Requests of one batch.
pub const MAX_BATCH: usize = 1_000;
/// Ingredient lines of one card.
pub const MAX_LINES: usize = 200;
/// Characters of one ingredient line.
pub const MAX_LINE_CHARS: usize = 500;
/// Characters of a name or a code.
pub const MAX_NAME_CHARS: usize = 200;
/// Characters of a method.
pub const MAX_METHOD_CHARS: usize = 20_000;
/// Cards that one request may hold, sub-recipes included.
pub const MAX_CARDS: usize = 200;
/// Sub-recipes within sub-recipes.
pub const MAX_DEPTH: usize = 8;
/// Lines of all cards after sub-recipes are unfolded.
pub const MAX_COMPONENTS: usize = 2_000;
/// Items of one sitting.
pub const MAX_SITTING: usize = 40;
/// Tolerances of one diner.
pub const MAX_TOLERANCES: usize = 9;
/// Amendments shown.
pub const MAX_PLANS: usize = 3;
/// Foods on one page of a list.
pub const MAX_PAGE: u32 = 200;
/// Foods on one page when nothing is said.
pub const DEFAULT_PAGE: u32 = 50;
/// Time that one request may take.
pub const DEADLINE: Duration = Duration::from_secs(10);
/// Requests worked on at once by one server.
pub const MAX_CONCURRENT: usize = 256;
