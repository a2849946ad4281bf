//! What one text of a job file says otherwise than another, place by place.
//!
//! Takes both texts, which were read before, so that what is wrong with them is told already; gives the changes that have a say in what is
//! done or signed.

use std::collections::BTreeMap;

use serde_json::Value;

use super::binding::JobChange;
use crate::report::Report;
use crate::sorted::Sorted as _;
use crate::source::{self, Source};

/// What is otherwise, but for what decides nothing.
pub(super) fn changes(before: &str, after: &str) -> Vec<JobChange> {
    let (before, after) = (said(before), said(after));
    let differ = differing(&before, &after).filter(|place| decides(place));
    differ
        .map(|place| change(place, before.get(place), after.get(place)))
        .collect()
}

/// The names under which two maps do not hold the same, in their order.
pub(super) fn differing<'m>(
    before: &'m BTreeMap<String, String>,
    after: &'m BTreeMap<String, String>,
) -> impl Iterator<Item = &'m String> {
    let names = before.keys().chain(after.keys()).sorted_set();
    names
        .into_iter()
        .filter(|name| before.get(*name) != after.get(*name))
}

/// A value that was one thing and is another.
pub(super) fn change(place: &str, before: Option<&String>, after: Option<&String>) -> JobChange {
    JobChange {
        place: place.to_owned(),
        before: before.cloned(),
        after: after.cloned(),
    }
}

/// Whether a place of the job file has a say in what is done or signed; hours and remarks have none, and the vehicle's identity is another
/// question.
fn decides(place: &str) -> bool {
    let first = place.split('.').next().unwrap_or_default();
    let of_hours = || {
        place
            .split('.')
            .nth(2)
            .is_some_and(|key| matches!(key, "hours" | "days" | "away" | "on_call"))
    };
    match first {
        "job" | "note" | "start" | "things" => false,
        "people" => !of_hours(),
        _ => place != "vehicle.identification",
    }
}

/// What a job file says, by place.
fn said(text: &str) -> BTreeMap<String, String> {
    let mut said = BTreeMap::new();
    if let Some(read) = source::read::<Value>(&Source::from_text("", text), &mut Report::new()) {
        flat(&read.value, String::new(), &mut said);
    }
    said
}

/// Puts every single value of a tree in, each under its place; an entry of a list goes by its id where it has one.
fn flat(value: &Value, place: String, into: &mut BTreeMap<String, String>) {
    let below = |key: &str| match place.as_str() {
        "" => key.to_owned(),
        place => format!("{place}.{key}"),
    };
    match value {
        Value::Object(map) => map
            .iter()
            .for_each(|(key, value)| flat(value, below(key), into)),
        Value::Array(list) => {
            for (number, value) in (1..).zip(list) {
                let id = value.get("id").and_then(Value::as_str);
                let key = id.map_or_else(|| number.to_string(), ToOwned::to_owned);
                flat(value, below(&key), into);
            }
        }
        Value::String(text) => {
            into.insert(place, text.clone());
        }
        other => {
            into.insert(place, other.to_string());
        }
    }
}
