//! Measurements: what kind of answer each takes, and the numbers that can be real.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::fields::Fields;
use crate::quantity::{Quantity, Unit, Written, yes_no};
use crate::report::{Code, Path, in_message, unknown_help};
use crate::rules::model::{Answer, Measurement};
use crate::rules::written;

/// Checks the measurements of a class, or the fields of a list measurement.
pub(super) fn measurements(
    measurements: BTreeMap<String, written::Measurement>,
    at: &Path,
    fields: &mut Fields<'_>,
) -> BTreeMap<String, Measurement> {
    let mut checked = BTreeMap::new();
    for (name, measurement) in measurements {
        if let Some(measurement) = check_measurement(measurement, &at.key(name.as_str()), fields) {
            checked.insert(name, measurement);
        }
    }
    checked
}

/// Settles the turn of each measurement of a class, and reports a name that none has.
pub(super) fn turns(
    measurements: &mut BTreeMap<String, Measurement>,
    read_first: &[String],
    fields: &mut Fields<'_>,
) {
    for (index, name) in read_first.iter().enumerate() {
        if !measurements.contains_key(name) {
            let at = Path::root().key("read_first").index(index);
            let message = format!("`{name}` is no measurement of this class");
            let help = unknown_help(name, measurements.keys().map(String::as_str));
            fields.notes.error(Code::UnknownName, &at, message, help);
        }
    }
    let first = |name: &String| read_first.iter().position(|one| one == name);
    let last = read_first.len();
    for (name, measurement) in measurements {
        let waits =
            measurement.optional || measurement.default.is_some() || measurement.ask_when.is_some();
        measurement.turn = first(name).unwrap_or(last + usize::from(waits));
    }
}

fn check_measurement(
    mut written: written::Measurement,
    path: &Path,
    fields: &mut Fields<'_>,
) -> Option<Measurement> {
    let kind = kind(&mut written, path, fields)?;
    let tolerance = match (&kind, &written.tolerance) {
        (Answer::Number { unit, .. }, Some(tolerance)) => {
            fields.quantity(tolerance, *unit, &|| path.key("tolerance"))
        }
        _ => None,
    };
    if tolerance
        .as_ref()
        .is_some_and(|tolerance| tolerance.value < 0.0)
    {
        let at = path.key("tolerance");
        let help = "write how far a reading may be off either way, such as `2 mm`";
        fields
            .notes
            .error(Code::OutOfRange, &at, "a tolerance below 0", help);
    }
    if let Some(default) = written.default.as_ref().filter(|_| !fields.trusted) {
        fits(default, &kind, &path.key("default"), fields);
    }
    let known = kind.words();
    let known: Vec<&str> = known.iter().map(String::as_str).collect();
    for (index, answer) in written.crosses.iter().enumerate() {
        fields.among(answer, &|| path.key("crosses").index(index), &known);
    }
    let ask_when = fields.optional(written.ask_when.as_ref(), &|| path.key("ask_when"));
    let of = written.of.as_ref();
    let of = of.and_then(|of| fields.among(of, &|| path.key("of"), &["link", "span"]));
    let role = written
        .role
        .as_ref()
        .and_then(|role| fields.choice(role, &|| path.key("role")));
    Some(Measurement {
        label: written.label,
        how: written.how,
        kind,
        tolerance: tolerance.map(|tolerance| tolerance.value),
        default: written.default.map(|default| default.0),
        optional: written.optional,
        crosses: written.crosses,
        turn: 0,
        each: written.each,
        ask_when,
        of_span: of == Some(1),
        role,
        slots: OnceLock::new(),
    })
}

/// Reports a default that nobody could answer: it would be passed over, and the reading be missing.
fn fits(default: &Written, kind: &Answer, at: &Path, fields: &mut Fields<'_>) {
    let text = default.as_str();
    let help = match kind {
        Answer::Number { unit, range } => {
            let (least, most) = *range;
            let within = |found: Quantity| found.least() >= least && found.most() <= most;
            // What is no number of this unit was reported.
            let found = fields.quantity(default, *unit, &|| at.clone());
            let outside = found.is_some_and(|found| !within(found));
            outside.then(|| format!("what can be real here: {least} to {most} {}", unit.code()))
        }
        Answer::Choice(choices) => (!choices.iter().any(|choice| choice == text))
            .then(|| unknown_help(text, choices.iter().map(String::as_str))),
        Answer::YesNo => yes_no(text).is_none().then(|| "write yes or no".to_owned()),
        Answer::Designation | Answer::Each { .. } => None,
    };
    if let Some(help) = help {
        let message = format!("the default `{}` is no answer to this", in_message(text));
        fields.notes.error(Code::BadRule, at, message, help);
    }
}

fn kind(
    written: &mut written::Measurement,
    path: &Path,
    fields: &mut Fields<'_>,
) -> Option<Answer> {
    let given = [
        written.unit.is_some(),
        written.choices.is_some(),
        written.yes_no,
        written.designation,
        written.keys.is_some(),
    ];
    if given.iter().filter(|given| **given).count() != 1 {
        let message = "this measurement does not say in one way what it takes";
        let help = "give exactly one of `unit`, `choices`, `yes_no`, `designation` and `keys`";
        fields.notes.error(Code::BadRule, path, message, help);
        return None;
    }
    if let Some(code) = &written.unit {
        let unit = fields.choice(code, &|| path.key("unit"))?;
        return number(written, unit, path, fields);
    }
    if let Some(choices) = written.choices.take() {
        let before = |at: usize| choices.iter().take(at);
        let twice = |at: &usize| before(*at).any(|one| choices.get(*at) == Some(one));
        if let Some(at) = (0..choices.len()).find(twice) {
            let at = path.key("choices").index(at);
            let message = "this choice stands twice";
            let help = "leave one out, or give it another word";
            fields.notes.error(Code::BadRule, &at, message, help);
        }
        return Some(Answer::Choice(choices));
    }
    if let Some(keys) = written.keys.take() {
        let fields_of = written.fields.take().unwrap_or_default();
        let fields = measurements(fields_of, &path.key("fields"), fields);
        return Some(Answer::Each { keys, fields });
    }
    Some(if written.yes_no {
        Answer::YesNo
    } else {
        Answer::Designation
    })
}

fn number(
    written: &written::Measurement,
    unit: Unit,
    path: &Path,
    fields: &mut Fields<'_>,
) -> Option<Answer> {
    let at = path.key("range");
    let Some((least, most)) = &written.range else {
        let message = "a number needs the range that can be real";
        let help = "add `range: [least, most]`; it is used to compute what a value decides";
        fields.notes.error(Code::BadRule, path, message, help);
        return None;
    };
    let least = fields.quantity(least, unit, &|| at.index(0))?.value;
    let most = fields.quantity(most, unit, &|| at.index(1))?.value;
    if least >= most {
        let message = format!("the range {least} to {most} is empty");
        fields
            .notes
            .error(Code::BadRule, &at, message, "put the smaller number first");
        return None;
    }
    Some(Answer::Number {
        unit,
        range: (least, most),
    })
}
