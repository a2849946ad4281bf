//! Text that remembers where it came from: YAML read into typed values, with every problem of a file at once.
//!
//! A [`Source`] is a named text. [`read()`] turns it into a value without its broken entries, tells which those were, and
//! pushes a problem for each; [`Sources`] keeps the texts so that a [`Path`](crate::report::Path) can be shown with its
//! line. Whether the values make sense together is left to the stages that follow.
//!
//! Reading is one pass of a YAML parser's events into a tree ([`Locator`]) whose nodes know their bytes, and serde over
//! that tree. So there is one reading of the text, errors arrive as kinds and not as sentences, and what is left out
//! never shifts the place of anything else.

mod alias;
mod build;
mod chars;
mod de;
mod de_entries;
mod flaw;
mod locator;
mod mistake;
mod one_or;
#[cfg(test)]
mod properties;
mod read;
mod scalar;
mod sources;
mod stored;
pub(crate) mod table;
#[cfg(test)]
mod tests;
mod text;
mod wording;

pub use locator::Locator;
pub(crate) use mistake::with_help;
pub(crate) use one_or::{More, OneOr};
pub(crate) use read::read_values;
pub use read::{Read, read};
pub use sources::Sources;
pub(crate) use stored::{Stored, read_stored};
pub use text::Source;
