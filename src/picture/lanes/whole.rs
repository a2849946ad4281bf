//! The whole job of a crew on one chart: a row a day and person, a bar for each run of one stage's tasks, the hold points in a row of their own.
//!
//! Takes a [`Crew`] and the numbers of its tasks on the job sheet; gives a [`Picture`] to one scale of time for every day.

use std::collections::{BTreeMap, BTreeSet};

use super::{
    Axis, Bar, HOURS, bars, booked, count, filled, hours, key, name_of, put_below, short, stays,
};
use crate::crew::Crew;
use crate::picture::Picture;
use crate::picture::draw::{Drawing, Pen, Stand, WIDEST};

/// Height of a bar, and of its row.
const BAR: f64 = 12.0;
const ROW: f64 = 15.5;
/// The row of the hold points: marks, and the numbers below.
const HOLDS: f64 = 19.5;

/// The picture of all days; none of a crew that has nothing to do.
#[must_use]
pub fn whole(crew: &Crew<'_>, numbers: &BTreeMap<&str, usize>) -> Option<Picture> {
    let days = 1..=crew.days();
    let days = days.filter_map(|day| {
        let open = crew.clock.open_on(day);
        let band = (open.first()?.0, open.last()?.1);
        Some((day, band, bars(crew, numbers, day)))
    });
    let days: Vec<_> = days.collect();
    // Room for the half of the last hour's words that stands beyond it.
    let widest = days.iter().map(|(_, band, _)| band.1 - band.0).max()? * 31 / 30;
    let mut drawing = Drawing::new(WIDEST);
    let mut top = 0.0;
    let mut says = Vec::new();
    for (day, band, bars) in &days {
        let axis = Axis {
            band: *band,
            widest,
        };
        drawing.bold(
            (2.0, top + HOURS - 4.0),
            &format!("Day {day}"),
            Stand::Right,
        );
        hours(&mut drawing, axis, (top, count(bars.len()) * ROW));
        top += HOURS;
        for (person, own) in bars {
            let name = name_of(crew, *person);
            drawing.words((2.0, top + BAR - 2.0), &short(name), Stand::Right);
            for run in runs(own) {
                draw(&mut drawing, axis, top, run);
            }
            booked(&mut drawing, top - 1.5, axis, &stays(crew, *person, *day));
            top += ROW;
        }
        says.push(holds(&mut drawing, axis, (*day, top), bars));
        top += HOLDS;
    }
    key(&mut drawing, top + 4.0);
    let title = "Who works when: a bar for the tasks of one stage that follow on one another. Numbers are those of the tasks on the job sheet; the page of each day has them all";
    Some(drawing.picture("whole-job", title, &says.join(" ")))
}

/// Bars that follow on one another, in one stage and with one part; a hold point by itself.
fn runs(bars: &[Bar]) -> impl Iterator<Item = &[Bar]> {
    bars.chunk_by(|one, next| {
        let alike = one.slot == next.slot && one.part == next.part;
        one.to == next.from && alike && !one.hold && !next.hold
    })
}

/// A run with the least and the highest of its numbers, where they fit; each day's own page has them all.
fn draw(drawing: &mut Drawing, axis: Axis, top: f64, run: &[Bar]) {
    let (Some(first), Some(last)) = (run.first(), run.last()) else {
        return;
    };
    let (left, right) = (axis.across(first.from), axis.across(last.to));
    let numbers: BTreeSet<usize> = run.iter().map(|bar| bar.number).collect();
    let ends = [
        numbers.first(),
        numbers.last().filter(|_| numbers.len() > 1),
    ];
    let ends: Vec<String> = ends.iter().flatten().map(ToString::to_string).collect();
    let words = ends.join(if numbers.len() == 2 { ", " } else { "–" });
    filled(drawing, (left, right, top), (BAR, first.part), words);
}

/// The hold points of a day, each once, with their numbers; says which they are.
fn holds(
    drawing: &mut Drawing,
    axis: Axis,
    (day, top): (usize, f64),
    bars: &BTreeMap<usize, Vec<Bar>>,
) -> String {
    let all = bars.values().flatten().filter(|bar| bar.hold);
    let all: BTreeMap<(u32, usize), u32> =
        all.map(|bar| ((bar.from, bar.number), bar.to)).collect();
    if all.is_empty() {
        return format!("Day {day}: no hold point.");
    }
    drawing.words((2.0, top + 12.0), "hold points", Stand::Right);
    let labels = all.iter().map(|((from, number), to)| {
        let middle = f64::midpoint(axis.across(*from), axis.across(*to));
        (middle, number.to_string())
    });
    let labels: Vec<(f64, String)> = labels.collect();
    for (middle, _) in &labels {
        drawing.line((*middle, top - 3.0), (*middle, top + 1.0), Pen::Bold);
    }
    put_below(drawing, top + 1.0, &labels);
    let numbers: Vec<String> = all.keys().map(|(_, number)| number.to_string()).collect();
    format!("Day {day}: hold points {}.", numbers.join(", "))
}
