//! What is still to be measured, one after the other: for questions on a terminal, and as a table for spreadsheets with a cell for each value.
//!
//! Takes what assessing and planning miss, in walking order; gives CSV as RFC 4180 has it. `fill` takes the table back.

use csv::Terminator;
use serde::Serialize;

use super::{Made, words};
use crate::assess::{Assessed, Missing, decides_text};
use crate::cut::{MOUNT, Origin};
use crate::fill::{COLUMNS, of_reading};
use crate::quantity::{Quantity, Units};
use crate::source::table;
use crate::text::Text;

/// One thing that is still to be measured.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Wanted {
    pub area: &'static str,
    /// What it is measured on; nothing for the vehicle itself.
    pub connection: String,
    pub what: String,
    pub how: String,
    /// The unit, or the answers to choose from.
    pub unit: String,
    pub close: String,
    /// What it was on another vehicle of the kind; nothing where nobody knows.
    pub last: String,
    pub decides: String,
    /// Where it goes, as [`crate::fill`] takes it.
    pub place: String,
}

/// Everything that is still to be measured, in walking order.
pub(crate) fn wanted(made: &Made<'_>) -> Vec<Wanted> {
    let vehicle = made.plan.missing.iter();
    let vehicle =
        vehicle.map(|missing| reading(made, ("the vehicle", ""), missing, missing.place.clone()));
    let links = made.assessment.walking().into_iter().flat_map(|link| {
        let own = link.missing.iter().filter(|missing| !missing.of_vehicle);
        own.map(move |missing| {
            let on = (link.area.word(), link.title.as_str());
            reading(made, on, missing, fill_place(link, missing))
        })
    });
    vehicle.chain(links).collect()
}

/// One that is missing, and where it goes.
pub(super) fn reading(
    made: &Made<'_>,
    (area, connection): (&'static str, &str),
    missing: &Missing,
    place: String,
) -> Wanted {
    let (unit, close) = unit(missing, Units::Metric);
    Wanted {
        area,
        connection: words::capital(connection),
        what: words::capital(&missing.label),
        how: missing.how.clone(),
        unit,
        close,
        last: last(made, missing, &place, Units::Metric),
        decides: Text::rendered(decides_text(&missing.decides)).print(Units::Metric),
        place,
    }
}

/// The unit of a reading, of a choice the answers, and how close it is taken.
pub(super) fn unit(missing: &Missing, units: Units) -> (String, String) {
    let unit = match missing.answers.as_slice() {
        [] => missing
            .unit
            .map_or("", |unit| units.suffix(unit))
            .to_owned(),
        answers => answers.join(" / "),
    };
    // A calliper's tenths are no nought.
    let close = missing.tolerance.zip(missing.unit);
    let close = close.map(|(value, unit)| Quantity::exact(value, unit).print(units));
    (unit, close.unwrap_or_default())
}

/// The survey as CSV.
pub(crate) fn survey_table(made: &Made<'_>) -> String {
    let rows = wanted(made).into_iter().map(|one| {
        let [value, not_there, remark] = [""; 3].map(str::to_owned);
        let row: [String; COLUMNS.len()] = [
            one.area.to_owned(),
            one.connection,
            one.what,
            one.how,
            one.unit,
            one.close,
            one.last,
            value,
            not_there,
            remark,
            one.place,
        ];
        row
    });
    let head = COLUMNS.map(str::to_owned);
    table::text(std::iter::once(head).chain(rows), Terminator::CRLF)
}

/// What was measured at a place on another vehicle of the kind; nothing where nobody knows.
pub(super) fn last(made: &Made<'_>, missing: &Missing, place: &str, units: Units) -> String {
    let last = made.job.last_time.at(place).unwrap_or_default();
    let read = missing
        .unit
        .and_then(|unit| Quantity::parse(last, unit).ok());
    read.map_or_else(|| last.to_owned(), |read| read.print(units))
}

/// Where a value goes, as `fill` takes it: `filler-hose.overlap`, `mounts.C1L.thread`, `tail-loom.cab/tub.slack`.
pub(super) fn fill_place(link: &Assessed<'_>, missing: &Missing) -> String {
    let id = stem(link);
    let place = &missing.place;
    let name = place.rsplit_once("measured.").map(|(_, name)| name);
    let span = place
        .strip_prefix("spans[")
        .and_then(|rest| rest.split_once(']'));
    let span = span.map(|(span, _)| span.replace(" → ", "/"));
    match (name, span) {
        (Some(name), Some(span)) => format!("{id}.{span}.{name}"),
        (Some(name), None) => of_reading(&id, name),
        (None, _) => match place.rsplit_once('.') {
            Some((_, name)) if place.starts_with("links[") => format!("{id}.{name}"),
            _ => place.clone(),
        },
    }
}

/// What the places of all that is measured on a link begin with: `filler-hose`, `mounts.C1L`.
pub(super) fn stem(link: &Assessed<'_>) -> String {
    match link.origin {
        Origin::Link => link.id.clone(),
        Origin::Mount => format!("mounts.{}", mount(link)),
        Origin::Consequence => format!("consequences.{}", link.id),
        Origin::Bridge => format!("parts.{}", link.id),
    }
}

/// The id of a mount as the job file has it.
pub(super) fn mount<'l>(link: &'l Assessed<'_>) -> &'l str {
    link.id.strip_prefix(MOUNT).unwrap_or(&link.id)
}
