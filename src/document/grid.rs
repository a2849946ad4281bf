//! What is written down once for each of several mounts, as lines: a line a thing, a blank a mount.
//!
//! Takes a task's evidence; gives the lines, and leaves what is written down only once to the caller.

use serde::Serialize;

use super::words;
use crate::plan::Evidence;
use crate::quantity::Units;

/// One thing that is written down for each mount.
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct GridLine {
    ask: String,
    /// What it is called when it is signed, but for the mount; a yes needs no name.
    name: Option<String>,
    kind: String,
    /// The limits, where they are the same for every mount.
    limits: Option<String>,
    blanks: Vec<Blank>,
}

/// The blank of one mount.
#[derive(Debug, PartialEq, Serialize)]
struct Blank {
    item: String,
    limits: Option<String>,
}

/// The lines of a task's evidence for each mount; none when nothing is written down so.
pub(super) fn lines(evidence: &[Evidence], units: Units) -> Vec<GridLine> {
    let mut lines: Vec<GridLine> = Vec::new();
    for one in evidence {
        let Some(item) = &one.item else { continue };
        let (ask, name) = asked(one, units);
        let blank = Blank {
            item: item.strip_prefix("mount ").unwrap_or(item).to_owned(),
            limits: words::limits(one, units),
        };
        match lines.iter_mut().find(|line| line.ask == ask) {
            Some(line) => line.blanks.push(blank),
            None => lines.push(GridLine {
                ask,
                name,
                kind: one.kind.clone(),
                limits: None,
                blanks: vec![blank],
            }),
        }
    }
    lines.iter_mut().for_each(say_limits_once);
    lines
}

/// Moves limits that all mounts share from the blanks to the line.
fn say_limits_once(line: &mut GridLine) {
    let Some(first) = line.blanks.first().map(|blank| blank.limits.clone()) else {
        return;
    };
    if line.blanks.iter().all(|blank| blank.limits == first) {
        line.limits = first;
        for blank in &mut line.blanks {
            blank.limits = None;
        }
    }
}

/// What is asked, with the unit of a number, and its name.
fn asked(evidence: &Evidence, units: Units) -> (String, Option<String>) {
    let ask = evidence.ask.print(units);
    let ask = match evidence.unit.map(|unit| units.suffix(unit)) {
        Some(unit) if !unit.is_empty() => format!("{ask}, {unit}"),
        _ => ask,
    };
    let name = evidence.name.split_once('.').map(|(name, _)| name);
    let name = name.filter(|_| evidence.kind != "yes");
    (ask, name.map(|name| format!("{name}.")))
}
