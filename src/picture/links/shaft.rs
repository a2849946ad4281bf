//! The steering intermediate shaft from the side, before and after the lift: both joint angles and the overlap of its sliding joint.
//!
//! Takes the shaft's run. The shaft stands in the upright plane through both joint centres at its true length and slope; column and box are
//! laid flat into that plane at their true joint angles, so that every angle on paper is the one that is stated.

use super::super::Picture;
use super::super::draw::{At, Fill, Pen, Scale, Stand};
use super::board::{Board, COLUMN, fitted};
use super::numbers::{Numbers, Worst};
use super::{Subject, title};

/// One pose of the shaft, mm right and up from the lower joint, degrees counter-clockwise from the right.
struct Pose {
    upper: At,
    /// The way down the shaft.
    slope: f64,
    /// The way down the column.
    column: f64,
    /// The way down the box's input.
    gearbox: f64,
    length: f64,
    overlap: f64,
}

pub(super) fn draw(subject: &Subject<'_>, run: &Numbers<'_>, name: &str) -> Option<Picture> {
    if !run.moves() {
        return None;
    }
    let before = pose(
        run,
        0.0,
        (
            "length_before",
            "upper_angle_before",
            "lower_angle_before",
            "overlap",
        ),
    )?;
    let after = pose(
        run,
        run.number("rise")?,
        ("length_after", "upper_angle", "lower_angle", "overlap_left"),
    )?;
    let reach = after.length * 0.2;
    let mut points = vec![(0.0, 0.0), before.upper, after.upper];
    for pose in [&before, &after] {
        points.push(along(pose.upper, pose.column, -reach));
        points.push(along((0.0, 0.0), pose.gearbox, reach));
    }
    // Room at the left for the words of the rise, which stand beside the upper joint.
    let scale = fitted(&points, (118.0, 30.0, 294.0, 262.0));
    let mut board = Board::new(name, 346.0, subject.units);
    // As long as the sliding joint's tube is drawn: it goes by no measurement, and is the same before and after.
    let tube = before.length * 0.45 + before.overlap / 2.0;
    one(&mut board, scale, &before, (tube, reach), false);
    one(&mut board, scale, &after, (tube, reach), true);
    joints(&mut board, scale, &after, run);
    board.scale((16.0, 328.0), scale.factor);
    notes(&mut board, run)?;
    Some(board.picture(&title(subject, "its shaft from the side"), &says(run)?))
}

fn pose(
    run: &Numbers<'_>,
    rise: f64,
    (length, upper, lower, overlap): (&str, &str, &str, &str),
) -> Option<Pose> {
    let [ux, uy, uz] = run.vector("upper")?;
    let [lx, ly, lz] = run.vector("lower")?;
    let (plan, up) = ((lx - ux).hypot(ly - uy), uz - lz + rise);
    let slope = (-up).atan2(plan).to_degrees();
    let flat = |name: &str| {
        let [x, y, z] = run.vector(name)?;
        let ahead = if plan > 0.0 {
            (x * (lx - ux) + y * (ly - uy)) / plan
        } else {
            x.hypot(y)
        };
        Some(z.atan2(ahead).to_degrees())
    };
    // To the side of the shaft on which the axis stands in the shaft's own plane.
    let side = |axis: f64| if axis < slope { -1.0 } else { 1.0 };
    Some(Pose {
        upper: (-plan, up),
        slope,
        column: slope + side(flat("column_axis")?) * run.number(upper)?,
        gearbox: slope + side(flat("box_axis")?) * run.number(lower)?,
        length: run.number(length)?,
        overlap: run.number(overlap)?,
    })
}

/// The place so far along a direction.
fn along((x, y): At, direction: f64, far: f64) -> At {
    let (sin, cos) = direction.to_radians().sin_cos();
    (x + far * cos, y + far * sin)
}

/// Column, rod, tube and box of one pose, with the arcs of both joint angles.
fn one(board: &mut Board, scale: Scale, pose: &Pose, (tube, reach): (f64, f64), lifted: bool) {
    let place = |(x, y): At| scale.at(x, y);
    let lower = (0.0, 0.0);
    let (pen, thick) = if lifted {
        (Pen::Line, Pen::Bold)
    } else {
        (Pen::Dashed, Pen::Dashed)
    };
    let column = place(along(pose.upper, pose.column, -reach));
    let gearbox = place(along(lower, pose.gearbox, reach));
    board.drawing.line(column, place(pose.upper), thick);
    board.drawing.line(place(lower), gearbox, thick);
    let rod = pose.length - tube + pose.overlap;
    board.strip(
        place(pose.upper),
        place(along(pose.upper, pose.slope, rod)),
        5.0,
        (pen, Fill::None),
    );
    board.strip(
        place(along(lower, pose.slope, -tube)),
        place(lower),
        11.0,
        (pen, Fill::None),
    );
    if lifted && pose.overlap > 0.0 {
        let mouth = along(lower, pose.slope, -tube);
        board.strip(
            place(mouth),
            place(along(mouth, pose.slope, pose.overlap)),
            11.0,
            (Pen::Line, Fill::Crossed),
        );
    }
    let radius = if lifted { 58.0 } else { 44.0 };
    let length = radius + 8.0;
    for (joint, axis) in [(pose.upper, pose.column), (lower, pose.slope)] {
        let (x, y) = place(joint);
        let (sin, cos) = axis.to_radians().sin_cos();
        board
            .drawing
            .line((x, y), (x + length * cos, y - length * sin), Pen::Thin);
    }
    board.arc(place(pose.upper), radius, (pose.slope, pose.column), pen);
    board.arc(place(lower), radius, (pose.slope, pose.gearbox), pen);
    for joint in [pose.upper, lower] {
        board.drawing.circle(place(joint), 6.0, pen, Fill::White);
    }
}

/// The names of the joints, and the rise between the two places of the upper one.
fn joints(board: &mut Board, scale: Scale, after: &Pose, run: &Numbers<'_>) {
    let rise = run.number("rise").unwrap_or_default();
    let (x, top) = scale.at(after.upper.0, after.upper.1);
    let (_, bottom) = scale.at(after.upper.0, after.upper.1 - rise);
    let words = format!("rise {}", run.print("rise").unwrap_or_default());
    board
        .drawing
        .words((x + 12.0, top - 10.0), "upper joint", Stand::Right);
    // Beside the lower of the two, clear of the column above it.
    let at = (x - 20.0, bottom + 5.0);
    board.measure((x - 14.0, bottom), (x - 14.0, top), at, Stand::Left, &words);
    let (x, y) = scale.at(0.0, 0.0);
    board
        .drawing
        .words((x - 14.0, y + 18.0), "lower joint", Stand::Left);
}

/// The angles, the overlap as bars, and the length.
fn notes(board: &mut Board, run: &Numbers<'_>) -> Option<()> {
    board.heading("Joint angles");
    for (joint, before, after) in [
        ("upper", "upper_angle_before", "upper_angle"),
        ("lower", "lower_angle_before", "lower_angle"),
    ] {
        board.note(&format!(
            "{joint}: {} before, {} after{}",
            run.print(before)?,
            run.print(after)?,
            run.worst(after, Worst::Most)
        ));
    }
    board.note(&format!("at most {} each", run.print("joint_limit")?));
    board.space();
    board.heading("Overlap of the sliding joint");
    board.space();
    let overlaps = [
        ("overlap", "before", Pen::Dashed, Fill::None),
        ("overlap_left", "after", Pen::Line, Fill::Crossed),
        ("least_overlap", "asked", Pen::Line, Fill::None),
    ];
    let widest = overlaps
        .iter()
        .filter_map(|(name, ..)| run.number(name))
        .fold(10.0, f64::max);
    let factor = 90.0 / widest;
    for (name, when, pen, fill) in overlaps {
        let number = run.number(name)?;
        let words = if number < 0.0 {
            format!("{when}: apart by {}", run.length(-number))
        } else {
            format!("{when} {}", run.print(name)?)
        };
        let y = board.next();
        board.bar(
            (COLUMN, y),
            number.abs() * factor,
            (pen, if number < 0.0 { Fill::None } else { fill }),
            &words,
        );
        board.notes_from(y + 25.0);
    }
    let y = board.next();
    board.scale((COLUMN, y), factor);
    board.notes_from(y + 30.0);
    board.note(&format!(
        "{} long, then {}",
        run.print("length_before")?,
        run.print("length_after")?
    ));
    Some(())
}

fn says(run: &Numbers<'_>) -> Option<String> {
    let left = run.number("overlap_left")?;
    let left = if left < 0.0 {
        format!("comes apart by {}", run.length(-left))
    } else {
        format!("overlaps by {}", run.print("overlap_left")?)
    };
    Some(format!(
        "The upper joint rises by {}; the shaft is {} long before and {} after. The upper joint stands at {} before and {} after{}, the lower at {} before and {} \
         after{}; at most {} each. The sliding joint overlaps by {} before and {left} after{}; at least {} is asked. Column and box are laid flat into the \
         picture, each at its true joint angle.",
        run.print("rise")?,
        run.print("length_before")?,
        run.print("length_after")?,
        run.print("upper_angle_before")?,
        run.print("upper_angle")?,
        run.worst("upper_angle", Worst::Most),
        run.print("lower_angle_before")?,
        run.print("lower_angle")?,
        run.worst("lower_angle", Worst::Most),
        run.print("joint_limit")?,
        run.print("overlap")?,
        run.worst("overlap_left", Worst::Least),
        run.print("least_overlap")?,
    ))
}
