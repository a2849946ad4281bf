//! What a piece of work has written down once, as it stands on paper: a blank, and what is asked for.
//!
//! Takes a task's evidence; gives Markdown for the task's template. What is written down for each of several mounts is left to `grid`.

use minijinja::Value;

use super::{blanks, engine, escape, words};
use crate::plan::{Evidence, Task};
use crate::quantity::Units;

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
        "text" => 32,
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
