//! The mounts from above, each with its block, bolt and torque: what goes in where, on one sheet beside the vehicle.
//!
//! Takes the mounts and their judged checks; gives a picture to scale with the front up, the labels in a column on each side. What a
//! label says is left to `mount_label`.

use super::super::draw::{At, Drawing, Fill, Pen, Scale, Stand, WIDEST};
use super::super::{Made, Picture};
use super::lettering::{LINE, fitting, lines, number, scale_bar, typed};
use super::mount_label::{Label, label};
use super::room::{apart, column_room};
use crate::job::{Mount, Side};
use crate::quantity::Units;

/// The width of a column of labels, pixels.
const COLUMN: f64 = 232.0;
/// The part of the drawing between the columns that the vehicle itself may take, pixels.
const MIDDLE: f64 = 116.0;
/// Above the foremost mount.
const ABOVE: f64 = 46.0;
/// Below the rearmost.
const BELOW: f64 = 74.0;
/// The tallest that mounts and labels may come out, so that the picture keeps to one sheet of paper.
const TALLEST: f64 = 780.0;
/// Half the size of a mount's mark.
const MARK: f64 = 6.0;

/// A mount with what is written beside it.
struct Entry<'a> {
    id: String,
    mount: &'a Mount,
    side: Side,
    label: Label,
    /// The lines of its label below its name.
    lines: Vec<String>,
}

/// What the picture is called.
pub const NAME: &str = "mounts";

/// The mounts from above; none when the job has no mounts.
#[must_use]
pub fn mounts(made: &Made<'_>, units: Units) -> Option<Picture> {
    let mut entries = entries(made, units);
    let tall = [Side::Left, Side::Right].map(|side| column(&entries, side));
    let shortened = tall.iter().any(|height| *height > TALLEST);
    if shortened {
        for entry in &mut entries {
            entry.lines.clear();
        }
    }
    let (front, rear) = ends(&entries, 0)?;
    let (left, right) = ends(&entries, 1)?;
    let tall = [Side::Left, Side::Right].map(|side| column(&entries, side));
    let labels = tall.into_iter().fold(0.0, f64::max);
    let wide = (left - right).max(100.0);
    let long = (front - rear).max(100.0);
    let tallest = TALLEST.min((long * MIDDLE / wide).max(labels)).max(labels);
    let factor = (MIDDLE / wide).min(tallest / long);
    let high = (long * factor).max(labels);
    let slack = (high - long * factor) / 2.0;
    let scale = Scale {
        factor,
        origin: (
            WIDEST / 2.0 + f64::midpoint(left, right) * factor,
            ABOVE + slack + front * factor,
        ),
    };
    let mut drawing = Drawing::new(NAME, WIDEST, ABOVE + high + BELOW);
    outline(&mut drawing, made, (&entries, scale));
    for side in [Side::Left, Side::Right] {
        write_column(&mut drawing, (&entries, side), scale, ABOVE + high);
    }
    legend(&mut drawing, (ABOVE + high + 28.0, factor), units);
    Some(drawing.picture("The mounts from above, to scale", &says(made, &entries)))
}

fn entries<'a>(made: &Made<'a>, units: Units) -> Vec<Entry<'a>> {
    let mounts = made.job.mounts.iter();
    let entries = mounts.map(|(id, mount)| {
        let judged = made.assessment.links.get(&format!("mount-{id}"));
        let label = label(mount, judged, units);
        let most = fitting(COLUMN - 12.0);
        let found = label.findings.iter().map(|words| format!("! {words}"));
        let words = [label.bolt.clone(), label.torque.clone()];
        let texts = words.into_iter().chain(found);
        let body = made.cut.bodies.get(&mount.group);
        Entry {
            id: typed(id, 14),
            mount,
            side: match body {
                Some(body) => body.side_of(mount.at[1]),
                None if mount.at[1] >= 0.0 => Side::Left,
                None => Side::Right,
            },
            lines: texts.flat_map(|text| lines(&text, most)).collect(),
            label,
        }
    });
    entries.collect()
}

/// The largest and the least place along an axis.
fn ends(entries: &[Entry<'_>], axis: usize) -> Option<(f64, f64)> {
    let places = || {
        let at = entries.iter().map(|entry| entry.mount.at);
        at.filter_map(move |at| at.get(axis).copied())
    };
    Some((places().reduce(f64::max)?, places().reduce(f64::min)?))
}

/// How tall the labels of a side come out.
fn column(entries: &[Entry<'_>], side: Side) -> f64 {
    let own = entries.iter().filter(|entry| entry.side == side);
    own.map(|entry| column_room(entry.lines.len() + 1)).sum()
}

/// A mount's place: the front is up, the left side to the left.
fn place(scale: Scale, mount: &Mount) -> At {
    scale.at(-mount.at[1], mount.at[0])
}

/// The bodies as thin outlines round their mounts, and the way to the front.
fn outline(drawing: &mut Drawing, made: &Made<'_>, (entries, scale): (&[Entry<'_>], Scale)) {
    for raise in &made.job.lift.raise {
        let own = || {
            let own = entries.iter();
            let own = own.filter(|entry| entry.mount.group == raise.group);
            own.map(|entry| place(scale, entry.mount))
        };
        let end = |of: fn(At) -> f64, pick: fn(f64, f64) -> f64| own().map(of).reduce(pick);
        let right = end(|at| at.0, f64::max);
        let bottom = end(|at| at.1, f64::max);
        let corner = end(|at| at.0, f64::min).zip(end(|at| at.1, f64::min));
        let (Some((left, top)), Some((right, bottom))) = (corner, right.zip(bottom)) else {
            continue;
        };
        let size = (right - left, bottom - top);
        drawing.rectangle((left, top), size, Pen::Thin, Fill::None);
        let title = typed(made.job.part_title(&raise.group), fitting(size.0 - 24.0));
        let middle = (f64::midpoint(left, right), f64::midpoint(top, bottom) + 4.0);
        drawing.bold(middle, &title, Stand::Middle);
    }
    let x = WIDEST / 2.0;
    drawing.line((x, 30.0), (x, 8.0), Pen::Line);
    let tip = [(x - 5.0, 16.0), (x, 5.0), (x + 5.0, 16.0)];
    drawing.shape(&tip, Pen::Line, Fill::Black);
    drawing.words((x + 12.0, 17.0), "front", Stand::Right);
}

/// The labels of one side, beside their mounts and apart from one another.
fn write_column(
    drawing: &mut Drawing,
    (entries, side): (&[Entry<'_>], Side),
    scale: Scale,
    bottom: f64,
) {
    let mut own: Vec<&Entry<'_>> = entries.iter().filter(|entry| entry.side == side).collect();
    own.sort_by(|one, other| {
        let forward = other.mount.at[0].total_cmp(&one.mount.at[0]);
        forward.then(one.mount.at[1].total_cmp(&other.mount.at[1]))
    });
    let wanted: Vec<(f64, f64)> = own
        .iter()
        .map(|entry| {
            let (_, y) = place(scale, entry.mount);
            (y, column_room(entry.lines.len() + 1))
        })
        .collect();
    let places = apart(&wanted, (ABOVE - 20.0, bottom + 20.0));
    let (x, stand, near) = match side {
        Side::Left => (COLUMN - 8.0, Stand::Left, COLUMN - 4.0),
        Side::Right => (WIDEST - COLUMN + 8.0, Stand::Right, WIDEST - COLUMN + 4.0),
    };
    for (entry, middle) in own.into_iter().zip(places) {
        let room = number(entry.lines.len() + 1) * LINE;
        let at = place(scale, entry.mount);
        drawing.path(&[(near, middle), at], Pen::Thin);
        drawing.line(
            (near, middle - room / 2.0),
            (near, middle + room / 2.0),
            Pen::Line,
        );
        mark(drawing, at, !entry.label.findings.is_empty());
        let mut y = middle - room / 2.0 + 11.0;
        let head = format!("{}: {}", entry.id, entry.label.block);
        drawing.bold((x, y), &head, stand);
        for line in &entry.lines {
            y += LINE;
            drawing.words((x, y), line, stand);
        }
    }
}

/// A round mark, or a square one where something was found.
fn mark(drawing: &mut Drawing, (x, y): At, found: bool) {
    if found {
        let corner = (x - MARK, y - MARK);
        drawing.rectangle(corner, (MARK * 2.0, MARK * 2.0), Pen::Line, Fill::Black);
    } else {
        drawing.circle((x, y), MARK, Pen::Line, Fill::White);
    }
}

fn legend(drawing: &mut Drawing, (y, factor): (f64, f64), units: Units) {
    mark(drawing, (16.0, y + 14.0), false);
    drawing.words((28.0, y + 18.0), "mount", Stand::Right);
    mark(drawing, (96.0, y + 14.0), true);
    let words = "mount with something found (!)";
    drawing.words((108.0, y + 18.0), words, Stand::Right);
    scale_bar(drawing, (430.0, y + 14.0), factor, units);
}

fn says(made: &Made<'_>, entries: &[Entry<'_>]) -> String {
    let mounts = entries.iter().map(|entry| {
        let group = typed(made.job.part_title(&entry.mount.group), 40);
        let Label {
            block,
            bolt,
            torque,
            findings,
        } = &entry.label;
        let found = findings.iter().map(|found| format!("; {found}"));
        let found: String = found.collect();
        let side = entry.side.word();
        format!(
            "{} ({group}, {side}): {block}; {bolt}; {torque}{found}.",
            entry.id
        )
    });
    let mounts: Vec<String> = mounts.collect();
    format!("The mounts seen from above. {}", mounts.join(" "))
}
