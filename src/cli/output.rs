//! Pages out to standard output, complaints to standard error, and JSON as it is made; files are left to [`crate::desk`].

use std::io::{self, Write};

use serde::Serialize;
use serde_json::{Value, json};

use super::terminal;
use crate::report::{in_lines, is_unsafe_to_print};

/// Writes a text to standard output; a reader that has gone away is not an error.
pub(super) fn print(text: &str) -> Result<(), String> {
    write_to(&mut io::stdout().lock(), text)
}

/// The same for a text with bold in it, which is plain where nobody sees it.
pub(super) fn print_styled(text: &str) -> Result<(), String> {
    write_to(&mut terminal::stdout().lock(), text)
}

fn write_to(out: &mut impl Write, text: &str) -> Result<(), String> {
    told(out.write_all(text.as_bytes()).and_then(|()| out.flush()))
}

/// What is said of writing to standard output.
fn told(written: io::Result<()>) -> Result<(), String> {
    match written {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(format!("standard output: {error}"))
        }
        _ => Ok(()),
    }
}

/// Writes a text to standard error: clean, and broken to the terminal's width.
pub(super) fn complain(text: &str) {
    complain_styled(&terminal::fit_stderr(&in_lines(text)));
}

/// The same for a text that is clean and fits, and may have bold in it. Nobody is left to tell when writing fails.
pub(super) fn complain_styled(text: &str) {
    if text.is_empty() {
        return;
    }
    let mut out = terminal::stderr().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

/// Draws on the terminal as it is, control codes and all.
pub(super) fn draw(text: &str) {
    let mut out = io::stderr().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

/// A JSON document that says what made it, indented.
pub(super) fn stamped_json(mut value: Value, by: impl Serialize) -> String {
    if let Value::Object(fields) = &mut value {
        fields.insert("made_by".to_owned(), json!(by));
    }
    json(&value)
}

/// A JSON document, indented.
pub(super) fn json(value: &impl Serialize) -> String {
    let mut text = Vec::new();
    // Every key is a text, so there is nothing that cannot be written, and all that is written is text.
    let _ = to_json(&mut text, value);
    String::from_utf8(text).unwrap_or_default()
}

/// Writes a JSON document to standard output as it is made; a reader that has gone away is not an error.
pub(super) fn print_json(value: &impl Serialize) -> Result<(), String> {
    told(to_json(io::stdout().lock(), value))
}

/// Writes a JSON document as it is made.
pub(super) fn to_json(out: impl Write, value: &impl Serialize) -> io::Result<()> {
    let mut out = Safe(io::BufWriter::new(out));
    serde_json::to_writer_pretty(&mut out, value).map_err(io::Error::from)?;
    out.write_all(b"\n")?;
    out.flush()
}

/// Writes JSON in which signs that act on a terminal are written as their numbers: JSON reads both as the same.
struct Safe<W>(W);

impl<W: Write> Write for Safe<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        // A text comes in pieces that are each whole signs.
        match std::str::from_utf8(bytes) {
            Ok(text) if text.contains(acts) => self.0.write_all(json_text(text).as_bytes())?,
            _ => self.0.write_all(bytes)?,
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

fn acts(sign: char) -> bool {
    sign != '\n' && is_unsafe_to_print(sign)
}

/// A JSON text in which signs that act on a terminal are written as their numbers.
pub(super) fn json_text(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for sign in text.chars() {
        if !acts(sign) {
            out.push(sign);
            continue;
        }
        // One number, or the two of a pair.
        for unit in sign.encode_utf16(&mut [0; 2]) {
            out += &format!("\\u{unit:04x}");
        }
    }
    out
}
