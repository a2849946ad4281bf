//! Whether a body sits as high and as square as its blocks make it: the gaps at its mounts after the lift, less those before, each by itself
//! and all through the plane calculation.
//!
//! Takes what is written down as `gap_before.<mount>` and `gap_after.<mount>`; gives `opened.<mount>`, `nose_up`, `left_up` and `out_of_plane`
//! of the task that asks for them. Their limits come from the rules, as those of any evidence.

use std::collections::BTreeMap;

use super::agreed::{Agreed, Asked, SignedTask};
use super::standing::Standing;
use super::value::{Entered, Number};
use crate::calc::plane::{Plane, plane};
use crate::quantity::{Quantity, Unit};
use crate::rules::written::WORKED_OUT;
use crate::sorted::Sorted as _;

const BEFORE: &str = "gap_before.";
const AFTER: &str = "gap_after.";
const OPENED: &str = "opened.";

/// Works out what the gaps that are written down come to; whatever else was written there is replaced.
pub(super) fn fill(agreed: &Agreed, tasks: &mut [Standing<'_>]) {
    let before = gaps_before(tasks);
    for standing in tasks {
        let gap = |name: &str| standing.values.get(name).map(|(value, _)| value);
        let found = found(standing.task, agreed, &before, gap);
        // They belong to the entry that brought the gap, or the last of the gaps.
        let after = standing
            .values
            .iter()
            .filter(|(name, _)| name.starts_with(AFTER));
        let Some(entry) = after.map(|(_, (_, entry))| *entry).max_by_key(|e| e.number) else {
            continue;
        };
        for (name, value) in found {
            let gap = name.strip_prefix(OPENED);
            let gap = gap.map(|mount| format!("{AFTER}{mount}"));
            let own = gap.and_then(|gap| standing.values.get(gap.as_str()));
            let entry = own.map_or(entry, |(_, entry)| *entry);
            standing.values.insert(name, (value, entry));
        }
    }
}

/// The gap before of every mount, mm.
pub(super) fn gaps_before(tasks: &[Standing<'_>]) -> BTreeMap<String, f64> {
    let all = tasks.iter().flat_map(|one| &one.values);
    let gaps = all.filter_map(|(name, (value, _))| {
        let mount = name.strip_prefix(BEFORE)?;
        Some((mount.to_owned(), length(value)?))
    });
    gaps.sorted_map()
}

/// The names of what is worked out for a task and never typed.
pub fn worked_out(task: &SignedTask) -> Vec<&str> {
    let asks = || task.asks().map(|(_, one)| one);
    let measured = asks().any(|one| one.name.starts_with(AFTER));
    let is_angle = |name: &str| matches!(name, "nose_up" | "left_up" | "out_of_plane");
    let found = asks().filter(|one| is_angle(&one.name) || one.kind == WORKED_OUT);
    found
        .filter(|_| measured)
        .map(|one| one.name.as_str())
        .collect()
}

/// What the gaps of a task come to, as far as it asks for it: by how much each that is there opened, and the angles once none is missing.
pub(super) fn found<'t, 'v>(
    task: &'t SignedTask,
    agreed: &Agreed,
    before: &BTreeMap<String, f64>,
    after: impl Fn(&str) -> Option<&'v Entered>,
) -> Vec<(&'t str, Entered)> {
    let asked = worked_out(task);
    if asked.is_empty() {
        return Vec::new();
    }
    let names = task.asks().map(|(_, one)| one.name.as_str());
    let mounts = names.filter_map(|name| Some((name, name.strip_prefix(AFTER)?)));
    let opened = mounts.map(|(name, mount)| {
        let opened = length(after(name)?)? - before.get(mount)?;
        Some((mount, opened))
    });
    let opened: Vec<Option<(&str, f64)>> = opened.collect();
    let points = opened.iter().map(|opened| {
        let (mount, opened) = (*opened)?;
        let [x, y] = *agreed.mounts.get(mount)?;
        Some([x, y, opened])
    });
    let points: Option<Vec<[f64; 3]>> = points.collect();
    let plane = points.and_then(|points| plane(&points).ok());
    let asks = task.asks().map(|(_, one)| one);
    let asks = asks.filter(|one| asked.contains(&one.name.as_str()));
    let values = asks.filter_map(|one| {
        let quantity = match one.name.strip_prefix(OPENED) {
            Some(mount) => {
                let mut known = opened.iter().flatten();
                let (_, opened) = known.find(|(of, _)| *of == mount)?;
                (*opened, Unit::Mm)
            }
            None => angle(&one.name, plane.as_ref()?),
        };
        Some((one.name.as_str(), value(one, quantity)))
    });
    values.collect()
}

fn angle(name: &str, found: &Plane) -> (f64, Unit) {
    match name {
        "nose_up" => (found.nose_up(), Unit::Degree),
        "left_up" => (found.left_up(), Unit::Degree),
        _ => (found.out_of_plane, Unit::Mm),
    }
}

fn value(asked: &Asked, (value, unit): (f64, Unit)) -> Entered {
    // Kept to a millionth, the step of every comparison, so that the same gaps print the same on any machine.
    let rounded = (value * 1e6).round() / 1e6 + 0.0;
    Entered::Number(Number::of(Quantity::exact(rounded, unit), asked))
}

fn length(value: &Entered) -> Option<f64> {
    match value {
        Entered::Number(number) if number.unit == Unit::Mm.code() => Some(number.value),
        _ => None,
    }
}
