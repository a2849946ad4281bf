//! Patterns: generic vehicles, nobody's model, from which a job file is begun.
//!
//! Takes pattern files and the lists that they share; gives checked [`Pattern`]s and, of their options, what was [`Chosen`].
//! Which entries a choice keeps, and the text of the job file, are left to `form`.

mod check;
mod choices;
mod chosen;
mod model;
pub(crate) mod written;

pub use chosen::Chosen;
pub use model::Pattern;
pub(crate) use model::{Choice, Entry, Link, MOUNT_CLASS, Mount, Part, Raise, VEHICLE_FIELDS};

use super::Files;
use crate::report::{Code, Notes, Path, Report, unknown_help};

const FOLDER: &str = "patterns";
pub(super) const LISTS: &str = "patterns/lists";

/// The ids of every pattern there is a file for, sorted.
pub fn ids(files: &Files) -> Vec<String> {
    files.ids(FOLDER)
}

/// Reads and checks one pattern; gives nothing when there is none of that id, or anything is wrong with it.
pub fn load(files: &Files, id: &str, report: &mut Report) -> Option<Pattern> {
    let path = format!("{FOLDER}/{id}.yaml");
    let (source, ours) = files.get(&path)?;
    let written: written::Pattern = super::read(&path, (&source, ours), report)?;
    let mut lists = Vec::new();
    let mut whole = true;
    for (index, name) in written.lists.iter().enumerate() {
        let path = format!("{LISTS}/{name}.yaml");
        let Some((list, ours)) = files.get(&path) else {
            let path = Path::root().key("lists").index(index);
            let known = files.ids(LISTS);
            let message = format!("there is no shared list `{name}`");
            let help = unknown_help(name, known.iter().map(String::as_str));
            Notes::of(source.name(), report).error(Code::BadRule, &path, message, help);
            whole = false;
            continue;
        };
        match super::read(&path, (&list, ours), report) {
            Some(written) => lists.push((written, list.name().to_owned())),
            None => whole = false,
        }
    }
    let file = source.name().to_owned();
    let pattern = check::check(id, (written, file), lists, &files.class_ids(), report);
    pattern.filter(|_| whole)
}
