//! The texts of one run, by name. Takes sources; gives text and bytes for the places in problems, and reads the
//! YAML for them only when one is to be shown.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::OnceLock;

use super::{Locator, Source};
use crate::report::{Place, Point, Texts};

/// The texts that problems may point into.
#[derive(Debug, Default)]
pub struct Sources {
    kept: BTreeMap<String, Kept>,
}

#[derive(Debug)]
struct Kept {
    source: Source,
    locator: OnceLock<Locator>,
}

impl Sources {
    /// Keeps a text; one kept before under the same name is replaced.
    pub fn add(&mut self, source: Source) {
        let locator = OnceLock::new();
        self.kept
            .insert(source.name().to_owned(), Kept { source, locator });
    }

    /// A text, by the name that the user knows.
    pub(crate) fn get(&self, name: &str) -> Option<&Source> {
        self.kept.get(name).map(|kept| &kept.source)
    }
}

impl Texts for Sources {
    fn text(&self, file: &str) -> Option<&str> {
        self.get(file).map(Source::text)
    }

    fn range(&self, place: &Place) -> Option<Range<usize>> {
        let kept = self.kept.get(&place.file)?;
        if let Point::Bytes { start, end } = place.path.point() {
            let end = end.min(kept.source.text().len());
            return Some(start.min(end)..end);
        }
        if place.path.is_root() {
            return None;
        }
        let locator = kept
            .locator
            .get_or_init(|| Locator::new(kept.source.text()));
        locator.range(&place.path)
    }
}
