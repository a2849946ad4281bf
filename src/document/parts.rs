//! The bench list: what to have ready before the work starts, as a page to tick off.
//!
//! Takes what [`crate::parts`] collected; gives one [`Page`].

use serde::Serialize;

use super::sheet::{self, Head};
use super::{DocumentError, Look, Made, Page, words};
use crate::cut::Origin;
use crate::parts::{self, BenchLine, Booking, Tool};
use crate::quantity::{Quantity, Round, Unit, Units};

#[derive(Debug, Serialize)]
struct PartsView {
    head: Head,
    kinds: Vec<PartsOfKind>,
    tools: Vec<PartRow>,
    trades: Vec<Visitor>,
    low: String,
    likely: String,
    high: String,
}

#[derive(Debug, Serialize)]
struct PartsOfKind {
    heading: &'static str,
    rows: Vec<PartRow>,
}

#[derive(Debug, Serialize)]
struct PartRow {
    count: String,
    what: String,
    size: String,
    tasks: String,
    links: String,
}

#[derive(Debug, Serialize)]
struct Visitor {
    trade: String,
    people: String,
    tasks: String,
    time: String,
}

/// Makes the bench list; fails only when its template is defective.
pub(crate) fn parts(made: &Made<'_>, look: Look) -> Result<Page, DocumentError> {
    let bench = parts::collect(made);
    let lines = bench.lines.as_slice();
    let kinds = lines.chunk_by(|one, next| one.part.kind == next.part.kind);
    let kinds = kinds.filter_map(|lines| {
        Some(PartsOfKind {
            heading: lines.first()?.part.kind.heading(),
            rows: lines
                .iter()
                .map(|line| row(made, line, look.units))
                .collect(),
        })
    });
    let tools = bench.tools.iter().chain(&bench.uses);
    let view = PartsView {
        head: sheet::head(made, look),
        kinds: kinds.collect(),
        tools: tools.map(|tool| tool_row(tool, look.units)).collect(),
        trades: bench.trades.iter().map(trade).collect(),
        low: words::duration(bench.minutes.low),
        likely: words::duration(bench.minutes.likely),
        high: words::duration(bench.minutes.high),
    };
    sheet::page(made, "Bench list", "parts.md", view)
}

fn row(made: &Made<'_>, line: &BenchLine<'_>, units: Units) -> PartRow {
    let material = line.material.map(ToOwned::to_owned).into_iter();
    let sizes = words::sizes(line.part.kind, &line.part.sizes, units);
    let mut size: Vec<String> = material.chain(sizes).collect();
    if let Some(length) = line.to_cut().filter(|_| line.count > 1) {
        size.push(format!("{} in all", in_all(length, units)));
    }
    let count = if line.part.counted == "piece" {
        line.count.to_string()
    } else {
        words::count_of(line.count, line.part.counted)
    };
    PartRow {
        count,
        what: words::capital(&line.part.what.print(units)),
        size: size.join(", "),
        tasks: words::numbers(line.tasks.iter().map(|one| one.number).collect()),
        links: links(made, line),
    }
}

/// What is cut off a roll altogether, mm, to the next centimetre or step of the rule.
fn in_all(length: f64, units: Units) -> String {
    match units {
        Units::Metric => format!("{:.2} m", (length / 10.0 - 1e-7).ceil() / 100.0),
        Units::Inch => Quantity::exact(length, Unit::Mm).print_limit(Round::Up, units),
    }
}

/// The links that a line is for; many mounts as their number.
fn links(made: &Made<'_>, of: &BenchLine<'_>) -> String {
    let mut titles: Vec<&str> = Vec::new();
    let mut mounts: Vec<&str> = Vec::new();
    for id in of.links() {
        let Some(link) = made.assessment.links.get(id) else {
            continue;
        };
        let list = if link.origin == Origin::Mount {
            &mut mounts
        } else {
            &mut titles
        };
        if !list.contains(&link.title.as_str()) {
            list.push(&link.title);
        }
    }
    let many = format!("{} mounts", mounts.len());
    let mounts = if mounts.len() > 2 {
        vec![many.as_str()]
    } else {
        mounts
    };
    words::capital(
        &mounts
            .into_iter()
            .chain(titles)
            .collect::<Vec<_>>()
            .join(", "),
    )
}

fn tool_row(tool: &Tool<'_>, units: Units) -> PartRow {
    PartRow {
        count: String::new(),
        what: words::capital(&tool.what.print(units)),
        size: String::new(),
        tasks: words::numbers(tool.tasks.iter().map(|(number, _)| *number).collect()),
        links: String::new(),
    }
}

fn trade(booking: &Booking<'_>) -> Visitor {
    Visitor {
        trade: words::capital(words::trade(booking.trade)),
        people: if booking.people.is_empty() {
            "to be booked".to_owned()
        } else {
            booking.people.join(", ")
        },
        tasks: words::numbers(booking.tasks.iter().map(|(number, _)| *number).collect()),
        time: words::minutes(booking.minutes),
    }
}
