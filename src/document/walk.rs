//! The vehicle as whoever measures it walks round it: each connection with what it needs, and its readings, taken or not.
//!
//! Takes what was made of the job, and the job file's own values; gives connections in walking order for a screen that shows one at a time.

use serde::Serialize;
use serde_json::Value;

use super::survey_table::{self, Wanted};
use super::{Made, words};
use crate::assess::{self, Assessed};
use crate::cut::{CutLink, Origin};
use crate::fill;
use crate::job::{CHASSIS, Measured};
use crate::quantity::{Quantity, Units};
use crate::report::Path;
use crate::rules::{Answer, Measurement};

/// How a place ends that says how a connection is held between its ends.
const HELD_BY: &str = ".held_by";

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
    /// Whether it is looked at on each mount, and never taken over from the one before.
    pub each: bool,
    /// Of what holds a connection: what that may be, by its name in the job and in words.
    pub holders: Vec<(String, String)>,
}

impl Reading {
    /// What its class calls it.
    pub(crate) fn name(&self) -> &str {
        let place = &self.wanted.place;
        place.rsplit('.').next().unwrap_or(place)
    }
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
    let readings = missing.map(asked).chain(taken(made, link, job));
    let mut readings: Vec<Reading> = readings.chain(held(made, link, job)).collect();
    for reading in &mut readings {
        let class = link.class;
        let kind = class.and_then(|class| class.measurements.get(reading.name()));
        reading.each = kind.is_some_and(|kind| kind.each);
        if reading.wanted.place.ends_with(HELD_BY) {
            reading.holders = holders(made);
        }
    }
    told_apart(made, &mut readings);
    Stop {
        id: link.id.clone(),
        area: link.area.word(),
        title: words::capital(&link.title),
        verdict: link.word(),
        because: link.because.print(Units::Metric),
        mount: link.origin == Origin::Mount,
        link: link.origin.is_connection(),
        readings,
    }
}

/// Says of which stretch a reading is, where the same is read on several.
fn told_apart(made: &Made<'_>, readings: &mut [Reading]) {
    let called: Vec<String> = readings.iter().map(|one| one.wanted.what.clone()).collect();
    for reading in readings {
        let same = called.iter().filter(|what| **what == reading.wanted.what);
        let stretch = reading
            .wanted
            .place
            .split('.')
            .find_map(|step| step.split_once('/'));
        if let (true, Some((from, to))) = (same.count() > 1, stretch) {
            let [from, to] = [from, to].map(|part| made.job.part_title(part));
            reading.wanted.what += &format!(", from {from} to {to}");
        }
    }
}

/// A reading that is still to be taken.
fn asked(mut wanted: Wanted) -> Reading {
    let mut answers = Vec::new();
    if wanted.unit.contains(" / ") {
        let choice = std::mem::take(&mut wanted.unit);
        // What holds a connection may be several things: each is ticked.
        if !wanted.place.ends_with(HELD_BY) {
            answers.extend(choice.split(" / ").map(ToOwned::to_owned));
        }
    }
    Reading {
        answers,
        value: None,
        wanted,
        each: false,
        holders: Vec::new(),
    }
}

/// What the job file says of how a link is held between its ends, where it says no more than names.
fn held(made: &Made<'_>, link: &Assessed<'_>, job: &Value) -> Option<Reading> {
    let known = |cut: &&CutLink| cut.held_known && link.origin == Origin::Link;
    let cut = made.cut.links.get(&link.id).filter(known)?;
    let names = match fill::get(job, cut.path.key("held_by").steps())? {
        Value::String(name) => name.clone(),
        Value::Array(names) => {
            let names = names.iter().map(Value::as_str);
            names.collect::<Option<Vec<&str>>>()?.join(", ")
        }
        _ => return None,
    };
    let missing = assess::held_by(made.job, &link.id, cut);
    let place = survey_table::fill_place(link, &missing);
    let wanted = survey_table::reading(made, (link.area.word(), &link.title), &missing, place);
    Some(Reading {
        value: Some(names),
        ..asked(wanted)
    })
}

/// What may hold a connection: nothing, the chassis with all that rides on it, or a body that goes up.
fn holders(made: &Made<'_>) -> Vec<(String, String)> {
    let bodies = made.job.lift.raise.iter().map(|raise| {
        let title = made.job.part_title(&raise.group);
        (raise.group.clone(), words::capital(title))
    });
    let rest = [
        ("none", "Nothing but its two ends"),
        (CHASSIS, "Chassis, engine, gearbox or axle"),
    ];
    let rest = rest.map(|(name, title)| (name.to_owned(), title.to_owned()));
    rest.into_iter().chain(bodies).collect()
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
    // A calliper's tenths are no nought.
    let close = unit.zip(kind.tolerance);
    let close = close.map(|(unit, close)| Quantity::exact(close, unit).print(Units::Metric));
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
        each: false,
        holders: Vec::new(),
    }
}
