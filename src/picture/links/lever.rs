//! A lever in its floor opening: at rest and at the end of its swings, the floor before and after the lift.
//!
//! Takes the swings that were judged; draws the worst toward the right and the one against it toward the left, with the opening that the
//! worst has and needs.

use super::super::draw::{At, Drawing, Fill, Pen, Scale};
use super::Subject;
use super::numbers::Numbers;
use crate::calc::lever::{Lever, edge_room, given};

/// How far the floor is drawn beyond the opening's edge, mm.
const FLOOR: f64 = 45.0;

/// The two swings of one axis: degrees from upright, positive to the right; places of the edges in mm.
struct Swings<'a> {
    worst: Lever,
    key: &'a str,
    /// Key, tilt at its end, its edge; none when only one way was measured.
    other: Option<(&'a str, f64, f64)>,
}

pub(super) fn draw(
    subject: &Subject<'_>,
    run: &Numbers<'_>,
    drawing: &mut Drawing,
) -> Option<String> {
    let swings = swings(subject, run)?;
    let extension = run.number("extension")?;
    let scale = scale(&swings, extension);
    floors(drawing, scale, &swings);
    levers(drawing, scale, &swings, extension);
    heights(drawing, scale, &swings, run)?;
    let foot = opening(drawing, scale, &swings, run)?;
    drawing.heading(&format!("Swing {}, the worst", swings.key));
    drawing.note(&run.say("Lever {length} from pivot to knob.")?);
    drawing
        .note(&run.say("Dashed on top: {extension} longer puts the knob back above the floor.")?);
    knob(drawing, scale, &swings, subject);
    drawing.scale((112.0, foot), scale.factor, subject.units);
    Some(format!("the lever in its opening, {}", swings.key))
}

fn swings<'a>(subject: &'a Subject<'_>, run: &'a Numbers<'_>) -> Option<Swings<'a>> {
    let key = run.key().unwrap_or("the swing");
    let against = match key {
        "fore" => "aft",
        "aft" => "fore",
        "left" => "right",
        "right" => "left",
        _ => "",
    };
    let other = subject.runs.iter().find(|run| run.key() == Some(against));
    let other = other.and_then(|run| {
        let lever = given(&run.inputs()).ok()?;
        let edge = rest(&lever) + lever.aperture;
        Some((against, -(lever.lean + lever.throw), -edge))
    });
    Some(Swings {
        worst: given(&run.inputs()).ok()?,
        key,
        other,
    })
}

/// Where a line from the pivot at a tilt ends, mm.
fn end(length: f64, tilt: f64) -> (f64, f64) {
    let (sin, cos) = tilt.to_radians().sin_cos();
    (length * sin, length * cos)
}

fn rest(lever: &Lever) -> f64 {
    lever.floor_height * lever.lean.to_radians().tan()
}

fn scale(swings: &Swings<'_>, extension: f64) -> Scale {
    let lever = &swings.worst;
    let edge = rest(lever) + lever.aperture + FLOOR;
    let mut points = vec![
        (0.0, 0.0),
        end(lever.length + extension, lever.lean),
        end(lever.length, lever.lean + lever.throw),
        (edge, lever.floor_height),
    ];
    if let Some((_, tilt, edge)) = swings.other {
        points.extend([end(lever.length, tilt), (edge - FLOOR, lever.floor_height)]);
    }
    Scale::fitted(&points, (118.0, 24.0, 240.0, 280.0))
}

/// The floor before (dashed) and after, each side of the opening.
fn floors(drawing: &mut Drawing, scale: Scale, swings: &Swings<'_>) {
    let lever = &swings.worst;
    let edge = rest(lever) + lever.aperture;
    let mut sides = vec![(edge, edge + FLOOR)];
    sides.extend(swings.other.map(|(.., edge)| (edge - FLOOR, edge)));
    for (from, to) in sides {
        for (height, pen, fill) in [
            (lever.floor_height, Pen::Dashed, Fill::None),
            (lever.floor_height + lever.rise, Pen::Line, Fill::Hatched),
        ] {
            let (x, y) = scale.at(from, height);
            drawing.rectangle((x, y - 3.0), (scale.length(to - from), 6.0), pen, fill);
        }
    }
    let room = edge_room(lever, lever.rise);
    if room < 0.0 {
        let (x, y) = scale.at(edge, lever.floor_height + lever.rise);
        let size = (scale.length(-room), 10.0);
        drawing.rectangle((x, y - 5.0), size, Pen::Line, Fill::Crossed);
    }
}

/// The lever at its ends and at rest, the arc that its knob swings through, and its pivot.
fn levers(drawing: &mut Drawing, scale: Scale, swings: &Swings<'_>, extension: f64) {
    let lever = &swings.worst;
    let pivot = scale.at(0.0, 0.0);
    let width = scale.length(lever.radius * 2.0).max(3.0);
    let worst = lever.lean + lever.throw;
    let least = swings.other.map_or(lever.lean, |(_, tilt, _)| tilt);
    let radius = scale.length(lever.length);
    drawing.arc(pivot, radius, (90.0 - worst, 90.0 - least), Pen::Thin);
    let mut ends = vec![(swings.key, worst, Pen::Line)];
    ends.extend(swings.other.map(|(key, tilt, _)| (key, tilt, Pen::Thin)));
    let place = |length: f64, tilt: f64| {
        let (right, up) = end(length, tilt);
        scale.at(right, up)
    };
    for (key, tilt, pen) in ends {
        let at = place(lever.length, tilt);
        drawing.strip(pivot, at, width, (pen, Fill::None));
        drawing.circle(at, 7.0, pen, Fill::White);
        drawing.label(at, (3.0, 3.0), key);
    }
    let top = place(lever.length, lever.lean);
    let longer = place(lever.length + extension, lever.lean);
    drawing.strip(top, longer, width, (Pen::Dashed, Fill::None));
    drawing.circle(longer, 7.0, Pen::Dashed, Fill::White);
    drawing.strip(pivot, top, width, (Pen::Line, Fill::White));
    drawing.circle(top, 7.0, Pen::Line, Fill::Black);
    drawing.circle(pivot, 4.0, Pen::Line, Fill::Black);
}

/// How high the floor stands above the pivot, and the rise, at the left.
fn heights(
    drawing: &mut Drawing,
    scale: Scale,
    swings: &Swings<'_>,
    run: &Numbers<'_>,
) -> Option<()> {
    let lever = &swings.worst;
    let [pivot, before, after] = [0.0, lever.floor_height, lever.floor_height + lever.rise]
        .map(|up| (108.0, scale.at(0.0, up).1));
    drawing.measure("length", pivot, before, &run.say("floor {floor_height}")?);
    drawing.measure("length", before, after, &run.say("rise {rise}")?);
    Some(())
}

/// The opening that there is and the one that is needed, on lines below the lever; gives the height below them.
fn opening(
    drawing: &mut Drawing,
    scale: Scale,
    swings: &Swings<'_>,
    run: &Numbers<'_>,
) -> Option<f64> {
    let lever = &swings.worst;
    let (from, edge) = (rest(lever), rest(lever) + lever.aperture);
    let room = |room: f64, when: &str| {
        let words = if room < 0.0 {
            format!("{when}: over the edge by {}", run.length(-room))
        } else {
            format!("{when}: {} free at the edge", run.length(room))
        };
        (edge - room, edge, words)
    };
    let needed = run.number("aperture_needed")?;
    let rows = [
        (from, edge, run.say("opening {aperture}")?),
        (from, from + needed, run.say("needed {aperture_needed+}")?),
        room(edge_room(lever, 0.0), "before"),
        room(edge_room(lever, lever.rise), "after"),
        (
            edge - lever.clearance,
            edge,
            run.say("asked: {clearance} free")?,
        ),
    ];
    let x = |mm: f64| scale.at(mm, 0.0).0;
    let (_, floor) = scale.at(0.0, lever.floor_height);
    let top = scale.at(0.0, 0.0).1 + 14.0;
    let ends = rows.iter().map(|(left, right, _)| x(*left).max(x(*right)));
    let words = ends.fold(x(edge), f64::max) + 12.0;
    let mut y = top;
    for (left, right, line) in rows {
        y += 20.0;
        let ends = ((x(left), y), (x(right), y));
        drawing.measure_at("length", ends, &line, (words, y + 4.5));
    }
    for (place, from) in [(from, top), (edge, floor)] {
        drawing.line((x(place), from), (x(place), y + 6.0), Pen::Thin);
    }
    Some(y + 32.0)
}

/// The room under the knob, where the class has it measured: drawn at the end of the worst swing.
fn knob(
    drawing: &mut Drawing,
    scale: Scale,
    swings: &Swings<'_>,
    subject: &Subject<'_>,
) -> Option<()> {
    let gap = Numbers::of(subject.link, "gap", subject.units)?;
    let (now, after) = (gap.number("gap")?, gap.number("gap_after")?);
    let (right, up) = end(swings.worst.length, swings.worst.lean + swings.worst.throw);
    let (x, y) = scale.at(right, up);
    for (gap, pen) in [(now, Pen::Dashed), (after, Pen::Bold)] {
        let y = y + scale.length(gap);
        drawing.line((x + 14.0, y), (x + 36.0, y), pen);
    }
    let [from, to]: [At; 2] = [y, y + scale.length(after)].map(|y| (x + 25.0, y));
    drawing.measure("length", from, to, &gap.say("knob {gap_after}")?);
    drawing.space(9.0);
    drawing.note(
        &gap.say("Room under the knob: {gap} before, {gap_after} after; {least_gap} is asked.")?,
    );
    Some(())
}
