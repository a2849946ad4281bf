//! Sources: every class, setting and procedure file says where it comes from, and how firmly.

use super::Notes;
use crate::report::{Code, Path, Report, unknown_help};
use crate::rules::Class;
use crate::rules::DECIDED;
use crate::rules::Rules;
use crate::rules::written::Source;

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
    for (name, setting) in &class.settings {
        let at = Path::root()
            .key("settings")
            .key(name.as_str())
            .key("source");
        one(&setting.source, &at, notes);
    }
}

/// Checks the sources of the settings and of the procedure.
pub(super) fn rule_set(rules: &Rules, report: &mut Report) {
    for (name, setting) in &rules.settings {
        let mut notes = Notes {
            file: &rules.settings_file,
            report,
        };
        let at = Path::root()
            .key("settings")
            .key(name.as_str())
            .key("source");
        one(&setting.source, &at, &mut notes);
    }
    for (file, sources) in &rules.procedure_sources {
        let mut notes = Notes { file, report };
        list(sources, "this stage", &mut notes);
    }
}

fn list(sources: &[Source], what: &str, notes: &mut Notes<'_>) {
    let at = Path::root().key("source");
    if sources.is_empty() {
        notes.error(
            Code::MissingSource,
            &at,
            format!("{what} does not say where it comes from"),
            "name a document and how it is known, or `{document: common practice, status: common practice}`",
        );
    }
    for (index, source) in sources.iter().enumerate() {
        one(source, &at.index(index), notes);
    }
}

fn one(source: &Source, path: &Path, notes: &mut Notes<'_>) {
    let (document, status) = (source.document.trim(), source.status.trim());
    if document.is_empty() || status.is_empty() {
        notes.error(
            Code::MissingSource,
            path,
            "a source names a document and how it is known".to_owned(),
            "fill in `document` and `status`; an invented source is a defect, so write `common practice` or `from memory` where that is so",
        );
        return;
    }
    if !STATUS.contains(&status) {
        notes.error(
            Code::UnknownChoice,
            &path.key("status"),
            format!("`{status}` is not a way to know a source"),
            unknown_help(status, STATUS.into_iter()),
        );
        return;
    }
    let practice = document == PRACTICE;
    if practice && !["common practice", "from memory", DECIDED].contains(&status) {
        notes.error(
            Code::BadSource,
            &path.key("status"),
            format!("common practice is no document that could be known as `{status}`"),
            "name the document, or write `status: common practice`",
        );
    }
    if !practice && status == PRACTICE {
        notes.error(
            Code::BadSource,
            &path.key("status"),
            "a document is read, seen in a secondary copy or known from memory; it is not common practice".to_owned(),
            "write how the document is known, or `document: common practice`",
        );
    }
}
