//! What a class is called, and what it asks for as lines that wait: each with its label, unit and choices.

use std::collections::BTreeMap;

use super::Form;
use super::yaml::{Writer, scalar};
use crate::fill::{TAKE_OFF, of_reading};
use crate::quantity::Unit;
use crate::rules::expression::Expr;
use crate::rules::{Answer, Class, Measurement};

/// What a class is called, and where to look for it.
pub(super) fn of_class(class: &Class, out: &mut Writer) {
    let text = &class.text;
    out.remark(2, &format!("{}: {}", text.title, text.whereabouts));
}

impl Form<'_> {
    /// The lines of every measurement of a class on a thing such as `parts.tow-bar`, each with what was measured there last time.
    pub(super) fn measured(&self, indent: usize, class: &Class, thing: &str, out: &mut Writer) {
        let mut measurements: Vec<(&String, &Measurement)> = class.measurements.iter().collect();
        measurements.sort_by_key(|(_, measurement)| measurement.turn);
        for (name, measurement) in measurements {
            if let Answer::Each { keys, fields } = &measurement.kind {
                let fields = (keys.as_slice(), fields);
                self.list(indent, (name, measurement), fields, thing, out);
            } else {
                let comment = self.told(&of_reading(thing, name), &comment(measurement));
                out.waits(indent, &scalar(name), &comment);
            }
        }
    }

    /// A list that is measured once for each key: the fields are explained at the first.
    fn list(
        &self,
        indent: usize,
        (name, measurement): (&str, &Measurement),
        (keys, fields): (&[String], &BTreeMap<String, Measurement>),
        thing: &str,
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
                let place = of_reading(thing, &format!("{name}.{key}.{field}"));
                let comment = self.told(&place, &comment);
                out.line(indent, &format!("#    {}:", scalar(field)), &comment);
            }
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
