//! A lever on one side of the cut, turned by a rod that comes from the other: height sensor, load-sensing brake valve. Takes the
//! lever and its rod as they stand; gives how far a rise turns the lever, and how much longer a rod would put it back. Whether a
//! rod may be altered at all, and what it is set by afterwards, is left to the rule: a brake valve is set by its maker's figure.

use super::limit::halved;
use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, Range, ResultSpec, Spans, take,
};
use crate::quantity::Unit;

/// A lever and its rod in their plane: its inputs by name.
struct Rod {
    arm: f64,
    slope: f64,
    rod: f64,
    lean: f64,
    /// Whether the lever's pivot rises with the body; when not, the rod's far end does.
    lever_rises: bool,
    rise: f64,
}

impl Rod {
    /// How far the rod's far end goes down as the pivot sees it when the body rises by so much, mm.
    fn down(&self, rise: f64) -> f64 {
        if self.lever_rises { rise } else { -rise }
    }
}

/// How far the lever turns when the rod's far end goes down by `down`, degrees; none where the rod does not reach.
fn turned(given: &Rod, down: f64) -> Option<f64> {
    let far = far_end(given);
    let ball = (
        given.arm * given.slope.to_radians().cos(),
        given.arm * given.slope.to_radians().sin(),
    );
    let (x, y) = (far.0, far.1 - down);
    let apart = x.hypot(y);
    let cosine =
        (apart * apart + given.arm * given.arm - given.rod * given.rod) / (2.0 * apart * given.arm);
    if !(-1.0..=1.0).contains(&cosine) {
        return None;
    }
    // Which of the two places of the ball: the side of the line from pivot to far end on which it stands now.
    let side = far.0 * ball.1 - far.1 * ball.0;
    let lever = y.atan2(x) + cosine.acos() * if side < 0.0 { -1.0 } else { 1.0 };
    let turn = lever.to_degrees() - given.slope;
    Some((turn - 360.0 * (turn / 360.0).round()).abs())
}

/// The rod's far end as the pivot sees it now, mm.
fn far_end(given: &Rod) -> (f64, f64) {
    let (slope, lean) = (given.slope.to_radians(), given.lean.to_radians());
    (
        given.arm * slope.cos() + given.rod * lean.sin(),
        given.arm * slope.sin() - given.rod * lean.cos(),
    )
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "rod",
    title: "how far a rise turns the lever of a sensor or valve",
    source: "plane geometry of a lever and a rod",
    inputs: &[
        InputSpec::length("arm", "lever, pivot to ball"),
        InputSpec::number(
            "slope",
            Unit::Degree,
            Range::Within(-80.0, 80.0),
            "how far the lever points up from level, seen from its pivot",
        ),
        InputSpec::length("rod", "rod, ball to ball"),
        InputSpec::number(
            "lean",
            Unit::Degree,
            Range::Within(-60.0, 60.0),
            "how far the rod leans from plumb, away from the pivot at its far end",
        )
        .or(0.0),
        InputSpec::choice(
            "pivot_on",
            &["body", "chassis"],
            "which side of the cut the lever's pivot is on",
        ),
        InputSpec::number(
            "turn_limit",
            Unit::Degree,
            Range::NotNegative,
            "how far the lever may turn",
        ),
        InputSpec::RISE,
    ],
    results: &[
        ResultSpec::answer("reaches", "whether the rod still reaches"),
        ResultSpec::degrees("turn", "how far the lever turns").may_be_absent(),
        ResultSpec::length("rod_change", "how much longer a rod puts it back"),
        ResultSpec::length("rise_limit", "first rise at which it turns too far").may_be_absent(),
    ],
    run: adapt,
    turning,
};

fn given(inputs: &Inputs) -> Result<Rod, CalcError> {
    Ok(Rod {
        arm: take::number(inputs, "arm")?,
        slope: take::number(inputs, "slope")?,
        rod: take::number(inputs, "rod")?,
        lean: take::number(inputs, "lean")?,
        lever_rises: take::word(inputs, "pivot_on")? == "body",
        rise: take::number(inputs, "rise")?,
    })
}

/// How far a rise turns a lever.
///
/// In the lever's plane, pivot at the origin: the ball stands at arm·(cos slope, sin slope), the rod's far end at ball + rod·(sin lean,
/// −cos lean). After the rise the far end is lower by the rise as the pivot sees it (higher when the far end rises), and the ball is
/// where the circles of lever and rod meet, on the same side as before. `turn` is the angle between both places of the lever;
/// `rod_change` = √((rod·sin lean)² + (rod·cos lean ± rise)²) − rod. Lengths in mm above 0, angles in degrees. Source: plane geometry.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let rod = find("rod").unwrap();
/// let given = read_inputs(rod, &["arm=100", "slope=0", "rod=4000", "pivot_on=body", "turn_limit=45", "rise=50"]).unwrap();
/// let found = evaluate(rod, &given).unwrap();
/// assert_eq!(found.number("rod_change"), Some(50.0));
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let given = given(inputs)?;
    let down = given.down(given.rise);
    let turn = turned(&given, down);
    let (sin, cos) = given.lean.to_radians().sin_cos();
    let change = (given.rod * sin).hypot(given.rod * cos + down) - given.rod;
    let limit = first_limit(&given, take::number(inputs, "turn_limit")?);
    let mut results = vec![("reaches", turn.is_some().into())];
    results.extend(turn.map(|turn| ("turn", turn.into())));
    results.push(("rod_change", change.into()));
    results.push(("rise_limit", limit.into()));
    Ok(Found {
        results,
        formulas: formulas(&given, turn.is_some()),
    })
}

/// The first rise at which the lever has turned too far or the rod no longer reaches: looked for millimetre by millimetre, then
/// halved, because a rod may turn its lever back again.
fn first_limit(given: &Rod, limit: f64) -> Option<f64> {
    let out =
        |rise: f64| turned(given, given.down(rise)).is_none_or(|turn| turn > limit + ROUNDING);
    let mut rises = (0..=150_u8).map(f64::from);
    let after = rises.find(|rise| out(*rise))?;
    let (before, _) = halved(((after - 1.0).max(0.0), after), 40, out);
    Some(before)
}

/// Angles are compared after allowing for rounding, degrees.
const ROUNDING: f64 = 1e-9;

fn formulas(given: &Rod, reaches: bool) -> Vec<Formula> {
    let (x, y) = far_end(given);
    let (down, change) = if given.lever_rises {
        (
            "rise",
            "√((rod·sin(lean))² + (rod·cos(lean) + rise)²) − rod",
        )
    } else {
        (
            "−rise",
            "√((rod·sin(lean))² + (rod·cos(lean) − rise)²) − rod",
        )
    };
    let mut lines = vec![
        Formula::step("x", "arm·cos(slope) + rod·sin(lean)", x, Unit::Mm),
        Formula::step("y", "arm·sin(slope) − rod·cos(lean)", y, Unit::Mm),
        Formula::said(
            "reaches",
            "whether circles of lever and rod still meet, the rod's far end moved by rise",
        ),
    ];
    if reaches {
        let moved = given.down(given.rise);
        lines.push(Formula::step("down", down, moved, Unit::Mm));
        lines.push(Formula::step(
            "apart",
            "√(x² + (y − down)²)",
            x.hypot(y - moved),
            Unit::Mm,
        ));
        lines.push(Formula::said("turn", "angle between the lever now and where circles of arm and rod meet, apart from each other"));
    }
    lines.extend([
        Formula::of("rod_change", change),
        Formula::said(
            "rise_limit",
            "first rise at which turn passes turn_limit or the rod does not reach",
        ),
    ]);
    lines
}

/// The lever turns least where it stands as it stood, the rod changes least where it passes level; for the rest places are spread.
fn turning(inputs: &Inputs, spans: &Spans) -> Vec<(&'static str, f64)> {
    let mut turns = vec![("lean", 0.0)];
    if let Ok(given) = given(inputs) {
        turns.push(("rise", given.rod * given.lean.to_radians().cos()));
        turns.extend(first_limit(&given, 0.0).map(|limit| ("rise", limit)));
    }
    turns.extend(spans.spread());
    turns
}
