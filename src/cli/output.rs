//! Pages out: to standard output, or to a file that appears whole or not at all.

use std::fmt::{self, Write as _};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use serde::Serialize;
use serde_json::Value;

use super::terminal;
use crate::report::{in_lines, in_message, is_unsafe_to_print};

/// Why a page could not be written.
#[derive(Debug)]
pub(super) struct OutputError {
    path: PathBuf,
    reason: String,
}

impl fmt::Display for OutputError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", shown(&self.path), self.reason)
    }
}

impl OutputError {
    fn new(path: &Path, reason: impl fmt::Display) -> Self {
        Self {
            path: path.to_owned(),
            reason: reason.to_string(),
        }
    }
}

/// Writes a text to standard output; a reader that has gone away is not an error.
pub(super) fn print(text: &str) -> Result<(), OutputError> {
    write_to(&mut io::stdout().lock(), text)
}

/// The same for a text with bold in it, which is plain where nobody sees it.
pub(super) fn print_styled(text: &str) -> Result<(), OutputError> {
    write_to(&mut terminal::stdout().lock(), text)
}

fn write_to(out: &mut impl Write, text: &str) -> Result<(), OutputError> {
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(OutputError::new(Path::new("standard output"), error))
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

/// Writes a file through a temporary one beside it. A file that does not carry `mark` is overwritten only by `force`.
pub(super) fn write(path: &Path, text: &str, mark: &str, force: bool) -> Result<(), OutputError> {
    if !force && !ours(path, mark) {
        return Err(OutputError::new(
            path,
            "this file was not written by liftsheet; give another name, or --force to overwrite it",
        ));
    }
    let failed = |error: io::Error| OutputError::new(path, error);
    let file = beside(path, text).map_err(failed)?;
    file.persist(path).map_err(|error| failed(error.error))?;
    Ok(())
}

/// Writes a file through a temporary one beside it, with the folders above it. A file that is there already is overwritten
/// only by `force`, whoever wrote it: somebody may have filled it in since.
pub(super) fn create(path: &Path, text: &str, force: bool) -> Result<(), OutputError> {
    let failed = |error: io::Error| match error.kind() {
        io::ErrorKind::AlreadyExists => OutputError::new(
            path,
            "this file is there already; give another name with -o, or --force to overwrite it",
        ),
        _ => OutputError::new(path, error),
    };
    std::fs::create_dir_all(folder_of(path)).map_err(|error| OutputError::new(path, error))?;
    let file = beside(path, text).map_err(failed)?;
    let done = if force {
        file.persist(path)
    } else {
        file.persist_noclobber(path)
    };
    done.map_err(|error| failed(error.error))?;
    Ok(())
}

/// Whether a path names a folder: one that is there, or a name that ends like one.
pub(super) fn is_folder(path: &Path) -> bool {
    path.is_dir() || path.as_os_str().to_string_lossy().ends_with('/')
}

/// A path as it is shown: whatever in it would act on a terminal is made visible.
pub(super) fn shown(path: &Path) -> String {
    in_message(&path.display().to_string())
}

/// A JSON document, indented.
pub(super) fn json(value: &Value) -> String {
    json_text(&format!("{value:#}\n"))
}

/// The same of what is written piece by piece; fails where it cannot be JSON.
pub(super) fn json_in_pieces(value: &impl Serialize) -> serde_json::Result<String> {
    let mut text = JsonText(String::new());
    serde_json::to_writer_pretty(&mut text, value)?;
    text.0.push('\n');
    Ok(text.0)
}

/// The text of a JSON document, in which signs that act on a terminal are written as their numbers: JSON reads both as the same.
pub(super) fn json_text(text: &str) -> String {
    let mut out = JsonText(String::with_capacity(text.len()));
    out.add(text);
    out.0
}

/// Takes JSON; keeps it with the signs that act on a terminal written as their numbers.
struct JsonText(String);

impl JsonText {
    fn add(&mut self, text: &str) {
        let mut rest = text;
        while let Some(found) = rest.find(|c| c != '\n' && is_unsafe_to_print(c)) {
            let (before, sign) = rest.split_at(found);
            self.0.push_str(before);
            let mut signs = sign.chars();
            for unit in signs.next().into_iter().flat_map(units) {
                // Writing to a String cannot fail.
                let _ = write!(self.0, "\\u{unit:04x}");
            }
            rest = signs.as_str();
        }
        self.0.push_str(rest);
    }
}

/// A sign as JSON writes it in numbers: one, or the two of a pair.
fn units(sign: char) -> Vec<u16> {
    sign.encode_utf16(&mut [0; 2]).to_vec()
}

impl io::Write for JsonText {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        // The writer of JSON hands over whole texts only.
        let text = std::str::from_utf8(bytes);
        self.add(text.map_err(|error| io::Error::new(io::ErrorKind::InvalidData, error))?);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// A temporary file with the text, beside where it is to be.
fn beside(path: &Path, text: &str) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    let builder = permissions(&mut builder);
    let mut file = builder.tempfile_in(folder_of(path))?;
    file.write_all(text.as_bytes())?;
    Ok(file)
}

/// A page is for everybody in the workshop, not only for who printed it.
#[cfg(unix)]
fn permissions<'a>(
    builder: &'a mut tempfile::Builder<'static, 'static>,
) -> &'a tempfile::Builder<'static, 'static> {
    use std::os::unix::fs::PermissionsExt;
    builder.permissions(std::fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn permissions<'a>(
    builder: &'a mut tempfile::Builder<'static, 'static>,
) -> &'a tempfile::Builder<'static, 'static> {
    builder
}

/// Whether a path is free, or holds a file that this program wrote.
fn ours(path: &Path, mark: &str) -> bool {
    match std::fs::read(path) {
        Ok(bytes) => bytes.is_empty() || String::from_utf8_lossy(&bytes).contains(mark),
        Err(error) => error.kind() == io::ErrorKind::NotFound,
    }
}
