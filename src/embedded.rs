//! The YAML files below `rules/` that the binary carries: their texts, and their values as they were read when the program was built.
//!
//! Takes a file's path below `rules/`; gives its text, and its values in the type asked for. Whether the values make sense is left to
//! those who ask for them.

use std::cell::Cell;

use serde::de::DeserializeOwned;

use crate::source::{self, Stored};

/// Path, text and stored tree of a file, and the shared files that were laid together for it.
type Row = (
    &'static str,
    &'static str,
    &'static [u8],
    &'static [&'static str],
);

/// The digest of all texts of files, all texts of trees and where each ends, and a row for each file, sorted by path; written by
/// `src/build/main.rs`.
#[allow(
    clippy::unreadable_literal,
    reason = "nobody reads where each text ends"
)]
static COMPILED: (&str, &str, &[u32], &[Row]) = include!(concat!(env!("OUT_DIR"), "/compiled.rs"));

/// The values of a file, a class laid together; none when there is no such file, or when it does not fit the type: its text then tells why.
pub(crate) fn values<T: DeserializeOwned>(path: &str) -> Option<T> {
    let (_, texts, ends, _) = COMPILED;
    let (_, _, bytes, _) = row(path)?;
    source::read_stored(&Stored {
        bytes: Cell::new(bytes),
        texts,
        ends,
    })
}

/// The text of a file.
pub(crate) fn text(path: &str) -> Option<&'static str> {
    row(path).map(|(_, text, ..)| *text)
}

/// The paths of all files, sorted.
pub(crate) fn paths() -> impl Iterator<Item = &'static str> {
    COMPILED.3.iter().map(|(path, ..)| *path)
}

/// SHA-256 over the paths and texts of all files.
pub(crate) fn digest() -> &'static str {
    COMPILED.0
}

/// The names of the shared files that were laid together for a file.
pub(crate) fn taken(path: &str) -> &'static [&'static str] {
    row(path).map_or(&[], |(_, _, _, taken)| taken)
}

fn row(path: &str) -> Option<&'static Row> {
    let rows = COMPILED.3;
    let at = rows.binary_search_by_key(&path, |(path, ..)| path).ok()?;
    rows.get(at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::{self, builtin, pattern, sharing, written};
    use crate::{job, source};

    /// Reads a file in both ways, if it fits the type.
    fn twice<T: DeserializeOwned + std::fmt::Debug>(path: &str, text: &str) -> (String, String) {
        let fast = values::<T>(path).unwrap_or_else(|| panic!("{path} has no values"));
        let slow: T = serde_yaml::from_str(text).unwrap();
        (format!("{fast:?}"), format!("{slow:?}"))
    }

    #[test]
    fn every_file_has_the_values_of_its_text() {
        let all = builtin::all();
        assert_eq!(all.len(), COMPILED.3.len());
        for (path, file) in &all {
            let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder);
            let text = file.text();
            let (fast, slow) = match folder {
                "" if path.contains("states") => twice::<written::States>(path, text),
                "" => twice::<written::Settings>(path, text),
                "connections" | "consequences" => continue,
                "procedure" => twice::<written::Procedure>(path, text),
                "limits" => twice::<written::Limits>(path, text),
                "demo" => twice::<job::written::Job>(path, text),
                "patterns" => twice::<pattern::written::Pattern>(path, text),
                "patterns/lists" => twice::<pattern::written::List>(path, text),
                _ => twice::<serde_json::Value>(path, text),
            };
            assert_eq!(fast, slow, "{path}");
        }
    }

    #[test]
    fn every_class_has_the_values_that_the_careful_reader_lays_together() {
        let files = rules::Files::overlaid(builtin::all(), false);
        let mut taken_over = 0;
        for folder in ["connections", "consequences"] {
            for path in files.list(folder) {
                let mut report = crate::report::Report::new();
                let source = files.get(&path).unwrap();
                let slow = sharing::read(&path, &source, &files, &mut report);
                assert_eq!(report.problems, [], "{path}");
                let fast = values::<written::Class>(&path).unwrap();
                assert_eq!(format!("{fast:?}"), format!("{:?}", slow.unwrap()));
                taken_over += usize::from(!taken(&path).is_empty());
            }
        }
        assert!(taken_over > 60, "{taken_over}");
    }

    /// The demo goes the fast way, and the same file in a user's hands the careful one.
    #[test]
    fn the_demos_have_the_values_that_the_careful_reader_finds() {
        for path in ["demo/forestry-crew.yaml", "demo/forestry-crew-survey.yaml"] {
            let mut report = crate::report::Report::new();
            let slow =
                source::read::<job::written::Job>(&builtin::file(path).unwrap(), &mut report);
            assert!(report.is_empty());
            let fast = values::<job::written::Job>(path).unwrap();
            assert_eq!(format!("{fast:?}"), format!("{:?}", slow.unwrap().value));
        }
    }

    #[test]
    fn what_is_not_there_or_does_not_fit_has_no_values() {
        assert!(values::<written::Class>("connections/none.yaml").is_none());
        assert!(values::<written::Limits>("settings.yaml").is_none());
    }
}
