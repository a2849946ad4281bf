//! What a class is called, and what it asks for as lines that wait: each with its label, unit and choices.

use std::collections::BTreeMap;

use super::yaml::{Writer, scalar};
use crate::fill::TAKE_OFF;
use crate::quantity::Unit;
use crate::rules::expression::Expr;
use crate::rules::{Answer, Class, Measurement};

/// What a class is called, and where to look for it.
pub(super) fn of_class(class: &Class, out: &mut Writer) {
    let text = &class.text;
    out.remark(2, &format!("{}: {}", text.title, text.whereabouts));
}

/// The lines of every measurement of a class. `last` says what was measured of each last time, if anything was.
pub(super) fn lines(indent: usize, class: &Class, last: &Last<'_>, out: &mut Writer) {
    let mut measurements: Vec<(&String, &Measurement)> = class.measurements.iter().collect();
    measurements.sort_by_key(|(_, measurement)| measurement.turn);
    for (name, measurement) in measurements {
        if let Answer::Each { keys, fields } = &measurement.kind {
            let fields = (keys.as_slice(), fields);
            list(indent, (name, measurement), fields, last, out);
        } else {
            let comment = both(&comment(measurement), &last(name));
            out.waits(indent, &scalar(name), &comment);
        }
    }
}

/// What was measured last time under a name, in words; nothing where nothing was.
type Last<'l> = dyn Fn(&str) -> String + 'l;

fn both(comment: &str, last: &str) -> String {
    let said = [comment, last].into_iter().filter(|text| !text.is_empty());
    said.collect::<Vec<_>>().join("; ")
}

/// A list that is measured once for each key: the fields are explained at the first.
fn list(
    indent: usize,
    (name, measurement): (&str, &Measurement),
    (keys, fields): (&[String], &BTreeMap<String, Measurement>),
    last: &Last<'_>,
    out: &mut Writer,
) {
    let label = format!("{}, once for each of these{TAKE_OFF}", comment(measurement));
    out.waits(indent, &scalar(name), &label);
    for (number, key) in keys.iter().enumerate() {
        out.line(indent, &format!("#  {}:", scalar(key)), "");
        for (field, measurement) in fields {
            let comment = if number == 0 {
                comment(measurement)
            } else {
                String::new()
            };
            let comment = both(&comment, &last(&format!("{name}.{key}.{field}")));
            out.line(indent, &format!("#    {}:", scalar(field)), &comment);
        }
    }
}

/// `mm: hose pushed over the shorter spigot; 0 when left out`.
fn comment(measurement: &Measurement) -> String {
    let mut parts = vec![match answers(&measurement.kind) {
        Some(answers) => format!("{answers}: {}", measurement.label),
        None => measurement.label.clone(),
    }];
    // A list of measurements that is asked of some only when it applies may be asked of these always.
    let when = measurement.ask_when.as_ref().map(in_words);
    let when = when
        .as_deref()
        .map(|when| when.strip_prefix("true and ").unwrap_or(when));
    parts.extend(
        when.filter(|when| *when != "true")
            .map(|when| format!("only when {when}")),
    );
    match &measurement.default {
        Some(default) => parts.push(format!("{default} when left out")),
        None if measurement.optional => parts.push("may be left out".to_owned()),
        None => {}
    }
    parts.join("; ")
}

fn answers(kind: &Answer) -> Option<String> {
    match kind.unit() {
        Some(Unit::One) => Some("a number".to_owned()),
        Some(unit) => Some(unit.code().to_owned()),
        None => Some(kind.words().join(" | ")).filter(|words| !words.is_empty()),
    }
}

/// A condition as somebody would say it: `not mounted.body` → `mounted is not body`.
fn in_words(when: &Expr) -> String {
    let mut words = Vec::new();
    let mut negated = false;
    for word in when.text().split_whitespace() {
        if word == "not" {
            negated = true;
            continue;
        }
        let choice = word
            .split_once('.')
            .filter(|(name, _)| name.chars().all(|c| c.is_ascii_alphabetic() || c == '_'));
        words.push(match (choice, negated) {
            (Some(("known", name)), true) => format!("{name} is not given"),
            (Some(("known", name)), false) => format!("{name} is given"),
            (Some((name, choice)), true) => format!("{name} is not {choice}"),
            (Some((name, choice)), false) => format!("{name} is {choice}"),
            (None, true) => format!("not {word}"),
            (None, false) => word.to_owned(),
        });
        negated = false;
    }
    words.join(" ")
}
