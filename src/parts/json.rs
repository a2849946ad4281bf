//! The bench list for other programs: a stable, documented JSON shape in canonical units, whatever `--units` says.
//!
//! The shape is described in the manual, `plan-json`.

use serde_json::{Value, json};

use super::{Bench, BenchLine, Booking, Tool};
use crate::pipeline::Made;
use crate::quantity::Unit;

/// The bench list as JSON.
pub(crate) fn to_json(made: &Made<'_>, bench: &Bench<'_>) -> Value {
    let lines: Vec<Value> = bench.lines.iter().map(line).collect();
    let tools = |tools: &[Tool<'_>]| tools.iter().map(tool).collect::<Vec<Value>>();
    let trades: Vec<Value> = bench.trades.iter().map(booking).collect();
    json!({
        "provisional": made.plan.provisional,
        "parts": lines,
        "tools": tools(&bench.tools),
        "uses": tools(&bench.uses),
        "trades": trades,
        "minutes": bench.minutes,
    })
}

fn line(line: &BenchLine<'_>) -> Value {
    let tasks = line.tasks.iter();
    let tasks: Vec<Value> = tasks
        .map(|one| json!({"id": one.task.id, "number": one.number, "count": one.count}))
        .collect();
    let to_cut = line.to_cut();
    json!({
        "kind": line.part.kind.word(),
        "what": line.part.what,
        "count": line.count,
        "in": line.part.counted,
        "size": line.part.sizes,
        "material": line.material,
        "to_cut": to_cut.map(|length| json!({"value": length / 1000.0, "unit": Unit::Metre.code()})),
        "shared": line.part.shared,
        "tasks": tasks,
        "for": line.links(),
    })
}

fn tool(tool: &Tool<'_>) -> Value {
    let tasks: Vec<&str> = tool.tasks.iter().map(|(_, id)| id.as_str()).collect();
    json!({"what": tool.what, "tasks": tasks})
}

/// A trade to book.
pub(crate) fn booking(booking: &Booking<'_>) -> Value {
    let tasks = booking.tasks.iter();
    let tasks: Vec<&str> = tasks.map(|(_, task)| task.id.as_str()).collect();
    json!({
        "trade": booking.trade,
        "people": booking.people,
        "tasks": tasks,
        "minutes": booking.minutes,
    })
}
