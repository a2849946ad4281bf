//! Local limits: each has an id of its own, compares facts of the job, can be evaluated, and says where it was read.
//!
//! A limit is law to whoever reads the sheet, so its source is held to more than that of a rule of the trade: a document, and
//! whether it was read, seen in a secondary copy, or is known from memory. What was not read stands in `note`, never as a limit.

use std::collections::BTreeSet;

use super::Notes;
use super::declared::{self, Sort};
use super::kinds::is_fact;
use super::pieces::Use;
use super::trial;
use crate::report::{Code, Path, Report, unknown_help};
use crate::rules::expression::Expr;
use crate::rules::facts::{self, FACTS};
use crate::rules::{Limit, Region};

/// How firm the source of a limit is, firmest first.
const STATUS: [&str; 3] = ["read", "secondary copy", "from memory"];
/// Years in which a text that is still looked at was made.
const YEARS: std::ops::RangeInclusive<u32> = 1900..=2100;
/// What a limit could be, to try its texts.
const TRIAL: f64 = 100.0;

/// Checks the limits of one jurisdiction.
pub(super) fn region(region: &Region, report: &mut Report) {
    let mut notes = Notes {
        file: &region.file,
        report,
    };
    let root = Path::root();
    filled(&region.title, &root.key("title"), &mut notes);
    filled(&region.authority, &root.key("authority"), &mut notes);
    if region.limits.is_empty() && region.note.is_none() {
        notes.error(
            Code::BadRule,
            &root.key("limits"),
            "a jurisdiction without a limit says nothing".to_owned(),
            "add a limit that was read, or say in `note` what was not",
        );
    }
    let mut ids = BTreeSet::new();
    for limit in &region.limits {
        let at = &limit.place.path;
        if !ids.insert(limit.id.as_str()) {
            notes.error(
                Code::DuplicateId,
                &at.key("id"),
                format!("two limits are called `{}`", limit.id),
                "give one of them another id",
            );
        }
        filled(&limit.title, &at.key("title"), &mut notes);
        filled(&limit.because, &at.key("because"), &mut notes);
        source(limit, &mut notes);
        expressions(limit, &mut notes);
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
        notes.error(
            Code::MissingSource,
            &at.key("document"),
            "a limit without a document is nobody's law".to_owned(),
            "name the document; what was not read belongs in `note`",
        );
    }
    let status = source.status.as_str();
    if !STATUS.contains(&status) {
        notes.error(
            Code::UnknownChoice,
            &at.key("status"),
            format!("`{status}` is not a way to know a limit"),
            unknown_help(status, STATUS.into_iter()),
        );
    }
    if let Some(year) = source.year.filter(|year| !YEARS.contains(year)) {
        notes.error(
            Code::BadSource,
            &at.key("year"),
            format!("{year} is not the year of a text that is still looked at"),
            "give the year of the text that was read, or leave it out",
        );
    }
}

fn expressions(limit: &Limit, notes: &mut Notes<'_>) {
    let at = &limit.place.path;
    if let Some(applies) = &limit.applies {
        evaluated(Use::Condition(applies), &at.key("applies"), &[], notes);
    }
    for (key, expression) in [("value", &limit.value), ("most", &limit.most)] {
        evaluated(Use::Input(expression), &at.key(key), &[], notes);
        numbers_only(expression, &at.key(key), notes);
    }
    evaluated(
        Use::Text(&limit.because),
        &at.key("because"),
        &["value", "most"],
        notes,
    );
    may_be_absent(limit, notes);
    if limit.value.names().is_empty() {
        notes.error(
            Code::BadRule,
            &at.key("value"),
            "this compares the same on every vehicle".to_owned(),
            "compare a fact of the job, such as `lift.highest`",
        );
    }
}

/// The limit is held only where the job gives what its expressions ask for; of any other fact the job may say nothing.
fn may_be_absent(limit: &Limit, notes: &mut Notes<'_>) {
    let expressions = limit.applies.iter().chain([&limit.value, &limit.most]);
    let asked: BTreeSet<&String> = expressions.flat_map(Expr::names).collect();
    let used = trial::names(Use::Text(&limit.because)).unwrap_or_default();
    let facts = used.iter().filter(|name| facts::find(name).is_some());
    for name in facts.filter(|name| !asked.contains(name)) {
        bad(
            &limit.place.path.key("because"),
            format!("`{name}` is printed here, and a job may leave it out"),
            notes,
        );
    }
}

/// A piece names facts only (and `own` names), and can be evaluated with what they could be.
fn evaluated(what: Use<'_>, path: &Path, own: &[&str], notes: &mut Notes<'_>) {
    let used = match trial::names(what) {
        Ok(used) => used,
        Err(error) => return bad(path, error.to_string(), notes),
    };
    let strangers = used
        .iter()
        .filter(|name| !is_fact(name) && !own.contains(&name.as_str()));
    let mut all = true;
    for name in strangers {
        all = false;
        let known = FACTS.iter().map(|fact| fact.name).chain(facts::ALWAYS);
        notes.error(
            Code::UnknownName,
            path,
            format!("`{name}` is not a fact of the job"),
            unknown_help(name, known.chain(own.iter().copied())),
        );
    }
    let mut declared = declared::of_facts();
    declared.extend(
        own.iter()
            .map(|name| ((*name).to_owned(), Sort::Number(TRIAL))),
    );
    if all && let Err(error) = trial::attempt(what, &used, &declared) {
        bad(path, error.to_string(), notes);
    }
}

/// What is compared is a number; yes and no compare with nothing.
fn numbers_only(expression: &Expr, path: &Path, notes: &mut Notes<'_>) {
    let tried = trial::inputs(expression, &declared::of_facts());
    let number = |value: &crate::calc::Value| matches!(value, crate::calc::Value::Number(_));
    if tried.iter().any(|value| !number(value)) {
        bad(
            path,
            format!("`{}` gives no number", expression.text()),
            notes,
        );
    }
}

fn bad(path: &Path, message: String, notes: &mut Notes<'_>) {
    notes.error(
        Code::BadExpression,
        path,
        message,
        "`applies` gives yes or no, `value` and `most` a number; `because` is a text over facts, `value` and `most`",
    );
}
