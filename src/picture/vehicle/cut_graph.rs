//! The parts as a graph with the cut drawn through it: bodies above, chassis below, and every link as an upright line between the
//! parts that hold it.
//!
//! Takes the cut and the judged links; gives one picture, which is not to scale. Only parts that hold a link stand in it; where
//! there are more than fit, the picture says how many are left out.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::super::draw::{Drawing, Fill, Pen, Stand, WIDEST};
use super::super::layout::{cut as cut_to, number, width};
use super::super::{Made, Picture};
use crate::report::numbered;
use crate::sorted::Sorted as _;

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
pub fn cut_graph(made: &Made<'_>) -> Option<Picture> {
    let all = lanes(made);
    let rows = rows(made, &all);
    let above = rows.iter().filter(|(group, _)| *group > 0).count();
    let cut = 12.0 + number(above) * ROW + CUT / 2.0;
    let levels = rows.iter().zip(0..).map(|((group, part), row)| {
        let below = if *group > 0 { 0.0 } else { CUT };
        (*part, 12.0 + (f64::from(row) + 0.5) * ROW + below)
    });
    let levels: BTreeMap<&str, f64> = levels.sorted_map();
    let mut lanes: Vec<&Lane<'_>> = all
        .iter()
        .filter(|lane| lane.parts.iter().all(|part| levels.contains_key(part)))
        .collect();
    // What is disturbed is kept first.
    lanes.sort_by_key(|lane| !lane.disturbed);
    lanes.truncate(LINKS);
    lanes.first().filter(|lane| lane.disturbed)?;
    // Links between rows that are close to one another stand next to their parts.
    lanes.sort_by(|one, other| {
        let [one_reach, other_reach] = [one, other].map(|lane| lane.ends(&levels));
        (one_reach.1 - one_reach.0)
            .total_cmp(&(other_reach.1 - other_reach.0))
            .then(one.number.cmp(&other.number))
    });
    let names = levels.keys();
    let wide = names.map(|part| width(made.job.part_title(part)) + 18.0);
    let wide = wide.fold(PARTS.0, f64::max).min(PARTS.1);
    let mut drawing = Drawing::new(WIDEST);
    draw_lanes(&mut drawing, (&lanes, &levels), (wide, cut));
    draw_parts(&mut drawing, made, &levels, wide);
    drawing.line((8.0, cut), (WIDEST - 8.0, cut), Pen::Cut);
    drawing.bold((10.0, cut - 14.0), "bodies go up", Stand::Right);
    drawing.bold((10.0, cut + 22.0), "chassis stays", Stand::Right);
    draw_numbers(&mut drawing, &lanes, (wide, cut));
    for (kind, disturbed) in [
        ("Connections that are pulled apart", true),
        ("Connections that ride together", false),
    ] {
        let own = lanes.iter().filter(|lane| lane.disturbed == disturbed);
        drawing.tell_numbers(kind, own.map(|lane| lane.number));
    }
    let bottom = 12.0 + number(rows.len()) * ROW + CUT;
    drawing.notes(10.0, bottom + 15.0, WIDEST - 20.0);
    drawing.note(
        "Not to scale. Thick lines cross the cut and are pulled apart; thin ones ride together.",
    );
    if lanes.len() < all.len() {
        let left_out = numbered(all.len() - lanes.len(), "connection");
        drawing.note(&format!("Not drawn for want of room: {left_out}."));
    }
    let title = "The parts, and the cut through what joins them";
    Some(drawing.picture("cut-graph", title))
}

/// Every link of the job that parts hold, with its number on the sheet.
fn lanes<'a>(made: &Made<'a>) -> Vec<Lane<'a>> {
    let links = made.assessment.walking().into_iter().zip(1..);
    let lanes = links
        .filter(|(link, _)| link.origin.is_connection())
        .filter_map(|(link, number)| {
            let cut = made.cut.links.get(&link.id)?;
            let mut parts: Vec<&str> = cut.parts().map(String::as_str).collect();
            parts.dedup();
            Some(Lane {
                number,
                disturbed: link.disturbed,
                parts,
            })
        });
    lanes.collect()
}

/// The parts that hold a link, each with its body's place from the cut, 0 for the chassis: those of the raised bodies, the last body first, then those
/// of the chassis.
fn rows<'a>(made: &Made<'a>, lanes: &[Lane<'a>]) -> Vec<(usize, &'a str)> {
    let mut count: BTreeMap<&str, (bool, usize)> = BTreeMap::new();
    for lane in lanes {
        for part in &lane.parts {
            let held = count.entry(part).or_default();
            held.0 |= lane.disturbed;
            held.1 += 1;
        }
    }
    let mut by_weight: Vec<(&str, (bool, usize))> = count.into_iter().collect();
    by_weight.sort_by_key(|(_, (disturbed, links))| (!disturbed, Reverse(*links)));
    by_weight.truncate(ROWS);
    let place = |part: &str| {
        let hung = made.cut.parts.get(part);
        let group = |id: &String| hung.is_some_and(|hung| hung.groups.contains(id));
        made.cut.groups.iter().rposition(group).unwrap_or_default()
    };
    let parts = by_weight.into_iter().map(|(part, _)| (place(part), part));
    let mut parts: Vec<(usize, &str)> = parts.collect();
    parts.sort_by_key(|(group, part)| (Reverse(*group), *part));
    parts
}

impl Lane<'_> {
    /// The heights of the highest and the lowest part that holds it.
    fn ends(&self, levels: &BTreeMap<&str, f64>) -> (f64, f64) {
        let at = self.parts.iter().filter_map(|part| levels.get(part));
        at.fold((f64::INFINITY, 0.0), |(high, low), y| {
            (y.min(high), y.max(low))
        })
    }
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
        let (high, low) = lane.ends(levels);
        drawing.line((x, high), (x, low), pen);
        for y in lane.parts.iter().filter_map(|part| levels.get(part)) {
            drawing.line((wide, *y), (x, *y), Pen::Thin);
            let fill = if *y < cut { Fill::White } else { Fill::Black };
            drawing.circle((x, *y), 2.6, Pen::Thin, fill);
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
