//! The appointments of a crew as iCalendar (RFC 5545): for each person every stay, day by day.
//!
//! Takes everything made of a job and its [`Crew`]; gives the text of a calendar. The same job gives the same bytes: who made it when is told by
//! the start of work, and an appointment is named after the plan, the person and the day. Where the job names its time zone, times are
//! in UTC, else those of the clock on the wall.

use std::collections::BTreeSet;

use icalendar::{Calendar, Component, Event};
use jiff::{Span, civil, tz::TimeZone};

use super::{Crew, Visit, visits};
use crate::VERSION;
use crate::job::date::{moment, print_minute};
use crate::pipeline::Made;
use crate::quantity::Units;
use crate::report::{Code, Path, Problem};

/// The calendar; fails when the job does not say when its work starts.
pub(crate) fn to_ics(made: &Made<'_>, crew: &Crew<'_>, units: Units) -> Result<String, Problem> {
    let start = crew.start.ok_or_else(|| {
        let message = "a calendar needs dates, and the job file does not say when the work starts";
        Problem::error(Code::MissingField, message)
            .at(made.job.place(&Path::root().key("start")))
            .help("write the day, such as `start: 2026-03-02`, or the day and the time")
    })?;
    let zone = made.job.zone.as_deref();
    let zone = zone.and_then(|name| TimeZone::get(name).ok());
    let of_all = visits(&crew.network, &crew.solved.schedule, |_| true);
    let mut calendar = Calendar::empty();
    calendar
        .append_property(("VERSION", "2.0"))
        .append_property((
            "PRODID",
            format!("-//liftsheet//Made with liftsheet {VERSION}//EN").as_str(),
        ))
        .append_property(("CALSCALE", "GREGORIAN"))
        .append_property(("X-WR-CALNAME", made.job.title.as_str()));
    let stamp = time(start, Some(zone.as_ref().unwrap_or(&TimeZone::UTC)));
    for visit in &of_all {
        for (day, (from, to)) in crew.days_of(visit) {
            let Some(midnight) = crew.date(day).and_then(|date| moment(&date)) else {
                continue;
            };
            let [from, to] = [from, to].map(|minute| midnight + i64::from(minute));
            let mut event = Event::with_uid(&uid(made, crew, visit, day));
            event
                .add_property("DTSTAMP", &stamp)
                .add_property("DTSTART", time(from, zone.as_ref()))
                .add_property("DTEND", time(to, zone.as_ref()));
            let (summary, description) = crew.words(made, (visit, day), units);
            event.summary(&summary).description(&description);
            calendar.push(event.done());
        }
    }
    Ok(calendar.to_string())
}

/// The name of an appointment: that of the plan, the person, and where on the clock it begins.
fn uid(made: &Made<'_>, crew: &Crew<'_>, visit: &Visit, day: usize) -> String {
    let plan = made.digest().trim_start_matches("sha256:");
    let plan = plan.get(..16).unwrap_or(plan);
    let who = crew.person_id(visit.person);
    // Those of the rest of a job do not take the place of those that were kept.
    let rest = crew.start.filter(|_| crew.rest);
    let rest = rest.map_or_else(String::new, |start| format!("-{start}"));
    format!("{plan}{rest}-{who}-{}-{day}@liftsheet", visit.start)
}

/// A minute since 1970 on the wall, as a calendar has it.
fn time(wall: i64, zone: Option<&TimeZone>) -> String {
    let epoch = civil::date(1970, 1, 1).at(0, 0, 0, 0);
    let local = epoch.checked_add(Span::new().minutes(wall));
    let local = local.unwrap_or(epoch);
    let zoned = zone.and_then(|zone| local.to_zoned_datetime(zone.clone()).ok());
    match zoned {
        Some(zoned) => zoned.timestamp().strftime("%Y%m%dT%H%M%SZ").to_string(),
        None => local.strftime("%Y%m%dT%H%M%S").to_string(),
    }
}

impl Crew<'_> {
    /// The days of a stay, each with its first and its last minute; nobody stays over night.
    pub(crate) fn days_of(&self, visit: &Visit) -> Vec<(usize, (u32, u32))> {
        let (first, last) = (self.clock.begins(visit.start), self.clock.ends(visit.end));
        let days = first.map_or(1, |first| first.day)..=last.map_or(0, |last| last.day);
        let days = days.filter_map(|day| {
            let pieces = self.clock.pieces(day, (visit.start, visit.end));
            let ((from, _), (_, to)) = (pieces.first()?, pieces.last()?);
            Some((day, (*from, *to)))
        });
        days.collect()
    }

    /// The date of a day of work, when the start has one.
    pub(crate) fn date(&self, day: usize) -> Option<String> {
        let night = self.network.nights.get(day.checked_sub(1)?)?;
        self.clock.ends(*night)?.date
    }

    /// What an appointment is called, and what is done then: a line a task.
    fn words(
        &self,
        made: &Made<'_>,
        (visit, day): (&Visit, usize),
        units: Units,
    ) -> (String, String) {
        let mut numbers = BTreeSet::new();
        let mut lines = Vec::new();
        for (task, placed, part) in self.lane(visit.person) {
            let pieces = self.clock.pieces(day, (placed.start, placed.end));
            let within = placed.start >= visit.start && placed.end <= visit.end;
            if let (true, Some((from, _)), Some((_, to))) = (within, pieces.first(), pieces.last())
            {
                numbers.insert(task.number);
                lines.push(format!(
                    "{} to {}: {}. {} ({})",
                    print_minute(*from),
                    print_minute(*to),
                    task.number,
                    task.title.print(units),
                    part.word(),
                ));
            }
        }
        let who = self.name(visit.person);
        let demo = if made.job.demo {
            "DEMO – NOT A VEHICLE: "
        } else {
            ""
        };
        let tasks = match (numbers.first(), numbers.last()) {
            (Some(first), Some(last)) if first < last => format!("tasks {first} to {last}"),
            (first, _) => format!("task {}", first.copied().unwrap_or_default()),
        };
        (
            format!("{demo}{who}, {tasks}: {}", made.job.title),
            lines.join("\n"),
        )
    }
}
