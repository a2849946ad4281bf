//! What the record says of a task, in the words of a page: who and when, what was written down, what came back.
//!
//! Takes a task as it stands; gives plain text, not yet escaped.

use crate::quantity::{Quantity, Unit, Units};
use crate::record::{Act, Entry, Standing, Status};

use super::words;

/// Who signed and when: `Kim, fitter, 2025-03-04 05:06 UTC`; a late entry says for when.
pub(super) fn signature(entry: &Entry) -> String {
    let late = entry.at.map(|at| format!(" (late: done {})", at.print()));
    let km = entry.odometer.map(|km| Quantity::exact(km, Unit::Km));
    let km = km.map(|km| format!(", odometer {}", km.print(Units::Metric)));
    let wrench = entry.wrench.as_ref().map(|id| format!(", wrench {id}"));
    format!(
        "{}, {}, {}{}{}{}",
        entry.name,
        entry.role,
        entry.time.print(),
        late.unwrap_or_default(),
        km.unwrap_or_default(),
        wrench.unwrap_or_default()
    )
}

/// Who did and who measured what stands.
pub(super) fn doers(standing: &Standing<'_>) -> Vec<String> {
    let mut entries: Vec<&Entry> = standing.done.clone();
    let values = standing.values.values().map(|(_, entry)| *entry);
    entries.extend(values.filter(|entry| entry.act == Act::Measured));
    entries.sort_by_key(|entry| entry.number);
    entries.dedup_by_key(|entry| entry.number);
    let said = entries.into_iter().map(|entry| match entry.act {
        Act::Measured => format!("measured: {}", signature(entry)),
        _ => signature(entry),
    });
    said.collect()
}

/// What was written down, in the order in which it is asked for; the same thing at several mounts is one phrase.
pub(super) fn values(standing: &Standing<'_>, units: Units) -> Vec<String> {
    let mut phrases: Vec<(String, Vec<String>)> = Vec::new();
    for evidence in &standing.task.evidence {
        let Some((value, _)) = standing.values.get(evidence.name.as_str()) else {
            continue;
        };
        let asked = evidence.ask.print(units);
        let limits = words::limits(evidence, units);
        let ask = limits.map_or_else(|| asked.clone(), |limits| format!("{asked} ({limits})"));
        let printed = value.print(units);
        let said = match &evidence.item {
            Some(item) => format!("{} {printed}", item.trim_start_matches("mount ")),
            None => printed,
        };
        match phrases.iter_mut().find(|(own, _)| *own == ask) {
            Some((_, all)) => all.push(said),
            None => phrases.push((ask, vec![said])),
        }
    }
    let phrases = phrases.into_iter();
    phrases
        .map(|(ask, all)| format!("{ask}: {}", all.join(", ")))
        .collect()
}

/// What is outside its limits: `gap 47 mm, 37 mm to 43 mm needed`.
pub(super) fn wrong(standing: &Standing<'_>, units: Units) -> Vec<String> {
    let wrong = standing.wrong().map(|(evidence, value)| {
        let needed = words::limits(evidence, units).unwrap_or_else(|| "yes".to_owned());
        format!(
            "{} is {}, {needed} needed",
            evidence.name,
            value.print(units)
        )
    });
    wrong.collect()
}

/// Which parts of a task changed since it was signed: `its limits and its text`.
pub(super) fn changed(parts: &[&str]) -> String {
    let named: Vec<&str> = parts.iter().map(|part| part_name(part)).collect();
    match named.split_last() {
        None => "the task".to_owned(),
        Some((last, [])) => (*last).to_owned(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
    }
}

fn part_name(part: &str) -> &'static str {
    match part {
        "limits" => "what is written down or its limits",
        "order" => "what comes before it",
        "people" => "who does or signs it",
        "time" => "its time",
        _ => "its text",
    }
}

/// An entry that did not go straight: late, refused, opened again, a remark, or no longer standing.
pub(super) struct Event<'a> {
    pub(super) entry: &'a Entry,
    pub(super) what: String,
}

/// Every such entry, in the order of the record.
pub(super) fn events<'a>(status: &Status<'a>) -> Vec<Event<'a>> {
    let mut events: Vec<Event<'a>> = Vec::new();
    for standing in &status.tasks {
        let stands = standing.done.iter().copied().chain(standing.checked);
        let values = standing.values.values().map(|(_, entry)| *entry);
        let stands: Vec<u64> = stands.chain(values).map(|entry| entry.number).collect();
        let history = standing.history.iter();
        events.extend(history.filter_map(|entry| {
            let what = what(entry, stands.contains(&entry.number))?;
            Some(Event { entry, what })
        }));
    }
    events.extend(status.gone.iter().map(|entry| Event {
        entry,
        what: format!(
            "{}, for a task that the plan has no longer",
            entry.act.word()
        ),
    }));
    events.sort_by_key(|event| event.entry.number);
    events
}

fn what(entry: &Entry, stands: bool) -> Option<String> {
    let word = entry.act.word();
    match (entry.act, entry.at) {
        (Act::Rejected, _) if !entry.opens.is_empty() => Some(format!(
            "{word}; with it fell open {}",
            entry.opens.join(", ")
        )),
        (Act::Rejected | Act::Reopened | Act::Noted, _) => Some(word.to_owned()),
        (_, _) if !stands => Some(format!("{word}, no longer stands")),
        (_, Some(_)) => Some(format!("{word}, late")),
        _ => None,
    }
}

/// The odometer at the lift, km: the highest one signed for anything but what comes due after it.
pub(super) fn odometer_at_lift(status: &Status<'_>) -> Option<f64> {
    let lift = status.tasks.iter().filter(|one| one.task.due.is_none());
    let entries = lift.flat_map(|one| &one.history);
    let km = entries.filter_map(|entry| entry.odometer);
    km.reduce(f64::max)
}
