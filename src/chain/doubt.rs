//! What speaks against lines that are whole in themselves: they are fewer than this machine saw, go on otherwise, or are signed by another.
//!
//! Takes a chain, its number and what the machine keeps; gives the [`Doubt`], and remembers how far a chain is that has none.

use std::io;

use super::{Chain, Chained};
use crate::keys::{Home, Seen};

/// What speaks against lines that are whole in themselves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doubt {
    /// There are fewer lines than there were.
    Shorter {
        /// How many there were.
        had: usize,
        /// How many there are.
        has: usize,
    },
    /// The line of a number was another one.
    Branches(usize),
    /// They are signed by a key that is not this machine's own.
    OtherKey,
}

impl<E: Chained> Chain<E> {
    /// What speaks against it by what the machine saw of it under that number.
    pub fn doubt(&self, home: &Home, id: &str) -> io::Result<Option<Doubt>> {
        let Some(seen) = home.seen(id)? else {
            return Ok(None);
        };
        let has = self.entries.len();
        Ok(match self.digest_of(seen.lines) {
            Some(digest) if digest == seen.digest => None,
            Some(_) => Some(Doubt::Branches(seen.lines)),
            None => Some(Doubt::Shorter {
                had: seen.lines,
                has,
            }),
        })
    }

    /// Remembers how far it is.
    pub fn remember(&self, home: &Home, id: &str) -> io::Result<()> {
        let seen = Seen {
            lines: self.entries.len(),
            digest: self.last_digest().to_owned(),
        };
        home.remember(id, &seen)
    }
}
