//! The parts and what each is bolted to. Whether each hangs on a body in the end is left to `cut`.

use std::collections::{BTreeMap, BTreeSet};

use super::fields::Fields;
use super::{bodies, counts};
use crate::calc::Range;
use crate::job::{CHASSIS, Part, PartId, written};
use crate::quantity::Unit;
use crate::report::{Code, Path, PathStep, unknown_help};
use crate::sorted::Sorted as _;
use crate::source::Read;

/// The ids that may be referred to: parts of the file, parts dropped because of another problem, bodies, the chassis. What
/// only mounts name is reported there, and not again for each part that is bolted to it.
pub(super) fn known(read: &Read<written::Job>) -> BTreeSet<String> {
    let dropped = read.dropped.iter().filter_map(dropped_part);
    let mounts = read.value.mounts.iter().map(|mount| mount.group.as_str());
    let mut named = bodies(&read.value);
    named.extend(mounts.chain([CHASSIS]));
    let parts = read.value.parts.keys().cloned().chain(dropped);
    parts
        .chain(named.into_iter().map(ToOwned::to_owned))
        .sorted_set()
}

/// The id of a part that could not be read.
fn dropped_part(path: &Path) -> Option<String> {
    match path.steps() {
        [PathStep::Key(list), PathStep::Key(id)] if list.as_ref() == "parts" => {
            Some(id.to_string())
        }
        _ => None,
    }
}

/// Reports a reference to a part that does not exist.
pub(super) fn resolve(
    known: &BTreeSet<String>,
    part: &str,
    who: &str,
    path: &Path,
    fields: &mut Fields<'_>,
) {
    if !known.contains(part) {
        let message = format!("{who} is fixed to `{part}`, but no part has that id");
        let help = unknown_help(part, known.iter().map(String::as_str));
        fields.error(Code::UnknownPart, path, message, help);
    }
}

pub(super) fn check(
    read: &Read<written::Job>,
    known: &BTreeSet<String>,
    fields: &mut Fields<'_>,
) -> BTreeMap<PartId, Part> {
    let mut roots = bodies(&read.value);
    roots.insert(CHASSIS);
    let mut parts = BTreeMap::new();
    let count = read.value.parts.len();
    if count > counts::PARTS {
        let list = Path::root().key("parts");
        fields.too_many(count, counts::PARTS, "parts", &list);
    }
    for (id, part) in read.value.parts.iter().take(counts::PARTS) {
        let path = Path::root().key("parts").key(id.as_str());
        fields.id(id, &path.at_key());
        let fixed_to = fixed_to(id, part, known, &path, fields);
        if roots.contains(id.as_str()) && !fixed_to.is_empty() {
            let message =
                format!("`{id}` is the chassis or a raised body, so only its mounts join it");
            let help = "leave `fixed_to` out; the mounts are the cut";
            fields.error(Code::RootIsFixed, &path.key("fixed_to"), message, help);
        }
        let droop_at = path.key("droop");
        let droop = fields.number(
            part.droop.as_ref(),
            Unit::Mm,
            Range::Within(0.0, 600.0),
            &droop_at,
        );
        let measured = fields.measurements(&part.measured, &path.key("measured"));
        let part = Part {
            path: Some(path),
            title: part.title.clone(),
            fixed_to,
            class: part.class.clone(),
            droop: droop.unwrap_or_default(),
            measured,
        };
        parts.insert(id.clone(), part);
    }
    for root in roots {
        // The file may mention it as a body and nowhere else.
        parts.entry(root.to_owned()).or_default();
    }
    parts
}

fn fixed_to(
    id: &str,
    part: &written::Part,
    known: &BTreeSet<String>,
    path: &Path,
    fields: &mut Fields<'_>,
) -> BTreeSet<PartId> {
    let path = path.key("fixed_to");
    let given = part.fixed_to.clone().unwrap_or_default().0;
    let what = "parts that one part is bolted to";
    let given = fields.up_to(&given, counts::FIXINGS, what, &path);
    for (index, on) in given.iter().enumerate() {
        let at = path.index(index);
        resolve(known, on, &format!("part `{id}`"), &at, fields);
    }
    given.iter().cloned().sorted_set()
}
