//! The whole job of a crew on one chart: a row a day and person, a bar for each run of one stage's tasks, the hold points in a row of their own.
//!
//! Takes a [`Crew`]; gives a [`Picture`] to one scale of time for every day.

use std::collections::{BTreeMap, BTreeSet};

use super::{
    Axis, Bar, GAP, HOURS, bars, booked, count, filled, hours, key, put_below, short, stays,
};
use crate::crew::Crew;
use crate::picture::Picture;
use crate::picture::draw::{Drawing, Pen, Stand, WIDEST};
use crate::sorted::Sorted as _;

/// Height of a bar, and of its row.
const BAR: f64 = 14.0;
const ROW: f64 = 16.0;
/// The row of the hold points: marks, and the numbers below.
const HOLDS: f64 = 19.5;
/// The highest that the days come out one below the other, pixels: with what is booked they still fit on one page without being made smaller. What
/// is higher stands in two columns, so far apart.
const TALLEST: f64 = 540.0;
const APART: f64 = 18.0;
/// Room for names at the left.
const NAMES: f64 = 80.0;

/// A day: which, from when to when, and each person's bars.
type Day = (usize, (u32, u32), BTreeMap<usize, Vec<Bar>>);

fn high((_, _, bars): &Day) -> f64 {
    HOURS + HOLDS + count(bars.len()) * ROW
}

/// The picture of all days; none of a crew that has nothing to do.
pub(crate) fn whole(crew: &Crew<'_>) -> Option<Picture> {
    let days = 1..=crew.days();
    let days = days.filter_map(|day| {
        let open = crew.clock.open_on(day);
        let band = (open.first()?.0, open.last()?.1);
        Some((day, band, bars(crew, day)))
    });
    let days: Vec<Day> = days.collect();
    let total: f64 = days.iter().map(high).sum();
    let (first, wide) = if total > TALLEST {
        let balanced = |split: &usize| {
            let above: f64 = days.iter().take(*split).map(high).sum();
            above.max(total - above)
        };
        let split = (0..days.len()).min_by(|a, b| balanced(a).total_cmp(&balanced(b)));
        (split?, (WIDEST - APART) / 2.0)
    } else {
        (days.len(), WIDEST)
    };
    // Room for the half of the last hour's words that stands beyond it.
    let widest = days.iter().map(|(_, band, _)| band.1 - band.0).max()?;
    let scale = (wide - NAMES - 20.0) / f64::from(widest.max(1));
    let mut drawing = Drawing::new(WIDEST);
    let mut lowest = 0.0_f64;
    let (before, after) = days.split_at_checked(first)?;
    for (left, days) in [(0.0, before), (wide + APART, after)] {
        let mut top = 0.0;
        for day in days {
            let axis = Axis::of(day.1, left + NAMES, scale);
            draw_day(&mut drawing, crew, axis, (day, left, top));
            top += high(day);
        }
        lowest = lowest.max(top);
    }
    key(&mut drawing, lowest + 4.0);
    let title = "Who works when: a bar for the tasks of one stage that follow on one another. Numbers are those of the tasks on the job sheet; the page of each day has them all";
    Some(drawing.picture("whole-job", title))
}

/// A day with its upper left corner at a place.
fn draw_day(
    drawing: &mut Drawing,
    crew: &Crew<'_>,
    axis: Axis,
    (day, left, top): (&Day, f64, f64),
) {
    let (number, _, bars) = day;
    let mut top = top;
    let name = |drawing: &mut Drawing, words: &str, top: f64| {
        let words = short(words, NAMES - 10.0);
        drawing.words((left + 2.0, top + 12.0), &words, Stand::Right);
    };
    let at = (left + 2.0, top + HOURS - 4.0);
    drawing.bold(at, &format!("Day {number}"), Stand::Right);
    hours(drawing, axis, (top, count(bars.len()) * ROW));
    top += HOURS;
    for (person, own) in bars {
        name(drawing, crew.name(*person), top);
        for run in runs(own) {
            draw_run(drawing, axis, top, run);
        }
        booked(drawing, top - 1.0, axis, &stays(crew, *person, *number));
        top += ROW;
    }
    let held = holds(drawing, axis, top, bars);
    if !held.is_empty() {
        name(drawing, "hold points", top);
    }
    let held = if held.is_empty() {
        "none".to_owned()
    } else {
        held
    };
    drawing.tell(&format!("Day {number}, hold points: {held}"));
}

/// Bars that follow on one another, in one stage and with one part; a hold point by itself.
fn runs(bars: &[Bar]) -> impl Iterator<Item = &[Bar]> {
    bars.chunk_by(|one, next| {
        let alike = one.slot == next.slot && one.part == next.part;
        one.to == next.from && alike && !one.hold && !next.hold
    })
}

/// A run with the least and the highest of its numbers, where they fit; each day's own page has them all.
fn draw_run(drawing: &mut Drawing, axis: Axis, top: f64, run: &[Bar]) {
    let (Some(first), Some(last)) = (run.first(), run.last()) else {
        return;
    };
    let (left, right) = (axis.across(first.from), axis.across(last.to));
    let numbers: BTreeSet<usize> = run.iter().map(|bar| bar.number).sorted_set();
    let ends = [
        numbers.first(),
        numbers.last().filter(|_| numbers.len() > 1),
    ];
    let ends: Vec<String> = ends.iter().flatten().map(ToString::to_string).collect();
    let words = ends.join(if numbers.len() == 2 { ", " } else { "–" });
    filled(drawing, (left, right, top), (BAR, first.part), words);
}

/// The hold points of a day, each once, with their numbers; gives the numbers in words.
fn holds(drawing: &mut Drawing, axis: Axis, top: f64, bars: &BTreeMap<usize, Vec<Bar>>) -> String {
    let all = bars.values().flatten().filter(|bar| bar.hold);
    let all: BTreeMap<(u32, usize), u32> =
        all.map(|bar| ((bar.from, bar.number), bar.to)).sorted_map();
    let labels = all.iter().map(|((from, number), to)| {
        let middle = f64::midpoint(axis.across(*from), axis.across(*to));
        (middle, number.to_string())
    });
    let labels: Vec<(f64, String)> = labels.collect();
    for (middle, _) in &labels {
        drawing.line((*middle, top - 2.0), (*middle, top + 1.0), Pen::Bold);
    }
    let ends = (axis.left - GAP, axis.across(axis.band.1) + 12.0);
    put_below(drawing, top + 1.0, &labels, ends);
    let numbers: Vec<String> = all.keys().map(|(_, number)| number.to_string()).collect();
    numbers.join(", ")
}
