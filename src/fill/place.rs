//! Where a value goes: from `filler-hose.overlap` to its steps through the job file.

use std::collections::BTreeSet;

use serde_json::{Map, Value};

use crate::report::{Path, PathStep, in_message, unknown_help};

/// What a value is put into before it is written, from the outside in: a stretch of a connection that is not there yet.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Around {
    pub(super) from: String,
    pub(super) to: String,
    pub(super) name: String,
    /// Whether there is no list of stretches yet.
    pub(super) first: bool,
}

impl Around {
    /// The place of the value itself, where this goes to `path`.
    pub(super) fn leaf(&self, path: &[PathStep]) -> Vec<PathStep> {
        let first = self.first.then_some(PathStep::Index(0));
        let below = keys(&["measured", &self.name]);
        path.iter().cloned().chain(first).chain(below).collect()
    }
}

/// The fields of a connection that do not stand under its `measured`.
const LINK: &[&str] = &[
    "class", "title", "ends", "held_by", "at", "area", "apart", "spans",
];

/// The same of a mount.
const MOUNT: &[&str] = &["group", "at", "spacer"];

/// The lists whose entries have an id, and the fields of an entry that do not stand under its `measured`.
const LISTS: [(&str, &[&str]); 3] = [
    ("links", LINK),
    ("mounts", MOUNT),
    (
        "people",
        &[
            "name", "roles", "licences", "hours", "days", "away", "on_call",
        ],
    ),
];

/// The fields of a part that do not stand under its `measured`.
const OF_PART: [&str; 4] = ["title", "fixed_to", "class", "droop"];

/// The fields that hold words, wherever they stand but among measured values.
const WORDS: [&str; 19] = [
    "job",
    "note",
    "name",
    "identification",
    "tyre_before",
    "tyre_after",
    "title",
    "class",
    "area",
    "group",
    "fixed_to",
    "roles",
    "licences",
    "hours",
    "days",
    "away",
    "start",
    "zone",
    "region",
];

/// What may stand at the top of a job file without an id below it.
const SECTIONS: [&str; 10] = [
    "job",
    "note",
    "vehicle",
    "lift",
    "every_mount",
    "start",
    "zone",
    "things",
    "region",
    "consequences",
];

/// The connection that a place as the survey names it is on, a part that bridges the cut among them; none of a mount, a consequence or the
/// vehicle.
pub(crate) fn connection(place: &str) -> Option<&str> {
    if let Some(part) = place.strip_prefix("parts.") {
        return part.split_once('.').map(|(id, _)| id);
    }
    let (id, _) = place
        .strip_prefix("links.")
        .unwrap_or(place)
        .split_once('.')?;
    let other = ["mounts", "parts", "people"].contains(&id) || SECTIONS.contains(&id);
    (!other).then_some(id)
}

/// The steps to a place, and what the value is put into there; a sentence where there is no such place.
pub(super) fn find(
    job: &Value,
    place: &str,
    consequences: &BTreeSet<String>,
) -> Result<(Vec<PathStep>, Option<Around>), String> {
    let names: Vec<&str> = place.split('.').map(str::trim).collect();
    if names
        .iter()
        .any(|name| name.is_empty() || name.contains(['[', ']', '"', '\\']))
    {
        return Err(format!(
            "`{}` names no place in a job file",
            in_message(place)
        ));
    }
    let (head, rest) = names.split_first().unwrap_or((&"", &[]));
    if let Some((list, fields)) = LISTS.iter().find(|(list, _)| list == head) {
        let (id, rest) = rest.split_first().ok_or_else(|| {
            format!("`{head}` holds several; write which, such as `{head}.ID.NAME`")
        })?;
        let at = item(job, list, id).ok_or_else(|| no_such(job, list, id))?;
        return entry(job, (list, at), (fields, rest), place);
    }
    if *head == "parts" {
        let (id, rest) = rest
            .split_first()
            .ok_or("`parts` holds several; write which")?;
        return part(job, id, rest, place);
    }
    if SECTIONS.contains(head) {
        return Ok((keys(&names), None));
    }
    let bare = head.strip_prefix("mount-").unwrap_or(head);
    for ((list, fields), id) in LISTS.iter().zip([*head, bare, *head]) {
        if let Some(at) = item(job, list, id) {
            return entry(job, (list, at), (fields, rest), place);
        }
    }
    if job
        .get("parts")
        .is_some_and(|parts| parts.get(*head).is_some())
    {
        return part(job, head, rest, place);
    }
    let there = job
        .get("consequences")
        .is_some_and(|all| all.get(*head).is_some());
    if there || consequences.contains(*head) {
        let mut path = keys(&["consequences"]);
        path.extend(keys(&names));
        return Ok((path, None));
    }
    Err(no_such(job, "links", head))
}

/// Whether a place holds words and no number or quantity.
pub(super) fn is_text(path: &[PathStep]) -> bool {
    let names = path.iter().filter_map(|step| match step {
        PathStep::Key(key) => Some(&**key),
        PathStep::Index(_) => None,
    });
    let names: Vec<&str> = names.collect();
    let measured = ["measured", "every_mount", "consequences", "things"];
    let read = names.iter().any(|name| measured.contains(name));
    !read && names.last().is_some_and(|name| WORDS.contains(name))
}

fn keys(names: &[&str]) -> Vec<PathStep> {
    names
        .iter()
        .map(|name| PathStep::Key((*name).into()))
        .collect()
}

/// The place of an entry in a list, by its id.
fn item(job: &Value, list: &str, id: &str) -> Option<usize> {
    let all = job.get(list)?.as_array()?;
    let named = |entry: &Value| entry.get("id").and_then(Value::as_str) == Some(id);
    all.iter().position(named)
}

fn no_such(job: &Value, list: &str, id: &str) -> String {
    let all = job.get(list).and_then(Value::as_array);
    let ids = all.into_iter().flatten();
    let ids = ids.filter_map(|entry| entry.get("id").and_then(Value::as_str));
    let help = unknown_help(id, ids);
    format!("the job has no `{}`; {help}", in_message(id))
}

/// Into an entry of a list: a field of its own, or what was measured on it or on one stretch of it.
fn entry(
    job: &Value,
    (list, at): (&str, usize),
    (fields, rest): (&[&str], &[&str]),
    place: &str,
) -> Result<(Vec<PathStep>, Option<Around>), String> {
    let mut path = vec![PathStep::Key(list.into()), PathStep::Index(at)];
    let first = rest.first().ok_or_else(|| unnamed(place))?;
    if let Some((from, to)) = first.split_once('/') {
        let name = rest.get(1..).filter(|names| names.len() == 1);
        let name = name
            .and_then(|names| names.first())
            .ok_or_else(|| unnamed(place))?;
        return Ok(stretch(job, path, (from, to, name)));
    }
    if list != "people" && *first != "measured" && !fields.contains(first) {
        path.push(PathStep::Key("measured".into()));
    }
    path.extend(keys(rest));
    Ok((path, None))
}

fn unnamed(place: &str) -> String {
    let place = in_message(place);
    format!("`{place}` says not what is measured; write such as `{place}.overlap`")
}

/// Into a stretch of a connection, which is added where there is none yet.
fn stretch(
    job: &Value,
    mut path: Vec<PathStep>,
    (from, to, name): (&str, &str, &str),
) -> (Vec<PathStep>, Option<Around>) {
    path.push(PathStep::Key("spans".into()));
    let all = get(job, &path).and_then(Value::as_array);
    let is =
        |span: &Value, key: &str, part: &str| span.get(key).and_then(Value::as_str) == Some(part);
    let there = all.and_then(|all| {
        all.iter()
            .position(|span| is(span, "from", from) && is(span, "to", to))
    });
    if let Some(at) = there {
        path.push(PathStep::Index(at));
        path.extend(keys(&["measured", name]));
        return (path, None);
    }
    if let Some(all) = all {
        path.push(PathStep::Index(all.len()));
    }
    let around = Around {
        from: from.to_owned(),
        to: to.to_owned(),
        name: name.to_owned(),
        first: all.is_none(),
    };
    (path, Some(around))
}

fn part(
    job: &Value,
    id: &str,
    rest: &[&str],
    place: &str,
) -> Result<(Vec<PathStep>, Option<Around>), String> {
    if job.get("parts").is_none_or(|parts| parts.get(id).is_none()) {
        return Err(format!("the job has no part `{}`", in_message(id)));
    }
    let first = rest.first().ok_or_else(|| unnamed(place))?;
    let mut path = keys(&["parts", id]);
    if *first != "measured" && !OF_PART.contains(first) {
        path.push(PathStep::Key("measured".into()));
    }
    path.extend(keys(rest));
    Ok((path, None))
}

/// The place of a reading on a thing such as `filler-hose` or `parts.tow-bar`. One that is called like a field of the thing itself is told
/// from it: `parts.tow-bar.measured.class`.
pub(crate) fn of_reading(thing: &str, name: &str) -> String {
    let fields = match thing.split('.').next() {
        Some("parts") => OF_PART.as_slice(),
        Some("mounts") => MOUNT,
        Some("consequences" | "every_mount") => &[],
        _ => LINK,
    };
    if fields.contains(&name) {
        format!("{thing}.measured.{name}")
    } else {
        format!("{thing}.{name}")
    }
}

/// A place as the survey names it: `filler-hose.overlap`, `mounts.C1L.grip`, `tail-loom.cab/tub.slack`.
pub(super) fn named(job: &Value, path: &[PathStep]) -> String {
    let mut names: Vec<String> = Vec::new();
    let mut value = Some(job);
    for step in path {
        value = value.and_then(|value| get(value, std::slice::from_ref(step)));
        let text = |key: &str| {
            value
                .and_then(|value| value.get(key))
                .and_then(Value::as_str)
        };
        match step {
            PathStep::Key(key) if !["links", "spans", "measured"].contains(&&**key) => {
                names.push(key.to_string());
            }
            PathStep::Key(_) => {}
            PathStep::Index(_) => match (text("id"), text("from"), text("to")) {
                (Some(id), ..) => names.push(id.to_owned()),
                (None, Some(from), Some(to)) => names.push(format!("{from}/{to}")),
                _ => {}
            },
        }
    }
    let own = path
        .iter()
        .any(|step| matches!(step, PathStep::Key(key) if &**key == "measured"));
    match names.split_last() {
        // A reading that is a list has more names, and none of a field.
        Some((last, thing)) if own => of_reading(&thing.join("."), last),
        _ => names.join("."),
    }
}

/// What stands at a place.
pub(crate) fn get<'v>(value: &'v Value, path: &[PathStep]) -> Option<&'v Value> {
    path.iter().try_fold(value, |value, step| match step {
        PathStep::Key(key) => value.get(&**key),
        PathStep::Index(at) => value.get(*at),
    })
}

/// Puts a value in a place, with the maps above it where there are none.
pub(super) fn put(value: &mut Value, path: &[PathStep], new: Value) {
    let Some((step, below)) = path.split_first() else {
        *value = new;
        return;
    };
    match step {
        PathStep::Key(key) => {
            if value.is_null() {
                *value = Value::Object(Map::new());
            }
            if let Some(map) = value.as_object_mut() {
                let slot = map.entry(key.to_string()).or_insert(Value::Null);
                put(slot, below, new);
            }
        }
        PathStep::Index(at) => {
            if let Some(list) = value.as_array_mut() {
                if list.len() == *at {
                    list.push(Value::Null);
                }
                if let Some(slot) = list.get_mut(*at) {
                    put(slot, below, new);
                }
            }
        }
    }
}

/// The list and the place in it, where a path ends in an entry of a list.
pub(super) fn appended(path: &[PathStep]) -> Option<(String, usize)> {
    match path.split_last()? {
        (PathStep::Index(at), list) => Some((dotted(list), *at)),
        _ => None,
    }
}

/// The steps as the editor takes them: `links[0].measured.overlap`.
pub(super) fn dotted(path: &[PathStep]) -> String {
    Path::from_steps(path.to_vec()).to_string()
}
