//! A hose on its spigot and its fall: the overlap before and after the lift beside the overlap asked, and the line between the fittings.
//!
//! Takes one run of the hose's check; draws the overlap at the left and the fall at the right, each to its own scale.

use super::super::draw::{At, Drawing, Fill, Pen, Scale, WIDEST};
use super::Subject;
use super::numbers::Numbers;

/// Where the spigot ends, and where the fall begins, pixels.
const END: f64 = 172.0;
const FALL: f64 = 374.0;

pub(super) fn draw(
    subject: &Subject<'_>,
    run: &Numbers<'_>,
    drawing: &mut Drawing,
) -> Option<String> {
    let slides =
        run.number("slide")? > 0.0 && run.number("overlap_moved")? > run.number("overlap_left")?;
    let mut hoses = vec![("overlap", "before"), ("overlap_left", "after")];
    if slides {
        hoses.push(("overlap_moved", "moved"));
    }
    let numbers = |names: &[&str]| {
        names
            .iter()
            .filter_map(|name| run.number(name))
            .collect::<Vec<f64>>()
    };
    let widest = numbers(&["overlap", "overlap_left", "least_overlap"]);
    let widest = widest.into_iter().fold(10.0, f64::max);
    // How far a hose comes off its spigot at most.
    let off = numbers(&["overlap_left", "overlap_moved"]);
    let off = -off.into_iter().fold(-1.0, f64::min);
    let factor = (150.0 / widest).min(90.0 / off).min(4.0);
    drawing.notes(10.0, 22.0, FALL - 40.0);
    drawing.heading("Overlap on the spigot");
    let mut y = 56.0;
    for (name, when) in hoses {
        hose(drawing, run, factor, (name, when, y))?;
        y += 62.0;
    }
    let start = END - run.number("least_overlap")? * factor;
    let words = run.say("asked {least_overlap}")?;
    drawing.measure("length", (start, y - 2.0), (END, y - 2.0), &words);
    drawing.line((start, 34.0), (start, y - 8.0), Pen::Line);
    drawing.notes(10.0, y + 36.0, FALL - 40.0);
    drawing.note(&missing(run)?);
    let foot = drawing.next() + 6.0;
    drawing.scale((10.0, foot), factor, subject.units);
    drawing.line((FALL - 18.0, 14.0), (FALL - 18.0, foot), Pen::Thin);
    drawing.notes(FALL, 22.0, WIDEST - FALL);
    drawing.heading("Fall of the hose");
    if fall(drawing, (subject, run), foot).is_none() {
        drawing.note("Not drawn: where the two fittings stand was not measured.");
    }
    Some("its hose on the spigot, and its fall".to_owned())
}

/// The spigot with the hose over it, or off it, at a height.
fn hose(
    drawing: &mut Drawing,
    run: &Numbers<'_>,
    factor: f64,
    (name, when, y): (&str, &str, f64),
) -> Option<()> {
    let overlap = run.number(name)?;
    let start = END - overlap * factor;
    let (pen, fill) = if name == "overlap" {
        (Pen::Dashed, Fill::None)
    } else {
        (Pen::Line, Fill::Hatched)
    };
    // The hose stands outside the spigot: two walls with the spigot between them.
    for wall in [y - 15.0, y + 9.0] {
        let size = (start.max(END) + 60.0 - start, 6.0);
        drawing.rectangle((start, wall), size, pen, fill);
    }
    drawing.rectangle((10.0, y - 8.0), (END - 10.0, 16.0), Pen::Line, Fill::White);
    let (from, to) = ((start, y + 24.0), (END, y + 24.0));
    if overlap < 0.0 {
        let words = format!("{when}: off by {}", run.length(-overlap));
        drawing.measure("length", from, to, &words);
    } else {
        let words = format!("{when} {}", run.print(name)?);
        drawing.measure_at("length", (from, to), &words, (END + 12.0, y + 28.5));
    }
    Some(())
}

/// What is missing of the hose, or that nothing is.
fn missing(run: &Numbers<'_>) -> Option<String> {
    if run.number("length_to_add")? <= 0.0 {
        return Some("The hose is long enough.".to_owned());
    }
    let moved = run.number("overlap_moved")? >= run.number("least_overlap")?;
    run.say(if moved {
        "{length_to_add+} of hose is missing, unless moved"
    } else {
        "{length_to_add+} of hose is missing"
    })
}

/// The line between the fittings before and after; nothing when where they stand was not measured.
fn fall(
    drawing: &mut Drawing,
    (subject, run): (&Subject<'_>, &Numbers<'_>),
    foot: f64,
) -> Option<()> {
    let (plan, level, rise) = (
        run.number("plan")?,
        run.number("level")?,
        run.number("rise")?,
    );
    let (before, after) = (run.number("fall_before")?, run.number("fall_after")?);
    let points = [
        (0.0, 0.0),
        (plan.max(1.0), 0.0),
        (plan, level),
        (plan, level + rise),
    ];
    let scale = Scale::fitted(&points, (386.0, 86.0, 190.0, foot - 146.0));
    let [tank, neck, lifted, level_with] =
        [0.0, level, level + rise, 0.0].map(|up| scale.at(plan, up));
    let tank = (scale.at(0.0, 0.0).0, tank.1);
    lines(drawing, (tank, neck, lifted), level_with);
    let reach = scale.length(plan).clamp(24.0, 90.0);
    drawing.arc(tank, reach * 0.6, (0.0, before), Pen::Dashed);
    drawing.arc(tank, reach * 0.8, (0.0, after), Pen::Line);
    let x = level_with.0 + 14.0;
    let lowest = tank.1.max(neck.1) + 20.0;
    let sign = if level < 0.0 { "below " } else { "" };
    for (from, to, words) in [
        ((x, neck.1), (x, lifted.1), run.say("rise {rise}")?),
        (
            (x, level_with.1),
            (x, neck.1),
            format!("{sign}{}", run.length(level.abs())),
        ),
        ((tank.0, lowest), (level_with.0, lowest), run.print("plan")?),
    ] {
        drawing.measure("length", from, to, &words);
    }
    drawing.note(&run.say("before {fall_before}")?);
    drawing.note(&run.say("after {fall_after-}")?);
    drawing.scale((FALL, foot), scale.factor, subject.units);
    Some(())
}

/// The line between the fittings: dashed before, bold after; `foot` is level with the tank's fitting and below the other.
fn lines(drawing: &mut Drawing, (tank, neck, lifted): (At, At, At), foot: At) {
    drawing.line(tank, (foot.0 + 20.0, foot.1), Pen::Thin);
    drawing.line(tank, neck, Pen::Dashed);
    drawing.line(tank, lifted, Pen::Bold);
    for (at, fill) in [
        (tank, Fill::Black),
        (neck, Fill::White),
        (lifted, Fill::Black),
    ] {
        drawing.circle(at, 4.0, Pen::Line, fill);
    }
}
