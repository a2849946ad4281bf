//! The survey as a table for spreadsheets: a row for everything that is still to be measured, with a cell for its value.
//!
//! Takes what assessing and planning miss, in walking order; gives CSV as RFC 4180 has it. `fill` takes the table back.

use csv::{Terminator, WriterBuilder};

use super::{Made, links, words};
use crate::assess::{Assessed, Missing};
use crate::cut::Origin;
use crate::fill::COLUMNS;
use crate::parts::tame;
use crate::quantity::{Quantity, Round, Units};

/// The survey as CSV; fails only when memory does.
pub fn survey_table(made: &Made<'_>) -> Result<String, csv::Error> {
    let mut writer = WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .from_writer(Vec::new());
    writer.write_record(COLUMNS)?;
    for missing in &made.plan.missing {
        writer.write_record(cells("the vehicle", "", missing, &missing.place))?;
    }
    for link in links::walking(made) {
        let own = link.missing.iter().filter(|missing| !missing.of_vehicle);
        for missing in own {
            let place = place(link, missing);
            writer.write_record(cells(link.area.word(), &link.title, missing, &place))?;
        }
    }
    let bytes = writer
        .into_inner()
        .map_err(csv::IntoInnerError::into_error)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn cells(area: &str, connection: &str, missing: &Missing, place: &str) -> [String; COLUMNS.len()] {
    let unit = match missing.answers.as_slice() {
        [] => missing
            .unit
            .map_or("", |unit| Units::Metric.suffix(unit))
            .to_owned(),
        answers => answers.join(" / "),
    };
    let close = missing.tolerance.zip(missing.unit).map(|(value, unit)| {
        let close = Quantity::exact(value, unit);
        close.print_limit(Round::Nearest, Units::Metric)
    });
    let cells = [
        area.to_owned(),
        words::capital(connection),
        words::capital(&missing.label),
        missing.how.clone(),
        unit,
        close.unwrap_or_default(),
        String::new(),
        String::new(),
        place.to_owned(),
    ];
    cells.map(|cell| tame(&cell))
}

/// Where a value goes, as `fill` takes it: `filler-hose.overlap`, `mounts.C1L.thread`, `tail-loom.cab/tub.slack`.
fn place(link: &Assessed<'_>, missing: &Missing) -> String {
    let id = match link.origin {
        Origin::Link => link.id.clone(),
        Origin::Mount => {
            let id = link.id.strip_prefix("mount-").unwrap_or(&link.id);
            format!("mounts.{id}")
        }
        Origin::Consequence => format!("consequences.{}", link.id),
        Origin::Bridge => format!("parts.{}", link.id),
    };
    let place = &missing.place;
    let name = place.rsplit_once("measured.").map(|(_, name)| name);
    let span = place
        .strip_prefix("spans[")
        .and_then(|rest| rest.split_once(']'));
    let span = span.map(|(span, _)| span.replace(" → ", "/"));
    match (name, span) {
        (Some(name), Some(span)) => format!("{id}.{span}.{name}"),
        (Some(name), None) => format!("{id}.{name}"),
        (None, _) => match place.rsplit_once('.') {
            Some((_, name)) if place.starts_with("links[") => format!("{id}.{name}"),
            _ => place.clone(),
        },
    }
}
