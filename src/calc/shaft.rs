//! The steering intermediate shaft: two Hooke (Cardan) joints and a sliding joint between column and box. Takes where the
//! joints and axes stand; gives length, joint angles and, when the phase of the yokes is known, how unevenly the box turns,
//! before and after the lift. The upper joint rides with the body, the lower with the chassis. Which angle or unevenness
//! is too much is left to the rule: no published limit was found for steering joints.

use super::CalcError;

mod adapt;
mod reach;

pub(super) use adapt::CALCULATION;
pub(crate) use adapt::given;

/// The steepest joint angle for which the calculation answers, degrees.
const STEEPEST: f64 = 80.0;
/// Below this sine a joint counts as straight, and the twist between the joint planes has no meaning.
const STRAIGHT: f64 = 1e-9;

/// A place or direction: x forward, y left, z up.
pub type Vector = [f64; 3];

/// A steering intermediate shaft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shaft {
    /// Joint centre on the column, mm.
    pub upper: Vector,
    /// Joint centre on the box, mm.
    pub lower: Vector,
    /// Direction of the column, down the drive; any length.
    pub column_axis: Vector,
    /// Direction of the box's input, down the drive; any length.
    pub box_axis: Vector,
    /// Overlap of the sliding joint now, mm.
    pub overlap: f64,
    /// Overlap that must be left, mm.
    pub least_overlap: f64,
    /// Travel left before it bottoms, mm.
    pub room: Option<f64>,
    /// Largest joint angle allowed, degrees, at most 80.
    pub joint_limit: f64,
    /// Angle from the upper to the lower yoke of the shaft, right-handed about upper→lower, degrees.
    pub phase: Option<f64>,
    /// The rise, mm.
    pub rise: f64,
}

/// How a shaft stands at one rise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Joint centre to joint centre, mm.
    pub length: f64,
    /// Angle between column and shaft, degrees.
    pub upper_angle: f64,
    /// Angle between shaft and box axis, degrees.
    pub lower_angle: f64,
    /// Angle about upper→lower from the plane of the upper joint to that of the lower, degrees; 0 when either is straight.
    pub twist: f64,
    /// How unevenly the box turns; none when the phase is not known.
    pub speed: Option<Speed>,
}

/// Speed of the box over the speed of the column through one turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speed {
    /// Largest ratio, at least 1.
    pub most: f64,
    /// Least ratio: 1/most.
    pub least: f64,
    /// Angle of the one joint that would be as uneven, degrees.
    pub residual_angle: f64,
}

/// How the box turns for two joints at β₁ and β₂ (degrees) with ε degrees between the planes of the joints and their yokes.
///
/// With q = [cos²ε·(cos²β₁ + cos²β₂) + sin²ε·(1 + cos²β₁·cos²β₂)]/(2·cos β₁·cos β₂), most = q + √(q² − 1), least = 1/most. One
/// joint at β swings between cos β and 1/cos β; equal angles in plane and in phase cancel. Range: 0 ≤ β < 90. Source: the
/// displacement of a Hooke joint, tan θ₂ = tan θ₁·cos β, taken twice.
///
/// ```
/// use liftsheet::calc::shaft::speed;
/// let one = speed(20.0, 0.0, 0.0);
/// assert!((one.least - 0.939_693).abs() < 5e-7 && (one.most - 1.064_178).abs() < 5e-7);
/// assert!((speed(20.0, 20.0, 0.0).most - 1.0).abs() < 1e-12);
/// ```
pub fn speed(upper_angle: f64, lower_angle: f64, epsilon: f64) -> Speed {
    let (c1, c2) = (
        upper_angle.to_radians().cos(),
        lower_angle.to_radians().cos(),
    );
    let (sin, cos) = epsilon.to_radians().sin_cos();
    // q − 1, written so that nothing cancels where the joints do.
    let across = 1.0 - c1 * c2;
    let w = (cos * cos * (c1 - c2) * (c1 - c2) + sin * sin * across * across) / (2.0 * c1 * c2);
    let over_one = w + (w * (w + 2.0)).sqrt();
    let most = 1.0 + over_one;
    Speed {
        most,
        least: 1.0 / most,
        residual_angle: (over_one * (over_one + 2.0)).sqrt().atan().to_degrees(),
    }
}

/// Speed of the box over the speed of the column at one place of the turn, angles in degrees as for [`speed`].
///
/// `turn` is how far the column has turned from where the upper joint alone turns slowest. First joint: tan θ₂ = tan θ₁·cos β₁,
/// ratio cos β₁/(1 − sin²β₁·sin²θ₁); the second starts a quarter turn on and ε behind: ratio cos β₂/(1 − sin²β₂·cos²(θ₂ − ε)).
/// The product is the ratio. Range: 0 ≤ β < 90. Source: the displacement of a Hooke joint, taken twice.
///
/// ```
/// use liftsheet::calc::shaft::ratio;
/// assert!((ratio(20.0, 0.0, 0.0, 0.0) - 0.939_693).abs() < 5e-7);
/// assert!((ratio(20.0, 0.0, 0.0, 90.0) - 1.064_178).abs() < 5e-7);
/// assert!((ratio(20.0, 20.0, 0.0, 33.0) - 1.0).abs() < 1e-12);
/// ```
pub fn ratio(upper_angle: f64, lower_angle: f64, epsilon: f64, turn: f64) -> f64 {
    let (s1, c1) = upper_angle.to_radians().sin_cos();
    let (s2, c2) = lower_angle.to_radians().sin_cos();
    let (sin, cos) = turn.to_radians().sin_cos();
    let first = c1 / (1.0 - s1 * s1 * sin * sin);
    let between = (sin * c1).atan2(cos) - epsilon.to_radians();
    let second = c2 / (1.0 - s2 * s2 * between.cos().powi(2));
    first * second
}

/// How a shaft stands before and after the lift.
///
/// Lengths in mm, angles in degrees; β₁ and β₂ are the angles column–shaft and shaft–box; twist is the angle about upper→lower from
/// column × shaft to shaft × box (0 when either joint is straight), and ε = twist − phase goes into [`speed`].
/// Fails when the joint centres fall together, an axis has no direction or points up the drive, or a joint stands at over 80°,
/// now or after the lift. Source: vector geometry, and [`speed`].
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let shaft = find("shaft").unwrap();
/// let given = read_inputs(shaft, &[
///     "upper=0,0,0", "lower=300,0,-400", "column_axis=3,0,-4", "box_axis=3,0,-4", "overlap=60", "least_overlap=30",
///     "joint_limit=30", "phase=0", "rise=50",
/// ]).unwrap();
/// let found = evaluate(shaft, &given).unwrap();
/// assert_eq!(found.number("length_before"), Some(500.0));
/// assert!((found.number("growth").unwrap() - 40.833).abs() < 5e-4);
/// assert!((found.number("speed_ratio_max").unwrap() - 1.0).abs() < 1e-9);
/// ```
pub(super) fn poses(given: &Shaft) -> Result<[Pose; 2], CalcError> {
    check_axis("column_axis", given.column_axis)?;
    check_axis("box_axis", given.box_axis)?;
    let before = pose(given, 0.0);
    check_pose(&before, None)?;
    let after = pose(given, given.rise);
    check_pose(&after, Some(given.rise))?;
    Ok([before, after])
}

fn check_axis(name: &str, axis: Vector) -> Result<(), CalcError> {
    if length(axis) > 0.0 {
        Ok(())
    } else {
        let allowed = "a direction down the drive such as `1,0,-1`";
        Err(CalcError::new(name, "0, 0, 0", allowed))
    }
}

/// Refuses a pose that no steering shaft takes; `lifted` is the rise it comes from, or none for the shaft as it stands.
fn check_pose(pose: &Pose, lifted: Option<f64>) -> Result<(), CalcError> {
    let at = lifted.map_or_else(String::new, |rise| format!(" at a rise of {rise} mm"));
    if pose.length.is_nan() || pose.length <= 0.0 {
        let shown = format!("where both joint centres fall together{at}");
        let allowed = "joint centres that are apart";
        return Err(CalcError::new(
            if lifted.is_some() { "rise" } else { "lower" },
            shown,
            allowed,
        ));
    }
    for (axis, angle) in [
        ("column_axis", pose.upper_angle),
        ("box_axis", pose.lower_angle),
    ] {
        let given = format!("{angle:.1}° from the shaft{at}");
        if angle > 90.0 {
            let allowed = "a direction down the drive; this axis points up the drive";
            return Err(CalcError::new(axis, given, allowed));
        }
        if angle > STEEPEST {
            return Err(CalcError::new(axis, given, "a joint angle up to 80°"));
        }
    }
    Ok(())
}

/// The twist of a shaft at a rise, degrees: the angle about upper→lower from the plane of the upper joint to that of the lower, 0 when
/// either is straight. For a shaft that the calculation accepts.
pub fn twist(given: &Shaft, rise: f64) -> f64 {
    pose(given, rise).twist
}

/// How the shaft stands at a rise.
fn pose(given: &Shaft, rise: f64) -> Pose {
    let along = line(given, rise);
    let (column, line, gearbox) = (unit(given.column_axis), unit(along), unit(given.box_axis));
    let (upper, lower) = (cross(column, line), cross(line, gearbox));
    let (upper_sine, lower_sine) = (size(upper), size(lower));
    let upper_angle = upper_sine.atan2(dot(column, line)).to_degrees();
    let lower_angle = lower_sine.atan2(dot(line, gearbox)).to_degrees();
    let twist = if upper_sine < STRAIGHT || lower_sine < STRAIGHT {
        0.0
    } else {
        dot(cross(upper, lower), line)
            .atan2(dot(upper, lower))
            .to_degrees()
    };
    Pose {
        length: length(along),
        upper_angle,
        lower_angle,
        twist,
        speed: given
            .phase
            .map(|phase| speed(upper_angle, lower_angle, twist - phase)),
    }
}

/// From the upper to the lower joint centre at a rise.
fn line(given: &Shaft, rise: f64) -> Vector {
    let [ux, uy, uz] = given.upper;
    let [lx, ly, lz] = given.lower;
    [lx - ux, ly - uy, lz - uz - rise]
}

/// The scalar product.
fn dot([ax, ay, az]: Vector, [bx, by, bz]: Vector) -> f64 {
    ax * bx + ay * by + az * bz
}

/// The vector product.
fn cross([ax, ay, az]: Vector, [bx, by, bz]: Vector) -> Vector {
    [ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx]
}

/// The length of a vector of any size.
fn length([x, y, z]: Vector) -> f64 {
    x.hypot(y).hypot(z)
}

/// The length of a vector whose parts are no larger than 1.
fn size(vector: Vector) -> f64 {
    dot(vector, vector).sqrt()
}

/// The direction of a vector, scaled first so that no square overflows or vanishes.
fn unit(vector: Vector) -> Vector {
    let largest = vector
        .iter()
        .fold(0.0_f64, |most, part| most.max(part.abs()));
    let scaled = vector.map(|part| part / largest);
    let size = size(scaled);
    scaled.map(|part| part / size)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-6
    }

    #[test]
    fn the_ratio_over_a_turn_reaches_the_extremes_and_passes_neither() {
        for (upper, lower, epsilon) in [
            (20.0, 0.0, 0.0),
            (17.5, 23.3, 0.0),
            (25.0, 12.0, 40.0),
            (30.0, 20.0, -75.0),
        ] {
            let ratios = (0..36_000).map(|n| ratio(upper, lower, epsilon, f64::from(n) / 100.0));
            let (least, most) = ratios.fold((f64::MAX, f64::MIN), |(least, most), ratio| {
                (least.min(ratio), most.max(ratio))
            });
            let closed = speed(upper, lower, epsilon);
            assert!(
                close(most, closed.most) && close(least, closed.least),
                "{most} {least} {closed:?}"
            );
        }
    }

    #[test]
    fn yokes_a_quarter_turn_out_add_what_they_would_cancel() {
        let out = speed(20.0, 20.0, 90.0);
        assert!(close(out.most, 1.0 / 20.0_f64.to_radians().cos().powi(2)));
    }
}
