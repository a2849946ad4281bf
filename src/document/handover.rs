//! The hand-over at the end of the signed sheet: what was done by whom and when, what was set, what comes due, what to watch for.
//!
//! Takes what was made of the job and how its tasks stand by the record; gives plain views for its template.

use std::collections::BTreeSet;

use serde::Serialize;

use super::{Made, account, signed, words};
use crate::assess::Assessed;
use crate::brief;
use crate::cut::Origin;
use crate::quantity::{Quantity, Unit, Units};
use crate::record::{Entry, Standing, Status};

/// Tasks of the procedure by which something is set that the customer has checked again, each with what is told of it.
const SET: [(&str, &str, &[&str]); 3] = [
    (
        "aim-headlamps",
        "Headlamp aim",
        &["lamp_height", "dip_left", "dip_right"],
    ),
    (
        "road-test",
        "Steering wheel centre, on the road",
        &["wheel"],
    ),
    (
        "torque-check-cold",
        "Mount bolts, cold after the road test",
        &["moved", "marks"],
    ),
];

/// The hand-over.
#[derive(Debug, Serialize)]
pub(super) struct Handover {
    /// The day of the last signature before what comes due.
    date: Option<String>,
    odometer: Option<String>,
    done: Vec<Done>,
    set: Vec<Set>,
    due: Vec<Due>,
    watch: Vec<String>,
}

/// What was done to something, and by whom.
#[derive(Debug, Serialize)]
struct Done {
    what: String,
    work: String,
    by: String,
    checked: String,
}

/// What was set, to which value.
#[derive(Debug, Serialize)]
struct Set {
    what: &'static str,
    values: String,
    by: String,
}

/// What is done again.
#[derive(Debug, Serialize)]
struct Due {
    number: usize,
    title: String,
    when: String,
    at: Option<String>,
    signed: Option<String>,
}

/// Draws it up.
pub(super) fn handover(made: &Made<'_>, status: &Status<'_>, units: Units) -> Handover {
    let km = account::odometer_at_lift(status);
    Handover {
        date: date(status),
        odometer: km.map(|km| Quantity::exact(km, Unit::Km).print(units)),
        done: done(made, status),
        set: set(status, units),
        due: due(made, status, units),
        watch: watch(made),
    }
}

/// The day of the last signature for anything but what comes due, when all of that is signed off.
fn date(status: &Status<'_>) -> Option<String> {
    let lift = status.tasks.iter().filter(|one| one.task.due.is_none());
    let signed: Option<Vec<&Entry>> = lift.map(|one| one.checked).collect();
    let last = signed?.into_iter().max_by_key(|entry| entry.number)?;
    Some(day(last))
}

/// The day of an entry, or of what a late one is for.
fn day(entry: &Entry) -> String {
    entry
        .at
        .unwrap_or(entry.time)
        .print()
        .chars()
        .take(10)
        .collect()
}

/// The connections that are worked on, in plain words.
fn worked<'a>(made: &Made<'a>) -> Vec<(&'a Assessed<'a>, &'static str)> {
    let links = made.assessment.links.values();
    let links = links.filter(|link| link.origin != Origin::Consequence);
    links
        .filter_map(|link| Some((link, brief::done(link)?)))
        .collect()
}

fn done(made: &Made<'_>, status: &Status<'_>) -> Vec<Done> {
    let mut rows: Vec<(String, &'static str, Vec<&str>)> = Vec::new();
    for (link, work) in worked(made) {
        let what = words::capital(brief::name(link));
        let same = rows
            .iter_mut()
            .find(|(own, done, _)| *own == what && *done == work);
        match same {
            Some((_, _, links)) => links.push(&link.id),
            None => rows.push((what, work, vec![&link.id])),
        }
    }
    let row = |(what, work, links): (String, &'static str, Vec<&str>)| {
        let own =
            |one: &&Standing<'_>| one.task.links.iter().any(|id| links.contains(&id.as_str()));
        let tasks: Vec<&Standing<'_>> = status.tasks.iter().filter(own).collect();
        let done = tasks.iter().flat_map(|one| one.done.iter().copied());
        let checked = tasks.iter().filter_map(|one| one.checked);
        Done {
            what,
            work: work.to_owned(),
            by: people(done),
            checked: people(checked),
        }
    };
    rows.into_iter().map(row).collect()
}

/// Who signed, each once, and the last day.
fn people<'a>(entries: impl Iterator<Item = &'a Entry>) -> String {
    let mut names: BTreeSet<&str> = BTreeSet::new();
    let mut last: Option<&Entry> = None;
    for entry in entries {
        names.insert(&entry.name);
        if last.is_none_or(|last| last.number < entry.number) {
            last = Some(entry);
        }
    }
    match last {
        None => "open".to_owned(),
        Some(last) => {
            let names: Vec<&str> = names.into_iter().collect();
            format!("{}, {}", names.join(", "), day(last))
        }
    }
}

fn set(status: &Status<'_>, units: Units) -> Vec<Set> {
    let rows = SET.iter().filter_map(|(id, what, names)| {
        let standing = status.tasks.iter().find(|one| one.task.id == *id)?;
        let evidence = standing.task.evidence.iter();
        let values = evidence.filter(|one| names.contains(&one.name.as_str()));
        let values = values.filter_map(|one| {
            let (value, _) = standing.values.get(one.name.as_str())?;
            Some(format!("{}: {}", one.ask.print(units), value.print(units)))
        });
        let values: Vec<String> = values.collect();
        Some(Set {
            what,
            values: if values.is_empty() {
                "not written down".to_owned()
            } else {
                values.join("; ")
            },
            by: people(standing.done.iter().copied().chain(standing.checked)),
        })
    });
    rows.collect()
}

fn due(made: &Made<'_>, status: &Status<'_>, units: Units) -> Vec<Due> {
    let base = account::odometer_at_lift(status);
    let tasks = signed::numbered(made, status).into_iter();
    let due = tasks.filter_map(|(number, one)| {
        let due = one.task.due.as_ref()?;
        let at = base.zip(due.km).map(|(base, km)| base + km);
        let last = one.checked.or(one.done.last().copied());
        Some(Due {
            number,
            title: one.task.title.print(units),
            when: words::due(due, units),
            at: at.map(|at| Quantity::exact(at, Unit::Km).print(units)),
            signed: last.map(account::signature),
        })
    });
    due.collect()
}

/// What shows that a connection that was worked on has come loose, each once, in the customer's order.
fn watch(made: &Made<'_>) -> Vec<String> {
    let mut watch: Vec<String> = Vec::new();
    for group in brief::work(made) {
        let ids = group.items.iter().flat_map(|item| &item.links);
        for id in ids {
            let link = made.assessment.links.get(*id);
            let customer = link.and_then(|link| link.class?.customer.as_ref());
            let Some(customer) = customer else { continue };
            let text = words::capital(&customer.watch);
            if !watch.contains(&text) {
                watch.push(text);
            }
        }
    }
    watch
}
