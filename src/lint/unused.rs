//! Unused names: what is measured, set or worked out and then read by nobody.

use std::collections::BTreeSet;

use super::rule_texts::{self, RuleText};
use super::{Notes, whole};
use crate::report::{Code, Path, Problem, Report};
use crate::rules::{Answer, Class, Rules};

/// Settings that the program itself reads.
const READ_BY_PROGRAM: [&str; 1] = ["tilt_limit"];

/// Checks what a class asks for, sets and works out.
pub(super) fn class(class: &Class, used: &BTreeSet<String>, notes: &mut Notes<'_>) {
    let root = Path::root();
    for name in class.settings.keys().filter(|name| !used.contains(*name)) {
        let path = root.key("settings").key_of(name.as_str());
        warn("setting", name, &path, notes);
    }
    for (name, measurement) in &class.measurements {
        let at = root.key("measurements");
        let listed = class
            .checks
            .iter()
            .any(|check| check.each.as_ref() == Some(name));
        // The distance of the fixings is read to work out how far they are pulled apart.
        let read_by_program = measurement.role.is_some() && used.contains("working");
        if !used.contains(name) && !listed && !read_by_program {
            warn("measurement", name, &at.key_of(name.as_str()), notes);
        }
        if let Answer::Each { fields, .. } = &measurement.kind {
            let at = at.key(name.as_str()).key("fields");
            for field in fields.keys().filter(|field| !used.contains(*field)) {
                warn("measurement", field, &at.key_of(field.as_str()), notes);
            }
        }
    }
    for check in class.checks.iter().filter(|check| check.calc.is_some()) {
        if !used.contains(&check.id) {
            warn("calculation", &check.id, &check.path.key("id"), notes);
        }
    }
}

/// Checks the settings of the whole rule set, where all that could read them is loaded. `classes` are what each class reads.
pub(super) fn settings(rules: &Rules, classes: Option<Vec<BTreeSet<String>>>, report: &mut Report) {
    let tasks = rules.procedure.iter();
    let tasks = tasks.map(|task| read(&rule_texts::of_procedure_task(task)));
    let tasks: Option<Vec<BTreeSet<String>>> = tasks.collect();
    let (Some(classes), Some(tasks), true) = (classes, tasks, whole(rules)) else {
        return;
    };
    let all = || classes.iter().chain(&tasks);
    let used =
        |name: &str| READ_BY_PROGRAM.contains(&name) || all().any(|read| read.contains(name));
    let mut notes = Notes::of(&rules.settings_file, report);
    for name in rules.settings.keys().filter(|name| !used(name)) {
        let path = Path::root().key("settings").key_of(name.as_str());
        warn("setting", name, &path, &mut notes);
    }
}

/// The first parts of the names that pieces use, and what they ask to be known; none where one of them cannot be read, for what it
/// was to use is not known.
pub(super) fn read(pieces: &[RuleText<'_>]) -> Option<BTreeSet<String>> {
    let mut used = BTreeSet::new();
    for piece in pieces {
        for name in piece.what.names().ok()? {
            let read = match name.split_once('.') {
                Some(("known", measurement)) => measurement,
                Some((root, _)) => root,
                None => name,
            };
            if !used.contains(read) {
                used.insert(read.to_owned());
            }
        }
    }
    Some(used)
}

fn warn(what: &str, name: &str, path: &Path, notes: &mut Notes<'_>) {
    let message = format!("nothing reads the {what} `{name}`");
    let help = "use it in an expression or text, or take it out; nobody should measure or set it for nothing";
    notes.push(Problem::warning(Code::UnusedName, message), path, help);
}
