//! The values of the YAML files below `rules/` that the binary carries, read when the program was built.
//!
//! Takes a file's path below `rules/`; gives its values in the type asked for. The texts of the files, for places in problems, are left
//! to `rules::builtin`; whether the values make sense is left to those who ask for them.

use serde::de::DeserializeOwned;

/// Path and JSON of every file, sorted by path; written by `src/build/main.rs`.
static COMPILED: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/compiled.rs"));

/// The values of a file; none when there is no such file, or when it does not fit the type: its text then tells why.
pub(crate) fn values<T: DeserializeOwned>(path: &str) -> Option<T> {
    let at = COMPILED
        .binary_search_by_key(&path, |(path, _)| path)
        .ok()?;
    let (_, json) = COMPILED.get(at)?;
    serde_json::from_str(json).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::builtin;
    use crate::{job, rules::pattern, rules::written, source};

    /// Reads a file in both ways, if it fits the type.
    fn twice<T: DeserializeOwned + std::fmt::Debug>(path: &str, text: &str) -> (String, String) {
        let fast = values::<T>(path).unwrap_or_else(|| panic!("{path} has no values"));
        let slow: T = serde_yaml::from_str(text).unwrap();
        (format!("{fast:?}"), format!("{slow:?}"))
    }

    #[test]
    fn every_file_has_the_values_of_its_text() {
        let all = builtin::all();
        assert_eq!(all.len(), COMPILED.len());
        for (path, file) in &all {
            let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder);
            let text = file.text();
            let (fast, slow) = match folder {
                "" if path.contains("states") => twice::<written::States>(path, text),
                "" => twice::<written::Settings>(path, text),
                "connections" | "consequences" => twice::<written::Class>(path, text),
                "procedure" => twice::<written::Procedure>(path, text),
                "limits" => twice::<written::Limits>(path, text),
                "demo" => twice::<job::written::Job>(path, text),
                "patterns" => twice::<pattern::written::Pattern>(path, text),
                "patterns/lists" => twice::<pattern::written::List>(path, text),
                _ => twice::<serde_yaml::Value>(path, text),
            };
            assert_eq!(fast, slow, "{path}");
        }
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
