//! The parts as a graph with the cut drawn through it: bodies above, chassis below, and every link as an upright line between the
//! parts that hold it.
//!
//! Takes the cut and the judged links; gives one picture, which is not to scale. Only parts that hold a link stand in it; where
//! there are more than fit, the picture says how many are left out.

use std::collections::BTreeMap;

use super::super::draw::{Drawing, Fill, Pen, Stand, WIDEST};
use super::super::layout::{cut as cut_to, number, width};
use super::super::{Made, Picture};
use crate::assess::Assessed;
use crate::cut::Origin;
use crate::report::{number_runs, numbered};

/// The width of the column of parts: at least, and at most where a name is long.
const PARTS: (f64, f64) = (190.0, 300.0);
/// The height of a part's row, and of the room for the cut with its numbers.
const ROW: f64 = 15.5;
const CUT: f64 = 98.0;
/// The widest that two links stand apart, and the most links that are drawn.
const LANE: f64 = 22.0;
const LINKS: usize = 72;
/// The most parts that are drawn: so many fit on a sheet of paper.
const ROWS: usize = 46;
/// Rows of numbers at the cut, so that neighbours do not touch.
const STAGGERED: usize = 3;

/// A link with its number and the rows of the parts that hold it.
struct Lane<'a> {
    number: usize,
    disturbed: bool,
    parts: Vec<&'a str>,
}

/// The parts and the cut; none when nothing crosses it.
#[must_use]
pub fn cut_graph(made: &Made<'_>) -> Option<Picture> {
    let all = lanes(made);
    let (above, below) = rows(made, &all);
    let shown: Vec<&str> = above.iter().chain(&below).copied().collect();
    let mut lanes: Vec<&Lane<'_>> = all
        .iter()
        .filter(|lane| lane.parts.iter().all(|part| shown.contains(part)))
        .collect();
    // What is disturbed is kept first.
    lanes.sort_by_key(|lane| !lane.disturbed);
    lanes.truncate(LINKS);
    lanes.iter().find(|lane| lane.disturbed)?;
    let levels = levels(&above, &below);
    // Links between rows that are close to one another stand next to their parts.
    let reach = |lane: &Lane<'_>| {
        let at = lane.parts.iter().filter_map(|part| levels.get(part));
        let high = at.clone().copied().fold(f64::INFINITY, f64::min);
        at.copied().fold(0.0, f64::max) - high
    };
    lanes.sort_by(|one, other| {
        reach(one)
            .total_cmp(&reach(other))
            .then(one.number.cmp(&other.number))
    });
    let left_out = all.len() - lanes.len();
    let bottom = 12.0 + number(shown.len()) * ROW + CUT;
    let names = shown
        .iter()
        .map(|part| width(made.job.part_title(part)) + 18.0);
    let wide = names.fold(PARTS.0, f64::max).min(PARTS.1);
    let mut drawing = Drawing::new(WIDEST);
    let cut = 12.0 + number(above.len()) * ROW + CUT / 2.0;
    draw_lanes(&mut drawing, (&lanes, &levels), (wide, cut));
    draw_parts(&mut drawing, made, &levels, wide);
    drawing.line((8.0, cut), (WIDEST - 8.0, cut), Pen::Cut);
    drawing.bold((10.0, cut - 14.0), "bodies go up", Stand::Right);
    drawing.bold((10.0, cut + 22.0), "chassis stays", Stand::Right);
    draw_numbers(&mut drawing, &lanes, (wide, cut));
    drawing.notes(10.0, bottom + 15.0, WIDEST - 20.0);
    drawing.note(&notes(left_out));
    Some(drawing.picture(
        "cut-graph",
        "The parts, and the cut through what joins them",
        &says(&lanes, left_out),
    ))
}

/// Every link of the job that parts hold, with its number on the sheet.
fn lanes<'a>(made: &Made<'a>) -> Vec<Lane<'a>> {
    let links = made.assessment.walking().into_iter().zip(1..);
    let of_parts = |link: &Assessed<'_>| matches!(link.origin, Origin::Link | Origin::Bridge);
    let lanes = links
        .filter(|(link, _)| of_parts(link))
        .filter_map(|(link, number)| {
            let cut = made.cut.links.get(&link.id)?;
            let mut parts: Vec<&str> = cut.fixings.iter().map(String::as_str).collect();
            parts.dedup();
            Some(Lane {
                number,
                disturbed: link.disturbed,
                parts,
            })
        });
    lanes.collect()
}

/// The parts that hold a link: those of the raised bodies, body by body, and those of the chassis.
fn rows<'a>(made: &Made<'a>, lanes: &[Lane<'a>]) -> (Vec<&'a str>, Vec<&'a str>) {
    let mut count: BTreeMap<&str, (bool, usize)> = BTreeMap::new();
    for lane in lanes {
        for part in &lane.parts {
            let held = count.entry(part).or_default();
            held.0 |= lane.disturbed;
            held.1 += 1;
        }
    }
    let mut by_weight: Vec<(&str, (bool, usize))> = count.into_iter().collect();
    by_weight.sort_by_key(|(_, (disturbed, links))| (!disturbed, std::cmp::Reverse(*links)));
    by_weight.truncate(ROWS);
    let place = |part: &str| {
        let hung = made.cut.parts.get(part);
        let group = |id: &String| hung.is_some_and(|hung| hung.groups.contains(id));
        made.cut.groups.iter().rposition(group).unwrap_or_default()
    };
    let mut parts: Vec<(usize, &str)> = by_weight
        .into_iter()
        .map(|(part, _)| (place(part), part))
        .collect();
    // The first body lies next to the cut, the next one above it.
    parts.sort_by_key(|(group, part)| (std::cmp::Reverse(*group), *part));
    let (above, below): (Vec<_>, Vec<_>) = parts.into_iter().partition(|(group, _)| *group > 0);
    let names = |parts: Vec<(usize, &'a str)>| parts.into_iter().map(|(_, part)| part).collect();
    (names(above), names(below))
}

/// The height of every part's row.
fn levels<'a>(above: &[&'a str], below: &[&'a str]) -> BTreeMap<&'a str, f64> {
    let high = above
        .iter()
        .enumerate()
        .map(|(row, part)| (*part, number(row)));
    let start = number(above.len());
    let low = below.iter().enumerate();
    let low = low.map(|(row, part)| (*part, start + number(row) + CUT / ROW));
    let levels = high.chain(low);
    levels
        .map(|(part, row)| (part, 12.0 + (row + 0.5) * ROW))
        .collect()
}

fn lane_at(index: usize, count: usize, wide: f64) -> f64 {
    let apart = ((WIDEST - wide - 30.0) / number(count.max(1))).min(LANE);
    wide + 16.0 + number(index) * apart
}

fn draw_lanes(
    drawing: &mut Drawing,
    (lanes, levels): (&[&Lane<'_>], &BTreeMap<&str, f64>),
    (wide, cut): (f64, f64),
) {
    for (index, lane) in lanes.iter().enumerate() {
        let x = lane_at(index, lanes.len(), wide);
        let pen = if lane.disturbed { Pen::Line } else { Pen::Thin };
        let at: Vec<f64> = lane
            .parts
            .iter()
            .filter_map(|part| levels.get(part))
            .copied()
            .collect();
        let high = at.iter().copied().fold(f64::INFINITY, f64::min);
        let low = at.iter().copied().fold(0.0, f64::max);
        if at.len() > 1 {
            drawing.line((x, high), (x, low), pen);
        }
        for y in at {
            drawing.line((wide, y), (x, y), Pen::Thin);
            let fill = if y < cut { Fill::White } else { Fill::Black };
            drawing.circle((x, y), 2.6, Pen::Thin, fill);
        }
    }
}

fn draw_parts(drawing: &mut Drawing, made: &Made<'_>, levels: &BTreeMap<&str, f64>, wide: f64) {
    for (part, y) in levels {
        let corner = (8.0, y - ROW / 2.0 + 1.0);
        drawing.rectangle(corner, (wide - 8.0, ROW - 2.0), Pen::Thin, Fill::White);
        let title = cut_to(made.job.part_title(part), wide - 18.0);
        drawing.words((13.0, y + 3.4), &title, Stand::Right);
    }
}

/// The numbers where the links cross, in rows of their own so that neighbours do not touch.
fn draw_numbers(drawing: &mut Drawing, lanes: &[&Lane<'_>], (wide, cut): (f64, f64)) {
    let crossing = lanes.iter().enumerate().filter(|(_, lane)| lane.disturbed);
    for (turn, (index, lane)) in crossing.enumerate() {
        let x = lane_at(index, lanes.len(), wide);
        let y = cut - 6.0 - number(turn % STAGGERED) * 13.6 - 2.0;
        drawing.plate((x, y), &lane.number.to_string());
    }
}

fn notes(left_out: usize) -> String {
    let mut notes =
        "Not to scale. Thick lines cross the cut and are pulled apart; thin ones ride together."
            .to_owned();
    if left_out > 0 {
        notes.push_str(&format!(
            " Not drawn for want of room: {}.",
            numbered(left_out, "connection")
        ));
    }
    notes
}

fn says(lanes: &[&Lane<'_>], left_out: usize) -> String {
    let (apart, together): (Vec<&Lane<'_>>, Vec<&Lane<'_>>) =
        lanes.iter().partition(|lane| lane.disturbed);
    let runs =
        |lanes: Vec<&Lane<'_>>| match number_runs(lanes.iter().map(|lane| lane.number).collect()) {
            runs if runs.is_empty() => "none".to_owned(),
            runs => runs,
        };
    format!(
        "The parts of the raised bodies above, those of the chassis below, and the cut between them. Connections that cross the cut \
         and are pulled apart: {}. Connections that ride together: {}. {}",
        runs(apart),
        runs(together),
        notes(left_out)
    )
}
