//! Local limits: each has an id of its own, compares facts of the job, can be evaluated, and says where it was read.
//!
//! A limit is law to whoever reads the sheet, so its source is held to more than that of a rule of the trade: a document, and
//! whether it was read, seen in a secondary copy, or is known from memory. What was not read stands in `note`, never as a limit.

use std::collections::BTreeSet;

use super::{Notes, names, units};
use crate::report::{Code, Path, Report, unknown_help};
use crate::rules::{Limit, Region};

/// How firm the source of a limit is, firmest first.
const STATUS: [&str; 3] = ["read", "secondary copy", "from memory"];
/// Years in which a text that is still looked at was made.
const YEARS: std::ops::RangeInclusive<u32> = 1900..=2100;

/// Checks the limits of one jurisdiction.
pub(super) fn region(region: &Region, report: &mut Report) {
    let mut notes = Notes::of(&region.file, report);
    let root = Path::root();
    filled(&region.title, &root.key("title"), &mut notes);
    filled(&region.authority, &root.key("authority"), &mut notes);
    if region.limits.is_empty() && region.note.is_none() {
        let message = "a jurisdiction without a limit says nothing";
        let help = "add a limit that was read, or say in `note` what was not";
        notes.error(Code::BadRule, &root.key("limits"), message, help);
    }
    let mut ids = BTreeSet::new();
    for limit in &region.limits {
        let at = &limit.place.path;
        if !ids.insert(limit.id.as_str()) {
            let message = format!("two limits are called `{}`", limit.id);
            let help = "give one of them another id";
            notes.error(Code::DuplicateId, &at.key("id"), message, help);
        }
        filled(&limit.title, &at.key("title"), &mut notes);
        filled(&limit.because, &at.key("because"), &mut notes);
        source(limit, &mut notes);
        names::limit(limit, &mut notes);
        units::limit(limit, &mut notes);
        if limit.value.names().is_empty() {
            let message = "this compares the same on every vehicle";
            let help = "compare a fact of the job, such as `lift.highest`";
            notes.error(Code::BadRule, &at.key("value"), message, help);
        }
    }
}

fn filled(text: &str, path: &Path, notes: &mut Notes<'_>) {
    if text.trim().is_empty() {
        let message = "this is printed, and there is nothing to print".to_owned();
        notes.error(Code::BadRule, path, message, "fill it in");
    }
}

fn source(limit: &Limit, notes: &mut Notes<'_>) {
    let at = limit.place.path.key("source");
    let source = &limit.source;
    if source.document.trim().is_empty() {
        let message = "a limit without a document is nobody's law";
        let help = "name the document; what was not read belongs in `note`";
        notes.error(Code::MissingSource, &at.key("document"), message, help);
    }
    let status = source.status.as_str();
    if !STATUS.contains(&status) {
        let message = format!("`{status}` is not a way to know a limit");
        let help = unknown_help(status, STATUS.into_iter());
        notes.error(Code::UnknownChoice, &at.key("status"), message, help);
    }
    if let Some(year) = source.year.filter(|year| !YEARS.contains(year)) {
        let message = format!("{year} is not the year of a text that is still looked at");
        let help = "give the year of the text that was read, or leave it out";
        notes.error(Code::BadSource, &at.key("year"), message, help);
    }
}
