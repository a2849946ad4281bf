//! Whether a body sits square on its blocks: the gaps at its mounts after the lift, less those before, through the plane
//! calculation.
//!
//! Takes what is written down as `gap_before.<mount>` and `gap_after.<mount>`; gives `nose_up`, `left_up` and `out_of_plane`
//! of the task that asks for them. Their limits come from the rules, as those of any evidence.

use std::collections::BTreeMap;

use super::agreed::{Agreed, Asked, SignedTask};
use super::standing::Standing;
use super::value::{Entered, Number};
use crate::calc::plane::{Plane, plane};
use crate::quantity::{Quantity, Unit};
use crate::sorted::Sorted as _;

const BEFORE: &str = "gap_before.";
const AFTER: &str = "gap_after.";

/// Works the angles out wherever every gap they come from is written down; whatever else was written there is replaced.
pub(super) fn fill(agreed: &Agreed, tasks: &mut [Standing<'_>]) {
    let before = gaps_before(tasks);
    for standing in tasks {
        let gap = |name: &str| standing.values.get(name).map(|(value, _)| value);
        let Some(found) = out_of_square(standing.task, agreed, &before, gap) else {
            continue;
        };
        // They belong to the entry that brought the last of the gaps.
        let after = standing
            .values
            .iter()
            .filter(|(name, _)| name.starts_with(AFTER));
        let Some(entry) = after.map(|(_, (_, entry))| *entry).max_by_key(|e| e.number) else {
            continue;
        };
        for (name, value) in found {
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
    let names = || task.asks().map(|(_, one)| one.name.as_str());
    let measured = names().any(|name| name.starts_with(AFTER));
    let angle = |name: &&str| matches!(*name, "nose_up" | "left_up" | "out_of_plane");
    names().filter(|name| measured && angle(name)).collect()
}

/// What the gaps of a task come to; nothing while one is missing, or where the task does not ask for it.
pub(super) fn out_of_square<'t, 'v>(
    task: &'t SignedTask,
    agreed: &Agreed,
    before: &BTreeMap<String, f64>,
    after: impl Fn(&str) -> Option<&'v Entered>,
) -> Option<Vec<(&'t str, Entered)>> {
    let asked = worked_out(task);
    if asked.is_empty() {
        return None;
    }
    let names = task.asks().map(|(_, one)| one.name.as_str());
    let points = names.filter_map(|name| Some((name, name.strip_prefix(AFTER)?)));
    let points: Option<Vec<[f64; 3]>> = points
        .map(|(name, mount)| {
            let [x, y] = *agreed.mounts.get(mount)?;
            Some([x, y, length(after(name)?)? - before.get(mount)?])
        })
        .collect();
    let found = plane(&points?).ok()?;
    let asks = task.asks().map(|(_, one)| one);
    let asks = asks.filter(|one| asked.contains(&one.name.as_str()));
    let values = asks.map(|one| (one.name.as_str(), value(one, found)));
    Some(values.collect())
}

fn value(asked: &Asked, found: Plane) -> Entered {
    let (value, unit) = match asked.name.as_str() {
        "nose_up" => (found.nose_up(), Unit::Degree),
        "left_up" => (found.left_up(), Unit::Degree),
        _ => (found.out_of_plane, Unit::Mm),
    };
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
