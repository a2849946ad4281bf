//! Pages out: to standard output, or to a file that appears whole or not at all.

use std::fmt;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use serde_json::Value;

use super::content::{Content, json_text};
use super::terminal;
use crate::report::{in_lines, in_message};

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

/// The same for what a command has made.
pub(super) fn print_content(content: &mut Content) -> Result<(), OutputError> {
    printed(content.write_to(&mut io::stdout().lock()))
}

fn write_to(out: &mut impl Write, text: &str) -> Result<(), OutputError> {
    printed(out.write_all(text.as_bytes()).and_then(|()| out.flush()))
}

fn printed(done: io::Result<()>) -> Result<(), OutputError> {
    match done {
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
    write_by(path, mark, force, |file| file.write_all(text.as_bytes()))
}

/// The same for what a command has made.
pub(super) fn write_content(
    path: &Path,
    content: &mut Content,
    mark: &str,
    force: bool,
) -> Result<(), OutputError> {
    write_by(path, mark, force, |file| content.write_to(file))
}

fn write_by(
    path: &Path,
    mark: &str,
    force: bool,
    put: impl FnOnce(&mut tempfile::NamedTempFile) -> io::Result<()>,
) -> Result<(), OutputError> {
    if !force && !ours(path, mark) {
        return Err(OutputError::new(
            path,
            "this file was not written by liftsheet; give another name, or --force to overwrite it",
        ));
    }
    let failed = |error: io::Error| OutputError::new(path, error);
    let file = beside(path, put).map_err(failed)?;
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
    let put = |file: &mut tempfile::NamedTempFile| file.write_all(text.as_bytes());
    let file = beside(path, put).map_err(failed)?;
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

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// A temporary file, filled, beside where it is to be.
fn beside(
    path: &Path,
    put: impl FnOnce(&mut tempfile::NamedTempFile) -> io::Result<()>,
) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    let builder = permissions(&mut builder);
    let mut file = builder.tempfile_in(folder_of(path))?;
    put(&mut file)?;
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
