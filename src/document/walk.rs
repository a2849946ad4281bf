//! The vehicle as whoever measures it walks round it: each connection with what it needs, and its readings, taken or not.
//!
//! Takes what was made of the job, and the job file's own values; gives connections in walking order for a screen that shows one at a time.

use serde::Serialize;
use serde_json::Value;

use super::survey_table::{self, Wanted};
use super::{Made, words};
use crate::assess::Assessed;
use crate::cut::{CutLink, Origin};
use crate::fill;
use crate::job::Measured;
use crate::quantity::{Quantity, Round, Units};
use crate::report::Path;
use crate::rules::{Answer, Measurement};

/// One connection, or the vehicle itself.
#[derive(Debug, Default, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Stop {
    /// Its id; that of the vehicle itself is empty.
    pub id: String,
    pub area: &'static str,
    pub title: String,
    /// The verdict in a word.
    pub verdict: &'static str,
    /// Why, with its numbers.
    pub because: String,
    /// Whether it is a body mount: those are measured in one go.
    pub mount: bool,
    /// Whether it is a connection that a vehicle may be without.
    pub link: bool,
    /// Its readings: first those that are still to be taken.
    pub readings: Vec<Reading>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Reading {
    /// What is read, how, and where it goes.
    #[serde(flatten)]
    pub wanted: Wanted,
    pub answers: Vec<String>,
    /// What stands in the job file.
    pub value: Option<String>,
}

/// Every stop of the walk; `job` is the job file's tree.
pub(crate) fn walk(made: &Made<'_>, job: &Value) -> Vec<Stop> {
    let missing: Vec<Wanted> = survey_table::wanted(made);
    let of_vehicle = missing.iter().filter(|one| one.connection.is_empty());
    let vehicle = Stop {
        area: "the vehicle",
        title: "The vehicle".to_owned(),
        readings: of_vehicle.cloned().map(asked).collect(),
        ..Stop::default()
    };
    let links = made.assessment.walking().into_iter();
    std::iter::once(vehicle)
        .chain(links.map(|link| stop(made, link, job)))
        .filter(|stop| !stop.readings.is_empty() || stop.link)
        .collect()
}

fn stop(made: &Made<'_>, link: &Assessed<'_>, job: &Value) -> Stop {
    let own = link.missing.iter().filter(|missing| !missing.of_vehicle);
    let missing = own.map(|missing| {
        let place = survey_table::fill_place(link, missing);
        survey_table::reading(made, (link.area.word(), &link.title), missing, place)
    });
    let taken = taken(made, link, job);
    Stop {
        id: link.id.clone(),
        area: link.area.word(),
        title: words::capital(&link.title),
        verdict: link.word(),
        because: link.because.print(Units::Metric),
        mount: link.origin == Origin::Mount,
        link: link.origin.is_connection(),
        readings: missing.map(asked).chain(taken).collect(),
    }
}

/// A reading that is still to be taken.
fn asked(mut wanted: Wanted) -> Reading {
    let mut answers = Vec::new();
    if wanted.unit.contains(" / ") {
        let choice = std::mem::take(&mut wanted.unit);
        // What holds a connection is said in the job's own names: there is nothing to choose from.
        if !wanted.place.ends_with(".held_by") {
            answers.extend(choice.split(" / ").map(ToOwned::to_owned));
        }
    }
    Reading {
        answers,
        value: None,
        wanted,
    }
}

/// What stands in the job file of a connection.
fn taken(made: &Made<'_>, link: &Assessed<'_>, job: &Value) -> Vec<Reading> {
    let cut = made.cut.links.get(&link.id);
    let Some((class, cut)) = link.class.zip(cut) else {
        return Vec::new();
    };
    let stem = survey_table::stem(link);
    let spans = cut.by_span.iter();
    let spans = spans.map(|(span, measured)| (stretch(&stem, cut, *span), measured));
    let all = std::iter::once((stem.clone(), &cut.measured)).chain(spans);
    let mut found = Vec::new();
    for (prefix, all) in all {
        for (name, (measured, path)) in all {
            let Some(kind) = class.measurements.get(name) else {
                continue;
            };
            let about = (link, kind, format!("{prefix}.{name}"));
            found.extend(given(about, measured, (path, job)));
        }
    }
    found
}

/// The place of what is measured on one stretch: `tail-loom.cab/tub`.
fn stretch(id: &str, link: &CutLink, span: usize) -> String {
    let part = |at: usize| link.parts().nth(at).map_or("", String::as_str);
    format!("{id}.{}/{}", part(span), part(span + 1))
}

type About<'a> = (&'a Assessed<'a>, &'a Measurement, String);

fn given((link, kind, place): About<'_>, measured: &Measured, at: (&Path, &Value)) -> Vec<Reading> {
    match (measured, &kind.kind) {
        (Measured::One(_), _) => text(at, &[])
            .map(|value| reading((link, kind, place), value))
            .into_iter()
            .collect(),
        (Measured::Each(keys), Answer::Each { fields, .. }) => {
            let each = keys
                .iter()
                .flat_map(|(key, own)| own.keys().map(move |field| (key, field)));
            let each = each.filter_map(|(key, field)| {
                let kind = fields.get(field)?;
                let value = text(at, &[key, field])?;
                let mut own = reading((link, kind, format!("{place}.{key}.{field}")), value);
                own.wanted.what = format!("{}, {key}", own.wanted.what);
                Some(own)
            });
            each.collect()
        }
        (Measured::Each(_), _) => Vec::new(),
    }
}

/// What stands at a place of the job file, as it was typed.
fn text((path, job): (&Path, &Value), below: &[&String]) -> Option<String> {
    let mut value = fill::get(job, path.steps())?;
    for key in below {
        value = value.get(key)?;
    }
    match value {
        Value::String(text) => Some(text.clone()),
        Value::Null | Value::Object(_) | Value::Array(_) => None,
        other => Some(other.to_string()),
    }
}

fn reading((link, kind, place): About<'_>, value: String) -> Reading {
    let unit = kind.kind.unit();
    let close = unit.zip(kind.tolerance).map(|(unit, close)| {
        Quantity::exact(close, unit).print_limit(Round::Nearest, Units::Metric)
    });
    Reading {
        wanted: Wanted {
            area: link.area.word(),
            connection: words::capital(&link.title),
            what: words::capital(&kind.label),
            how: kind.how.clone(),
            unit: unit
                .map_or("", |unit| Units::Metric.suffix(unit))
                .to_owned(),
            close: close.unwrap_or_default(),
            last: String::new(),
            decides: String::new(),
            place,
        },
        answers: kind.kind.words(),
        value: Some(value),
    }
}
