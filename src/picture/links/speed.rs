//! How unevenly the steering turns: speed of the box over speed of the column through one turn, before and after the lift.
//!
//! Takes the shaft's run; plots [`ratio`] through a turn. Without the angle between the shaft's yokes nothing is known of it, and the picture says so.

use super::super::draw::{At, Drawing, Fill, Pen, Stand};
use super::numbers::Numbers;
use super::{Subject, not_drawn};
use crate::calc::shaft::{given, ratio, twist};

const LEFT: f64 = 74.0;
const RIGHT: f64 = 414.0;
const TOP: f64 = 44.0;
const BOTTOM: f64 = 232.0;

/// One curve: joint angles and the angle between their planes and yokes, degrees; its extremes as the assessment has them.
struct Curve {
    upper: f64,
    lower: f64,
    epsilon: f64,
    least: f64,
    most: f64,
}

impl Curve {
    fn at(&self, turn: f64) -> f64 {
        ratio(self.upper, self.lower, self.epsilon, turn)
    }
}

pub(super) fn draw(_: &Subject<'_>, run: &Numbers<'_>, drawing: &mut Drawing) -> Option<String> {
    let what = "speed of box over column through one turn".to_owned();
    let Some(phase) = run.number("phase") else {
        not_drawn(
            drawing,
            "Not drawn: the angle from the upper to the lower yoke of the shaft was not measured.",
        );
        return Some(what);
    };
    let before = curve(run, phase, "_before", 0.0)?;
    let after = curve(run, phase, "", run.number("rise")?)?;
    // Even steps that hold both curves; never so fine that rounding would show as unevenness.
    let off = [&before, &after]
        .into_iter()
        .flat_map(|curve| [curve.most - 1.0, 1.0 - curve.least])
        .fold(0.0, f64::max);
    let step = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0]
        .into_iter()
        .find(|step| step * 2.0 >= off)
        .unwrap_or(5.0);
    axes(drawing, step);
    trace(drawing, &before, step, Pen::Dashed);
    trace(drawing, &after, step, Pen::Bold);
    notes(drawing, &before, &after, run)?;
    Some(what)
}

/// The curve of one height; `when` is what its names end with.
fn curve(run: &Numbers<'_>, phase: f64, when: &str, rise: f64) -> Option<Curve> {
    let shaft = given(&run.inputs()).ok()?;
    let number = |name: &str| run.number(&format!("{name}{when}"));
    Some(Curve {
        upper: number("upper_angle")?,
        lower: number("lower_angle")?,
        epsilon: twist(&shaft, rise) - phase,
        least: number("speed_ratio_min")?,
        most: number("speed_ratio_max")?,
    })
}

fn on_curve(turn: f64, ratio: f64, step: f64) -> At {
    let x = LEFT + (RIGHT - LEFT) * turn / 360.0;
    let middle = f64::midpoint(TOP, BOTTOM);
    (
        x,
        middle - (ratio - 1.0) / (2.2 * step) * (BOTTOM - TOP) / 2.0,
    )
}

fn axes(drawing: &mut Drawing, step: f64) {
    drawing.line((LEFT, TOP), (LEFT, BOTTOM), Pen::Line);
    drawing.line((LEFT, BOTTOM), (RIGHT, BOTTOM), Pen::Line);
    for steps in -2..=2 {
        let value = f64::from(steps).mul_add(step, 1.0);
        let (_, y) = on_curve(0.0, value, step);
        drawing.line((LEFT - 5.0, y), (RIGHT, y), Pen::Thin);
        drawing.words((LEFT - 9.0, y + 4.5), &format!("{value:.2}"), Stand::Left);
    }
    for quarter in 0..=4 {
        let turn = f64::from(quarter) * 90.0;
        let (x, _) = on_curve(turn, 1.0, step);
        drawing.line((x, BOTTOM), (x, BOTTOM + 5.0), Pen::Line);
        drawing.words((x, BOTTOM + 20.0), &format!("{turn:.0}°"), Stand::Middle);
    }
    drawing.words(
        (LEFT - 60.0, 24.0),
        "speed of box over speed of column (no unit)",
        Stand::Right,
    );
    drawing.words(
        (f64::midpoint(LEFT, RIGHT), BOTTOM + 42.0),
        "turn of the column, degrees",
        Stand::Middle,
    );
}

/// The curve through a turn, and its first highest and lowest places.
fn trace(drawing: &mut Drawing, curve: &Curve, step: f64, pen: Pen) {
    let points: Vec<At> = (0..=180)
        .map(|n| f64::from(n) * 2.0)
        .map(|turn| on_curve(turn, curve.at(turn), step))
        .collect();
    drawing.path(&points, pen);
    for (turn, extreme) in [
        (highest(curve, 1.0), curve.most),
        (highest(curve, -1.0), curve.least),
    ] {
        let fill = if pen == Pen::Bold {
            Fill::Black
        } else {
            Fill::White
        };
        drawing.circle(on_curve(turn, extreme, step), 4.0, Pen::Line, fill);
    }
}

/// Where in the first half turn a curve is highest, or lowest for a sign of −1.
fn highest(curve: &Curve, sign: f64) -> f64 {
    let turns = (0..1800).map(|n| f64::from(n) / 10.0);
    let heights = turns.map(|turn| (turn, sign * curve.at(turn)));
    let best = heights.max_by(|(_, a), (_, b)| a.total_cmp(b));
    best.map_or(0.0, |(turn, _)| turn)
}

fn notes(drawing: &mut Drawing, before: &Curve, after: &Curve, run: &Numbers<'_>) -> Option<()> {
    for (heading, curve) in [
        ("Before the lift (dashed)", before),
        ("After the lift (bold)", after),
    ] {
        drawing.heading(heading);
        drawing.note(&format!("highest {:.3} times", curve.most));
        drawing.note(&format!("lowest {:.3} times", curve.least));
        drawing.space(9.0);
    }
    drawing.note(&run.say(
        "As uneven as one joint at {residual_angle_before} before, then {residual_angle+}.",
    )?);
    drawing.space(9.0);
    drawing.note("0° is where the upper joint alone turns the shaft slowest.");
    Some(())
}
