//! Bytes of a file → its lines, or the first one that is not as it was written.
//!
//! Takes the whole file; gives a [`Chain`]. A line is whole when it ends in a line break: what stands behind the last one is
//! a torn tail, left by a write that was cut off, and no entry. Files are left to [`super::store`].

use std::io::BufRead as _;
use std::sync::Arc;

use thiserror::Error;

use super::{Chained, NO_KEY, ZEROS, sha256};
use crate::keys;
use crate::sha256::Written;

/// What stands before a seal.
const MARK: &[u8] = b"\"seal\":\"";

/// Lines of which every one is as it was written. A copy shares the entries and the text with it.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain<E> {
    /// The entries, in order.
    pub entries: Vec<Arc<E>>,
    /// How many bytes stand behind the last line break.
    pub torn: usize,
    /// SHA-256 of the last line; each line holds that of the one before it.
    last: String,
    /// The lines, each with its line break.
    text: Arc<Vec<u8>>,
}

impl<E> Default for Chain<E> {
    fn default() -> Self {
        Self {
            entries: Vec::new(),
            torn: 0,
            last: ZEROS.to_owned(),
            text: Arc::default(),
        }
    }
}

/// The first line that is not as it was written.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("line {line} {flaw}")]
pub struct Broken {
    /// Its number in the file; the first is 1.
    pub line: usize,
    /// What is wrong with it.
    pub flaw: Flaw,
}

/// What is wrong with a line, in words that follow its number.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Flaw {
    /// It is not an entry in canonical form.
    #[error("is not an entry as it was written")]
    NotCanonical,
    /// It has another number than its place.
    #[error("holds entry {0}: lines were left out, put in or moved")]
    Number(u64),
    /// Its seal is not that of its bytes.
    #[error("was changed: its seal does not fit")]
    Seal,
    /// Its digest of the line before is not that of the line that stands there.
    #[error("was written after another line than the one before it")]
    Before,
    /// What the machine signed is another line, or was signed by another machine.
    #[error("is not what the machine signed: its signature does not fit")]
    Signature,
    /// It must be signed by the machine.
    #[error("is not signed by the machine, and must be")]
    Unsigned,
    /// It takes another key, which a line of its kind may not.
    #[error("brings a key that it may not bring")]
    Key,
    /// Somebody is known by what was said who had given a PIN before.
    #[error("is by somebody who has a PIN, and was written without it")]
    Unproved,
}

impl<E: Chained> Chain<E> {
    /// SHA-256 of the last line; zeros while there is none. Printed on paper, it fixes every line up to it.
    pub fn last_digest(&self) -> &str {
        &self.last
    }

    /// SHA-256 of the line of a number; none where there is none.
    pub fn digest_of(&self, number: usize) -> Option<&str> {
        self.digests().nth(number.checked_sub(1)?)
    }

    /// The number of the line with that SHA-256, or with one that begins so: sixteen of its digits, as pages print them, are enough.
    pub fn line_of(&self, digest: &str) -> Option<usize> {
        let same = |own: &str| digest.len() >= 16 && own.starts_with(digest);
        let found = self.digests().position(same);
        found.map(|index| index + 1)
    }

    /// SHA-256 of each line, in order.
    fn digests(&self) -> impl Iterator<Item = &str> {
        let before = self.entries.iter().map(|entry| entry.tied().before);
        before.chain([self.last_digest()]).skip(1)
    }

    /// The public key by which lines are signed; none where none is.
    pub fn key(&self) -> Option<&str> {
        let last = self.entries.iter().rev().find_map(|entry| entry.tied().key);
        last.filter(|key| *key != NO_KEY)
    }

    /// The lines as they stand in the file, each with its line break.
    pub fn text(&self) -> &[u8] {
        &self.text
    }

    /// Adds an entry behind the last one, signed where a key is given.
    pub(crate) fn push(&mut self, mut entry: E, secret: Option<&keys::Secret>) {
        entry.tie(self.entries.len() as u64 + 1, self.last_digest());
        if let Some(secret) = secret {
            entry.sign(secret.sign(entry.bare(false).as_bytes()));
        }
        entry.seal(sha256(entry.bare(true).as_bytes()));
        let line = entry.line();
        debug_assert_eq!(
            serde_json::to_value(&entry)
                .ok()
                .map(|value| value.to_string()),
            Some(line.clone()),
            "a field is declared out of the order of its name"
        );
        self.last = sha256(line.as_bytes());
        self.entries.push(Arc::new(entry));
        let text = Arc::make_mut(&mut self.text);
        // Room for as much again would be for nothing: few lines are added at once.
        text.reserve_exact(line.len() + 1);
        text.extend_from_slice(line.as_bytes());
        text.push(b'\n');
    }

    /// The same lines and what stands behind them in a file. Where they do not stand there as they were verified, all of it is verified.
    pub(super) fn followed(&self, mut file: Vec<u8>) -> Result<Self, Broken> {
        let whole = file.iter().rposition(|byte| *byte == b'\n');
        let whole = whole.map_or(0, |at| at + 1);
        let torn = file.len() - whole;
        file.truncate(whole);
        file.shrink_to_fit();
        let known = file.starts_with(self.text()).then(|| self.clone());
        let mut chain = known.unwrap_or_default();
        let behind = file.get(chain.text.len()..).unwrap_or_default();
        let next = (
            chain.entries.len() + 1,
            &*chain.last.clone(),
            chain.key().map(ToOwned::to_owned),
        );
        follow(behind, next, |entry, digest| {
            chain.entries.push(Arc::new(entry));
            chain.last = digest;
        })?;
        (chain.torn, chain.text) = (torn, Arc::new(file));
        match E::impossible(&chain.entries) {
            None => Ok(chain),
            Some((line, flaw)) => Err(Broken { line, flaw }),
        }
    }
}

/// Verifies every line of a file.
pub fn verify<E: Chained>(bytes: &[u8]) -> Result<Chain<E>, Broken> {
    Chain::default().followed(bytes.to_vec())
}

/// Verifies whole lines behind others: `first` is the number of the first of them, `before` the digest of the line before, `key` what signs.
fn follow<E: Chained>(
    lines: &[u8],
    (first, before, mut key): (usize, &str, Option<String>),
    mut each: impl FnMut(E, String),
) -> Result<(), Broken> {
    let mut before = before.to_owned();
    for (line, number) in whole(lines).zip(first..) {
        let entry = read_line(line, number as u64, &before);
        let (entry, digest): (E, String) = entry.map_err(|flaw| Broken { line: number, flaw })?;
        signed(&entry, &mut key).map_err(|flaw| Broken { line: number, flaw })?;
        before.clone_from(&digest);
        each(entry, digest);
    }
    Ok(())
}

/// Lines without their line breaks.
fn whole(mut lines: &[u8]) -> impl Iterator<Item = &[u8]> {
    std::iter::from_fn(move || {
        let line = lines;
        // It steps over many bytes at once, as splitting them does not.
        let length = lines.skip_until(b'\n').ok()?;
        line.get(..length.checked_sub(1)?)
    })
}

/// An entry and the SHA-256 of its line.
fn read_line<E: Chained>(line: &[u8], number: u64, before: &str) -> Result<(E, String), Flaw> {
    let sealed = Sealed::of(line, E::AFTER_SEAL).ok_or(Flaw::NotCanonical)?;
    let digest = sealed.verify().ok_or(Flaw::Seal)?;
    let entry: E = serde_json::from_slice(line).map_err(|_| Flaw::NotCanonical)?;
    if entry.line().as_bytes() != line {
        return Err(Flaw::NotCanonical);
    }
    let tied = entry.tied();
    if tied.number != number {
        return Err(Flaw::Number(tied.number));
    }
    if tied.before != before {
        return Err(Flaw::Before);
    }
    Ok((entry, digest))
}

/// Looks whether a line is signed as it must be; `key` is what signs up to it, and from it on.
fn signed<E: Chained>(entry: &E, key: &mut Option<String>) -> Result<(), Flaw> {
    let tied = entry.tied();
    if let Some(new) = tied.key {
        if key.is_some() && !entry.may_change_key() {
            return Err(Flaw::Key);
        }
        *key = (new != NO_KEY).then(|| new.to_owned());
    }
    match (tied.machine, key) {
        (None, key) if entry.must_be_signed(key.is_some()) => Err(Flaw::Unsigned),
        (None, _) => Ok(()),
        (Some(signature), Some(key))
            if keys::fits(key, entry.bare(false).as_bytes(), signature) =>
        {
            Ok(())
        }
        (Some(_), _) => Err(Flaw::Signature),
    }
}

/// The bytes of a line around its seal.
struct Sealed<'l> {
    head: &'l [u8],
    seal: &'l [u8],
    tail: &'l [u8],
}

impl<'l> Sealed<'l> {
    /// In a text of the line every quote is escaped, and the name that follows in a canonical line is known, so that nothing else looks
    /// like the seal.
    fn of(line: &'l [u8], follows: &str) -> Option<Self> {
        // Little stands behind it.
        let marks = line.windows(MARK.len()).enumerate().rev();
        // The first byte alone tells most of them apart, and every line of the record comes by here.
        let mut marks = marks.filter(|(_, bytes)| bytes.first() == MARK.first() && *bytes == MARK);
        marks.find_map(|(at, _)| {
            let (head, rest) = line.split_at(at);
            let (seal, tail) = rest.get(MARK.len()..)?.split_at_checked(64)?;
            let name = tail
                .strip_prefix(b"\",\"")?
                .strip_prefix(follows.as_bytes())?;
            name.starts_with(b"\":")
                .then_some(Self { head, seal, tail })
        })
    }

    /// The SHA-256 of the line; none where that of the line without its seal is not the seal. What stands before it is digested once.
    fn verify(&self) -> Option<String> {
        let mut head = Written::new();
        head.add(self.head);
        let mut bare = head.clone();
        bare.add(self.tail.get(2..)?);
        if bare.digest().as_bytes() != self.seal {
            return None;
        }
        head.add(MARK);
        head.add(self.seal);
        head.add(self.tail);
        Some(head.digest())
    }
}

#[cfg(test)]
#[path = "tests.rs"]
mod tests;
