//! A named text. Takes a file, bytes or a string; gives text in UTF-8 without a byte order mark, or the problem that
//! kept it from being read. What the text means is left to `read`.

use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path as FilePath;
use std::sync::Arc;

use crate::report::{Code, Place, Problem};

/// Larger files are refused: a job of a thousand links, the most that there may be, has half a megabyte.
pub(super) const MOST_BYTES: u64 = 2 * 1024 * 1024;

/// A text and the name that the user knows it by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    name: String,
    /// Shared, since several stages keep the text for the places in their problems.
    text: Arc<str>,
}

impl Source {
    /// A text from elsewhere, such as one that is built in.
    pub fn from_text(name: impl Into<String>, text: impl Into<String>) -> Self {
        let mut text = text.into();
        if text.starts_with('\u{feff}') {
            text.drain(..'\u{feff}'.len_utf8());
        }
        Self {
            name: name.into(),
            text: text.into(),
        }
    }

    /// A file; fails when it is missing, a folder, too large, empty or not in UTF-8.
    pub fn read(path: &FilePath) -> Result<Self, Problem> {
        let name = path.display().to_string();
        let file = File::open(path).map_err(|error| unreadable(&name, &error))?;
        let data = file.metadata().map_err(|error| unreadable(&name, &error))?;
        if data.is_dir() {
            let message = format!("`{name}` is a folder, not a file");
            let problem = Problem::error(Code::UnreadableFile, message).at(Place::file(name));
            return Err(problem.help("name a file in it"));
        }
        if data.len() > MOST_BYTES {
            return Err(too_large(&name));
        }
        Self::from_reader(name, file)
    }

    /// Everything that a reader gives, such as standard input; fails as [`Source::read`] does.
    pub(crate) fn from_reader(
        name: impl Into<String>,
        reader: impl io::Read,
    ) -> Result<Self, Problem> {
        let name = name.into();
        let mut bytes = Vec::new();
        reader
            .take(MOST_BYTES + 1)
            .read_to_end(&mut bytes)
            .map_err(|error| unreadable(&name, &error))?;
        Self::from_bytes(name, bytes)
    }

    /// Bytes that should be text; fails when they are too many, none, or not in UTF-8.
    pub fn from_bytes(name: impl Into<String>, bytes: Vec<u8>) -> Result<Self, Problem> {
        let name = name.into();
        if u64::try_from(bytes.len()).is_ok_and(|count| count > MOST_BYTES) {
            return Err(too_large(&name));
        }
        let text = String::from_utf8(bytes).map_err(|error| not_utf8(&name, error.as_bytes()))?;
        let source = Self::from_text(name, text);
        if source.text.trim().is_empty() {
            return Err(empty(&source.name));
        }
        Ok(source)
    }

    /// The name that the user knows the text by.
    pub(crate) fn name(&self) -> &str {
        &self.name
    }

    /// The text, without a byte order mark.
    pub fn text(&self) -> &str {
        &self.text
    }
}

/// A file without data.
pub(super) fn empty(name: &str) -> Problem {
    Problem::error(Code::EmptyFile, format!("`{name}` holds no data"))
        .at(Place::file(name))
        .help("`liftsheet new` begins a job file, and `liftsheet manual rule-files` says what a rule file holds")
}

fn too_large(name: &str) -> Problem {
    let limit = MOST_BYTES / (1024 * 1024);
    let message = format!("`{name}` is larger than {limit} MiB");
    let help =
        "look whether it is the right file; a job file of a thousand links has half a megabyte";
    Problem::error(Code::TooLarge, message)
        .at(Place::file(name))
        .help(help)
}

fn unreadable(name: &str, error: &io::Error) -> Problem {
    let reason = match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".to_owned(),
        io::ErrorKind::PermissionDenied => "this user may not read it".to_owned(),
        _ => error.to_string(),
    };
    let message = format!("`{name}` cannot be read: {reason}");
    Problem::error(Code::UnreadableFile, message)
        .at(Place::file(name))
        .help("check the name and the folder")
}

fn not_utf8(name: &str, bytes: &[u8]) -> Problem {
    let valid = std::str::from_utf8(bytes).map_or_else(|error| error.valid_up_to(), str::len);
    let before = bytes.get(..valid).unwrap_or_default();
    let last = before.split(|byte| *byte == b'\n').next_back();
    let line = before.split(|byte| *byte == b'\n').count();
    let column = last.map_or(0, <[u8]>::len) + 1;
    let byte = bytes.get(valid).copied().unwrap_or_default();
    let sixteen = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
    let message = format!(
        "`{name}` is not text in UTF-8: line {line}, byte {column} of the line is 0x{byte:02x}"
    );
    Problem::error(Code::NotUtf8, message)
        .at(Place::file(name))
        .help(if sixteen {
            "it looks like UTF-16: choose UTF-8 when saving it"
        } else {
            "choose UTF-8 when saving it"
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal(bytes: &[u8]) -> Problem {
        Source::from_bytes("job.yaml", bytes.to_vec()).unwrap_err()
    }

    #[test]
    fn a_byte_order_mark_is_not_part_of_the_text() {
        assert_eq!(
            Source::from_bytes("a", b"\xef\xbb\xbfa: 1".to_vec())
                .unwrap()
                .text(),
            "a: 1"
        );
    }

    #[test]
    fn bytes_that_are_not_utf8_are_named_with_their_line() {
        let problem = refusal(b"a: 1\nb: \xc3\xa9 \xff\n");
        assert_eq!(problem.code, Code::NotUtf8);
        assert_eq!(
            problem.message,
            "`job.yaml` is not text in UTF-8: line 2, byte 7 of the line is 0xff"
        );
        assert!(refusal(b"\xff\xfea\0").help.unwrap().contains("UTF-16"));
        assert!(refusal(b"a: \xc3").message.contains("line 1, byte 4"));
    }

    #[test]
    fn folders_and_missing_files_are_unreadable() {
        let folder = tempfile::tempdir().unwrap();
        let as_file = Source::read(folder.path()).unwrap_err();
        assert_eq!(as_file.code, Code::UnreadableFile);
        assert!(as_file.message.ends_with("is a folder, not a file"));
        let missing = Source::read(&folder.path().join("none.yaml")).unwrap_err();
        assert_eq!(missing.code, Code::UnreadableFile);
        assert!(missing.message.ends_with("there is no such file"));
    }
}
