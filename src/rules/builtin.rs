//! The rule set and demos that the binary carries.

use std::collections::BTreeMap;

use crate::embedded;
use crate::sorted::Sorted as _;
use crate::source::Source;

/// How an embedded file is shown to the user.
pub(crate) fn shown(path: &str) -> String {
    format!("<built-in>/rules/{path}")
}

/// The path below `rules/` of an embedded file as it is shown to the user.
pub(crate) fn path_of(shown: &str) -> Option<&str> {
    shown.strip_prefix("<built-in>/rules/")
}

/// The embedded file of that path below `rules/`, or none.
pub fn file(path: &str) -> Option<Source> {
    let text = embedded::text(path)?;
    Some(Source::from_text(shown(path), text))
}

/// The paths of the embedded files in a folder of `rules/`, sorted.
pub(crate) fn list(folder: &str) -> Vec<String> {
    let inside = embedded::paths().filter(|path| {
        let parts = path.rsplit_once('/');
        parts.is_some_and(|(of, _)| of == folder)
    });
    inside.map(ToOwned::to_owned).collect()
}

/// Every embedded file by its path below `rules/`.
pub fn all() -> BTreeMap<String, Source> {
    let files = embedded::paths().filter_map(|path| Some((path.to_owned(), file(path)?)));
    files.sorted_map()
}
