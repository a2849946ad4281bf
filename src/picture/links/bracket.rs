//! The mount of a bar on the chassis: its arm before and after the bar is raised, the plates that bend, and their stress against what is allowed.
//!
//! Takes one run of the bending check; draws the plates the way the load bends them.

use super::super::Picture;
use super::super::draw::{Drawing, Fill, Pen, Scale, Stand};
use super::super::layout::{LINE, width};
use super::numbers::Numbers;
use super::{COLUMN, Subject, title};

struct Mount {
    arm: f64,
    rise: f64,
    /// One plate as it is seen, mm.
    seen: f64,
    /// How many plates are seen beside one another.
    beside: u32,
}

pub(super) fn draw(subject: &Subject<'_>, run: &Numbers<'_>, name: &str) -> Option<Picture> {
    if !run.moves() {
        return None;
    }
    let across_width = run.word("bends")? == "across_width";
    let plates = run.number("plates")?;
    let mount = Mount {
        arm: run.number("arm")?,
        rise: run.number("rise")?,
        seen: run.number(if across_width { "width" } else { "thickness" })?,
        beside: if across_width {
            1
        } else {
            (1..=8).rfind(|n| f64::from(*n) <= plates).unwrap_or(1)
        },
    };
    let half = mount.seen.max(30.0) / 2.0;
    let points = [(-half, 0.0), (half, mount.arm + mount.rise)];
    let factor = Scale::fitted(&points, (0.0, 0.0, 110.0, 186.0)).factor;
    let mut drawing = Drawing::new(690.0);
    for (centre, rise, heading) in [(150.0, 0.0, "before"), (346.0, mount.rise, "after")] {
        let scale = Scale {
            factor,
            origin: (centre, 0.0),
        };
        one(&mut drawing, scale, &mount, (rise, run))?;
        let top = -(mount.arm + mount.rise) * factor - 38.0;
        drawing.bold((centre, top), heading, Stand::Middle);
    }
    let seen = run.print(if across_width { "width" } else { "thickness" })?;
    let wide = factor * mount.seen / 2.0;
    drawing.measure("length", (346.0 - wide, 26.0), (346.0 + wide, 26.0), &seen);
    drawing.scale((20.0, 46.0), factor, subject.units);
    drawing.notes(
        COLUMN,
        -(mount.arm + mount.rise) * factor - 38.0,
        690.0 - COLUMN,
    );
    stresses(&mut drawing, run)?;
    let way = if across_width {
        "across the width of its plates"
    } else {
        "across the thickness of its plates"
    };
    let says = says(run, way)?;
    let title = title(subject, &format!("its mount, bent {way}"));
    Some(drawing.picture(name, &title, &says))
}

/// The chassis, the plates and the bar with the load on it, with the arm and the rise on top of it.
fn one(
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
    drawing.measure(
        "length",
        (side, foot),
        (side, old),
        &format!("arm {}", run.print("arm")?),
    );
    if rise > 0.0 {
        drawing.line((side + 4.0, old), (x - 14.0, old), Pen::Thin);
        drawing.measure(
            "length",
            (side, old),
            (side, bar),
            &format!("rise {}", run.print("rise")?),
        );
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
    let words = format!("allowed {}", run.print("allowable")?);
    let stand = if allowed > COLUMN + width(&words) {
        Stand::Left
    } else {
        Stand::Right
    };
    drawing.words((allowed, drawing.next()), &words, stand);
    drawing.space(26.0);
    for note in verdict(run)? {
        drawing.note(&note);
    }
    Some(())
}

fn verdict(run: &Numbers<'_>) -> Option<Vec<String>> {
    let plates = format!(
        "Plates: {} of {} by {}.",
        run.print("plates")?,
        run.print("width")?,
        run.print("thickness")?
    );
    let enough = if run.number("shortfall")? > 0.0 {
        format!(
            "Each must be {} thick: {} more.",
            run.print("thickness_allowed")?,
            run.print("shortfall")?
        )
    } else {
        format!(
            "Thick enough: {} would do.",
            run.print("thickness_allowed")?
        )
    };
    let moment = format!(
        "Bolts and rail see {} times the moment.",
        run.print("moment_ratio")?
    );
    Some(vec![plates, enough, moment])
}

fn says(run: &Numbers<'_>, way: &str) -> Option<String> {
    let [plates, enough, moment] = <[String; 3]>::try_from(verdict(run)?).ok()?;
    let over = if run.number("stress_after")? > run.number("allowable")? {
        "more than"
    } else {
        "within"
    };
    Some(format!(
        "The load of {} at the bar bends the mount {way}. The arm of {} becomes longer by {}. The bending stress is {} before and {} after, {over} the {} \
         allowed. {plates} {enough} {moment}",
        run.print("load")?,
        run.print("arm")?,
        run.print("rise")?,
        run.print("stress_before")?,
        run.print("stress_after")?,
        run.print("allowable")?,
    ))
}
