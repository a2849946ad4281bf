//! A lever in its floor opening: at rest and at the end of its swings, the floor before and after the lift.
//!
//! Takes the swings that were judged; draws the worst toward the right and the one against it toward the left, with the opening that the
//! worst has and needs.

use super::super::Picture;
use super::super::draw::{Fill, Pen, Scale, Stand};
use super::board::{Board, fitted};
use super::numbers::{Numbers, Worst};
use super::{Subject, title};
use crate::calc::lever::{Lever, edge_room};

/// How far the floor is drawn beyond the opening's edge, mm.
const FLOOR: f64 = 45.0;

/// The two swings of one axis: degrees from upright, positive to the right; places of the edges in mm.
struct Swings<'a> {
    worst: Lever,
    key: &'a str,
    /// Key, tilt at its end, its edge; none when only one way was measured.
    other: Option<(&'a str, f64, f64)>,
}

pub(super) fn draw(subject: &Subject<'_>, run: &Numbers<'_>, name: &str) -> Option<Picture> {
    if !run.moves() {
        return None;
    }
    let swings = swings(subject, run)?;
    let needed = run.number("aperture_needed")?;
    let extension = run.number("extension")?;
    let scale = scale(&swings.worst, &swings, extension);
    let mut board = Board::new(name, 460.0, subject.units);
    floors(&mut board, scale, &swings);
    levers(&mut board, scale, &swings, extension);
    heights(&mut board, scale, &swings, run);
    opening(&mut board, scale, &swings, run, needed)?;
    board.space();
    board.note(&format!(
        "Lever {} from pivot to knob.",
        run.print("length")?
    ));
    board.note(&format!(
        "Dashed on top: {} longer puts the knob back above the floor.",
        run.print("extension")?
    ));
    let knob = knob(&mut board, scale, &swings, subject);
    board.scale((112.0, 446.0), scale.factor);
    let says = says(run, &swings, knob.as_deref())?;
    Some(board.picture(
        &title(
            subject,
            &format!("the lever in its opening, {}", swings.key),
        ),
        &says,
    ))
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
        let lever = lever(run)?;
        let edge = lever.floor_height * lever.lean.to_radians().tan() + lever.aperture;
        Some((against, -(lever.lean + lever.throw), -edge))
    });
    Some(Swings {
        worst: lever(run)?,
        key,
        other,
    })
}

fn lever(run: &Numbers<'_>) -> Option<Lever> {
    Some(Lever {
        floor_height: run.number("floor_height")?,
        throw: run.number("throw")?,
        lean: run.number("lean")?,
        radius: run.number("radius")?,
        aperture: run.number("aperture")?,
        clearance: run.number("clearance")?,
        length: run.number("length")?,
        rise: run.number("rise")?,
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

fn scale(lever: &Lever, swings: &Swings<'_>, extension: f64) -> Scale {
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
    fitted(&points, (118.0, 24.0, 240.0, 280.0))
}

/// The floor before (dashed) and after, each side of the opening.
fn floors(board: &mut Board, scale: Scale, swings: &Swings<'_>) {
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
            board
                .drawing
                .rectangle((x, y - 3.0), (scale.length(to - from), 6.0), pen, fill);
        }
    }
    let room = edge_room(lever, lever.rise);
    if room < 0.0 {
        let (x, y) = scale.at(edge, lever.floor_height + lever.rise);
        board.drawing.rectangle(
            (x, y - 5.0),
            (scale.length(-room), 10.0),
            Pen::Line,
            Fill::Crossed,
        );
    }
}

/// The lever at its ends and at rest, the arc that its knob swings through, and its pivot.
fn levers(board: &mut Board, scale: Scale, swings: &Swings<'_>, extension: f64) {
    let lever = &swings.worst;
    let pivot = scale.at(0.0, 0.0);
    let width = scale.length(lever.radius * 2.0).max(3.0);
    let worst = lever.lean + lever.throw;
    let least = swings.other.map_or(lever.lean, |(_, tilt, _)| tilt);
    board.arc(
        pivot,
        scale.length(lever.length),
        (90.0 - worst, 90.0 - least),
        Pen::Thin,
    );
    let mut ends = vec![(swings.key, worst, Pen::Line, Stand::Right, 12.0)];
    ends.extend(
        swings
            .other
            .map(|(key, tilt, _)| (key, tilt, Pen::Thin, Stand::Left, -12.0)),
    );
    for (key, tilt, pen, stand, aside) in ends {
        let (right, up) = end(lever.length, tilt);
        let (x, y) = scale.at(right, up);
        board.strip(pivot, (x, y), width, (pen, Fill::None));
        board.drawing.circle((x, y), 7.0, pen, Fill::White);
        board.drawing.words((x + aside, y - 10.0), key, stand);
    }
    let (right, up) = end(lever.length, lever.lean);
    let top = scale.at(right, up);
    let (right, up) = end(lever.length + extension, lever.lean);
    let longer = scale.at(right, up);
    board.strip(top, longer, width, (Pen::Dashed, Fill::None));
    board.drawing.circle(longer, 7.0, Pen::Dashed, Fill::White);
    board.strip(pivot, top, width, (Pen::Line, Fill::White));
    board.drawing.circle(top, 7.0, Pen::Line, Fill::Black);
    board.drawing.circle(pivot, 4.0, Pen::Line, Fill::Black);
}

/// How high the floor stands above the pivot, and the rise, at the left.
fn heights(board: &mut Board, scale: Scale, swings: &Swings<'_>, run: &Numbers<'_>) {
    let lever = &swings.worst;
    let (_, pivot) = scale.at(0.0, 0.0);
    let (_, before) = scale.at(0.0, lever.floor_height);
    let (_, after) = scale.at(0.0, lever.floor_height + lever.rise);
    let x = 108.0;
    let middle = f64::midpoint(pivot, before) + 4.0;
    let rise = (f64::midpoint(before, after) + 4.0).min(middle - 16.0);
    for (from, to, y, name, words) in [
        (pivot, before, middle, "floor_height", "floor"),
        (before, after, rise, "rise", "rise"),
    ] {
        let words = format!("{words} {}", run.print(name).unwrap_or_default());
        board.measure((x, from), (x, to), (x - 8.0, y), Stand::Left, &words);
    }
}

/// The opening that there is and the one that is needed, on lines below the lever.
fn opening(
    board: &mut Board,
    scale: Scale,
    swings: &Swings<'_>,
    run: &Numbers<'_>,
    needed: f64,
) -> Option<()> {
    let lever = &swings.worst;
    let (from, edge) = (rest(lever), rest(lever) + lever.aperture);
    let (before, after) = (edge_room(lever, 0.0), edge_room(lever, lever.rise));
    let room = |room: f64, when: &str| {
        if room < 0.0 {
            format!("{when}: over the edge by {}", run.length(-room))
        } else {
            format!("{when}: {} free at the edge", run.length(room))
        }
    };
    board.heading(&format!("Swing {}, the worst", swings.key));
    let rows = [
        (from, edge, format!("opening {}", run.print("aperture")?)),
        (
            from,
            from + needed,
            format!(
                "needed {}{}",
                run.print("aperture_needed")?,
                run.worst("aperture_needed", Worst::Most)
            ),
        ),
        (edge - before, edge, room(before, "before")),
        (edge - after, edge, room(after, "after")),
        (
            edge - lever.clearance,
            edge,
            format!("asked: {} free", run.print("clearance")?),
        ),
    ];
    let (_, floor) = scale.at(0.0, lever.floor_height);
    let lines = [334.0, 354.0, 374.0, 394.0, 414.0];
    for (place, top) in [(from, 330.0), (edge, floor)] {
        let (x, _) = scale.at(place, 0.0);
        board.drawing.line((x, top), (x, 420.0), Pen::Thin);
    }
    board.notes_from(40.0);
    for ((left, right, words), y) in rows.into_iter().zip(lines) {
        let (left, _) = scale.at(left, 0.0);
        let (right, _) = scale.at(right, 0.0);
        let beyond = left.max(right) + 10.0;
        board.measure(
            (left, y),
            (right, y),
            (beyond.max(300.0), y + 4.5),
            Stand::Right,
            &words,
        );
    }
    Some(())
}

/// The room under the knob, where the class has it measured: drawn at the end of the worst swing.
fn knob(
    board: &mut Board,
    scale: Scale,
    swings: &Swings<'_>,
    subject: &Subject<'_>,
) -> Option<String> {
    let gap = subject
        .link
        .calculated
        .iter()
        .find(|run| run.evaluation.calc == "gap")?;
    let gap = Numbers::new(gap, subject.units);
    let (now, after) = (gap.number("gap")?, gap.number("gap_after")?);
    let (right, up) = end(swings.worst.length, swings.worst.lean + swings.worst.throw);
    let (x, y) = scale.at(right, up);
    for (gap, pen) in [(now, Pen::Dashed), (after, Pen::Bold)] {
        let y = y + scale.length(gap);
        board.drawing.line((x + 4.0, y), (x + 34.0, y), pen);
    }
    let words = format!("knob {}", gap.print("gap_after")?);
    let level = y + (scale.length(after / 2.0) + 4.0).max(8.0);
    board.measure(
        (x + 19.0, y),
        (x + 19.0, y + scale.length(after)),
        (x + 28.0, level),
        Stand::Right,
        &words,
    );
    board.space();
    let least = gap.print("least_gap")?;
    let says = format!(
        "Room under the knob: {} before, {} after; {least} is asked.",
        gap.print("gap")?,
        gap.print("gap_after")?
    );
    board.note(&says);
    Some(says)
}

fn says(run: &Numbers<'_>, swings: &Swings<'_>, knob: Option<&str>) -> Option<String> {
    let lever = &swings.worst;
    let room = |rise: f64| {
        let room = edge_room(lever, rise);
        if room < 0.0 {
            format!("strikes the edge, over it by {}", run.length(-room))
        } else {
            format!("has {} free at the edge", run.length(room))
        }
    };
    let short = if run.number("shortfall")? > 0.0 {
        format!("{} is missing", run.print("shortfall")?)
    } else {
        "that is enough".to_owned()
    };
    Some(format!(
        "Swing {}, the worst: the floor stands {} above the pivot and rises by {}. From the resting lever to the edge are {}; after the lift \
         {}{} are needed, {} of them to stay free: {short}. At the end of its swing of {} the lever {} before the lift, and {} after it. A lever {} longer \
         puts the knob back above the floor.{}",
        swings.key,
        run.print("floor_height")?,
        run.print("rise")?,
        run.print("aperture")?,
        run.print("aperture_needed")?,
        run.worst("aperture_needed", Worst::Most),
        run.print("clearance")?,
        run.print("throw")?,
        room(0.0),
        room(lever.rise),
        run.print("extension")?,
        knob.map(|knob| format!(" {knob}")).unwrap_or_default(),
    ))
}
