//! What a command has made, until it is written: a text, or the JSON of a large vehicle, which waits in a temporary file.
//!
//! JSON is put together while the plan that it tells of is there; the two together would take the memory of both.

use std::io::{self, BufWriter, Seek as _, Write};

use serde::Serialize;
use tempfile::SpooledTempFile;

use crate::report::is_unsafe_to_print;

/// Bytes of JSON beyond which it waits in a file: several times what an ordinary vehicle has.
const IN_MEMORY: usize = 8 << 20;

/// A document in its format.
pub(super) enum Content {
    /// As it is.
    Text(String),
    /// In memory, or in a file that nobody else sees.
    Kept(SpooledTempFile),
}

impl Content {
    /// JSON, indented, written piece by piece; fails where it cannot be JSON, or cannot be kept.
    pub(super) fn json(value: &impl Serialize) -> io::Result<Self> {
        let mut out = JsonWriter(BufWriter::new(tempfile::spooled_tempfile(IN_MEMORY)));
        serde_json::to_writer_pretty(&mut out, value)?;
        out.write_all(b"\n")?;
        let kept = out.0.into_inner().map_err(io::IntoInnerError::into_error)?;
        Ok(Self::Kept(kept))
    }

    /// Writes all of it.
    pub(super) fn write_to(&mut self, out: &mut impl Write) -> io::Result<()> {
        match self {
            Self::Text(text) => out.write_all(text.as_bytes())?,
            Self::Kept(kept) => {
                kept.rewind()?;
                io::copy(kept, out)?;
            }
        }
        out.flush()
    }
}

/// A JSON text in which signs that act on a terminal are written as their numbers: JSON reads both as the same.
pub(super) fn json_text(text: &str) -> String {
    let mut out = JsonWriter(Vec::with_capacity(text.len()));
    // Writing into memory cannot fail.
    let _ = out.add(text);
    String::from_utf8_lossy(&out.0).into_owned()
}

/// Takes JSON; passes it on with the signs that act on a terminal written as their numbers.
struct JsonWriter<W>(W);

impl<W: Write> JsonWriter<W> {
    fn add(&mut self, text: &str) -> io::Result<()> {
        let mut rest = text;
        while let Some(found) = rest.find(|c| c != '\n' && is_unsafe_to_print(c)) {
            let (before, sign) = rest.split_at(found);
            self.0.write_all(before.as_bytes())?;
            let mut signs = sign.chars();
            for unit in signs.next().into_iter().flat_map(units) {
                write!(self.0, "\\u{unit:04x}")?;
            }
            rest = signs.as_str();
        }
        self.0.write_all(rest.as_bytes())
    }
}

/// A sign as JSON writes it in numbers: one, or the two of a pair.
fn units(sign: char) -> Vec<u16> {
    sign.encode_utf16(&mut [0; 2]).to_vec()
}

impl<W: Write> Write for JsonWriter<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        // The writer of JSON hands over whole texts only.
        let text = std::str::from_utf8(bytes);
        self.add(text.map_err(|error| io::Error::new(io::ErrorKind::InvalidData, error))?)?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn json_is_the_same_in_memory_and_in_a_file() {
        for count in [3, IN_MEMORY] {
            let value = "\u{1b}x".repeat(count);
            let mut content = Content::json(&[&value]).unwrap();
            let (mut once, mut again) = (Vec::new(), Vec::new());
            content.write_to(&mut once).unwrap();
            content.write_to(&mut again).unwrap();
            assert!(once == again && once.ends_with(b"]\n"));
            assert!(once.iter().all(|byte| *byte != 0x1b));
            let read: Vec<String> = serde_json::from_slice(&once).unwrap();
            assert!(read == [value]);
        }
    }
}
