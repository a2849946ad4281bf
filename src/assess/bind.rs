//! What was measured on a link, read against its class: names known, units and ranges kept, words among the choices.
//!
//! Takes the values as typed; gives [`Values`]. Every problem goes to the report with its place in the job file, and the rule
//! that asks for the value beside it.

use std::collections::BTreeMap;

use super::types::{Address, Datum, Values};
use crate::calc::thread::Thread;
use crate::calc::tyre;
use crate::cut::CutLink;
use crate::job::{Job, Measured, Measurements};
use crate::quantity::{Quantity, Unit, Written, yes_no};
use crate::report::{Code, Notes, Path, Problem, Report, or_list, unknown_help};
use crate::rules::{Answer, Class, Measurement};
use crate::sorted::Sorted as _;

/// The values of a link as a whole, and those of its spans alone.
#[derive(Debug, Clone, Default)]
pub(super) struct Bound {
    pub(super) whole: Values,
    pub(super) spans: BTreeMap<usize, Values>,
}

/// Reads what was measured on a link against its class.
pub(super) fn bind(job: &Job, class: &Class, link: &CutLink, report: &mut Report) -> Bound {
    let notes = job.notes(report);
    let mut reader = Reader { class, notes };
    reader.unused(link);
    let whole = reader.read_all(&link.measured, link);
    let spans = link.by_span.iter();
    let spans = spans.map(|(number, measured)| (*number, reader.read_all(measured, link)));
    Bound {
        whole,
        spans: spans.sorted_map(),
    }
}

/// Fills in what the class supplies when the job does not.
pub(super) fn fill_defaults(class: &Class, values: &mut Values) {
    for (name, measurement) in &class.measurements {
        let address = Address::One(name.clone());
        if let Some(default) = &measurement.default
            && !values.data.contains_key(&address)
            && let Some(datum) = default_datum(&measurement.kind, default)
        {
            values.data.insert(address.clone(), datum);
            values.assumed.insert(address);
        }
    }
}

fn default_datum(kind: &Answer, default: &str) -> Option<Datum> {
    match kind {
        Answer::Number { unit, .. } => Quantity::parse(default, *unit).ok().map(Datum::Number),
        Answer::Choice(_) | Answer::Designation => Some(Datum::Word(default.to_owned())),
        Answer::YesNo => yes_no(default).map(Datum::Flag),
        Answer::Each { .. } => None,
    }
}

struct Reader<'a> {
    class: &'a Class,
    notes: Notes<'a>,
}

impl Reader<'_> {
    /// Reports what would count nowhere: a reading of the link while each of its stretches has its own, and `apart` where nothing comes apart.
    fn unused(&mut self, link: &CutLink) {
        let stretches = link.spans.len();
        for (name, (_, path)) in &link.measured {
            let own = link.by_span.values().filter(|own| own.contains_key(name));
            if stretches > 0 && own.count() == stretches {
                let message =
                    format!("every stretch has its own `{name}`, so that this one counts nowhere");
                let help = "write it at the stretch that it was read on, or take it out";
                self.notes.error(Code::UnusedName, path, message, help);
            }
        }
        if link.apart && self.class.release.is_none() {
            let message = format!("class `{}` is never taken apart", self.class.id);
            let at = link.path.key("apart");
            self.notes
                .error(Code::UnusedName, &at, message, "take `apart` out");
        }
    }

    fn read_all(&mut self, measured: &Measurements, link: &CutLink) -> Values {
        let mut values = Values::default();
        for (name, (value, path)) in measured {
            let Some(measurement) = self.class.measurements.get(name) else {
                self.unknown_measurement(name, path, link);
                continue;
            };
            match (&measurement.kind, value) {
                (Answer::Each { keys, fields }, Measured::Each(given)) => {
                    self.read_each(name, (keys, fields), (given, path), &mut values);
                }
                (Answer::Each { keys, .. }, Measured::One(_)) => {
                    let help = format!("write one entry for each of {}", or_list(keys));
                    let message = "this is measured more than once";
                    self.notes.error(Code::WrongType, path, message, help);
                }
                (_, Measured::Each(_)) => {
                    let help = "write one value";
                    self.notes
                        .error(Code::WrongType, path, "this is measured once", help);
                }
                (kind, Measured::One(written)) => {
                    let datum = self.datum(kind, written.as_str(), path);
                    let address = Address::One(name.clone());
                    values.data.extend(datum.map(|datum| (address, datum)));
                }
            }
        }
        values
    }

    fn read_each(
        &mut self,
        list: &str,
        (keys, fields): (&[String], &BTreeMap<String, Measurement>),
        (given, path): (&BTreeMap<String, BTreeMap<String, Written>>, &Path),
        values: &mut Values,
    ) {
        for (key, entries) in given {
            let at = path.key(key.as_str());
            if !keys.contains(key) {
                self.not_asked(key, &at, keys.iter());
                continue;
            }
            for (field, written) in entries {
                let at = at.key(field.as_str());
                let Some(measurement) = fields.get(field) else {
                    self.not_asked(field, &at, fields.keys());
                    continue;
                };
                let datum = self.datum(&measurement.kind, written.as_str(), &at);
                let address = Address::Each(list.to_owned(), key.clone(), field.clone());
                values.data.extend(datum.map(|datum| (address, datum)));
            }
        }
    }

    fn not_asked<'k>(&mut self, name: &str, at: &Path, known: impl Iterator<Item = &'k String>) {
        let message = format!("`{name}` is not asked for");
        let help = unknown_help(name, known.map(String::as_str));
        self.notes
            .error(Code::UnknownMeasurement, at, message, help);
    }

    fn datum(&mut self, kind: &Answer, text: &str, path: &Path) -> Option<Datum> {
        match kind {
            Answer::Number { unit, range } => self.number(text, *unit, *range, path),
            Answer::Choice(choices) => {
                if choices.iter().any(|choice| choice == text) {
                    return Some(Datum::Word(text.to_owned()));
                }
                let help = unknown_help(text, choices.iter().map(String::as_str));
                let message = format!("`{text}` is not {}", or_list(choices));
                self.notes.error(Code::UnknownChoice, path, message, help);
                None
            }
            Answer::YesNo => {
                let answer = yes_no(text);
                if answer.is_none() {
                    let message = format!("`{text}` is neither yes nor no");
                    self.notes
                        .error(Code::UnknownChoice, path, message, "write `yes` or `no`");
                }
                answer.map(Datum::Flag)
            }
            Answer::Designation => self.designation(text, path),
            Answer::Each { .. } => None,
        }
    }

    /// What some calculation can read, long before all that it takes beside it is measured.
    fn designation(&mut self, text: &str, path: &Path) -> Option<Datum> {
        let thread = Thread::read(text).map(|_| ());
        let tyre = || tyre::diameter("size", text).map(|_| ());
        if let Err(error) = thread.or_else(|error| tyre().map_err(|_| error)) {
            let message = format!("`{text}` is neither a thread nor a tyre size that is known");
            let help = format!("allowed: {}", error.allowed);
            self.notes.error(Code::UnknownChoice, path, message, help);
            return None;
        }
        Some(Datum::Word(text.to_owned()))
    }

    fn number(&mut self, text: &str, unit: Unit, range: (f64, f64), path: &Path) -> Option<Datum> {
        let quantity = self.notes.parsed(text, unit, || path.clone())?;
        let (least, most) = range;
        if quantity.least() < least || quantity.most() > most {
            let unit = unit.code();
            let message = format!("`{text}` is out of range");
            let help = format!("what can be real here: {least} to {most} {unit}");
            self.notes.error(Code::OutOfRange, path, message, help);
            return None;
        }
        Some(Datum::Number(quantity))
    }

    fn unknown_measurement(&mut self, name: &str, path: &Path, link: &CutLink) {
        // What every mount shares may be meant for another class of mount.
        let known = self.class.measurements.keys().map(String::as_str);
        let help = unknown_help(name, known);
        let message = format!("class `{}` has no measurement `{name}`", self.class.id);
        let problem = Problem::error(Code::UnknownMeasurement, message)
            .related(self.notes.place(&link.path), "measured on this");
        self.notes.push(problem, &path.at_key(), help);
    }
}
