//! One day of a crew: a lane for each person, to the scale of time, a band for each stretch between breaks.
//!
//! Takes a [`Crew`] and the numbers of its tasks on the job sheet; gives a [`Picture`]. The part that somebody has in a task is shown by
//! hatching and line weight; the stay of somebody who is booked by a heavy line under the lane.

use std::collections::{BTreeMap, BTreeSet};

use super::Picture;
use super::draw::{Drawing, Fill, Pen, Stand, WIDEST};
use super::layout::{cut, number as count, spread, width};
use crate::crew::{Crew, Part};

/// Room for names at the left, pixels.
const NAMES: f64 = 118.0;
/// Height of a lane: the bar, and the numbers that do not fit into it.
const LANE: f64 = 44.0;
const BAR: f64 = 20.0;
/// The longest band, minutes: longer stretches are drawn in several.
const BAND: u32 = 270;
/// Room above the lanes of a band for its hours.
const HOURS: f64 = 24.0;
/// Room between two numbers below their bars, pixels.
const GAP: f64 = 4.0;

/// A bar of a lane.
struct Bar {
    from: u32,
    to: u32,
    number: usize,
    part: Part,
}

/// The picture of a day of work.
#[must_use]
pub fn lanes(crew: &Crew<'_>, numbers: &BTreeMap<&str, usize>, day: usize, title: &str) -> Picture {
    let bars = bars(crew, numbers, day);
    let bands = bands(&crew.clock.open_on(day));
    let inside = |person: usize, band: (u32, u32)| {
        let own = bars.get(&person).into_iter().flatten();
        own.filter(move |bar| bar.from < band.1 && bar.to > band.0)
    };
    let of_band = |band: (u32, u32)| -> Vec<usize> {
        let people = bars.keys().copied();
        people
            .filter(|person| inside(*person, band).next().is_some())
            .collect()
    };
    let busy: Vec<((u32, u32), Vec<usize>)> = bands
        .into_iter()
        .map(|band| (band, of_band(band)))
        .filter(|(_, people)| !people.is_empty())
        .collect();
    let mut drawing = Drawing::new(WIDEST);
    let mut top = 0.0;
    for (band, people) in &busy {
        hours(&mut drawing, *band, (top, count(people.len()) * LANE));
        top += HOURS;
        for person in people {
            let stays = stays(crew, *person, day);
            let label = crew
                .team
                .members
                .get(*person)
                .map_or("", |member| member.name.as_str());
            lane(
                &mut drawing,
                (label, top),
                *band,
                inside(*person, *band),
                &stays,
            );
            top += LANE;
        }
        top += 8.0;
    }
    key(&mut drawing, top + 4.0);
    drawing.picture(&name(day), title, &says(crew, &bars))
}

/// The picture's name among those of its page.
#[must_use]
pub fn name(day: usize) -> String {
    format!("day-{day}")
}

/// Each person's bars on a day, in minutes of the day.
fn bars(crew: &Crew<'_>, numbers: &BTreeMap<&str, usize>, day: usize) -> BTreeMap<usize, Vec<Bar>> {
    let mut bars: BTreeMap<usize, Vec<Bar>> = BTreeMap::new();
    for person in 0..crew.team.members.len() {
        for (task, part) in crew.lane(person) {
            let Some(placed) = crew.solved.schedule.placed.get(task) else {
                continue;
            };
            let number = crew
                .tasks
                .get(task)
                .and_then(|task| numbers.get(task.id.as_str()));
            let number = number.copied().unwrap_or(0);
            for (from, to) in crew.clock.pieces(day, (placed.start, placed.end)) {
                let bar = Bar {
                    from,
                    to,
                    number,
                    part,
                };
                bars.entry(person).or_default().push(bar);
            }
        }
    }
    bars
}

/// The stays of somebody who comes when called, on a day.
fn stays(crew: &Crew<'_>, person: usize, day: usize) -> Vec<(u32, u32)> {
    let booked = crew
        .network
        .people
        .get(person)
        .is_some_and(|person| person.booked);
    let own = crew
        .visits
        .iter()
        .filter(|visit| booked && visit.person == person);
    own.flat_map(|visit| crew.clock.pieces(day, (visit.start, visit.end)))
        .collect()
}

/// The stretches of a day, the long ones in equal pieces.
fn bands(open: &[(u32, u32)]) -> Vec<(u32, u32)> {
    let pieces = open.iter().flat_map(|(from, to)| {
        let parts = (to - from).div_ceil(BAND + 30).max(1);
        let (from, to) = (*from, *to);
        let at = move |part: u32| from + (to - from) * part / parts;
        (0..parts).map(move |part| (at(part), at(part + 1)))
    });
    pieces.collect()
}

/// Where a minute stands in its band.
fn across(band: (u32, u32), minute: u32) -> f64 {
    let scale = (WIDEST - NAMES - 8.0) / f64::from(BAND + 30);
    let minute = minute.clamp(band.0, band.1);
    NAMES + f64::from(minute - band.0) * scale
}

fn hours(drawing: &mut Drawing, band: (u32, u32), (top, height): (f64, f64)) {
    let base = top + HOURS - 6.0;
    drawing.line(
        (across(band, band.0), base),
        (across(band, band.1), base),
        Pen::Line,
    );
    let first = band.0.div_ceil(30) * 30;
    let ticks = (first..=band.1).step_by(30);
    let ticks: BTreeSet<u32> = ticks.chain([band.0, band.1]).collect();
    for minute in ticks {
        let x = across(band, minute);
        let whole = minute % 60 == 0 || minute == band.0 || minute == band.1;
        let long = if whole { height } else { 0.0 };
        drawing.line((x, base - 4.0), (x, base + 2.0 + long), Pen::Thin);
        let crowded =
            minute != band.0 && minute < band.0 + 30 || minute != band.1 && minute + 30 > band.1;
        if whole && !crowded {
            let text = crate::job::date::print_minute(minute);
            drawing.words((x, base - 8.0), &text, Stand::Middle);
        }
    }
}

fn lane<'a>(
    drawing: &mut Drawing,
    (label, top): (&str, f64),
    band: (u32, u32),
    bars: impl Iterator<Item = &'a Bar>,
    stays: &[(u32, u32)],
) {
    let plain = label.split(" (").next().unwrap_or(label);
    drawing.words((2.0, top + 15.0), &cut(plain, NAMES - 12.0), Stand::Right);
    let mut below: Vec<(f64, String)> = Vec::new();
    for bar in bars {
        let (left, right) = (across(band, bar.from), across(band, bar.to));
        let (pen, fill) = look(bar.part);
        drawing.rectangle((left, top), (right - left, BAR), Pen::Thin, Fill::White);
        drawing.rectangle((left, top), (right - left, BAR), pen, fill);
        let number = bar.number.to_string();
        let middle = f64::midpoint(left, right);
        if width(&number) + GAP <= right - left {
            drawing.plate((middle, top + 14.5), &number);
        } else {
            // What is too short for its number has it below.
            below.push((middle, number));
        }
    }
    let wanted: Vec<(f64, f64)> = below
        .iter()
        .map(|(at, number)| (*at, width(number) + GAP))
        .collect();
    for ((middle, number), at) in below.iter().zip(spread(&wanted, (NAMES, WIDEST - GAP))) {
        drawing.line((*middle, top + BAR), (at, top + BAR + 4.0), Pen::Thin);
        drawing.plate((at, top + BAR + 15.0), number);
    }
    for (from, to) in stays
        .iter()
        .filter(|(from, to)| *from < band.1 && *to > band.0)
    {
        let y = top - 4.0;
        drawing.line((across(band, *from), y), (across(band, *to), y), Pen::Bold);
    }
}

fn look(part: Part) -> (Pen, Fill) {
    match part {
        Part::Leads => (Pen::Line, Fill::White),
        Part::Helps => (Pen::Line, Fill::Hatched),
        Part::Watches => (Pen::Dashed, Fill::White),
        Part::Signs => (Pen::Bold, Fill::White),
    }
}

fn key(drawing: &mut Drawing, top: f64) {
    let mut left = 0.0;
    for (part, word) in [
        (Part::Leads, "does it"),
        (Part::Helps, "helps"),
        (Part::Watches, "only watches"),
        (Part::Signs, "signs the hold point"),
    ] {
        let (pen, fill) = look(part);
        drawing.rectangle((left + 2.0, top), (26.0, 14.0), pen, fill);
        drawing.words((left + 34.0, top + 12.0), word, Stand::Right);
        left += 50.0 + width(word);
    }
    drawing.line((left + 2.0, top + 7.0), (left + 28.0, top + 7.0), Pen::Bold);
    drawing.words((left + 34.0, top + 12.0), "a booked visit", Stand::Right);
}

fn says(crew: &Crew<'_>, bars: &BTreeMap<usize, Vec<Bar>>) -> String {
    let people = bars.iter().map(|(person, bars)| {
        let name = crew
            .team
            .members
            .get(*person)
            .map_or("", |member| member.name.as_str());
        let mut tasks: Vec<usize> = bars.iter().map(|bar| bar.number).collect();
        tasks.dedup();
        let noun = if tasks.len() == 1 { "task" } else { "tasks" };
        let tasks: Vec<String> = tasks.iter().map(ToString::to_string).collect();
        format!("{name}: {noun} {}", tasks.join(", "))
    });
    let people: Vec<String> = people.collect();
    format!("{}.", people.join("; "))
}
