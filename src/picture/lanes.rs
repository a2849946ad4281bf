//! One day of a crew: a lane for each person, to the scale of time, a band for each stretch between breaks. And [`whole()`]: all its days.
//!
//! Takes a [`Crew`]; gives a [`Picture`], on which its tasks have their numbers on the job sheet. The part that somebody has in a task is shown by
//! hatching and line weight; the stay of somebody who is booked by a heavy line under the lane.

use std::collections::{BTreeMap, BTreeSet};

use super::Picture;
use super::draw::{Drawing, Fill, Pen, Stand, WIDEST};
use super::layout::{cut, number as count, spread, width};
use crate::crew::{Crew, Share};
use crate::job::date::print_minute;
use crate::sorted::Sorted as _;

mod whole;

pub(crate) use whole::whole;

/// Room for names at the left, pixels.
const NAMES: f64 = 118.0;
/// Height of a lane: the bar, and the numbers that do not fit into it.
const LANE: f64 = 44.0;
const BAR: f64 = 20.0;
/// The longest band, minutes: longer stretches are drawn in several.
const BAND: u32 = 270;
/// Room above the lanes of a band for its hours.
const HOURS: f64 = 24.0;
/// The width of a time of day with room beside it, pixels.
const WIDE: f64 = 44.0;

/// Room between two numbers below their bars, pixels.
const GAP: f64 = 4.0;

/// A bar of a lane.
struct Bar {
    from: u32,
    to: u32,
    number: usize,
    part: Share,
    /// The stretch of the work that its task is of.
    slot: usize,
    hold: bool,
}

pub(crate) fn lanes(crew: &Crew<'_>, day: usize, title: &str) -> Picture {
    let bars = bars(crew, day);
    let mut drawing = Drawing::new(WIDEST);
    let mut top = 0.0;
    for band in bands(&crew.clock.open_on(day)) {
        let inside = |bar: &&Bar| bar.from < band.1 && bar.to > band.0;
        let rows = bars.iter().filter_map(|(person, own)| {
            let own: Vec<&Bar> = own.iter().filter(inside).collect();
            (!own.is_empty()).then_some((*person, own))
        });
        let rows: Vec<(usize, Vec<&Bar>)> = rows.collect();
        if rows.is_empty() {
            continue;
        }
        let axis = Axis::of(band, NAMES, (WIDEST - NAMES - 8.0) / f64::from(BAND + 30));
        hours(&mut drawing, axis, (top, count(rows.len()) * LANE));
        top += HOURS;
        for (person, own) in rows {
            let stays = stays(crew, person, day);
            lane(&mut drawing, (crew.name(person), top), axis, &own, &stays);
            top += LANE;
        }
        top += 8.0;
    }
    key(&mut drawing, top + 4.0);
    for (person, bars) in &bars {
        let numbers: BTreeSet<usize> = bars.iter().map(|bar| bar.number).sorted_set();
        drawing.tell_numbers(crew.name(*person), numbers.into_iter());
    }
    drawing.picture(&name(day), title)
}

/// The picture's name among those of its page.
pub(crate) fn name(day: usize) -> String {
    format!("day-{day}")
}

/// Each person's bars on a day, in minutes of the day.
fn bars(crew: &Crew<'_>, day: usize) -> BTreeMap<usize, Vec<Bar>> {
    let mut bars: BTreeMap<usize, Vec<Bar>> = BTreeMap::new();
    for person in 0..crew.team.members.len() {
        for (task, placed, part) in crew.lane(person) {
            for (from, to) in crew.clock.pieces(day, (placed.start, placed.end)) {
                let bar = Bar {
                    from,
                    to,
                    number: task.number,
                    part,
                    slot: task.slot,
                    hold: task.hold.is_some(),
                };
                bars.entry(person).or_default().push(bar);
            }
        }
    }
    bars
}

/// The stays of somebody who comes when called, on a day.
fn stays(crew: &Crew<'_>, person: usize, day: usize) -> Vec<(u32, u32)> {
    let own = crew.visits.iter().filter(|visit| visit.person == person);
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

/// A stretch of a day to scale.
#[derive(Debug, Clone, Copy)]
struct Axis {
    /// Minutes of the day.
    band: (u32, u32),
    /// Where it begins, and pixels a minute.
    left: f64,
    scale: f64,
}

impl Axis {
    fn of(band: (u32, u32), left: f64, scale: f64) -> Self {
        Self { band, left, scale }
    }

    /// Where a minute stands.
    fn across(self, minute: u32) -> f64 {
        let minute = minute.clamp(self.band.0, self.band.1);
        self.left + f64::from(minute - self.band.0) * self.scale
    }
}

/// The hours above some lanes, each with a line down through them.
fn hours(drawing: &mut Drawing, axis: Axis, (top, height): (f64, f64)) {
    let base = top + HOURS - 6.0;
    let (begin, end) = axis.band;
    let (left, right) = (axis.across(begin), axis.across(end));
    drawing.line((left, base), (right, base), Pen::Line);
    let step = if 60.0 * axis.scale < WIDE { 120 } else { 60 };
    let ticks = (begin.div_ceil(step) * step..end).step_by(step as usize);
    let ticks: BTreeSet<u32> = ticks.chain([begin, end]).sorted_set();
    for minute in ticks {
        let x = axis.across(minute);
        drawing.line((x, base - 4.0), (x, base + 2.0 + height), Pen::Thin);
        let near = |end: u32| minute != end && (x - axis.across(end)).abs() < WIDE;
        if !near(begin) && !near(end) {
            let text = print_minute(minute);
            drawing.words((x, base - 8.0), &text, Stand::Middle);
        }
    }
}

fn lane(
    drawing: &mut Drawing,
    (label, top): (&str, f64),
    axis: Axis,
    bars: &[&Bar],
    stays: &[(u32, u32)],
) {
    let label = short(label, NAMES - 12.0);
    drawing.words((2.0, top + 15.0), &label, Stand::Right);
    let mut below: Vec<(f64, String)> = Vec::new();
    for bar in bars {
        let (left, right) = (axis.across(bar.from), axis.across(bar.to));
        let number = bar.number.to_string();
        let number = filled(drawing, (left, right, top), (BAR, bar.part), number);
        // What is too short for its number has it below.
        below.extend(number.map(|number| (f64::midpoint(left, right), number)));
    }
    put_below(drawing, top + BAR, &below, (NAMES, WIDEST - GAP));
    booked(drawing, top - 4.0, axis, stays);
}

/// The stays of somebody who is booked, as a heavy line.
fn booked(drawing: &mut Drawing, y: f64, axis: Axis, stays: &[(u32, u32)]) {
    let (begin, end) = axis.band;
    for (from, to) in stays.iter().filter(|(from, to)| *from < end && *to > begin) {
        drawing.line((axis.across(*from), y), (axis.across(*to), y), Pen::Bold);
    }
}

/// A bar with words in it; gives back words that have no room.
fn filled(
    drawing: &mut Drawing,
    (left, right, top): (f64, f64, f64),
    (high, part): (f64, Share),
    words: String,
) -> Option<String> {
    let (pen, fill) = look(part);
    let size = (right - left, high);
    drawing.rectangle((left, top), size, Pen::Thin, Fill::White);
    drawing.rectangle((left, top), size, Pen::None, fill);
    let fits = width(&words) + 3.0 <= right - left;
    let at = (f64::midpoint(left, right), top + high / 2.0 + 3.4);
    if fits {
        drawing.plate(at, &words);
    }
    // Its edge comes last, so that nothing is cut out of it.
    drawing.rectangle((left, top), size, pen, Fill::None);
    (!fits).then_some(words)
}

/// Numbers under what they are of, each with a line to it and none on another.
fn put_below(drawing: &mut Drawing, base: f64, labels: &[(f64, String)], ends: (f64, f64)) {
    let wanted = labels.iter().map(|(at, number)| (*at, width(number) + GAP));
    let wanted: Vec<(f64, f64)> = wanted.collect();
    for ((middle, number), at) in labels.iter().zip(spread(&wanted, ends)) {
        drawing.line((*middle, base), (at, base + 4.0), Pen::Thin);
        drawing.plate((at, base + 15.0), number);
    }
}

fn look(part: Share) -> (Pen, Fill) {
    match part {
        Share::Leads => (Pen::Line, Fill::White),
        Share::Helps => (Pen::Line, Fill::Hatched),
        Share::Watches => (Pen::Dashed, Fill::White),
        Share::Signs => (Pen::Bold, Fill::White),
    }
}

fn key(drawing: &mut Drawing, top: f64) {
    let mut left = 0.0;
    for (part, word) in [
        (Share::Leads, "does it"),
        (Share::Helps, "helps"),
        (Share::Watches, "only watches"),
        (Share::Signs, "signs the hold point"),
    ] {
        let (pen, fill) = look(part);
        drawing.rectangle((left + 2.0, top), (26.0, 14.0), pen, fill);
        drawing.words((left + 34.0, top + 12.0), word, Stand::Right);
        left += 50.0 + width(word);
    }
    drawing.line((left + 2.0, top + 7.0), (left + 28.0, top + 7.0), Pen::Bold);
    drawing.words((left + 34.0, top + 12.0), "a booked visit", Stand::Right);
}

/// A name that fits beside its lane.
fn short(name: &str, wide: f64) -> String {
    cut(name.split(" (").next().unwrap_or(name), wide)
}
