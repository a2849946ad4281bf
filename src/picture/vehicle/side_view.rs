//! The vehicle from the left side after the lift: bodies raised on their blocks, the gap, and every link that crosses it under its number on the sheet.
//!
//! Takes the vehicle's outline and the places of the links; gives one picture. Lengths along the vehicle are to scale, heights larger, and the picture
//! says so. The numbers stand in rows above and below the vehicle.

use super::super::draw::{Drawing, Fill, Pen, Stand, WIDEST};
use super::super::layout::{LINE, length, most_callouts, sentence};
use super::super::{Made, Picture};
use super::outline::{self, SideView, TALL, Vehicle, vehicle};
use super::side_links::{Crossing, crossing};
use crate::job::Mount;
use crate::quantity::Units;
use crate::report::number_runs;

/// Before and behind the vehicle, pixels; behind it the gap is dimensioned.
const BESIDE: f64 = 24.0;
const BEHIND: f64 = 70.0;
/// The most pixels for a millimetre, so that a short vehicle comes out no taller than it is long.
const LARGEST: f64 = 0.16;

/// The vehicle from the side; none when no mount is known.
pub(crate) fn side_view(made: &Made<'_>, units: Units) -> Option<Picture> {
    let vehicle = vehicle(made)?;
    let mut links = crossing(made, vehicle.ends);
    // So many numbers as two rows above and two below have room for.
    let widest = links.iter().map(|link| link.number).max()?.to_string();
    let room = 2 * most_callouts(&widest, (4.0, WIDEST - 4.0));
    let left_out: Vec<usize> = links
        .split_off(links.len().min(room))
        .iter()
        .map(|link| link.number)
        .collect();
    let (mut drawing, view) = drawn(&vehicle, &links);
    let gaps = gaps(&vehicle);
    for gap in &gaps {
        let [x, _, z] = gap.mount.at;
        let aside = view.at((x - 110.0, 0.0)).0;
        let [under, seat] = [z + gap.height, z].map(|z| (aside, view.at((x, z)).1));
        let words = format!("gap {}", length(gap.height, units));
        drawing.measure("height", under, seat, &words);
    }
    let bottom = drawing.bottom();
    let numbered = numbers(&mut drawing, &view, &links, bottom);
    let under = numbered + 22.0;
    drawing.scale((BESIDE, under), view.factor, units);
    for (x, known) in [(300.0, true), (410.0, false)] {
        let words = where_it_is(known);
        let fill = if known { Fill::Black } else { Fill::White };
        drawing.circle((x, under), 3.5, Pen::Line, fill);
        drawing.words((x + 9.0, under + 4.5), words, Stand::Right);
        let own = links.iter().filter(|link| link.known == known);
        let kind = format!("Connections, {words}");
        drawing.tell_numbers(&kind, own.map(|link| link.number));
    }
    to_the_front(&mut drawing);
    drawing.notes(BESIDE, under + 26.0, WIDEST - BESIDE * 2.0);
    drawing.note(&notes(&gaps, &left_out, units));
    Some(drawing.picture("side-view", "From the left side, after the lift"))
}

/// Where one link is on the vehicle, for whoever has to find it; none for one that the lift does not pull apart.
pub fn whereabouts(made: &Made<'_>, link: &str, units: Units) -> Option<Picture> {
    let vehicle = vehicle(made)?;
    let walking = made.assessment.walking();
    let number = 1 + walking.iter().position(|one| one.id == link)?;
    let mut links = crossing(made, vehicle.ends);
    links.retain(|link| link.number == number);
    let known = links.first()?.known;
    let (mut drawing, view) = drawn(&vehicle, &links);
    let under = drawing.bottom() + 22.0;
    numbers(&mut drawing, &view, &links, under);
    drawing.scale((BESIDE, under), view.factor, units);
    drawing.words((300.0, under + 4.5), where_it_is(known), Stand::Right);
    to_the_front(&mut drawing);
    Some(drawing.picture("whereabouts", "Where it is, from the left side"))
}

/// The vehicle with room for the places of links.
fn drawn(vehicle: &Vehicle<'_>, links: &[Crossing]) -> (Drawing, SideView) {
    let places = || links.iter().map(|link| link.at.0);
    let front = places().fold(vehicle.ends.0 + 60.0, f64::max);
    let rear = places().fold(vehicle.ends.1 - 30.0, f64::min);
    let view = SideView {
        factor: ((WIDEST - BESIDE - BEHIND) / (front - rear)).min(LARGEST),
        left: (BESIDE, front),
    };
    let mut drawing = Drawing::new(WIDEST);
    outline::draw(&mut drawing, vehicle, &view);
    (drawing, view)
}

/// What the place of a mark is worth.
fn where_it_is(known: bool) -> &'static str {
    if known {
        "where it is"
    } else {
        "where its kind usually is, no place given"
    }
}

/// The arrow that points to the front.
fn to_the_front(drawing: &mut Drawing) {
    drawing.words((BESIDE + 34.0, drawing.top() - 8.0), "front", Stand::Right);
    let y = drawing.top() + 6.0;
    drawing.line((BESIDE, y), (BESIDE + 26.0, y), Pen::Line);
    let tip = [
        (BESIDE + 10.0, y - 4.0),
        (BESIDE, y),
        (BESIDE + 10.0, y + 4.0),
    ];
    drawing.shape(&tip, Pen::Line, Fill::Black);
}

/// The marks of the links, and their numbers: the higher half above the vehicle, the lower below. Gives the lowest number's height.
fn numbers(drawing: &mut Drawing, view: &SideView, links: &[Crossing], bottom: f64) -> f64 {
    let mut order: Vec<&Crossing> = links.iter().collect();
    order.sort_by(|one, other| other.at.1.total_cmp(&one.at.1));
    let lower = order.split_off(order.len().div_ceil(2));
    let rows = [
        (order, drawing.top() - 24.0, 1.0),
        (lower, bottom + 30.0, -1.0),
    ];
    for (links, row, down) in &rows {
        let places: Vec<_> = links
            .iter()
            .map(|link| (view.at(link.at), link.number.to_string()))
            .collect();
        drawing.callouts(&places, (*row, *down), (4.0, WIDEST - 4.0));
    }
    for link in links {
        let fill = if link.known { Fill::Black } else { Fill::White };
        drawing.circle(view.at(link.at), 3.5, Pen::Line, fill);
    }
    bottom + 30.0 + LINE
}

/// A height of block, with the mount at which it is dimensioned and the bodies that stand on it.
struct Gap<'a> {
    height: f64,
    mount: &'a Mount,
    under: Vec<&'a str>,
}

/// The different heights of the gap, each at its rearmost mount; one only when all bodies stand equally high.
fn gaps<'a>(vehicle: &'a Vehicle<'_>) -> Vec<Gap<'a>> {
    let mut gaps: Vec<Gap<'a>> = Vec::new();
    for one in &vehicle.bodies {
        for (_, mount) in &one.mounts {
            let same = |gap: &&mut Gap<'_>| (gap.height - mount.spacer).abs() < 1e-6;
            let known = gaps.iter_mut().find(same);
            let Some(gap) = known else {
                gaps.push(Gap {
                    height: mount.spacer,
                    mount,
                    under: vec![&one.title],
                });
                continue;
            };
            gap.mount = mount;
            if !gap.under.contains(&one.title.as_str()) {
                gap.under.push(&one.title);
            }
        }
    }
    gaps
}

fn notes(gaps: &[Gap<'_>], left_out: &[usize], units: Units) -> String {
    let gaps = gaps.iter().map(|gap| {
        let high = length(gap.height, units);
        format!("gap {high} under {}", gap.under.join(" and "))
    });
    let gaps: Vec<String> = gaps.collect();
    let mut notes = format!(
        "{}. Lengths to scale; heights drawn {TALL} times as large. Seats, blocks and filled marks are where they are; the rest is only hinted at.",
        sentence(&gaps.join("; "))
    );
    if !left_out.is_empty() {
        let numbers = number_runs(left_out.to_vec());
        notes.push_str(&format!(" Not drawn for want of room: {numbers}."));
    }
    notes
}
