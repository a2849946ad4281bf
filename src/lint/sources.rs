//! Sources: every class, setting and procedure file says where it comes from, and how firmly.

use std::collections::BTreeMap;

use super::Notes;
use crate::report::{Code, Path, Report, unknown_help};
use crate::rules::written::Source;
use crate::rules::{Class, DECIDED, Rules, Setting};

/// How firm a source is, firmest first.
const STATUS: [&str; 5] = [
    "read",
    "secondary copy",
    "from memory",
    "common practice",
    DECIDED,
];
/// What stands in place of a document for what the whole trade does.
const PRACTICE: &str = "common practice";

/// Checks the sources of a class and of its settings.
pub(super) fn class(class: &Class, notes: &mut Notes<'_>) {
    list(&class.source, "this class", notes);
    settings(&class.settings, notes);
}

/// Checks the sources of the settings and of the procedure.
pub(super) fn rule_set(rules: &Rules, report: &mut Report) {
    settings(
        &rules.settings,
        &mut Notes::of(&rules.settings_file, report),
    );
    for (file, sources) in &rules.procedure_sources {
        list(sources, "this stage", &mut Notes::of(file, report));
    }
}

fn settings(settings: &BTreeMap<String, Setting>, notes: &mut Notes<'_>) {
    let root = Path::root().key("settings");
    for (name, setting) in settings {
        lint_source(
            &setting.source,
            &root.key(name.as_str()).key("source"),
            notes,
        );
    }
}

fn list(sources: &[Source], what: &str, notes: &mut Notes<'_>) {
    let at = Path::root().key("source");
    if sources.is_empty() {
        let message = format!("{what} does not say where it comes from");
        let help = "name a document and how it is known, or `{document: common practice, status: common practice}`";
        notes.error(Code::MissingSource, &at, message, help);
    }
    for (index, source) in sources.iter().enumerate() {
        lint_source(source, &at.index(index), notes);
    }
}

fn lint_source(source: &Source, path: &Path, notes: &mut Notes<'_>) {
    let (document, status) = (source.document.trim(), source.status.trim());
    if document.is_empty() || status.is_empty() {
        let message = "a source names a document and how it is known";
        let help = "fill in `document` and `status`; an invented source is a defect, so write `common practice` or `from memory` where that is so";
        notes.error(Code::MissingSource, path, message, help);
        return;
    }
    if !STATUS.contains(&status) {
        let message = format!("`{status}` is not a way to know a source");
        let help = unknown_help(status, STATUS.into_iter());
        notes.error(Code::UnknownChoice, &path.key("status"), message, help);
        return;
    }
    let practice = document == PRACTICE;
    if practice && !["common practice", "from memory", DECIDED].contains(&status) {
        let message = format!("common practice is no document that could be known as `{status}`");
        let help = "name the document, or write `status: common practice`";
        notes.error(Code::BadSource, &path.key("status"), message, help);
    }
    if !practice && status == PRACTICE {
        let message = "a document is read, seen in a secondary copy or known from memory; it is not common practice";
        let help = "write how the document is known, or `document: common practice`";
        notes.error(Code::BadSource, &path.key("status"), message, help);
    }
}
