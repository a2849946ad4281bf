//! What speaks against lines that are whole in themselves: they are fewer than this machine saw, go on otherwise, or are signed by another.
//!
//! Takes a chain, its number and what the machine keeps; gives the [`Doubt`], and remembers how far a chain is that has none.

use std::io;

use super::{Chain, Chained};
use crate::keys::{Home, LastSeen};

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
    /// What speaks against it by how far the machine saw it. What was seen is asked for before the chain is read, since others may add to
    /// it meanwhile.
    pub fn against(&self, seen: &LastSeen) -> Option<Doubt> {
        match self.digest_of(seen.lines) {
            Some(digest) if digest == seen.digest => None,
            Some(_) => Some(Doubt::Branches(seen.lines)),
            None => Some(Doubt::Shorter {
                had: seen.lines,
                has: self.entries.len(),
            }),
        }
    }

    /// Remembers how far it is; where it is to be taken as it is now, also when it was farther.
    pub fn remember(&self, home: &Home, id: &str, as_it_is: bool) -> io::Result<()> {
        let lines = self.entries.len();
        if !as_it_is && home.seen(id)?.is_some_and(|seen| seen.lines >= lines) {
            return Ok(());
        }
        let digest = self.last_digest().to_owned();
        home.remember(id, &LastSeen { lines, digest })
    }
}
