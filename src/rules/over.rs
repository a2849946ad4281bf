//! Settings that a workshop lays over by value: `settings.yaml` of a user's folder → the values that hold instead of ours, each with who
//! decided it and when.
//!
//! Takes the files and what is known below them; gives problems for what is not a setting. Where such a value is printed is left to
//! `document`, what a new setting is for to whoever wrote it.

use std::collections::BTreeMap;

use serde::Serialize;

use super::check::{self, Fields};
use super::model::Setting;
use super::written::{self, Entry, FullEntry};
use super::{Files, Rules};
use crate::quantity::{Quantity, Units};
use crate::report::{Code, Path, Place, Problem, Report, unknown_help};
use crate::source::Source;

/// A value of a workshop in the place of one of ours; for other programs in the order of the names.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LaidOver {
    /// Who decided it.
    pub by: Option<String>,
    pub label: String,
    pub on: Option<String>,
    /// The setting: `name`, or `class.name`.
    pub setting: String,
    /// What holds now.
    pub value: Quantity,
    /// What held before.
    pub was: Quantity,
    pub why: Option<String>,
}

impl LaidOver {
    /// What lies over what: `tilt_limit: 4° instead of 5°`.
    pub(crate) fn print(&self, units: Units) -> String {
        format!(
            "{}: {} instead of {}",
            self.setting,
            self.value.print(units),
            self.was.print(units)
        )
    }
}

/// What a user's file says of the settings of classes, by class and name, with where it stands.
pub(super) type OfClasses = BTreeMap<String, BTreeMap<String, (FullEntry, Place)>>;

/// Lays a user's settings over those of the procedure; gives what is said of the settings of classes.
pub(super) fn settings(
    files: &Files,
    source: &Source,
    written: written::Settings,
    rules: &mut Rules,
    report: &mut Report,
) -> OfClasses {
    let mut of_classes = OfClasses::new();
    let (by, on) = (written.by, written.on);
    for (name, Entry(mut entry)) in written.settings {
        entry.by = entry.by.or_else(|| by.clone());
        entry.on = entry.on.or_else(|| on.clone());
        let path = Path::root().key("settings").key(name.as_str());
        let place = Place::new(source.name(), path.clone());
        if let Some((class, setting)) = name.split_once('.') {
            let class = of_classes.entry(class.to_owned()).or_default();
            class.insert(setting.to_owned(), (entry, place));
        } else if let Some(known) = rules.settings.get_mut(&name) {
            let laid = lay(known, &name, entry, &place, report);
            rules.laid_over.extend(laid);
        } else if let Some(new) = new(&entry) {
            let at = Path::root().key("settings");
            let mut fields = Fields::new(source.name(), false, report);
            let added = check::settings_of(BTreeMap::from([(name, new)]), &at, &mut fields);
            rules.settings.extend(added);
        } else {
            let problem = unknown(&name, place, rules.settings.keys());
            let begun = entry.label.is_some() || entry.unit.is_some() || entry.source.is_some();
            report.push(if begun {
                problem.help("a new one has a `label`, a `unit`, a `value` and a `source`")
            } else {
                problem
            });
        }
    }
    for (class, named) in &of_classes {
        known(files, class, named, report);
    }
    of_classes
}

/// Lays what is said of the settings of one class over them.
pub(super) fn class(
    id: &str,
    settings: &mut BTreeMap<String, Setting>,
    said: &OfClasses,
    report: &mut Report,
) -> Vec<LaidOver> {
    let mut laid = Vec::new();
    for (name, (entry, place)) in said.get(id).into_iter().flatten() {
        if let Some(known) = settings.get_mut(name) {
            let full = format!("{id}.{name}");
            laid.extend(lay(known, &full, entry.clone(), place, report));
        }
    }
    laid
}

fn lay(
    known: &mut Setting,
    name: &str,
    entry: FullEntry,
    place: &Place,
    report: &mut Report,
) -> Option<LaidOver> {
    let value = match Quantity::parse(entry.value.as_str(), known.value.unit) {
        Ok(value) if value.tolerance > 0.0 => {
            let (message, help) = check::EXACT;
            let problem = Problem::error(Code::BadRule, message).at(place.clone());
            report.push(problem.help(help));
            return None;
        }
        Ok(value) => value,
        Err(error) => {
            report.push(error.problem().at(place.clone()));
            return None;
        }
    };
    // A copy of ours by which nobody decides anything changes nothing, nor where the value comes from.
    if value == known.value && entry.by.is_none() {
        return None;
    }
    let was = std::mem::replace(&mut known.value, value);
    let who = entry.by.as_deref().unwrap_or("this workshop");
    let when = entry.on.as_ref().map(|on| format!(" on {on}"));
    known.source = written::Source {
        document: format!("decided by {who}{}", when.unwrap_or_default()),
        clause: None,
        status: DECIDED.to_owned(),
    };
    Some(LaidOver {
        setting: name.to_owned(),
        label: known.label.clone(),
        was,
        value,
        by: entry.by,
        on: entry.on,
        why: entry.why,
    })
}

/// How firm a value is that a workshop decided itself.
pub(crate) const DECIDED: &str = "decided here";

/// All that there is to say of a setting that we do not have.
fn new(entry: &FullEntry) -> Option<written::Setting> {
    Some(written::Setting {
        label: entry.label.clone()?,
        unit: entry.unit.clone()?,
        value: entry.value.clone(),
        source: entry.source.clone()?,
    })
}

/// Looks whether there are such a class and such settings of it.
fn known(
    files: &Files,
    class: &str,
    named: &BTreeMap<String, (FullEntry, Place)>,
    report: &mut Report,
) {
    // What is wrong with the class itself is said where it is read.
    let mut quiet = Report::new();
    let folder = ["connections", "consequences"]
        .into_iter()
        .find(|folder| files.get(&format!("{folder}/{class}.yaml")).is_some());
    let Some(folder) = folder else {
        let ids = files.ids("connections").into_iter();
        let ids: Vec<String> = ids.chain(files.ids("consequences")).collect();
        for (_, place) in named.values() {
            let message = format!("there is no class `{class}` to have a setting");
            let problem = Problem::error(Code::UnknownClass, message);
            let help = unknown_help(class, ids.iter().map(String::as_str));
            report.push(problem.at(place.clone()).help(help));
        }
        return;
    };
    if let Some(known) = super::class(files, folder, class, &mut quiet) {
        for (name, (_, place)) in named {
            if !known.settings.contains_key(name) {
                report.push(unknown(name, place.clone(), known.settings.keys()));
            }
        }
    }
}

fn unknown<'a>(name: &str, place: Place, known: impl Iterator<Item = &'a String>) -> Problem {
    Problem::error(Code::UnknownName, format!("there is no setting `{name}`"))
        .at(place)
        .help(unknown_help(name, known.map(String::as_str)))
}
