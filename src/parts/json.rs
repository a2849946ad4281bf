//! The bench list for other programs: a stable, documented JSON shape in canonical units, whatever `--units` says.
//!
//! The shape is described in the manual, `plan-json`.

use serde_json::{Value, json};

use super::{Bench, BenchLine};
use crate::pipeline::Made;
use crate::quantity::{Quantity, Unit};

pub(crate) fn to_json(made: &Made<'_>, bench: &Bench<'_>) -> Value {
    let lines: Vec<Value> = bench.lines.iter().map(line).collect();
    json!({
        "provisional": made.plan.provisional,
        "parts": lines,
        "tools": bench.tools,
        "uses": bench.uses,
        "trades": bench.trades,
        "minutes": made.plan.minutes,
    })
}

fn line(line: &BenchLine<'_>) -> Value {
    let tasks = line.tasks.iter();
    let tasks: Vec<Value> = tasks
        .map(|(task, count)| json!({"id": task.id, "number": task.number, "count": count}))
        .collect();
    let to_cut = line.to_cut();
    json!({
        "kind": line.part.kind.word(),
        "what": line.part.what,
        "count": line.count,
        "in": line.part.counted,
        "size": line.part.sizes,
        "material": line.material,
        "to_cut": to_cut.map(|length| Quantity::exact(length / 1000.0, Unit::Metre)),
        "shared": line.part.shared,
        "tasks": tasks,
        "for": line.links(),
    })
}
