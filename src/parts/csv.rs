//! The bench list as a table for spreadsheets: comma-separated values as RFC 4180 has them, in canonical units.
//!
//! The columns are described in the manual, `plan-json`. Text that a spreadsheet would take for a formula begins with an
//! apostrophe, and the last column says on every row who made the file, so that it may be overwritten.

use csv::Terminator;

use super::{Bench, BenchLine, Booking, Tool, ids};
use crate::pipeline::Made;
use crate::plan::{Minutes, Sized};
use crate::quantity::Unit;
use crate::rules::Size;
use crate::source::table;

/// The columns.
const COLUMNS: [&str; 28] = [
    "section",
    "kind",
    "what",
    "count",
    "count_unit",
    "thread",
    "class",
    "material",
    "bore",
    "outer",
    "inner",
    "height",
    "thickness",
    "length",
    "longer",
    "size_unit",
    "to_cut",
    "to_cut_unit",
    "minutes_low",
    "minutes_likely",
    "minutes_high",
    "tasks",
    "links",
    "people",
    "job",
    "plan",
    "demo",
    "made_with",
];

/// A row: its cells by column.
type Cells = Vec<(&'static str, String)>;

pub(crate) fn to_csv(made: &Made<'_>, bench: &Bench<'_>) -> String {
    let mut rows: Vec<Cells> = bench.lines.iter().map(line).collect();
    rows.extend(bench.tools.iter().map(|one| tool("tool", one)));
    rows.extend(bench.uses.iter().map(|one| tool("shared equipment", one)));
    rows.extend(bench.trades.iter().map(trade));
    let mut hours = vec![
        ("section", "time".to_owned()),
        ("what", "all tasks up to the hand-over".to_owned()),
    ];
    hours.extend(minutes(made.plan.minutes));
    rows.push(hours);
    let rows = rows.into_iter().map(|mut row| {
        row.push(("job", made.job.title.clone()));
        row.push(("plan", made.digest().to_owned()));
        let demo = if made.job.demo {
            "DEMO – NOT A VEHICLE"
        } else {
            ""
        };
        row.push(("demo", demo.to_owned()));
        row.push(("made_with", "Made with liftsheet".to_owned()));
        COLUMNS.map(|column| {
            let cell = row.iter().find(|(name, _)| *name == column);
            cell.map_or_else(String::new, |(_, text)| text.clone())
        })
    });
    let head = COLUMNS.map(str::to_owned);
    table::text(std::iter::once(head).chain(rows), Terminator::CRLF)
}

fn line(line: &BenchLine<'_>) -> Cells {
    let mut row = vec![
        ("section", "part".to_owned()),
        ("kind", line.part.kind.word().to_owned()),
        ("what", line.part.what.written()),
        ("count", line.count.to_string()),
        ("count_unit", line.part.counted.to_owned()),
    ];
    if let Some(material) = line.material {
        row.push(("material", material.to_owned()));
    }
    for (size, value) in &line.part.sizes {
        let value = match value {
            Sized::Word(word) => word.clone(),
            Sized::Mm(value) => number(*value),
        };
        row.push((size.word(), value));
    }
    if line.part.sizes.keys().any(|size: &Size| !size.is_word()) {
        row.push(("size_unit", Unit::Mm.code().to_owned()));
    }
    if let Some(length) = line.to_cut() {
        row.push(("to_cut", number(length / 1000.0)));
        row.push(("to_cut_unit", Unit::Metre.code().to_owned()));
    }
    let tasks: Vec<&str> = line
        .tasks
        .iter()
        .map(|(task, _)| task.id.as_str())
        .collect();
    row.push(("tasks", tasks.join(" ")));
    row.push(("links", line.links().join(" ")));
    row
}

fn tool(section: &str, tool: &Tool<'_>) -> Cells {
    vec![
        ("section", section.to_owned()),
        ("what", tool.what.written()),
        ("tasks", ids(&tool.tasks).join(" ")),
    ]
}

fn trade(booking: &Booking<'_>) -> Cells {
    let mut row = vec![
        ("section", "trade".to_owned()),
        ("what", booking.trade.to_owned()),
        ("tasks", ids(&booking.tasks).join(" ")),
        ("people", booking.people.join("; ")),
    ];
    row.extend(minutes(booking.minutes));
    row
}

fn minutes(minutes: Minutes) -> [(&'static str, String); 3] {
    [
        ("minutes_low", number(minutes.low)),
        ("minutes_likely", number(minutes.likely)),
        ("minutes_high", number(minutes.high)),
    ]
}

/// A number to a thousandth, as short as it can be.
fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn numbers_are_short() {
        assert_eq!(number(451.0), "451");
        assert_eq!(number(0.4505), "0.451");
        assert_eq!(number(100.0), "100");
    }
}
