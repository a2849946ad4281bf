//! A fan in its shroud, seen from the front: the shroud before and after the lift, the gaps at the blade tips, and what strikes.
//!
//! Takes the fan's run; draws the fan where it stays and the shroud's opening where it was and where it goes.

use super::super::draw::{At, Drawing, Fill, Pen, Scale};
use super::Subject;
use super::numbers::Numbers;
use crate::calc::fan::{Fan, gaps, given};

pub(super) fn draw(
    subject: &Subject<'_>,
    run: &Numbers<'_>,
    drawing: &mut Drawing,
) -> Option<String> {
    let fan = given(&run.inputs()).ok()?;
    let offset_after = run.number("offset_after")?;
    let points = [
        (-fan.shroud_radius, -fan.offset - fan.shroud_radius),
        (fan.shroud_radius, -offset_after + fan.shroud_radius),
    ];
    let scale = Scale::fitted(&points, (84.0, 14.0, 320.0, 310.0));
    circles(drawing, scale, &fan, offset_after);
    let (x, from) = scale.at(-fan.shroud_radius, -fan.offset);
    let (_, to) = scale.at(0.0, -offset_after);
    let rise = run.say("rise {rise}")?;
    drawing.measure("length", (x - 12.0, from), (x - 12.0, to), &rise);
    measures(drawing, scale, (&fan, offset_after), run);
    drawing.scale((60.0, 350.0), scale.factor, subject.units);
    drawing.note(&run.say("Fan radius {fan_radius}, opening {shroud_radius}")?);
    drawing.note(&run.say("Thin circle: {clearance} asked all round.")?);
    if run.number("shortfall")? > 0.0 {
        drawing.note(&run.say("Missing: {shortfall+}")?);
    }
    Some("the fan in its shroud".to_owned())
}

/// The shroud before (dashed) and after (bold), the fan with its hub and blades, the clearance round it, and where the tips strike.
fn circles(drawing: &mut Drawing, scale: Scale, fan: &Fan, offset_after: f64) {
    let centre = scale.at(0.0, 0.0);
    let clear = scale.length(fan.fan_radius + fan.clearance);
    drawing.circle(centre, clear, Pen::Thin, Fill::None);
    drawing.circle(centre, scale.length(fan.fan_radius), Pen::Line, Fill::White);
    for blade in 0..6 {
        let (sin, cos) = f64::from(blade).mul_add(60.0, 30.0).to_radians().sin_cos();
        let [inner, outer] = [0.22, 0.97].map(|part| part * fan.fan_radius);
        let (from, to) = (
            scale.at(inner * cos, inner * sin),
            scale.at(outer * cos, outer * sin),
        );
        drawing.line(from, to, Pen::Thin);
    }
    let hub = scale.length(fan.fan_radius * 0.22);
    drawing.circle(centre, hub, Pen::Line, Fill::White);
    let struck = struck(scale, fan, offset_after);
    if struck.len() > 3 {
        drawing.shape(&struck, Pen::Line, Fill::Crossed);
    }
    let radius = scale.length(fan.shroud_radius);
    drawing.circle(scale.at(0.0, -fan.offset), radius, Pen::Dashed, Fill::None);
    drawing.circle(scale.at(0.0, -offset_after), radius, Pen::Bold, Fill::None);
}

/// The part of the fan that stands outside the shroud's opening after the lift.
fn struck(scale: Scale, fan: &Fan, offset_after: f64) -> Vec<At> {
    // Round the fan from the side where it is clear, so that what strikes comes in one piece.
    let start = if offset_after < 0.0 { 90.0 } else { 270.0 };
    let mut tips = Vec::new();
    let mut edge = Vec::new();
    for step in 0..=720 {
        let angle = f64::from(step).mul_add(0.5, start).to_radians();
        let (x, y) = (fan.fan_radius * angle.cos(), fan.fan_radius * angle.sin());
        let from_centre = x.hypot(y + offset_after);
        if from_centre > fan.shroud_radius {
            let inward = fan.shroud_radius / from_centre;
            tips.push(scale.at(x, y));
            edge.push(scale.at(x * inward, (y + offset_after) * inward - offset_after));
        }
    }
    tips.extend(edge.into_iter().rev());
    tips
}

/// The ends of a gap, by the side on which it is drawn (−1 or 1) and its width in mm.
type Ends<'a> = &'a dyn Fn(f64, f64) -> [At; 2];

/// The gaps above, beside and below the fan, each with its words in the notes.
fn measures(
    drawing: &mut Drawing,
    scale: Scale,
    (fan, offset_after): (&Fan, f64),
    run: &Numbers<'_>,
) {
    let (before, after) = (gaps(fan, 0.0), gaps(fan, fan.rise));
    let tip = fan.fan_radius;
    let (centre, _) = scale.at(0.0, -offset_after);
    let upright = |side: f64, way: f64, gap: f64| {
        [tip, tip + gap].map(|far| (centre + side * 9.0, scale.at(0.0, way * far).1))
    };
    let level = |side: f64, gap: f64| [tip, tip + gap].map(|far| scale.at(side * far, 0.0));
    let below = |sign: f64, gap: f64| upright(sign, -1.0, gap);
    let above = |sign: f64, gap: f64| upright(sign, 1.0, gap);
    let groups: [(&str, Ends<'_>, [f64; 2]); 3] = [
        ("Above the fan", &above, [before.up, after.up]),
        (
            "Beside it, level with its centre",
            &level,
            [before.sideways, after.sideways],
        ),
        ("Below it", &below, [before.down, after.down]),
    ];
    for (heading, ends, both) in groups {
        drawing.heading(heading);
        for ((when, sign), gap) in [("before", -1.0), ("after", 1.0)].into_iter().zip(both) {
            let [from, to] = ends(sign, gap);
            let words = if gap < 0.0 {
                format!("{when}: strikes, {} over", run.length(-gap))
            } else {
                format!("{when}: {}", run.length(gap))
            };
            drawing.noted(from, to, &words);
        }
        drawing.space(14.0);
    }
}
