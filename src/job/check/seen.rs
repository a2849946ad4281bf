//! Ids of one list, each of which may name one thing only.

use std::collections::BTreeMap;

use super::fields::Fields;
use crate::report::{Code, Path, Problem};

/// The ids of a list met so far, with where each was first used.
pub(super) struct Seen<'a> {
    kind: &'static str,
    first: BTreeMap<&'a str, Path>,
}

impl<'a> Seen<'a> {
    /// No ids yet; the kind is what messages call one entry.
    pub(super) fn new(kind: &'static str) -> Self {
        Self {
            kind,
            first: BTreeMap::new(),
        }
    }

    /// Whether an id can be one and is new; reports it otherwise, pointing at both places.
    pub(super) fn is_new(&mut self, id: &'a str, entry: &Path, fields: &mut Fields<'_>) -> bool {
        let path = entry.key("id");
        fields.id(id, &path);
        let Some(first) = self.first.get(id) else {
            self.first.insert(id, path);
            return true;
        };
        let message = format!("two {}s are called `{id}`", self.kind);
        let problem = Problem::error(Code::DuplicateId, message)
            .at(fields.place(&path))
            .related(fields.place(first), "first used here")
            .help("give one of them another id");
        fields.report.push(problem);
        false
    }
}
