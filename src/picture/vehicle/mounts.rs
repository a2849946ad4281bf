//! The mounts from above, each with its block, bolt and torque: what goes in where, on one sheet beside the vehicle.
//!
//! Takes the mounts and their judged checks; gives a picture to scale with the front up, the labels in a column on each side. What a
//! label says is left to `mount_label`.

use std::collections::BTreeMap;

use super::super::draw::{At, Drawing, Fill, Pen, Scale, Stand};
use super::super::layout::{LINE, bold_width, cut, number, spread, wrapped};
use super::super::{Made, Picture};
use super::mount_label::{Label, label};
use crate::job::{Mount, Side};
use crate::quantity::Units;

/// The width of the picture, which is that of a column on paper, of its own columns of labels, and what the vehicle itself may take between them, pixels.
const WIDE: f64 = 348.0;
const COLUMN: f64 = 134.0;
const MIDDLE: f64 = 56.0;
/// The tallest that the labels may come out, so that the picture keeps to one sheet of paper, and the least height for the mounts.
const TALLEST: f64 = 780.0;
const LEAST: f64 = 200.0;
/// Half the size of a mount's mark.
const MARK: f64 = 6.0;

/// A mount with what is written beside it.
struct NamedMount<'a> {
    id: &'a str,
    mount: &'a Mount,
    side: Side,
    label: Label,
    /// The lines of its label below its name.
    lines: Vec<String>,
}

impl NamedMount<'_> {
    /// The room of its label along a column.
    fn room(&self) -> f64 {
        number(self.lines.len() + 1) * LINE + 5.0
    }
}

/// The mounts from above; none when the job has no mounts.
pub(crate) fn mounts(made: &Made<'_>, units: Units) -> Option<Picture> {
    let (mut entries, usual) = entries(made, units);
    let column = |entries: &[NamedMount<'_>]| {
        let tall = [Side::Left, Side::Right].map(|side| {
            let own = entries.iter().filter(|entry| entry.side == side);
            own.map(NamedMount::room).sum::<f64>()
        });
        tall.into_iter().fold(0.0, f64::max)
    };
    if column(&entries) > TALLEST {
        for entry in &mut entries {
            entry.lines.clear();
        }
    }
    let high = column(&entries).max(LEAST);
    // As wide as a vehicle is, however close its mounts.
    let first = entries.first()?.mount.at[0];
    let mut points = vec![(-500.0, first), (500.0, first)];
    points.extend(entries.iter().map(|entry| {
        let [x, y, _] = entry.mount.at;
        (-y, x)
    }));
    let scale = Scale::fitted(&points, ((WIDE - MIDDLE) / 2.0, 0.0, MIDDLE, high));
    let mut drawing = Drawing::new(WIDE);
    outline(&mut drawing, made, (&entries, scale));
    for side in [Side::Left, Side::Right] {
        write_column(&mut drawing, (&entries, side), scale, high);
    }
    let y = high + 34.0;
    for (x, found, words) in [(14.0, false, "mount"), (78.0, true, "something found (!)")] {
        mark(&mut drawing, (x, y), found);
        drawing.words((x + 12.0, y + 4.5), words, Stand::Right);
    }
    drawing.scale((216.0, y), scale.factor, units);
    drawing.notes(8.0, y + 26.0, WIDE - 16.0);
    let usual = usual.join("; ");
    drawing.note(&format!("Where nothing else is said: {usual}."));
    let title = "The mounts from above, with the height of each block";
    Some(drawing.picture("mounts", title))
}

/// The mounts with their labels, and the bolt and torque that most of them have; a label says only what is different.
fn entries<'a>(made: &Made<'a>, units: Units) -> (Vec<NamedMount<'a>>, [String; 2]) {
    let mounts = made.job.mounts.iter().map(|(id, mount)| {
        let judged = made.assessment.links.get(&format!("mount-{id}"));
        (id, mount, label(mount, judged, units))
    });
    let mounts: Vec<_> = mounts.collect();
    let usual = [
        most(mounts.iter().map(|(.., label)| &label.bolt)),
        most(mounts.iter().map(|(.., label)| &label.torque)),
    ];
    let entries = mounts.into_iter().map(|(id, mount, label)| {
        let own = [label.bolt.clone(), label.torque.clone()];
        let other = own.into_iter().filter(|words| !usual.contains(words));
        let found = label.findings.iter().map(|words| format!("! {words}"));
        let words = other.chain(found);
        let body = made.cut.bodies.get(&mount.group);
        NamedMount {
            id,
            mount,
            side: match body {
                Some(body) => body.side_of(mount.at[1]),
                None if mount.at[1] >= 0.0 => Side::Left,
                None => Side::Right,
            },
            lines: words
                .flat_map(|text| wrapped(&text, COLUMN - 14.0))
                .collect(),
            label,
        }
    });
    (entries.collect(), usual)
}

/// What is there most often.
fn most<'a>(all: impl Iterator<Item = &'a String>) -> String {
    let mut count: BTreeMap<&str, usize> = BTreeMap::new();
    for one in all {
        *count.entry(one).or_default() += 1;
    }
    let most = count.into_iter().max_by_key(|(_, count)| *count);
    most.map_or_else(String::new, |(one, _)| one.to_owned())
}

/// A mount's place: the front is up, the left side to the left.
fn drawn_at(scale: Scale, mount: &Mount) -> At {
    scale.at(-mount.at[1], mount.at[0])
}

/// The bodies as thin outlines round their mounts, and the way to the front.
fn outline(drawing: &mut Drawing, made: &Made<'_>, (entries, scale): (&[NamedMount<'_>], Scale)) {
    let mut top = 0.0_f64;
    for raise in &made.job.lift.raise {
        let own = entries
            .iter()
            .filter(|entry| entry.mount.group == raise.group);
        let own: Vec<At> = own.map(|entry| drawn_at(scale, entry.mount)).collect();
        let end = |of: fn(&At) -> f64, pick: fn(f64, f64) -> f64| own.iter().map(of).reduce(pick);
        let corner = end(|at| at.0, f64::min).zip(end(|at| at.1, f64::min));
        let other = end(|at| at.0, f64::max).zip(end(|at| at.1, f64::max));
        let (Some((left, above)), Some((right, below))) = (corner, other) else {
            continue;
        };
        let size = (right - left, below - above);
        drawing.rectangle((left, above), size, Pen::Thin, Fill::None);
        let title = cut(made.job.part_title(&raise.group), (size.0 - 14.0) / 1.1);
        let middle = (
            f64::midpoint(left, right),
            f64::midpoint(above, below) + 4.0,
        );
        drawing.bold(middle, &title, Stand::Middle);
        top = top.min(above);
    }
    let (x, y) = (WIDE / 2.0, top - 16.0);
    drawing.line((x, y), (x, y - 20.0), Pen::Line);
    let tip = [(x - 5.0, y - 14.0), (x, y - 25.0), (x + 5.0, y - 14.0)];
    drawing.shape(&tip, Pen::Line, Fill::Black);
    drawing.words((x + 12.0, y - 10.0), "front", Stand::Right);
}

/// The labels of one side, beside their mounts and apart from one another.
fn write_column(
    drawing: &mut Drawing,
    (entries, side): (&[NamedMount<'_>], Side),
    scale: Scale,
    bottom: f64,
) {
    let mut own: Vec<&NamedMount<'_>> = entries.iter().filter(|entry| entry.side == side).collect();
    own.sort_by(|one, other| {
        let forward = other.mount.at[0].total_cmp(&one.mount.at[0]);
        forward.then(one.mount.at[1].total_cmp(&other.mount.at[1]))
    });
    let wanted = own
        .iter()
        .map(|entry| (drawn_at(scale, entry.mount).1, entry.room()));
    let wanted: Vec<(f64, f64)> = wanted.collect();
    let (x, stand, near) = match side {
        Side::Left => (COLUMN - 8.0, Stand::Left, COLUMN - 4.0),
        Side::Right => (WIDE - COLUMN + 8.0, Stand::Right, WIDE - COLUMN + 4.0),
    };
    for (entry, middle) in own.into_iter().zip(spread(&wanted, (-20.0, bottom + 20.0))) {
        let half = (entry.room() - 5.0) / 2.0;
        let at = drawn_at(scale, entry.mount);
        drawing.line((near, middle), at, Pen::Thin);
        drawing.line((near, middle - half), (near, middle + half), Pen::Line);
        mark(drawing, at, !entry.label.findings.is_empty());
        let mut y = middle - half + 11.5;
        let block = format!(": {}", entry.label.block);
        let id = cut(entry.id, COLUMN / 1.1 - 8.0 - bold_width(&block));
        let head = id + &block;
        drawing.bold((x, y), &head, stand);
        drawing.tell(&format!("{head} {}.", entry.lines.join(" ")));
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
