//! The steering intermediate shaft from the side, before and after the lift: both joint angles and the overlap of its sliding joint.
//!
//! Takes the shaft's run. The shaft stands in the upright plane through both joint centres at its true length and slope; column and box are
//! laid flat into that plane at their true joint angles, so that every angle on paper is the one that is stated.

use super::super::draw::{At, Drawing, Fill, Pen, Scale};
use super::numbers::Numbers;
use super::{COLUMN, Subject};

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

pub(super) fn draw(
    subject: &Subject<'_>,
    run: &Numbers<'_>,
    drawing: &mut Drawing,
) -> Option<String> {
    let of_old = [
        "length_before",
        "upper_angle_before",
        "lower_angle_before",
        "overlap",
    ];
    let of_new = ["length_after", "upper_angle", "lower_angle", "overlap_left"];
    let before = pose(run, 0.0, of_old)?;
    let after = pose(run, run.number("rise")?, of_new)?;
    let reach = after.length * 0.2;
    let mut points = vec![(0.0, 0.0), before.upper, after.upper];
    for pose in [&before, &after] {
        points.push(along(pose.upper, pose.column, -reach));
        points.push(along((0.0, 0.0), pose.gearbox, reach));
    }
    // Room at the left for the words of the rise.
    let scale = Scale::fitted(&points, (118.0, 30.0, 294.0, 262.0));
    // As long as the sliding joint's tube is drawn: it goes by no measurement, and is the same before and after.
    let tube = before.length * 0.45 + before.overlap / 2.0;
    draw_pose(drawing, scale, &before, (tube, reach), false);
    draw_pose(drawing, scale, &after, (tube, reach), true);
    let upper = scale.at(after.upper.0, after.upper.1);
    let old = scale.at(before.upper.0, before.upper.1);
    let [from, to] = [old.1, upper.1].map(|y| (old.0 - 14.0, y));
    drawing.measure("length", from, to, &run.say("rise {rise}")?);
    drawing.label(upper, (8.0, 8.0), "upper joint");
    drawing.label(scale.at(0.0, 0.0), (8.0, 8.0), "lower joint");
    drawing.scale((16.0, 328.0), scale.factor, subject.units);
    notes(drawing, run, subject)?;
    Some("its shaft from the side".to_owned())
}

fn pose(run: &Numbers<'_>, rise: f64, [length, upper, lower, overlap]: [&str; 4]) -> Option<Pose> {
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
fn draw_pose(
    drawing: &mut Drawing,
    scale: Scale,
    pose: &Pose,
    (tube, reach): (f64, f64),
    lifted: bool,
) {
    let place = |(x, y): At| scale.at(x, y);
    let lower = (0.0, 0.0);
    let (pen, thick, radius) = if lifted {
        (Pen::Line, Pen::Bold, 58.0)
    } else {
        (Pen::Dashed, Pen::Dashed, 44.0)
    };
    let column = place(along(pose.upper, pose.column, -reach));
    let gearbox = place(along(lower, pose.gearbox, reach));
    drawing.line(column, place(pose.upper), thick);
    drawing.line(place(lower), gearbox, thick);
    let rod = along(pose.upper, pose.slope, pose.length - tube + pose.overlap);
    drawing.strip(place(pose.upper), place(rod), 5.0, (pen, Fill::None));
    let mouth = along(lower, pose.slope, -tube);
    drawing.strip(place(mouth), place(lower), 11.0, (pen, Fill::None));
    if lifted && pose.overlap > 0.0 {
        let end = along(mouth, pose.slope, pose.overlap);
        drawing.strip(place(mouth), place(end), 11.0, (Pen::Line, Fill::Crossed));
    }
    for (joint, axis, other) in [
        (pose.upper, pose.column, pose.slope),
        (lower, pose.slope, pose.gearbox),
    ] {
        let (x, y) = place(joint);
        let (sin, cos) = axis.to_radians().sin_cos();
        let end = (x + (radius + 8.0) * cos, y - (radius + 8.0) * sin);
        drawing.line((x, y), end, Pen::Thin);
        drawing.arc((x, y), radius, (axis, other), pen);
        drawing.circle((x, y), 6.0, pen, Fill::White);
    }
}

/// The angles, the overlap as bars, and the length.
fn notes(drawing: &mut Drawing, run: &Numbers<'_>, subject: &Subject<'_>) -> Option<()> {
    drawing.heading("Joint angles");
    for words in [
        "upper: {upper_angle_before} before, then {upper_angle+}",
        "lower: {lower_angle_before} before, then {lower_angle+}",
        "at most {joint_limit} each",
    ] {
        drawing.note(&run.say(words)?);
    }
    drawing.space(9.0);
    drawing.heading("Overlap of the sliding joint");
    drawing.space(9.0);
    let overlaps = [
        ("overlap", "before", Pen::Dashed, Fill::None),
        ("overlap_left", "after", Pen::Line, Fill::Crossed),
        ("least_overlap", "asked", Pen::Line, Fill::None),
    ];
    let numbers = overlaps.iter().filter_map(|(name, ..)| run.number(name));
    let factor = 90.0 / numbers.fold(10.0, f64::max);
    for (name, when, pen, fill) in overlaps {
        let number = run.number(name)?;
        let (words, fill) = if number < 0.0 {
            (
                format!("{when}: apart by {}", run.length(-number)),
                Fill::None,
            )
        } else {
            (format!("{when} {}", run.print(name)?), fill)
        };
        let (y, long) = (drawing.next(), number.abs() * factor);
        drawing.rectangle((COLUMN, y - 11.0), (long, 9.0), pen, fill);
        let ends = ((COLUMN, y + 3.0), (COLUMN + long, y + 3.0));
        drawing.measure_at("length", ends, &words, (COLUMN + long + 9.0, y));
        drawing.space(25.0);
    }
    drawing.scale((COLUMN, drawing.next()), factor, subject.units);
    drawing.space(30.0);
    drawing.note(&run.say("{length_before} long, then {length_after}")?);
    drawing.note("Column and box are laid flat into the picture, each at its true joint angle.");
    Some(())
}
