//! The bench list: what to have ready before the work starts, as a page to tick off.
//!
//! Takes what [`crate::parts`] collected; gives one [`Page`].

use minijinja::value::Serde;
use minijinja::{Value, context};

use super::sheet;
use super::{DocumentError, Look, Made, Page, words};
use crate::assess::Assessed;
use crate::cut::Origin;
use crate::parts::{self, BenchLine, Booking, Tool};
use crate::quantity::{Quantity, Round, Unit, Units};
use crate::sorted::each_once;

/// Makes the bench list; fails only when its template is defective.
pub(crate) fn parts(made: &Made<'_>, look: Look) -> Result<Page, DocumentError> {
    let bench = parts::collect(made);
    let lines = bench.lines.as_slice();
    let kinds = lines.chunk_by(|one, next| one.part.kind == next.part.kind);
    let kinds = kinds.filter_map(|lines| {
        let rows = lines.iter().map(|line| row(made, line, look.units));
        Some(context! {
            heading => lines.first()?.part.kind.heading(),
            rows => rows.collect::<Value>(),
        })
    });
    let tools = bench.tools.iter().chain(&bench.uses);
    let view = context! {
        head => Serde(sheet::head(made, look)),
        kinds => kinds.collect::<Value>(),
        tools => tools.map(|tool| tool_row(tool, look.units)).collect::<Value>(),
        trades => bench.trades.iter().map(trade).collect::<Value>(),
        low => words::duration(made.plan.minutes.low),
        likely => words::duration(made.plan.minutes.likely),
        high => words::duration(made.plan.minutes.high),
    };
    sheet::page(made, "Bench list", "parts.md", view)
}

fn row(made: &Made<'_>, line: &BenchLine<'_>, units: Units) -> Value {
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
    context! {
        count,
        what => words::capital(&line.part.what.print(units)),
        size => size.join(", "),
        tasks => words::numbers(line.tasks.iter().map(|(task, _)| task.number).collect()),
        links => links(made, line),
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
    let ids = of.links().into_iter();
    let links: Vec<&Assessed<'_>> = ids.filter_map(|id| made.assessment.links.get(id)).collect();
    let titles = |mounts: bool| {
        let own = links.iter();
        let own = own.filter(|link| (link.origin == Origin::Mount) == mounts);
        each_once(own.map(|link| link.title.as_str()))
    };
    let mut said = titles(true);
    let many = format!("{} mounts", said.len());
    if said.len() > 2 {
        said = vec![&many];
    }
    said.extend(titles(false));
    words::capital(&said.join(", "))
}

fn tool_row(tool: &Tool<'_>, units: Units) -> Value {
    context! {
        what => words::capital(&tool.what.print(units)),
        tasks => words::numbers(tool.tasks.iter().map(|task| task.number).collect()),
    }
}

fn trade(booking: &Booking<'_>) -> Value {
    context! {
        trade => words::capital(words::trade(booking.trade)),
        people => booked(booking),
        tasks => words::numbers(booking.tasks.iter().map(|task| task.number).collect()),
        time => words::minutes(booking.minutes),
    }
}

/// Who comes for a trade.
pub(super) fn booked(booking: &Booking<'_>) -> String {
    if booking.people.is_empty() {
        return "to be booked".to_owned();
    }
    booking.people.join(", ")
}
