//! The hand-over at the end of the signed sheet: what was done by whom and when, what was set, what comes due, what to watch for.
//!
//! Takes how the tasks stand by the record, and what was kept of the job with its plan; gives plain views for its template.

use std::collections::BTreeSet;

use minijinja::context;
use minijinja::value::Value as Filled;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::record_words::Account;
use super::{Made, words};
use crate::brief;
use crate::cut::Origin;
use crate::quantity::{Quantity, Unit};
use crate::record::{Entry, Standing, at_handover};
use crate::sorted::each_once;

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

/// Draws it up; `kept` is what was kept of the job with its plan.
pub(super) fn handover(account: &Account<'_, '_>, kept: &Value) -> Filled {
    let km = at_handover(account.status);
    let watch: Vec<String> = serde_json::from_value(kept["watch"].clone()).unwrap_or_default();
    context! {
        date => date(account),
        odometer => km.map(|km| Quantity::exact(km, Unit::Km).print(account.units)),
        done => done(account, &kept["worked"]),
        set => set(account),
        due => due(account, km),
        watch,
    }
}

/// The day of the last signature for anything but what comes due, when all of that is signed off.
fn date(account: &Account<'_, '_>) -> Option<String> {
    let lift = account.status.of_the_lift();
    let signed: Option<Vec<&Entry>> = lift.map(Standing::checked).collect();
    let last = signed?.into_iter().max_by_key(|entry| entry.number)?;
    Some(day(account, last))
}

/// The day at the workshop on which something was done.
fn day(account: &Account<'_, '_>, entry: &Entry) -> String {
    account
        .footing
        .zone
        .day(account.status.effective.when(entry))
}

/// Work on connections of one name, in plain words.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct Worked {
    what: String,
    work: String,
    links: Vec<String>,
}

/// The connections that are worked on.
pub(super) fn worked(made: &Made<'_>) -> Vec<Worked> {
    let links = made.assessment.links.values();
    let links = links.filter(|link| link.origin != Origin::Consequence);
    let worked = links.filter_map(|link| {
        let work = brief::done(link)?;
        let what = words::capital(brief::name(link));
        Some(((what, work), link.id.clone()))
    });
    let rows = words::drawn_together(worked).into_iter();
    let rows = rows.map(|((what, work), links)| Worked {
        what,
        work: work.to_owned(),
        links,
    });
    rows.collect()
}

/// What was done by the same people.
fn done(account: &Account<'_, '_>, worked: &Value) -> Filled {
    let worked: Vec<Worked> = serde_json::from_value(worked.clone()).unwrap_or_default();
    let signed = worked.into_iter().map(|row| {
        let own = |one: &&Standing<'_>| one.task.links.iter().any(|id| row.links.contains(id));
        let tasks: Vec<&Standing<'_>> = account.status.tasks.iter().filter(own).collect();
        let done = tasks.iter().flat_map(|one| one.done());
        let off = row
            .links
            .iter()
            .all(|id| account.status.link_signed_off(id) != Some(false));
        let checked = tasks.iter().filter_map(|one| one.checked().filter(|_| off));
        let (by, checked) = (people(account, done), people(account, checked));
        // `Engine loom: lengthened`.
        ((by, checked), format!("{}: {}", row.what, row.work))
    });
    let rows = words::drawn_together(signed).into_iter();
    let rows = rows.map(|((by, checked), what)| context! { what, by, checked });
    rows.collect()
}

/// Who signed, each once, and the last day.
fn people<'a>(account: &Account<'_, '_>, entries: impl Iterator<Item = &'a Entry>) -> String {
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
            format!("{}, {}", names.join(", "), day(account, last))
        }
    }
}

/// What was set, to which value.
fn set(account: &Account<'_, '_>) -> Filled {
    let units = account.units;
    let rows = SET.iter().filter_map(|(id, what, names)| {
        let standing = account.status.tasks.iter().find(|one| one.task.id == *id)?;
        let asks = standing.task.asks().map(|(_, one)| one);
        let values = asks.filter(|one| names.contains(&one.name.as_str()));
        let values = values.filter_map(|one| {
            let (value, _) = standing.values.get(one.name.as_str())?;
            Some(format!("{}: {}", one.ask.print(units), value.print(units)))
        });
        let values: Vec<String> = values.collect();
        let signed = standing.done().into_iter().chain(standing.checked());
        Some(context! {
            what => *what,
            values => if values.is_empty() {
                "not written down".to_owned()
            } else {
                values.join("; ")
            },
            by => people(account, signed),
        })
    });
    rows.collect()
}

/// What is done again.
fn due(account: &Account<'_, '_>, base: Option<f64>) -> Filled {
    let due = account.status.tasks.iter().filter_map(|one| {
        let due = one.task.due.as_ref()?;
        let at = base.zip(due.km).map(|(base, km)| base + km);
        // Who did it gives the odometer with it.
        let rounds = one
            .rounds
            .iter()
            .filter_map(|(done, _)| done.last().copied());
        let last = one.done().last().copied();
        let signed: Vec<String> = rounds
            .chain(last)
            .map(|entry| account.signature(entry))
            .collect();
        Some(context! {
            number => one.task.number,
            title => one.task.title.print(account.units),
            when => words::due(due, account.units),
            at => at.map(|at| Quantity::exact(at, Unit::Km).print(account.units)),
            signed => (!signed.is_empty()).then(|| signed.join("; ")),
        })
    });
    due.collect()
}

/// What shows that a connection that was worked on has come loose, each once, in the customer's order.
pub(super) fn watch(made: &Made<'_>) -> Vec<String> {
    let items = brief::work(made).into_iter().flat_map(|group| group.items);
    let links = items.flat_map(|item| item.links);
    let links = links.filter_map(|id| made.assessment.links.get(id));
    let customers = links.filter_map(|link| link.class?.customer.as_ref());
    each_once(customers.map(|customer| words::capital(&customer.watch)))
}
