//! A fan in its shroud, seen from the front: the shroud before and after the lift, the gaps at the blade tips, and what strikes.
//!
//! Takes the fan's run; draws the fan where it stays and the shroud's opening where it was and where it goes.

use super::super::Picture;
use super::super::draw::{At, Fill, Pen, Scale, Stand};
use super::board::{Board, LINE, fitted};
use super::numbers::{Numbers, Worst};
use super::{Subject, title};
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
    let (lowest, highest) = (
        -fan.offset - fan.shroud_radius,
        -offset_after + fan.shroud_radius,
    );
    let points = [(-fan.shroud_radius, lowest), (fan.shroud_radius, highest)];
    let scale = fitted(&points, (60.0, 14.0, 330.0, 310.0));
    let mut board = Board::new(name, 366.0, subject.units);
    circles(&mut board, scale, &fan, offset_after);
    let (before, after) = (gaps(&fan, 0.0), gaps(&fan, fan.rise));
    measures(
        &mut board,
        scale,
        (&fan, offset_after),
        (&before, &after),
        run,
    );
    board.note(&format!(
        "Fan radius {}, opening {}",
        run.print("fan_radius")?,
        run.print("shroud_radius")?
    ));
    board.note(&format!(
        "Thin circle: {} asked all round.",
        run.print("clearance")?
    ));
    if run.number("shortfall")? > 0.0 {
        board.note(&format!(
            "Missing: {}{}",
            run.print("shortfall")?,
            run.worst("shortfall", Worst::Most)
        ));
    }
    board.scale((60.0, 350.0), scale.factor);
    let says = says(run, &before, &after)?;
    Some(board.picture(&title(subject, "the fan in its shroud"), &says))
}

/// The shroud before (dashed) and after (bold), the fan with its hub and blades, the clearance round it, and where the tips strike.
fn circles(board: &mut Board, scale: Scale, fan: &Fan, offset_after: f64) {
    let centre = scale.at(0.0, 0.0);
    let before = scale.at(0.0, -fan.offset);
    let after = scale.at(0.0, -offset_after);
    let radius = scale.length(fan.shroud_radius);
    let drawing = &mut board.drawing;
    drawing.circle(
        centre,
        scale.length(fan.fan_radius + fan.clearance),
        Pen::Thin,
        Fill::None,
    );
    drawing.circle(centre, scale.length(fan.fan_radius), Pen::Line, Fill::White);
    for blade in 0..6 {
        let angle = f64::from(blade).mul_add(60.0, 30.0).to_radians();
        let (sin, cos) = angle.sin_cos();
        let (inner, outer) = (fan.fan_radius * 0.22, fan.fan_radius * 0.97);
        drawing.line(
            scale.at(inner * cos, inner * sin),
            scale.at(outer * cos, outer * sin),
            Pen::Thin,
        );
    }
    drawing.circle(
        centre,
        scale.length(fan.fan_radius * 0.22),
        Pen::Line,
        Fill::White,
    );
    let struck = struck(scale, fan, offset_after);
    if struck.len() > 3 {
        drawing.shape(&struck, Pen::Line, Fill::Crossed);
    }
    drawing.circle(before, radius, Pen::Dashed, Fill::None);
    drawing.circle(after, radius, Pen::Bold, Fill::None);
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

/// The gaps above, beside and below the fan, each with its words at its height.
fn measures(
    board: &mut Board,
    scale: Scale,
    (fan, offset_after): (&Fan, f64),
    (before, after): (&Gaps, &Gaps),
    run: &Numbers<'_>,
) {
    let tip = fan.fan_radius;
    let words = |gap: f64, when: &str| {
        if gap < 0.0 {
            format!("{when}: strikes, {} over", run.length(-gap))
        } else {
            format!("{when}: {}", run.length(gap))
        }
    };
    let (centre, top) = scale.at(0.0, -offset_after + fan.shroud_radius);
    let upright = |from: f64, to: f64, aside: f64| {
        let ((_, from), (_, to)) = (scale.at(0.0, from), scale.at(0.0, to));
        ((centre + aside, from), (centre + aside, to))
    };
    let level =
        |sign: f64, gap: f64| (scale.at(sign * tip, 0.0), scale.at(sign * (tip + gap), 0.0));
    let (_, middle) = scale.at(0.0, 0.0);
    let groups = [
        (
            "Above the fan",
            top + 10.0,
            upright(tip, tip + before.up, -9.0),
            upright(tip, tip + after.up, 9.0),
            (before.up, after.up),
        ),
        (
            "Beside it, level with its centre",
            middle - 3.0 * LINE,
            level(-1.0, before.sideways),
            level(1.0, after.sideways),
            (before.sideways, after.sideways),
        ),
        (
            "Below it",
            middle + 1.5 * LINE,
            upright(-tip, -tip - before.down, -9.0),
            upright(-tip, -tip - after.down, 9.0),
            (before.down, after.down),
        ),
    ];
    for (heading, y, now, then, gap) in groups {
        board.notes_from(y);
        board.heading(heading);
        board.noted(now.0, now.1, &words(gap.0, "before"));
        board.noted(then.0, then.1, &words(gap.1, "after"));
    }
    board.space();
    let ((from_x, from), (_, to)) = (
        scale.at(-fan.shroud_radius, -fan.offset),
        scale.at(0.0, -offset_after),
    );
    let rise = format!("rise {}", run.print("rise").unwrap_or_default());
    board.measure(
        (from_x - 12.0, from),
        (from_x - 12.0, to),
        (4.0, f64::midpoint(from, to) + 4.0 - 20.0),
        Stand::Right,
        &rise,
    );
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
