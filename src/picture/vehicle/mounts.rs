//! The mounts from above, each with its block, bolt and torque: what goes in where, on one sheet beside the vehicle.
//!
//! Takes the mounts and their judged checks; gives a picture to scale with the front up, the labels in a column on each side. What a
//! label says is left to `mount_label`.

use super::super::draw::{At, Drawing, Fill, Pen, Scale, Stand, WIDEST};
use super::super::layout::{LINE, bold_width, cut, number, spread, wrapped};
use super::super::{Made, Picture};
use super::mount_label::{Label, label};
use crate::job::{Mount, Side};
use crate::quantity::Units;

/// The width of a column of labels, and what the vehicle itself may take between them, pixels.
const COLUMN: f64 = 232.0;
const MIDDLE: f64 = 116.0;
/// The tallest that mounts and labels may come out, so that the picture keeps to one sheet of paper.
const TALLEST: f64 = 780.0;
/// Half the size of a mount's mark.
const MARK: f64 = 6.0;

/// A mount with what is written beside it.
struct Entry<'a> {
    id: &'a str,
    mount: &'a Mount,
    side: Side,
    label: Label,
    /// What its label says below its name, and the same on lines.
    words: Vec<String>,
    lines: Vec<String>,
}

impl Entry<'_> {
    /// The room of its label along a column.
    fn room(&self) -> f64 {
        number(self.lines.len() + 1) * LINE + 5.0
    }
}

/// What the picture is called.
pub const NAME: &str = "mounts";

/// The mounts from above; none when the job has no mounts.
#[must_use]
pub fn mounts(made: &Made<'_>, units: Units) -> Option<Picture> {
    let mut entries = entries(made, units);
    let column = |entries: &[Entry<'_>]| {
        let tall = [Side::Left, Side::Right].map(|side| {
            let own = entries.iter().filter(|entry| entry.side == side);
            own.map(Entry::room).sum::<f64>()
        });
        tall.into_iter().fold(0.0, f64::max)
    };
    if column(&entries) > TALLEST {
        for entry in &mut entries {
            entry.lines.clear();
        }
    }
    let ends = |axis: usize| {
        let places = || entries.iter().filter_map(|entry| entry.mount.at.get(axis));
        Some((
            places().copied().reduce(f64::max)?,
            places().copied().reduce(f64::min)?,
        ))
    };
    let ((front, rear), (left, right)) = (ends(0)?, ends(1)?);
    let (wide, long) = ((left - right).max(100.0), (front - rear).max(100.0));
    let labels = column(&entries);
    let factor = (MIDDLE / wide).min(TALLEST.max(labels) / long);
    let high = (long * factor).max(labels);
    let scale = Scale {
        factor,
        origin: (
            WIDEST / 2.0 + f64::midpoint(left, right) * factor,
            (high - long * factor) / 2.0 + front * factor,
        ),
    };
    let mut drawing = Drawing::new(WIDEST);
    outline(&mut drawing, made, (&entries, scale));
    for side in [Side::Left, Side::Right] {
        write_column(&mut drawing, (&entries, side), scale, high);
    }
    let y = high + 34.0;
    for (x, found, words) in [
        (14.0, false, "mount"),
        (94.0, true, "mount with something found (!)"),
    ] {
        mark(&mut drawing, (x, y), found);
        drawing.words((x + 12.0, y + 4.5), words, Stand::Right);
    }
    drawing.scale((430.0, y), factor, units);
    Some(drawing.picture(NAME, "The mounts from above, to scale"))
}

fn entries<'a>(made: &Made<'a>, units: Units) -> Vec<Entry<'a>> {
    let mounts = made.job.mounts.iter();
    let entries = mounts.map(|(id, mount)| {
        let judged = made.assessment.links.get(&format!("mount-{id}"));
        let label = label(mount, judged, units);
        let found = label.findings.iter().map(|words| format!("! {words}"));
        let words = [label.bolt.clone(), label.torque.clone()];
        let words: Vec<String> = words.into_iter().chain(found).collect();
        let body = made.cut.bodies.get(&mount.group);
        Entry {
            id,
            mount,
            side: match body {
                Some(body) => body.side_of(mount.at[1]),
                None if mount.at[1] >= 0.0 => Side::Left,
                None => Side::Right,
            },
            lines: words
                .iter()
                .flat_map(|text| wrapped(text, COLUMN - 14.0))
                .collect(),
            words,
            label,
        }
    });
    entries.collect()
}

/// A mount's place: the front is up, the left side to the left.
fn place(scale: Scale, mount: &Mount) -> At {
    scale.at(-mount.at[1], mount.at[0])
}

/// The bodies as thin outlines round their mounts, and the way to the front.
fn outline(drawing: &mut Drawing, made: &Made<'_>, (entries, scale): (&[Entry<'_>], Scale)) {
    let mut top = 0.0_f64;
    for raise in &made.job.lift.raise {
        let own = entries
            .iter()
            .filter(|entry| entry.mount.group == raise.group);
        let own: Vec<At> = own.map(|entry| place(scale, entry.mount)).collect();
        let end = |of: fn(&At) -> f64, pick: fn(f64, f64) -> f64| own.iter().map(of).reduce(pick);
        let corner = end(|at| at.0, f64::min).zip(end(|at| at.1, f64::min));
        let other = end(|at| at.0, f64::max).zip(end(|at| at.1, f64::max));
        let (Some((left, above)), Some((right, below))) = (corner, other) else {
            continue;
        };
        let size = (right - left, below - above);
        drawing.rectangle((left, above), size, Pen::Thin, Fill::None);
        let title = cut(made.job.part_title(&raise.group), (size.0 - 24.0) / 1.1);
        let middle = (
            f64::midpoint(left, right),
            f64::midpoint(above, below) + 4.0,
        );
        drawing.bold(middle, &title, Stand::Middle);
        top = top.min(above);
    }
    let (x, y) = (WIDEST / 2.0, top - 16.0);
    drawing.line((x, y), (x, y - 20.0), Pen::Line);
    let tip = [(x - 5.0, y - 14.0), (x, y - 25.0), (x + 5.0, y - 14.0)];
    drawing.shape(&tip, Pen::Line, Fill::Black);
    drawing.words((x + 12.0, y - 10.0), "front", Stand::Right);
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
    let wanted = own
        .iter()
        .map(|entry| (place(scale, entry.mount).1, entry.room()));
    let wanted: Vec<(f64, f64)> = wanted.collect();
    let (x, stand, near) = match side {
        Side::Left => (COLUMN - 8.0, Stand::Left, COLUMN - 4.0),
        Side::Right => (WIDEST - COLUMN + 8.0, Stand::Right, WIDEST - COLUMN + 4.0),
    };
    for (entry, middle) in own.into_iter().zip(spread(&wanted, (-20.0, bottom + 20.0))) {
        let half = (entry.room() - 5.0) / 2.0;
        let at = place(scale, entry.mount);
        drawing.line((near, middle), at, Pen::Thin);
        drawing.line((near, middle - half), (near, middle + half), Pen::Line);
        mark(drawing, at, !entry.label.findings.is_empty());
        let mut y = middle - half + 11.5;
        let block = format!(": {}", entry.label.block);
        let id = cut(entry.id, COLUMN / 1.1 - 8.0 - bold_width(&block));
        let head = id + &block;
        drawing.bold((x, y), &head, stand);
        drawing.tell(&format!("{head}; {}.", entry.words.join("; ")));
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
