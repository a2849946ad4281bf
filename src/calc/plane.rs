//! The plane of the rise: is the body square on its spacers. Takes the rise measured at every mount; gives the mean rise, the
//! tilt, how far the mounts are out of one plane, and the rise at other places. Which tilt is too much is left to the rule.

use super::spec::nothing_turns;
use super::{
    CalcError, Calculation, Formula, Found, InputKind, InputSpec, Inputs, ResultSpec, Value, take,
};
use crate::quantity::Unit;

/// Below this share of the larger, the smaller spread of the mounts counts as none: they stand in line.
const IN_LINE: f64 = 1e-10;

/// The plane h = a·x + b·y + c that fits the rises best.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// Slope a over x, forward.
    pub forward: f64,
    /// Slope b over y, to the left.
    pub left: f64,
    /// The middle of the mounts: x, y and mean rise, mm.
    pub middle: [f64; 3],
    /// The largest distance of a rise from the plane, mm.
    pub out_of_plane: f64,
}

impl Plane {
    /// The rise of the plane at a place (x, y), mm.
    pub fn rise_at(&self, [x, y]: [f64; 2]) -> f64 {
        let [mx, my, mean] = self.middle;
        mean + self.forward * (x - mx) + self.left * (y - my)
    }

    /// How far the nose is up, degrees: atan a.
    pub fn nose_up(&self) -> f64 {
        self.forward.atan().to_degrees()
    }

    /// How far the left side is up, degrees: atan b.
    pub fn left_up(&self) -> f64 {
        self.left.atan().to_degrees()
    }
}

/// The least-squares plane through points (x, y, h), where h is the gap after minus the gap before at one mount, all in mm.
/// Brackets are not coplanar by design, so heights alone would say nothing.
///
/// Fails for fewer than three points, or for points that stand in one line. Source: least squares about the middle.
///
/// ```
/// let corners = [[1000.0, 500.0, 52.0], [1000.0, -500.0, 52.0], [-1000.0, 500.0, 50.0], [-1000.0, -500.0, 50.0]];
/// let plane = liftsheet::calc::plane::plane(&corners).unwrap();
/// assert!((plane.nose_up() - 0.0573).abs() < 1e-4 && plane.left_up().abs() < 1e-12);
/// assert!((plane.rise_at([2000.0, 0.0]) - 53.0).abs() < 1e-9);
/// ```
pub fn plane(points: &[[f64; 3]]) -> Result<Plane, CalcError> {
    let allowed = "at least three places that do not stand in one line";
    let count = points.len();
    if count < 3 {
        return Err(CalcError::new("points", format!("{count} places"), allowed));
    }
    let middle = middle(points);
    let [mx, my, mh] = middle;
    let (mut xx, mut xy, mut yy, mut xh, mut yh) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for [x, y, h] in points {
        let (x, y, h) = (x - mx, y - my, h - mh);
        xx += x * x;
        xy += x * y;
        yy += y * y;
        xh += x * h;
        yh += y * h;
    }
    // The spreads along the two principal directions multiply to the determinant and add to the trace.
    let determinant = xx * yy - xy * xy;
    let trace = xx + yy;
    if !determinant.is_finite() || determinant <= IN_LINE * trace * trace {
        let shown = format!("{count} places in one line");
        return Err(CalcError::new("points", shown, allowed));
    }
    let mut plane = Plane {
        forward: (xh * yy - yh * xy) / determinant,
        left: (yh * xx - xh * xy) / determinant,
        middle,
        out_of_plane: 0.0,
    };
    plane.out_of_plane = points
        .iter()
        .map(|[x, y, h]| (h - plane.rise_at([*x, *y])).abs())
        .fold(0.0, f64::max);
    Ok(plane)
}

fn middle(points: &[[f64; 3]]) -> [f64; 3] {
    let mut sum = [0.0; 3];
    let mut count = 0.0;
    for point in points {
        count += 1.0;
        for (total, part) in sum.iter_mut().zip(point) {
            *total += part;
        }
    }
    sum.map(|total| total / count)
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "plane",
    title: "is the body square on its spacers",
    source: "least squares about the middle of the mounts",
    inputs: &[
        InputSpec::other(
            "points",
            InputKind::Points(Unit::Mm),
            "x forward, y left and the rise (gap after minus gap before) of every mount",
        ),
        InputSpec::other(
            "at",
            InputKind::Places(Unit::Mm),
            "x forward, y left of places of interest",
        )
        .optional(),
    ],
    results: &[
        ResultSpec::length("mean_rise", "mean rise of the mounts"),
        ResultSpec::degrees("nose_up", "how far the nose is up"),
        ResultSpec::degrees("left_up", "how far the left side is up"),
        ResultSpec::length("out_of_plane", "largest distance of a mount from the plane"),
        ResultSpec::length("rise_at", "rise at the places of interest").may_be_absent(),
    ],
    run: adapt,
    turning: nothing_turns,
};

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let Some(Value::Points(points)) = inputs.get("points").map(|given| &given.value) else {
        return Err(take::missing("points", "places such as `1200,550,50`"));
    };
    let found = plane(points)?;
    let [.., mean] = found.middle;
    let mut results = vec![
        ("mean_rise", mean.into()),
        ("nose_up", found.nose_up().into()),
        ("left_up", found.left_up().into()),
        ("out_of_plane", found.out_of_plane.into()),
    ];
    let mut formulas = vec![
        Formula::said("mean_rise", "mean of the rises"),
        Formula::said_step(
            "a",
            "slope of the best plane, forward",
            found.forward,
            Unit::One,
        ),
        Formula::said_step(
            "b",
            "slope of the best plane, to the left",
            found.left,
            Unit::One,
        ),
        Formula::of("nose_up", "atan(a)"),
        Formula::of("left_up", "atan(b)"),
        Formula::said("out_of_plane", "largest distance of a rise from the plane"),
    ];
    if let Some(Value::Places(at)) = inputs.get("at").map(|given| &given.value) {
        let rises = at.iter().map(|place| found.rise_at(*place)).collect();
        results.push(("rise_at", Value::List(rises)));
        formulas.push(Formula::said("rise_at", "the plane's rise at each place"));
    }
    Ok(Found { results, formulas })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_few_places_or_places_in_line_are_refused() {
        let line: Vec<[f64; 3]> = (0..5)
            .map(|n| [f64::from(n) * 300.0, f64::from(n) * 70.0, 50.0])
            .collect();
        assert!(plane(&line).unwrap_err().given.contains("in one line"));
        assert!(plane(&[[0.0, 0.0, 50.0], [1.0, 0.0, 50.0]]).is_err());
        assert!(plane(&[[5.0, 5.0, 50.0]; 4]).is_err());
    }
}
