//! The lessons of the apprentice's page: for each class what it is, where, why, what happens when it is missed, how it is measured, the
//! arithmetic and the verdict.
//!
//! Takes the lessons of the study; gives plain views for the template. What the vehicle does not have is shown without numbers.

use serde::Serialize;

use super::links::{self, Row};
use super::marks::Marks;
use super::working::{self, Working};
use super::{Look, Made, Picture, words};
use crate::calc::Calculation;
use crate::job::Measured;
use crate::quantity::{Quantity, Units};
use crate::rules::{Answer, Class, Measurement};
use crate::study::Lesson;

/// One place of the walk.
#[derive(Debug, Serialize)]
pub(super) struct Area {
    heading: String,
    lessons: Vec<View>,
}

#[derive(Debug, Serialize)]
struct View {
    title: String,
    whereabouts: String,
    why: String,
    left_alone: String,
    if_missed: String,
    /// Whether the vehicle has one, whether the lift disturbs one, and whether it leaves one alone.
    here: bool,
    disturbed: bool,
    left: bool,
    measures: Vec<Measure>,
    rows: Vec<Row>,
    working: Vec<Working>,
    /// The calculations of a class that the vehicle does not have.
    calcs: Vec<Calc>,
}

/// Something that is measured.
#[derive(Debug, Serialize)]
struct Measure {
    label: String,
    how: String,
    here: Option<String>,
}

/// A calculation without numbers.
#[derive(Debug, Serialize)]
struct Calc {
    name: &'static str,
    title: &'static str,
    inputs: String,
}

/// The lessons by area, and the pictures that stand in them; an area without a lesson is left out.
pub(super) fn areas(
    made: &Made<'_>,
    lessons: &[Lesson<'_>],
    look: Look,
) -> (Vec<Area>, Vec<Picture>) {
    let mut areas: Vec<Area> = Vec::new();
    let mut pictures = Vec::new();
    for lesson in lessons {
        let heading = words::capital(lesson.area.word());
        let (view, own) = view(made, lesson, look);
        pictures.extend(own);
        match areas.last_mut() {
            Some(area) if area.heading == heading => area.lessons.push(view),
            _ => areas.push(Area {
                heading,
                lessons: vec![view],
            }),
        }
    }
    (areas, pictures)
}

fn view(made: &Made<'_>, lesson: &Lesson<'_>, look: Look) -> (View, Vec<Picture>) {
    let text = &lesson.class.text;
    let disturbed = lesson.links.iter().any(|link| link.disturbed);
    let links = lesson.links.iter();
    let all = links.flat_map(|link| link.worked().map(move |worked| (*link, worked)));
    let (working, pictures) = working::illustrated(made, all, look.units);
    let view = View {
        title: words::capital(&text.title),
        whereabouts: text.whereabouts.clone(),
        why: text.why.clone(),
        left_alone: text.left_alone.clone(),
        if_missed: text.if_missed.clone(),
        here: !lesson.links.is_empty(),
        disturbed,
        left: lesson.links.iter().any(|link| !link.disturbed),
        measures: measures(made, lesson, disturbed, look.units),
        rows: links::table(
            made,
            lesson.links.iter().copied(),
            look,
            &mut Marks::new(look.units),
        ),
        working,
        calcs: if lesson.links.is_empty() {
            calcs(lesson.class)
        } else {
            Vec::new()
        },
    };
    (view, pictures)
}

/// What is measured: on the vehicle, what was or still must be; without one, everything that the class can ask for.
fn measures(made: &Made<'_>, lesson: &Lesson<'_>, disturbed: bool, units: Units) -> Vec<Measure> {
    if !lesson.links.is_empty() && !disturbed {
        return Vec::new();
    }
    let all = lesson.class.measurements.iter();
    let measures = all.filter_map(|(name, measurement)| {
        let here = values(made, lesson, (name, measurement), units);
        let open = lesson.links.iter().flat_map(|link| &link.missing);
        let mut open = open.filter(|missing| missing.label.starts_with(&measurement.label));
        let here = match (lesson.links.is_empty(), here.is_empty()) {
            (true, _) => None,
            (false, false) => Some(format!("here {}", here.join("; "))),
            (false, true) => Some(
                open.next()
                    .map(|_| "still to be measured here".to_owned())?,
            ),
        };
        Some(Measure {
            label: words::capital(&measurement.label),
            how: how(measurement),
            here,
        })
    });
    measures.collect()
}

fn how(measurement: &Measurement) -> String {
    match &measurement.kind {
        Answer::Each { fields, .. } => {
            let fields: Vec<String> = fields
                .values()
                .map(|field| format!("{}: {}", words::capital(&field.label), field.how))
                .collect();
            [measurement.how.clone()]
                .into_iter()
                .chain(fields)
                .collect::<Vec<_>>()
                .join(" ")
        }
        _ => measurement.how.clone(),
    }
}

/// The values of a measurement on the vehicle, those that are the same said once.
fn values(
    made: &Made<'_>,
    lesson: &Lesson<'_>,
    (name, measurement): (&str, &Measurement),
    units: Units,
) -> Vec<String> {
    let mut values: Vec<String> = Vec::new();
    for link in &lesson.links {
        let Some(cut) = made.cut.links.get(&link.id) else {
            continue;
        };
        let all = [&cut.measured].into_iter().chain(cut.by_span.values());
        for (measured, _) in all.filter_map(|measured| measured.get(name)) {
            let value = printed(measured, measurement, units);
            if !values.contains(&value) {
                values.push(value);
            }
        }
    }
    values
}

fn printed(measured: &Measured, measurement: &Measurement, units: Units) -> String {
    match (measured, &measurement.kind) {
        (Measured::Each(keys), Answer::Each { fields, .. }) => {
            let key = |(key, values): (
                &String,
                &std::collections::BTreeMap<String, crate::quantity::Written>,
            )| {
                let values = values.iter().map(|(name, value)| {
                    let kind = fields.get(name).map(|field| &field.kind);
                    format!("{name} {}", number(value.as_str(), kind, units))
                });
                format!("{key}: {}", values.collect::<Vec<_>>().join(", "))
            };
            keys.iter().map(key).collect::<Vec<_>>().join("; ")
        }
        (Measured::One(value), kind) => number(value.as_str(), Some(kind), units),
        (Measured::Each(_), _) => String::new(),
    }
}

/// A number in the page's units; a word as it was typed.
fn number(typed: &str, kind: Option<&Answer>, units: Units) -> String {
    let quantity = match kind {
        Some(Answer::Number { unit, .. }) => Quantity::parse(typed, *unit).ok(),
        _ => None,
    };
    quantity.map_or_else(|| typed.to_owned(), |quantity| quantity.print(units))
}

/// The calculations of a class, each once.
fn calcs(class: &Class) -> Vec<Calc> {
    let mut calcs: Vec<&Calculation> = Vec::new();
    for calc in class.checks.iter().filter_map(|check| check.calc) {
        if !calcs.iter().any(|known| known.name == calc.name) {
            calcs.push(calc);
        }
    }
    let calc = |calc: &Calculation| {
        let inputs: Vec<&str> = calc.inputs.iter().map(|spec| spec.meaning).collect();
        Calc {
            name: calc.name,
            title: calc.title,
            inputs: inputs.join("; "),
        }
    };
    calcs.into_iter().map(calc).collect()
}
