//! A fan in its shroud, seen from the front: the shroud before and after the lift, the gaps at the blade tips, and what strikes.
//!
//! Takes the fan's run; draws the fan where it stays and the shroud's opening where it was and where it goes.

use super::super::Picture;
use super::super::draw::{At, Drawing, Fill, Pen, Scale};
use super::numbers::{Numbers, Worst};
use super::{COLUMN, Subject, title};
use crate::calc::fan::{Fan, Gaps, gaps};

pub(super) fn draw(subject: &Subject<'_>, run: &Numbers<'_>, name: &str) -> Option<Picture> {
    if !run.moves() {
        return None;
    }
    let fan = Fan {
        shroud_radius: run.number("shroud_radius")?,
        fan_radius: run.number("fan_radius")?,
        offset: run.number("offset")?,
        clearance: run.number("clearance")?,
        rise: run.number("rise")?,
    };
    let offset_after = run.number("offset_after")?;
    let points = [
        (-fan.shroud_radius, -fan.offset - fan.shroud_radius),
        (fan.shroud_radius, -offset_after + fan.shroud_radius),
    ];
    let scale = Scale::fitted(&points, (84.0, 14.0, 320.0, 310.0));
    let mut drawing = Drawing::new(690.0);
    circles(&mut drawing, scale, &fan, offset_after);
    let (before, after) = (gaps(&fan, 0.0), gaps(&fan, fan.rise));
    let rise = format!("rise {}", run.print("rise")?);
    let (x, from) = scale.at(-fan.shroud_radius, -fan.offset);
    let (_, to) = scale.at(0.0, -offset_after);
    drawing.measure("length", (x - 12.0, from), (x - 12.0, to), &rise);
    drawing.notes(COLUMN, 22.0, 690.0 - COLUMN);
    measures(
        &mut drawing,
        scale,
        (&fan, offset_after),
        (&before, &after),
        run,
    );
    drawing.scale((60.0, 350.0), scale.factor, subject.units);
    let [fan_radius, opening] = [run.print("fan_radius")?, run.print("shroud_radius")?];
    drawing.note(&format!("Fan radius {fan_radius}, opening {opening}"));
    drawing.note(&format!(
        "Thin circle: {} asked all round.",
        run.print("clearance")?
    ));
    if run.number("shortfall")? > 0.0 {
        let worst = run.worst("shortfall", Worst::Most);
        drawing.note(&format!("Missing: {}{worst}", run.print("shortfall")?));
    }
    let says = says(run, &before, &after)?;
    Some(drawing.picture(name, &title(subject, "the fan in its shroud"), &says))
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

/// The ends of a gap: the way from the middle, the blade's tip, the gap.
type Ends<'a> = &'a dyn Fn(f64, f64, f64) -> [At; 2];

/// The gaps above, beside and below the fan, each with its words in the notes.
fn measures(
    drawing: &mut Drawing,
    scale: Scale,
    (fan, offset_after): (&Fan, f64),
    (before, after): (&Gaps, &Gaps),
    run: &Numbers<'_>,
) {
    let tip = fan.fan_radius;
    let (centre, _) = scale.at(0.0, -offset_after);
    let upright = |sign: f64, tip: f64, gap: f64| {
        [tip, tip + gap].map(|up| (centre + sign * 9.0, scale.at(0.0, up).1))
    };
    let level =
        |sign: f64, tip: f64, gap: f64| [tip, tip + gap].map(|right| scale.at(sign * right, 0.0));
    let groups: [(&str, Ends<'_>, f64, [f64; 2]); 3] = [
        ("Above the fan", &upright, tip, [before.up, after.up]),
        (
            "Beside it, level with its centre",
            &level,
            tip,
            [before.sideways, after.sideways],
        ),
        (
            "Below it",
            &|sign, tip, gap| upright(sign, -tip, -gap),
            tip,
            [before.down, after.down],
        ),
    ];
    for (heading, ends, tip, both) in groups {
        drawing.heading(heading);
        for ((when, sign), gap) in [("before", -1.0), ("after", 1.0)].into_iter().zip(both) {
            let [from, to] = ends(sign, tip, gap);
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

fn says(run: &Numbers<'_>, before: &Gaps, after: &Gaps) -> Option<String> {
    let gap = |gap: f64| {
        if gap < 0.0 {
            format!("none, the tips strike by {}", run.length(-gap))
        } else {
            run.length(gap)
        }
    };
    let enough = if run.number("shortfall")? > 0.0 {
        format!(
            "{} is missing{}",
            run.print("shortfall")?,
            run.worst("shortfall", Worst::Most)
        )
    } else {
        "that is enough".to_owned()
    };
    Some(format!(
        "The shroud's opening of {} radius rises by {} round a fan of {} radius. Gap at the tips above the fan: {} before, {} after; beside it: {} \
         before, {} after; below it: {} before, {} after. {} is asked all round; {enough}.",
        run.print("shroud_radius")?,
        run.print("rise")?,
        run.print("fan_radius")?,
        gap(before.up),
        gap(after.up),
        gap(before.sideways),
        gap(after.sideways),
        gap(before.down),
        gap(after.down),
        run.print("clearance")?,
    ))
}
