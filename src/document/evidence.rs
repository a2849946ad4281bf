//! What a piece of work has written down, as it stands on paper: a blank, and what is asked for; for several mounts a blank each.
//!
//! Takes a task's evidence; gives Markdown and lines for the task's template.

use minijinja::Value;
use serde::Serialize;

use super::{blanks, engine, escape, words};
use crate::plan::{Evidence, Task};
use crate::quantity::Units;
use crate::rules::written::WORKED_OUT;

/// Whether a value is written down once.
pub(super) fn has_values(task: &Task) -> bool {
    once(task).any(|one| one.kind != "yes")
}

/// What a piece has written down once; in short the values alone, the first with the title of the piece (`of`). A name that another piece of
/// the same printed task has, too, says whose it is.
pub(super) fn asked(
    task: &Task,
    pieces: &[Task],
    (short, mut of): (bool, Option<&str>),
    units: Units,
) -> Vec<Value> {
    let asks = once(task).filter(|one| !short || one.kind != "yes");
    let asked = asks.map(|one| {
        let same = pieces.iter().flat_map(|piece| &piece.evidence);
        let several = same.filter(|other| other.name == one.name).count() > 1;
        let whose = if several {
            format!("{}:{}", task.id, one.name)
        } else {
            one.name.clone()
        };
        line(one, &whose, of.take(), units)
    });
    asked.collect()
}

fn once(task: &Task) -> impl Iterator<Item = &Evidence> {
    task.evidence.iter().filter(|one| one.item.is_none())
}

fn line(evidence: &Evidence, name: &str, of: Option<&str>, units: Units) -> Value {
    let kind = evidence.kind.as_str();
    let mut text = blanks::blank(match kind {
        "yes" | "photo" => 2,
        "text" | "paper" => 32,
        _ => 8,
    });
    let unit = match evidence.unit.map(|unit| units.suffix(unit)) {
        _ if kind == "photo" => Some("photograph"),
        unit => unit.filter(|unit| !unit.is_empty()),
    };
    for head in of.into_iter().chain(unit) {
        text += &format!(" {}:", escape::markdown(head));
    }
    text.push(' ');
    text += &escape::markdown(&evidence.ask.print(units));
    if let Some(limits) = words::limits(evidence, units) {
        text += &format!(", {}", escape::markdown(&limits));
    }
    if kind != "yes" {
        text += &format!(" {}", escape::code(name));
    }
    engine::made(text + ".")
}

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

/// What is written down for each of several mounts, a line a thing and a blank a mount; none when nothing is written down so.
pub(super) fn lines(evidence: &[Evidence], units: Units) -> Vec<GridLine> {
    let mut lines: Vec<GridLine> = Vec::new();
    for one in evidence {
        let Some(item) = &one.item else { continue };
        let (ask, name) = called(one, units);
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
fn called(evidence: &Evidence, units: Units) -> (String, Option<String>) {
    let ask = evidence.ask.print(units);
    let ask = match evidence.unit.map(|unit| units.suffix(unit)) {
        // Where nothing is written the limits say the unit.
        Some(unit) if !unit.is_empty() && evidence.kind != WORKED_OUT => format!("{ask}, {unit}"),
        _ => ask,
    };
    let name = evidence.name.split_once('.').map(|(name, _)| name);
    let name = name.filter(|_| evidence.kind != "yes");
    (ask, name.map(|name| format!("{name}.")))
}
