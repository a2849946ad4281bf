//! How many entries a list or mapping of a rule file may have: more than twice what any shipped rule has, and few enough that what follows
//! from them fits into time and memory.
//!
//! Takes a rule file; gives a problem for every list and mapping that is longer. What is in them is left to `check`.

use serde_json::Value;

use crate::report::{Code, Notes, Path, PathStep, Report};
use crate::source::{self, Source};

/// The longest list of a shipped rule has 20 entries.
pub(crate) const MOST_ENTRIES: usize = 50;
/// A pattern, the states and the settings list what a whole vehicle has; the longest shipped list has some sixty entries.
pub(crate) const MOST_OF_A_VEHICLE: usize = 500;

/// Reports every list and mapping of the rule file of that path with too many entries.
pub(super) fn check(path: &str, source: &Source, report: &mut Report) {
    let of_a_vehicle =
        path.starts_with("patterns/") || matches!(path, "states.yaml" | "settings.yaml");
    let most = if of_a_vehicle {
        MOST_OF_A_VEHICLE
    } else {
        MOST_ENTRIES
    };
    // Entries that cannot be read were reported when the file was read into its type.
    let mut known = Report::new();
    if let Some(read) = source::read::<Value>(source, &mut known) {
        let at = (Path::root(), source.name());
        walk(&read.value, at, most, report);
    }
}

fn walk(value: &Value, (path, file): (Path, &str), most: usize, report: &mut Report) {
    let entries: Vec<(PathStep, &Value)> = match value {
        Value::Array(items) => items
            .iter()
            .enumerate()
            .map(|(at, item)| (PathStep::Index(at), item))
            .collect(),
        Value::Object(fields) => fields
            .iter()
            .map(|(key, field)| (PathStep::Key(key.as_str().into()), field))
            .collect(),
        _ => return,
    };
    if entries.len() > most {
        let count = entries.len();
        let message =
            format!("{count} entries are more than a list of a rule file may have: at most {most}");
        let help = "look whether something was repeated by mistake, and give each kind of connection a file of its own";
        return Notes::of(file, report).error(Code::TooMany, &path, message, help);
    }
    for (step, entry) in entries {
        walk(entry, (path.step(step), file), most, report);
    }
}
