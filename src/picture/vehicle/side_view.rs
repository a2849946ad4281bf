//! The vehicle from the left side after the lift: rail, mounts with their blocks, raised bodies, the gap, and every link that crosses
//! it under its number on the sheet.
//!
//! Takes the mounts, the bodies and the places of the links; gives one picture. Lengths along the vehicle are to scale; where the
//! gap would be too thin to see, heights are drawn larger by a whole number, and the picture says so.

use std::collections::BTreeMap;

use super::super::draw::{At, Drawing, Fill, Pen, Stand, WIDEST};
use super::super::{Made, Picture};
use super::lettering::{LINE, fitting, length, lines, scale_bar, sentence, typed, width};
use super::room::{Room, apart};
use super::side_links::{Crossing, crossing};
use crate::job::{Mount, Raise};
use crate::quantity::Units;
use crate::report::number_runs;

/// Beside the vehicle, pixels.
const BESIDE: f64 = 30.0;
/// The thinnest that a gap is drawn, and the tallest that the vehicle is, pixels.
const THINNEST: f64 = 16.0;
const TALLEST: f64 = 520.0;
/// The most that heights are drawn larger.
const LARGEST: i32 = 6;
/// How far a body's box reaches beyond its mounts and its highest place, and the depth of the rail, mm; all only hinted at.
const BEYOND: f64 = 70.0;
const RAIL: f64 = 70.0;
/// Half the width of a block where none is given, mm.
const BLOCK: f64 = 70.0;
/// The height of a box of which no place is known, mm.
const USUAL: f64 = 300.0;

/// A raised body as a box.
struct Box<'a> {
    title: String,
    mounts: Vec<(&'a str, &'a Mount)>,
    rear: f64,
    front: f64,
    top: f64,
}

/// Millimetres of the vehicle → pixels: the front is to the left.
struct View {
    factor: f64,
    /// How many times as large heights are drawn.
    tall: f64,
    origin: At,
}

impl View {
    fn at(&self, x: f64, z: f64) -> At {
        let (right, down) = self.origin;
        (right - x * self.factor, down - z * self.factor * self.tall)
    }
}

/// The vehicle from the side; none when no mount is known.
#[must_use]
pub fn side_view(made: &Made<'_>, units: Units) -> Option<Picture> {
    let (links, without) = crossing(made);
    let boxes: Vec<Box<'_>> = made
        .job
        .lift
        .raise
        .iter()
        .filter_map(|raise| body(made, raise))
        .collect();
    let (view, (left, top, bottom)) = view(&boxes, &links)?;
    let notes = notes(&without, view.tall);
    let notes: Vec<String> = notes.iter().flat_map(|note| lines(note, 86)).collect();
    let under = bottom + 58.0;
    let height = under + 28.0 + LINE * super::lettering::number(notes.len());
    let mut drawing = Drawing::new("side-view", WIDEST, height);
    let mut room = Room::new(WIDEST, under - 44.0);
    front(&mut drawing, top - 34.0);
    rail(&mut drawing, &view, (&boxes, left));
    for one in &boxes {
        raised(&mut drawing, (made, one), &view, &mut room);
    }
    let gaps = gaps(&boxes);
    draw_gaps(&mut drawing, &view, (&gaps, bottom), units);
    stations(&mut drawing, &view, (&boxes, bottom));
    for link in &links {
        line(&mut drawing, &view, link, &mut room);
    }
    for link in &links {
        number(&mut drawing, &view, link, &mut room);
    }
    scale_bar(&mut drawing, (BESIDE, under), view.factor, units);
    drawing.words(
        (300.0, under + 4.5),
        "● on the chassis   ○ on a body",
        Stand::Right,
    );
    for (line, at) in notes.iter().zip(1..) {
        let y = under + 12.0 + LINE * f64::from(at);
        drawing.words((BESIDE, y), line, Stand::Right);
    }
    let says = says((&boxes, &gaps), (&links, &without), view.tall, units);
    Some(drawing.picture("From the left side, after the lift", &says))
}

/// A body's box: over its mounts, up to its highest known place.
fn body<'a>(made: &Made<'a>, raise: &Raise) -> Option<Box<'a>> {
    let mounts = made.job.mounts.iter();
    let own = mounts.filter(|(_, mount)| mount.group == raise.group);
    let mut own: Vec<(&str, &Mount)> = own.map(|(id, mount)| (id.as_str(), mount)).collect();
    own.sort_by(|(_, one), (_, other)| one.at[0].total_cmp(&other.at[0]));
    let (rear, front) = (own.first()?.1.at[0], own.last()?.1.at[0]);
    let cut = made.cut;
    let rides = |part: &str| {
        let hung = cut.parts.get(part);
        hung.is_some_and(|hung| hung.groups.len() == 1 && hung.groups.contains(&raise.group))
    };
    let fixings = made.job.links.values().flat_map(|link| &link.fixings);
    let known = fixings.filter(|fixing| rides(&fixing.part));
    let highest = known
        .filter_map(|fixing| Some(fixing.at?[2]))
        .reduce(f64::max);
    let lift = cut
        .bodies
        .get(&raise.group)
        .map_or(0.0, |body| body.highest);
    Some(Box {
        title: typed(made.job.part_title(&raise.group), 30),
        mounts: own,
        rear: rear - BEYOND,
        front: front + BEYOND,
        top: highest.unwrap_or(USUAL).max(USUAL / 2.0) + lift + BEYOND,
    })
}

/// The view that shows everything, and its left, upper and lower ends: the rail's front, the highest box, the bottom of the rail.
fn view(boxes: &[Box<'_>], links: &[Crossing]) -> Option<(View, (f64, f64, f64))> {
    let places = || links.iter().flat_map(|link| &link.places);
    let fronts = boxes.iter().map(|one| one.front);
    let front = fronts
        .chain(places().map(|at| at.x + BEYOND))
        .reduce(f64::max)?;
    let rears = boxes.iter().map(|one| one.rear);
    let rear = rears
        .chain(places().map(|at| at.x - BEYOND))
        .reduce(f64::min)?;
    let high = boxes
        .iter()
        .map(|one| one.top)
        .chain(places().map(|at| at.z));
    let high = high.fold(USUAL, f64::max);
    let low = places().map(|at| at.z - 10.0).fold(-RAIL, f64::min);
    let factor = (WIDEST - BESIDE * 2.0) / (front - rear).max(500.0);
    let blocks = boxes.iter().flat_map(|one| &one.mounts);
    let blocks = blocks
        .map(|(_, mount)| mount.spacer)
        .filter(|block| *block > 0.0);
    let thinnest = blocks.fold(f64::INFINITY, f64::min);
    let mut tall = 1;
    while tall < LARGEST
        && thinnest * factor * f64::from(tall) < THINNEST
        && (high - low) * factor * f64::from(tall + 1) <= TALLEST
    {
        tall += 1;
    }
    let tall = f64::from(tall);
    let top = 44.0;
    let origin = (BESIDE + front * factor, top + high * factor * tall);
    let view = View {
        factor,
        tall,
        origin,
    };
    let bottom = view.at(0.0, low).1;
    Some((view, (front, top, bottom)))
}

fn front(drawing: &mut Drawing, y: f64) {
    let tip = [
        (BESIDE + 10.0, y - 4.0),
        (BESIDE, y),
        (BESIDE + 10.0, y + 4.0),
    ];
    drawing.line((BESIDE, y), (BESIDE + 26.0, y), Pen::Line);
    drawing.shape(&tip, Pen::Line, Fill::Black);
    drawing.words((BESIDE + 34.0, y + 4.0), "front", Stand::Right);
}

/// The chassis rail from end to end, with a bracket up to every mount.
fn rail(drawing: &mut Drawing, view: &View, (boxes, front): (&[Box<'_>], f64)) {
    let mounts = || boxes.iter().flat_map(|one| &one.mounts);
    let rear = mounts()
        .map(|(_, mount)| mount.at[0] - BEYOND)
        .fold(front, f64::min);
    let (left, right) = (view.at(front, 0.0), view.at(rear, -RAIL));
    let size = (right.0 - left.0, right.1 - left.1);
    drawing.rectangle(left, size, Pen::Line, Fill::White);
    for (_, mount) in mounts() {
        let [x, _, z] = mount.at;
        if z.abs() > f64::EPSILON {
            drawing.line(view.at(x, 0.0), view.at(x, z), Pen::Bold);
        }
    }
}

/// A body on its blocks.
fn raised(drawing: &mut Drawing, (made, one): (&Made<'_>, &Box<'_>), view: &View, room: &mut Room) {
    let half = made.job.lift.block.outer.unwrap_or(BLOCK) / 2.0;
    for (_, mount) in &one.mounts {
        let [x, _, z] = mount.at;
        let (left, right) = (view.at(x + half, z + mount.spacer), view.at(x - half, z));
        let size = (right.0 - left.0, right.1 - left.1);
        drawing.rectangle(left, size, Pen::Thin, Fill::Hatched);
    }
    let seat = |mount: &Mount| mount.at[2] + mount.spacer;
    let under: Vec<At> = one
        .mounts
        .iter()
        .map(|(_, mount)| view.at(mount.at[0], seat(mount)))
        .collect();
    let level = |mount: Option<&(&str, &Mount)>| mount.map_or(0.0, |(_, mount)| seat(mount));
    let mut outline = vec![
        view.at(one.rear, one.top),
        view.at(one.rear, level(one.mounts.first())),
    ];
    outline.extend(under);
    outline.extend([
        view.at(one.front, level(one.mounts.last())),
        view.at(one.front, one.top),
    ]);
    drawing.shape(&outline, Pen::Bold, Fill::None);
    let ((left, y), (right, _)) = (view.at(one.front, one.top), view.at(one.rear, one.top));
    let title = typed(&one.title, fitting(right - left - 8.0));
    let at = room.place((f64::midpoint(left, right), y - 8.0), &title, Stand::Middle);
    drawing.bold(at, &title, Stand::Middle);
}

/// A height of block, with the mount at which it is dimensioned and the bodies that stand on it.
struct Gap<'a> {
    height: f64,
    mount: &'a Mount,
    under: Vec<String>,
}

/// The different heights of the gap; one only when all bodies stand equally high.
fn gaps<'a>(boxes: &[Box<'a>]) -> Vec<Gap<'a>> {
    let mut gaps: Vec<Gap<'a>> = Vec::new();
    for one in boxes {
        for (_, mount) in &one.mounts {
            let same = |gap: &&mut Gap<'_>| (gap.height - mount.spacer).abs() < 1e-6;
            match gaps.iter_mut().find(same) {
                Some(gap) if gap.under.contains(&one.title) => {}
                Some(gap) => gap.under.push(one.title.clone()),
                None => gaps.push(Gap {
                    height: mount.spacer,
                    mount,
                    under: vec![one.title.clone()],
                }),
            }
        }
    }
    gaps
}

fn gap_words(gap: &Gap<'_>, units: Units) -> String {
    format!(
        "gap {} under {}",
        length(gap.height, units),
        gap.under.join(" and ")
    )
}

/// The gap beside a block, with its words in a row under the rail.
fn draw_gaps(drawing: &mut Drawing, view: &View, (gaps, bottom): (&[Gap<'_>], f64), units: Units) {
    let mut gaps: Vec<&Gap<'_>> = gaps.iter().collect();
    gaps.sort_by(|one, other| other.mount.at[0].total_cmp(&one.mount.at[0]));
    let share = fitting((WIDEST - 20.0) / super::lettering::number(gaps.len().max(1)));
    let aside = |gap: &Gap<'_>| view.at(gap.mount.at[0], 0.0).0 - 14.0;
    let words: Vec<String> = gaps
        .iter()
        .map(|gap| typed(&gap_words(gap, units), share.saturating_sub(1)))
        .collect();
    let wanted: Vec<(f64, f64)> = gaps
        .iter()
        .zip(&words)
        .map(|(gap, words)| (aside(gap), width(words) + 6.0))
        .collect();
    let places = apart(&wanted, (4.0, WIDEST - 4.0));
    for ((gap, words), x) in gaps.into_iter().zip(&words).zip(places) {
        let z = gap.mount.at[2];
        let (seat, under) = (view.at(0.0, z).1, view.at(0.0, z + gap.height).1);
        let at = aside(gap);
        let row = bottom + 38.0;
        drawing.path(
            &[(at, seat), (at, bottom + 4.0), (x, row - 11.0)],
            Pen::Thin,
        );
        let ends = ((at, under), (at, seat));
        drawing.measure("height", ends, words, ((x, row), Stand::Middle));
    }
}

/// The mounts' ids in a row under the rail, those at one place together.
fn stations(drawing: &mut Drawing, view: &View, (boxes, bottom): (&[Box<'_>], f64)) {
    let mut stations: BTreeMap<i64, (f64, Vec<&str>)> = BTreeMap::new();
    for (id, mount) in boxes.iter().flat_map(|one| &one.mounts) {
        let (x, _) = view.at(mount.at[0], 0.0);
        // Mounts within three pixels of one another are one station.
        #[allow(clippy::cast_possible_truncation)]
        let key = (x / 3.0).round() as i64;
        stations.entry(key).or_insert((x, Vec::new())).1.push(id);
    }
    let share = (WIDEST - 8.0) / super::lettering::number(stations.len().max(1));
    let named: Vec<(f64, String)> = stations
        .into_values()
        .map(|(x, ids)| (x, typed(&ids.join(" "), fitting(share - 7.0))))
        .collect();
    let wanted: Vec<(f64, f64)> = named
        .iter()
        .map(|(x, ids)| (*x, width(ids) + 7.0))
        .collect();
    let places = apart(&wanted, (4.0, WIDEST - 4.0));
    for ((at, ids), x) in named.iter().zip(places) {
        drawing.line((*at, bottom + 1.0), (x, bottom + 8.0), Pen::Thin);
        drawing.bold((x, bottom + 20.0), ids, Stand::Middle);
    }
}

/// A link from fixing to fixing.
fn line(drawing: &mut Drawing, view: &View, link: &Crossing, room: &mut Room) {
    for pair in link.places.windows(2) {
        let [one, other] = pair else {
            continue;
        };
        let pen = if other.after_unknown {
            Pen::Dashed
        } else {
            Pen::Thin
        };
        drawing.line(view.at(one.x, one.z), view.at(other.x, other.z), pen);
    }
    for place in &link.places {
        let at = view.at(place.x, place.z);
        let fill = if place.on_body {
            Fill::White
        } else {
            Fill::Black
        };
        drawing.circle(at, 3.0, Pen::Thin, fill);
        room.keep((at.0 - 2.5, at.1 - 2.5), (5.0, 5.0));
    }
}

fn number(drawing: &mut Drawing, view: &View, link: &Crossing, room: &mut Room) {
    let Some((x, z)) = link.middle() else {
        return;
    };
    let (wanted, words) = (view.at(x, z), link.number.to_string());
    let at = room.place((wanted.0, wanted.1 + 4.0), &words, Stand::Middle);
    let middle = (at.0, at.1 - 4.0);
    if (middle.0 - wanted.0).hypot(middle.1 - wanted.1) > 9.0 {
        drawing.line(wanted, middle, Pen::Thin);
    }
    drawing.bold(at, &words, Stand::Middle);
}

fn notes(without: &[usize], tall: f64) -> Vec<String> {
    let mut notes = vec![if tall > 1.5 {
        format!(
            "Lengths to scale; heights drawn {tall} times as large. Rail and boxes are hints; seats, blocks and fixings are where they are."
        )
    } else {
        "Lengths and heights to scale. Rail and boxes are hints; seats, blocks and fixings are where they are.".to_owned()
    }];
    if !without.is_empty() {
        notes.push(format!(
            "Without a place: {}.",
            number_runs(without.to_vec())
        ));
    }
    notes
}

fn says(
    (boxes, gaps): (&[Box<'_>], &[Gap<'_>]),
    (links, without): (&[Crossing], &[usize]),
    tall: f64,
    units: Units,
) -> String {
    let gaps: Vec<String> = gaps.iter().map(|gap| gap_words(gap, units)).collect();
    let mounts = |one: &Box<'_>| {
        let mounts = one.mounts.iter().rev();
        let mounts = mounts
            .map(|(id, mount)| format!("{} at {}", typed(id, 14), length(mount.at[0], units)));
        mounts.collect::<Vec<_>>().join(", ")
    };
    let bodies = boxes
        .iter()
        .map(|one| format!("{} on its mounts {}", one.title, mounts(one)));
    let bodies: Vec<String> = bodies.collect();
    let numbers = |numbers: Vec<usize>| match number_runs(numbers) {
        runs if runs.is_empty() => "none".to_owned(),
        runs => runs,
    };
    let mut says = format!(
        "The vehicle from its left side after the lift, front to the left: {}, measured forward from the bulkhead. {}. \
         Connections that cross it, by their numbers in the tables: {}.",
        bodies.join("; "),
        sentence(&gaps.join("; ")),
        numbers(links.iter().map(|link| link.number).collect()),
    );
    for note in notes(without, tall) {
        says.push(' ');
        says.push_str(&note);
    }
    says
}
