//! How far a record was when this machine saw it last: the number and the digest of its last line.
//!
//! Takes the number of a record and its lines; says whether they go on from there. A copy that was put back in the place of a longer
//! record is whole in itself, and only this tells that lines are missing.

use std::io;

use super::home::{Home, named};

/// How far a record was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LastSeen {
    /// The number of its last line.
    pub lines: usize,
    /// The SHA-256 of that line.
    pub digest: String,
}

impl Home {
    /// How far a record was; none when this machine never saw it.
    pub fn seen(&self, record: &str) -> io::Result<Option<LastSeen>> {
        let bytes = self.read(&file(record))?;
        let text = bytes.and_then(|bytes| String::from_utf8(bytes).ok());
        Ok(text.and_then(|text| {
            let (lines, digest) = text.trim().split_once(' ')?;
            Some(LastSeen {
                lines: lines.parse().ok()?,
                digest: digest.to_owned(),
            })
        }))
    }

    /// Remembers how far a record is.
    pub fn remember(&self, record: &str, seen: &LastSeen) -> io::Result<()> {
        let text = format!("{} {}\n", seen.lines, seen.digest);
        self.note(&file(record), text.as_bytes())
    }
}

fn file(record: &str) -> String {
    format!("{}.seen", named(record))
}
