//! The rule set and demos that the binary carries.

use std::collections::BTreeMap;

use include_dir::{Dir, include_dir};

use crate::source::Source;

static RULES: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/rules");

/// How an embedded file is shown to the user.
#[must_use]
pub fn shown(path: &str) -> String {
    format!("<built-in>/rules/{path}")
}

/// The path below `rules/` of an embedded file as it is shown to the user.
#[must_use]
pub fn path_of(shown: &str) -> Option<&str> {
    shown.strip_prefix("<built-in>/rules/")
}

/// The embedded file of that path below `rules/`, or none.
#[must_use]
pub fn file(path: &str) -> Option<Source> {
    let text = RULES.get_file(path)?.contents_utf8()?;
    Some(Source::from_text(shown(path), text))
}

/// The paths of the embedded files in a folder of `rules/`, sorted.
#[must_use]
pub fn list(folder: &str) -> Vec<String> {
    let files = RULES.get_dir(folder).map(Dir::files).into_iter().flatten();
    let mut paths: Vec<String> = files
        .map(|file| file.path().display().to_string())
        .collect();
    paths.sort();
    paths
}

/// Every embedded file by its path below `rules/`.
#[must_use]
pub fn all() -> BTreeMap<String, Source> {
    let mut folders = vec![&RULES];
    let mut found = BTreeMap::new();
    while let Some(folder) = folders.pop() {
        folders.extend(folder.dirs());
        for embedded in folder.files() {
            let path = embedded.path().display().to_string();
            if let Some(source) = file(&path) {
                found.insert(path, source);
            }
        }
    }
    found
}
