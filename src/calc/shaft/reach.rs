//! The rise limit of a steering shaft in closed form: when its sliding joint, its room or a joint angle first goes out of bounds.
//! Takes the shaft as it stands; how it stands at any one rise is left to the parent module.

use super::super::limit::rise_limit;
use super::{Pose, Shaft, Vector, line, unit};

/// The first rise at which the overlap, the room or a joint angle goes out of bounds.
pub(super) fn first_limit(given: &Shaft, before: &Pose) -> Option<f64> {
    let [x, y, z] = line(given, 0.0);
    let plan = x.hypot(y);
    let longest = before.length + given.overlap - given.least_overlap;
    let shortest = given.room.map_or(0.0, |room| before.length - room);
    let holds_now = given.overlap >= given.least_overlap
        && before.upper_angle <= given.joint_limit
        && before.lower_angle <= given.joint_limit;
    // The length is √(plan² + (z − rise)²): too long beyond the upper root, too short between the roots of the shortest.
    let stretch = difference_root(longest, plan) + z;
    let bottom = if shortest > plan && z > 0.0 {
        z - difference_root(shortest, plan)
    } else {
        f64::INFINITY
    };
    let upper = angle_limit(given.column_axis, [x, y, z], given.joint_limit);
    let lower = angle_limit(given.box_axis, [x, y, z], given.joint_limit);
    rise_limit(holds_now, stretch.min(bottom).min(upper).min(lower))
}

/// √(a² − b²) for a ≥ b ≥ 0, else 0.
fn difference_root(a: f64, b: f64) -> f64 {
    if a > b {
        ((a - b) * (a + b)).sqrt()
    } else {
        0.0
    }
}

/// The rise at which the angle between an axis and the shaft passes a limit, for a shaft within it now; infinite when never.
///
/// A rising upper joint turns the shaft in its own vertical plane toward straight down. With φ the shaft's slope in
/// that plane, the angle's cosine is ρ·cos(φ − φc), ρ and φc the length and slope of the axis projected into the plane.
fn angle_limit(axis: Vector, [x, y, z]: Vector, limit: f64) -> f64 {
    let plan = x.hypot(y);
    let [ax, ay, az] = unit(axis);
    if plan <= 0.0 {
        // A vertical shaft keeps its direction until its length is used up.
        return if z > 0.0 { z } else { f64::INFINITY };
    }
    let along = (ax * x + ay * y) / plan;
    let ratio = limit.to_radians().cos() / along.hypot(az);
    let half_width = if ratio < 1.0 { ratio.acos() } else { 0.0 };
    let turn = std::f64::consts::TAU;
    let slope = z.atan2(plan);
    let centre = az.atan2(along);
    // The projected slope nearest to the shaft's own: both wrap at half a turn.
    let centre = centre + turn * ((slope - centre) / turn).round();
    let last = centre - half_width;
    if last <= -std::f64::consts::FRAC_PI_2 {
        f64::INFINITY
    } else {
        z - plan * last.tan()
    }
}
