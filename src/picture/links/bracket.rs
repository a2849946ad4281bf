//! The mount of a bar on the chassis: its arm before and after the bar is raised, the plates that bend, and their stress against what is allowed.
//!
//! Takes one run of the bending check; draws the plates the way the load bends them.

use super::super::draw::{Drawing, Fill, Pen, Scale, Stand, WIDEST};
use super::super::layout::{LINE, width};
use super::numbers::Numbers;
use super::{COLUMN, Subject};

struct Mount {
    arm: f64,
    rise: f64,
    /// One plate as it is seen, mm.
    seen: f64,
    /// How many plates are seen beside one another.
    beside: u32,
}

pub(super) fn draw(
    subject: &Subject<'_>,
    run: &Numbers<'_>,
    drawing: &mut Drawing,
) -> Option<String> {
    let across_width = run.word("bends")? == "across_width";
    let side = if across_width { "width" } else { "thickness" };
    let plates = run.number("plates")?;
    let mount = Mount {
        arm: run.number("arm")?,
        rise: run.number("rise")?,
        seen: run.number(side)?,
        beside: if across_width {
            1
        } else {
            (1..=8).rfind(|n| f64::from(*n) <= plates).unwrap_or(1)
        },
    };
    let half = mount.seen.max(30.0) / 2.0;
    let points = [(-half, 0.0), (half, mount.arm + mount.rise)];
    let factor = Scale::fitted(&points, (0.0, 0.0, 110.0, 186.0)).factor;
    let top = -(mount.arm + mount.rise) * factor - 38.0;
    for (centre, rise, heading) in [(150.0, 0.0, "before"), (346.0, mount.rise, "after")] {
        let scale = Scale {
            factor,
            origin: (centre, 0.0),
        };
        draw_mount(drawing, scale, &mount, (rise, run))?;
        drawing.bold((centre, top), heading, Stand::Middle);
    }
    let seen = run.print(side)?;
    let wide = factor * mount.seen / 2.0;
    drawing.measure("length", (346.0 - wide, 26.0), (346.0 + wide, 26.0), &seen);
    drawing.scale((20.0, 46.0), factor, subject.units);
    drawing.notes(COLUMN, top, WIDEST - COLUMN);
    stresses(drawing, run)?;
    Some(format!("its mount, bent across the {side} of its plates"))
}

/// The chassis, the plates and the bar with the load on it, with the arm and the rise on top of it.
fn draw_mount(
    drawing: &mut Drawing,
    scale: Scale,
    mount: &Mount,
    (rise, run): (f64, &Numbers<'_>),
) -> Option<()> {
    let [(x, foot), (_, old), (_, bar)] =
        [0.0, mount.arm, mount.arm + rise].map(|up| scale.at(0.0, up));
    let (wide, gap) = (scale.length(mount.seen), 14.0);
    let all = f64::from(mount.beside).mul_add(wide + gap, -gap);
    for plate in 0..mount.beside {
        let left = x - all / 2.0 + f64::from(plate) * (wide + gap);
        drawing.rectangle((left, bar), (wide, foot - bar), Pen::Line, Fill::None);
    }
    if rise > 0.0 {
        drawing.circle((x, old), 13.0, Pen::Dashed, Fill::None);
    }
    let block = all.max(70.0) + 16.0;
    let corner = (x - block / 2.0, foot);
    drawing.rectangle(corner, (block, 12.0), Pen::Line, Fill::Hatched);
    drawing.circle((x, bar), 13.0, Pen::Bold, Fill::White);
    drawing.circle((x, bar), 2.0, Pen::Line, Fill::Black);
    // The load: an arrow toward the bar.
    let tip = x + 16.0;
    drawing.line((tip + 6.0, bar), (tip + 40.0, bar), Pen::Bold);
    let head = [(tip, bar), (tip + 10.0, bar - 5.0), (tip + 10.0, bar + 5.0)];
    drawing.shape(&head, Pen::Line, Fill::Black);
    let side = x - (all / 2.0 + 20.0).max(40.0);
    drawing.line((side + 4.0, bar), (x - 14.0, bar), Pen::Thin);
    drawing.measure("length", (side, foot), (side, old), &run.say("arm {arm}")?);
    if rise > 0.0 {
        drawing.line((side + 4.0, old), (x - 14.0, old), Pen::Thin);
        let words = run.say("rise {rise}")?;
        drawing.measure("length", (side, old), (side, bar), &words);
        drawing.label((tip + 24.0, bar), (12.0, 4.0), &run.print("load")?);
    }
    Some(())
}

/// The bending stress before and after as bars, and the allowed one as a line across them.
fn stresses(drawing: &mut Drawing, run: &Numbers<'_>) -> Option<()> {
    let allowable = run.number("allowable")?;
    let bars = [
        ("before", "stress_before", Fill::White, Pen::Line),
        ("after", "stress_after", Fill::Hatched, Pen::Bold),
    ];
    let numbers = bars.iter().filter_map(|(_, name, ..)| run.number(name));
    let factor = 236.0 / numbers.fold(allowable, f64::max);
    let allowed = COLUMN + allowable * factor;
    drawing.heading("Bending stress of the plates");
    for (when, name, fill, pen) in bars {
        drawing.note(&format!("{when} {}", run.print(name)?));
        let y = drawing.next() - LINE + 7.0;
        drawing.rectangle((COLUMN, y), (run.number(name)? * factor, 12.0), pen, fill);
        // What is allowed, across the bar.
        drawing.line((allowed, y - 3.0), (allowed, y + 15.0), Pen::Bold);
        drawing.space(22.0);
    }
    let words = run.say("allowed {allowable}")?;
    let stand = if allowed > COLUMN + width(&words) {
        Stand::Left
    } else {
        Stand::Right
    };
    drawing.words((allowed, drawing.next()), &words, stand);
    drawing.tell(&words);
    drawing.space(26.0);
    let enough = if run.number("shortfall")? > 0.0 {
        "Each must be {thickness_allowed} thick: {shortfall} more."
    } else {
        "Thick enough: {thickness_allowed} would do."
    };
    for note in [
        "Plates: {plates} of {width} by {thickness}.",
        enough,
        "Bolts and rail see {moment_ratio} times the moment.",
    ] {
        drawing.note(&run.say(note)?);
    }
    Some(())
}
