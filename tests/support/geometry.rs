//! Raising a body as rigid-body motion, worked out anew and without the program's code: rotation matrices about the mounts
//! that stay down, for every pose of the work.
//!
//! The raised side goes up until every one of its mounts has its block's height and the insertion clearance (`common practice`: a
//! block must go in at each of them); the body turns about the outermost mounts of the other side, since no other point of
//! that side stays down.

use nalgebra::{Isometry3, Point3, Translation3, Unit, UnitQuaternion, Vector3};

use super::vehicle::{Body, Mount, Point, Vehicle};

/// The least insertion clearance, mm (`common practice`).
const CLEARANCE: f64 = 15.0;

/// Where a body is at one moment of the work.
pub(crate) type Pose = Isometry3<f64>;

fn point(at: Point) -> Point3<f64> {
    Point3::new(at[0], at[1], at[2])
}

fn moved(pose: &Pose, at: Point) -> Point3<f64> {
    pose * point(at)
}

/// The poses at which a body rests: before the lift and after it.
pub(crate) fn at_rest(spacer: f64) -> [Pose; 2] {
    [Pose::identity(), Translation3::new(0.0, 0.0, spacer).into()]
}

/// The poses of a body on its way, all blocks of one height.
pub(crate) fn on_the_way(vehicle: &Vehicle, body: &Body) -> Vec<Pose> {
    let clearance = vehicle.clearance.unwrap_or(CLEARANCE);
    let firsts: &[bool] = match body.first_side {
        "left" => &[true],
        "right" => &[false],
        _ => &[true, false],
    };
    let mut poses = Vec::new();
    for &first_is_left in firsts {
        poses.push(tipped(body, first_is_left, 0.0, vehicle.spacer + clearance));
        poses.push(tipped(
            body,
            !first_is_left,
            vehicle.spacer,
            vehicle.spacer + clearance,
        ));
    }
    poses
}

/// The body standing `base` up on one side, the other side held so that each of its mounts is at least `target` up.
fn tipped(body: &Body, left_up: bool, base: f64, target: f64) -> Pose {
    let middle = 0.5 * (extreme(body, f64::max) + extreme(body, f64::min));
    let (up, down): (Vec<&Mount>, Vec<&Mount>) = body
        .mounts
        .iter()
        .partition(|mount| (mount.at[1] >= middle) == left_up);
    let (hinge, axis) = hinge_line(&down);
    let sign = if left_up { 1.0 } else { -1.0 };
    let turned = |angle: f64| {
        let rotation = UnitQuaternion::from_axis_angle(&axis, sign * angle);
        let about = Translation3::from(hinge.coords) * rotation * Translation3::from(-hinge.coords);
        Translation3::new(0.0, 0.0, base) * about
    };
    let least = |angle: f64| {
        let pose = turned(angle);
        let rises = up
            .iter()
            .map(|mount| moved(&pose, mount.at).z - mount.at[2]);
        rises.fold(f64::INFINITY, f64::min)
    };
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..80 {
        let angle = 0.5 * (low + high);
        if least(angle) < target {
            low = angle;
        } else {
            high = angle;
        }
    }
    turned(high)
}

/// The line from the rearmost to the frontmost of the outermost mounts, or straight ahead from the only one.
fn hinge_line(mounts: &[&Mount]) -> (Point3<f64>, Unit<Vector3<f64>>) {
    let out = mounts
        .iter()
        .map(|mount| mount.at[1].abs())
        .fold(0.0, f64::max);
    let mut line: Vec<Point3<f64>> = mounts
        .iter()
        .filter(|mount| mount.at[1].abs() == out)
        .map(|mount| point(mount.at))
        .collect();
    line.sort_by(|a, b| a.x.total_cmp(&b.x));
    let (rear, front) = (line[0], line[line.len() - 1]);
    let axis = if front.x > rear.x {
        front - rear
    } else {
        Vector3::x()
    };
    (rear, Unit::new_normalize(axis))
}

fn extreme(body: &Body, pick: fn(f64, f64) -> f64) -> f64 {
    body.mounts
        .iter()
        .map(|mount| mount.at[1])
        .reduce(pick)
        .unwrap()
}

/// How far a fixing on one group and one on another are pulled apart in the worst pose, mm. A group is a body or, when none,
/// the chassis.
pub(crate) fn worst_growth(
    vehicle: &Vehicle,
    (one, at_one): (Option<&Body>, Point),
    (other, at_other): (Option<&Body>, Point),
) -> f64 {
    let rest = |body: Option<&Body>| match body {
        Some(_) => at_rest(vehicle.spacer).to_vec(),
        None => vec![Pose::identity()],
    };
    let way = |body: Option<&Body>| {
        body.map(|body| on_the_way(vehicle, body))
            .unwrap_or_default()
    };
    let before = (point(at_one) - point(at_other)).norm();
    let mut worst = 0.0_f64;
    let mut take = |a: &[Pose], b: &[Pose]| {
        for a in a {
            for b in b {
                let apart = (moved(a, at_one) - moved(b, at_other)).norm();
                worst = worst.max(apart - before);
            }
        }
    };
    take(&rest(one), &rest(other));
    take(&way(one), &rest(other));
    take(&rest(one), &way(other));
    worst
}
