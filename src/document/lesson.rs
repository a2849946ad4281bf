//! The lessons of the apprentice's page: for each class what it is, where, why, what happens when it is missed, how it is measured, the
//! arithmetic and the verdict.
//!
//! Takes the lessons of the study; gives plain views for the template. What the vehicle does not have is shown without numbers.

use std::collections::BTreeSet;

use minijinja::value::Serde;
use minijinja::{Value, context};

use super::links;
use super::marks::Marks;
use super::{Look, Made, words};
use crate::assess::Calculated;
use crate::calc::{Calculation, WorkingStep};
use crate::job::Measured;
use crate::quantity::{Quantity, Units};
use crate::rules::{Answer, Class, Measurement};
use crate::sorted::{Sorted as _, each_once};
use crate::study::{self, Lesson};

/// What an earlier lesson has explained: formulas of calculations, and how things are measured.
#[derive(Default)]
struct Explained {
    formulas: BTreeSet<(&'static str, &'static str)>,
    how: BTreeSet<String>,
}

/// The lessons by area; an area without a lesson is left out.
pub(super) fn areas(made: &Made<'_>, lessons: &[Lesson<'_>], look: Look) -> Value {
    let mut explained = Explained::default();
    let areas = lessons.chunk_by(|one, next| one.area == next.area);
    let areas = areas.filter_map(|lessons| {
        let name = words::capital(lessons.first()?.area.word());
        let lessons = lessons.iter();
        let lessons = lessons.map(|lesson| view(made, lesson, look, &mut explained));
        Some(context! { name, lessons => lessons.collect::<Value>() })
    });
    areas.collect()
}

fn view(made: &Made<'_>, lesson: &Lesson<'_>, look: Look, explained: &mut Explained) -> Value {
    let text = &lesson.class.text;
    let here = !lesson.links.is_empty();
    let disturbed = lesson.links.iter().any(|link| link.disturbed);
    let links = lesson.links.iter().copied();
    let rows = links::table(made, links, look, (&mut Marks::new(look.units), true));
    context! {
        title => words::capital(&text.title),
        whereabouts => &text.whereabouts,
        why => &text.why,
        left_alone => &text.left_alone,
        if_missed => &text.if_missed,
        // Whether the vehicle has one, whether the lift disturbs one, and whether it leaves one alone.
        here,
        disturbed,
        left => lesson.links.iter().any(|link| !link.disturbed),
        measures => measures(made, lesson, (disturbed, look.units), explained),
        rows => Serde(rows),
        working => working(lesson, explained),
        // The calculations of a class that the vehicle does not have.
        calcs => (!here).then(|| calcs(lesson.class)),
    }
}

/// The arithmetic that decided on the connection with the most to do, the first of equals; all others stand on the page of the reasons.
/// The formulas of a calculation stand in the first lesson that uses it.
fn working(lesson: &Lesson<'_>, explained: &mut Explained) -> Option<Value> {
    let worked = lesson
        .links
        .iter()
        .filter(|link| link.worked().next().is_some());
    let link = worked.reduce(|most, link| {
        if link.verdict > most.verdict {
            link
        } else {
            most
        }
    })?;
    let decides = link.decided_by.split([':', '[']).next();
    let mut worked = link.worked();
    let check = worked.find(|one| decides == Some(one.check.as_str()));
    let check = check.or(link.worked().next())?;
    let calc = check.evaluation.calc;
    let steps = deciding(check, &link.decided_by);
    let before = explained.formulas.len();
    let formulas = steps.iter().map(|step| (calc, step.formula));
    explained.formulas.extend(formulas);
    Some(context! {
        title => &link.title,
        calc,
        // Whether the formulas stand here, since one of them did not before.
        formulas => explained.formulas.len() > before,
        steps => Serde(steps),
    })
}

/// The formulas that the deciding condition rests on, directly or through others; all of them where it names none.
fn deciding<'c>(check: &'c Calculated, condition: &'c str) -> Vec<&'c WorkingStep> {
    let steps = check.evaluation.working();
    let way = study::way(steps, study::symbols(condition).sorted_set());
    if way.is_empty() {
        return steps.iter().collect();
    }
    way
}

/// What is measured: on the vehicle, what was or still must be; without one, everything that the class can ask for.
fn measures(
    made: &Made<'_>,
    lesson: &Lesson<'_>,
    (disturbed, units): (bool, Units),
    explained: &mut Explained,
) -> Option<Value> {
    if !lesson.links.is_empty() && !disturbed {
        return None;
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
        let how = how(measurement);
        Some(context! {
            label => words::capital(&measurement.label),
            // An earlier lesson may have said it.
            how => explained.how.insert(how.clone()).then_some(how),
            here,
        })
    });
    Some(measures.collect())
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
    let links = lesson.links.iter();
    let cut = links.filter_map(|link| made.cut.links.get(&link.id));
    let all = cut.flat_map(|cut| [&cut.measured].into_iter().chain(cut.by_span.values()));
    let all = all.filter_map(|measured| measured.get(name));
    each_once(all.map(|(measured, _)| printed(measured, measurement, units)))
}

fn printed(measured: &Measured, measurement: &Measurement, units: Units) -> String {
    match (measured, &measurement.kind) {
        (Measured::Each(keys), Answer::Each { fields, .. }) => {
            let keys = keys.iter().map(|(key, values)| {
                let values = values.iter().map(|(name, value)| {
                    let kind = fields.get(name).map(|field| &field.kind);
                    format!("{name} {}", number(value.as_str(), kind, units))
                });
                format!("{key}: {}", values.collect::<Vec<_>>().join(", "))
            });
            keys.collect::<Vec<_>>().join("; ")
        }
        (Measured::One(value), kind) => number(value.as_str(), Some(kind), units),
        (Measured::Each(_), _) => String::new(),
    }
}

/// A number in the page's units; a word as it was typed.
fn number(typed: &str, kind: Option<&Answer>, units: Units) -> String {
    let unit = kind.and_then(Answer::unit);
    let quantity = unit.and_then(|unit| Quantity::parse(typed, unit).ok());
    quantity.map_or_else(|| typed.to_owned(), |quantity| quantity.print(units))
}

/// The calculations of a class, each once.
fn calcs(class: &Class) -> Value {
    let mut calcs: Vec<&Calculation> = Vec::new();
    for calc in class.checks.iter().filter_map(|check| check.calc) {
        if !calcs.iter().any(|known| known.name == calc.name) {
            calcs.push(calc);
        }
    }
    let calc = |calc: &Calculation| {
        let inputs: Vec<&str> = calc.inputs.iter().map(|spec| spec.meaning).collect();
        context! { name => calc.name, title => calc.title, inputs => inputs.join("; ") }
    };
    calcs.into_iter().map(calc).collect()
}
