//! Bytes of a record file → its entries, or the first line that is not as it was written.
//!
//! Takes the whole file; gives a [`Record`]. A line is whole when it ends in a line break: what stands behind the last one is
//! a torn tail, left by a write that was cut off, and no entry. Files are left to [`super::store`].

use std::fmt;

use super::entry::{Entry, ZEROS, sha256};

/// A record whose every line is as it was written.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Record {
    /// The entries, in order.
    pub entries: Vec<Entry>,
    /// How many bytes stand behind the last line break.
    pub torn: usize,
    /// SHA-256 of each line, in order.
    digests: Vec<String>,
}

/// The first line that is not as it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broken {
    /// Its number in the file; the first is 1.
    pub line: usize,
    /// What is wrong with it.
    pub flaw: Flaw,
}

/// What is wrong with a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flaw {
    /// It is not an entry in canonical form.
    NotCanonical,
    /// It has another number than its place: lines are missing, added or moved.
    Number(u64),
    /// Its seal is not that of its bytes.
    Seal,
    /// It was written after another line than the one that stands before it.
    Before,
}

impl fmt::Display for Broken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let line = self.line;
        match &self.flaw {
            Flaw::NotCanonical => write!(f, "line {line} is not an entry as it was written"),
            Flaw::Number(number) => write!(
                f,
                "line {line} holds entry {number}: lines were left out, put in or moved"
            ),
            Flaw::Seal => write!(f, "line {line} was changed: its seal does not fit"),
            Flaw::Before => write!(
                f,
                "line {line} was written after another line than the one before it"
            ),
        }
    }
}

impl Record {
    /// SHA-256 of the last line; zeros while there is none. Printed on paper, it fixes every line up to it.
    #[must_use]
    pub fn last_digest(&self) -> &str {
        self.digests.last().map_or(ZEROS, String::as_str)
    }

    /// The number of the line with that SHA-256.
    #[must_use]
    pub fn line_of(&self, digest: &str) -> Option<usize> {
        let found = self.digests.iter().position(|own| own == digest);
        found.map(|index| index + 1)
    }

    /// Leaves out what stands behind so many entries.
    pub(super) fn truncate(&mut self, length: usize) {
        self.entries.truncate(length);
        self.digests.truncate(length);
    }

    /// Adds an entry behind the last one; gives its line with the line break.
    pub(super) fn push(&mut self, entry: Entry) -> String {
        let number = self.entries.len() as u64 + 1;
        let entry = entry.chained(number, self.last_digest());
        let line = entry.line();
        self.digests.push(sha256(line.as_bytes()));
        self.entries.push(entry);
        line + "\n"
    }
}

/// Verifies every line of a record file.
pub fn verify(bytes: &[u8]) -> Result<Record, Broken> {
    let whole = bytes.iter().rposition(|byte| *byte == b'\n');
    let whole = whole.map_or(0, |at| at + 1);
    let mut record = Record {
        torn: bytes.len() - whole,
        ..Record::default()
    };
    let lines = bytes.get(..whole).unwrap_or_default();
    follow(lines, (1, ZEROS), |entry, digest| {
        record.entries.push(entry);
        record.digests.push(digest);
    })?;
    Ok(record)
}

/// Verifies lines that are to be written behind a record, as they would be read: what could not be read back is not written.
pub(super) fn verify_behind(record: &Record, lines: &str) -> Result<(), Broken> {
    let next = (record.entries.len() + 1, record.last_digest());
    let entries = record.entries.len();
    let mut read = entries;
    follow(lines.as_bytes(), next, |_, _| read += 1)?;
    let whole = lines.ends_with('\n') && read > entries;
    whole.then_some(()).ok_or(Broken {
        line: read + 1,
        flaw: Flaw::NotCanonical,
    })
}

/// Verifies whole lines behind others: `first` is the number of the first of them, `before` the digest of the line before.
fn follow(
    lines: &[u8],
    (first, before): (usize, &str),
    mut each: impl FnMut(Entry, String),
) -> Result<(), Broken> {
    let mut before = before.to_owned();
    let lines = lines.split_inclusive(|byte| *byte == b'\n');
    for (line, number) in lines.zip(first..) {
        let line = line.strip_suffix(b"\n").unwrap_or(line);
        let entry = one(line, number as u64, &before);
        let entry = entry.map_err(|flaw| Broken { line: number, flaw })?;
        before = sha256(line);
        each(entry, before.clone());
    }
    Ok(())
}

fn one(line: &[u8], number: u64, before: &str) -> Result<Entry, Flaw> {
    let (seal, rest) = without_seal(line).ok_or(Flaw::NotCanonical)?;
    if sha256(&rest).as_bytes() != seal {
        return Err(Flaw::Seal);
    }
    let entry: Entry = serde_json::from_slice(line).map_err(|_| Flaw::NotCanonical)?;
    if entry.line().as_bytes() != line {
        return Err(Flaw::NotCanonical);
    }
    if entry.number != number {
        return Err(Flaw::Number(entry.number));
    }
    if entry.before != before {
        return Err(Flaw::Before);
    }
    Ok(entry)
}

/// The seal of a line, and the line's bytes without it. In a text of the line every quote is escaped, and `task` is the name that follows
/// in a canonical line, so that nothing else looks like the seal.
fn without_seal(line: &[u8]) -> Option<(&[u8], Vec<u8>)> {
    let mark = b"\"seal\":\"";
    let marks = line.windows(mark.len()).enumerate();
    let mut marks = marks.filter(|(_, bytes)| bytes == mark);
    marks.find_map(|(at, _)| {
        let from = at + mark.len();
        let seal = line.get(from..from + 64)?;
        let after = line.get(from + 64..)?.strip_prefix(b"\",")?;
        after.starts_with(b"\"task\":").then(|| {
            let mut rest = line.get(..at).unwrap_or_default().to_vec();
            rest.extend_from_slice(after);
            (seal, rest)
        })
    })
}

#[cfg(test)]
#[path = "tests/chain.rs"]
mod tests;
