//! What is written down once for each of several mounts, as a grid: a row a mount, a column a thing.
//!
//! Takes a task's evidence; gives the grid, and leaves what is written down only once to the caller.

use serde::Serialize;

use super::words;
use crate::plan::Evidence;
use crate::quantity::Units;

/// A grid of blanks.
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct Grid {
    columns: Vec<Column>,
    rows: Vec<Row>,
}

/// One thing that is written down for each mount.
#[derive(Debug, PartialEq, Serialize)]
struct Column {
    ask: String,
    /// What it is called when it is signed, but for the mount; a yes needs no name.
    name: Option<String>,
}

/// One mount.
#[derive(Debug, PartialEq, Serialize)]
struct Row {
    item: String,
    cells: Vec<Cell>,
}

/// One blank.
#[derive(Debug, PartialEq, Serialize)]
struct Cell {
    kind: String,
    limits: Option<String>,
}

/// The grid of a task's evidence for each mount; none when nothing is written down so.
pub(super) fn grid(evidence: &[Evidence], units: Units) -> Option<Grid> {
    let mut columns: Vec<Column> = Vec::new();
    let mut rows: Vec<Row> = Vec::new();
    for one in evidence {
        let Some(item) = &one.item else { continue };
        let column = column(one, units);
        if !columns.contains(&column) {
            columns.push(column);
        }
        let cell = Cell {
            kind: one.kind.clone(),
            limits: words::limits(one, units),
        };
        match rows.iter_mut().find(|row| row.item == *item) {
            Some(row) => row.cells.push(cell),
            None => rows.push(Row {
                item: item.clone(),
                cells: vec![cell],
            }),
        }
    }
    (!rows.is_empty()).then_some(Grid { columns, rows })
}

/// What is asked, with the unit of a number.
fn column(evidence: &Evidence, units: Units) -> Column {
    let ask = evidence.ask.print(units);
    let ask = match evidence.unit.map(|unit| units.suffix(unit)) {
        Some(unit) if !unit.is_empty() => format!("{ask}, {unit}"),
        _ => ask,
    };
    let name = evidence.name.split_once('.').map(|(name, _)| name);
    let name = name.filter(|_| evidence.kind != "yes");
    Column {
        ask,
        name: name.map(|name| format!("{name}.")),
    }
}
