//! The mount of a bar on the chassis: its arm before and after the bar is raised, the plates that bend, and their stress against what is allowed.
//!
//! Takes one run of the bending check; draws the plates the way the load bends them.

use super::super::Picture;
use super::super::draw::{At, Fill, Pen, Scale, Stand};
use super::board::{Board, COLUMN, LINE, fitted};
use super::numbers::Numbers;
use super::{Subject, title};

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
    let factor = fitted(&points, (0.0, 0.0, 110.0, 186.0)).factor;
    // The foot of the plates: low enough for the bar with its heading, and for the notes beside.
    let foot = ((mount.arm + mount.rise) * factor + 56.0).max(190.0);
    let mut board = Board::new(name, foot + 62.0, subject.units);
    let seen = run.print(if across_width { "width" } else { "thickness" })?;
    for (centre, rise, heading) in [(162.0, 0.0, "before"), (350.0, mount.rise, "after")] {
        let scale = Scale {
            factor,
            origin: (centre, foot),
        };
        one(&mut board, scale, &mount, rise);
        board.drawing.bold((centre, 22.0), heading, Stand::Middle);
        measures(&mut board, scale, &mount, (rise, run));
    }
    let width = factor * mount.seen / 2.0;
    board.measure(
        (350.0 - width, foot + 26.0),
        (350.0 + width, foot + 26.0),
        (350.0, foot + 44.0),
        Stand::Middle,
        &seen,
    );
    board.scale((20.0, foot + 46.0), factor);
    stresses(&mut board, run)?;
    let way = if across_width {
        "across the width of its plates"
    } else {
        "across the thickness of its plates"
    };
    let says = says(run, way)?;
    Some(board.picture(&title(subject, &format!("its mount, bent {way}")), &says))
}

/// The chassis, the plates and the bar with the load on it.
fn one(board: &mut Board, scale: Scale, mount: &Mount, rise: f64) {
    let (x, foot) = scale.at(0.0, 0.0);
    let (_, bar) = scale.at(0.0, mount.arm + rise);
    let width = scale.length(mount.seen);
    let gap = 14.0;
    let all = f64::from(mount.beside).mul_add(width + gap, -gap);
    for plate in 0..mount.beside {
        let left = x - all / 2.0 + f64::from(plate) * (width + gap);
        board
            .drawing
            .rectangle((left, bar), (width, foot - bar), Pen::Line, Fill::None);
    }
    if rise > 0.0 {
        let (_, old) = scale.at(0.0, mount.arm);
        board
            .drawing
            .circle((x, old), 13.0, Pen::Dashed, Fill::None);
    }
    let block = all.max(70.0) + 16.0;
    board.drawing.rectangle(
        (x - block / 2.0, foot),
        (block, 12.0),
        Pen::Line,
        Fill::Hatched,
    );
    board.drawing.circle((x, bar), 13.0, Pen::Bold, Fill::White);
    board.drawing.circle((x, bar), 2.0, Pen::Line, Fill::Black);
    arrow(board, (x + 16.0, bar), 40.0);
}

/// The load: an arrow toward the bar.
fn arrow(board: &mut Board, (x, y): At, length: f64) {
    board.drawing.line((x + 6.0, y), (x + length, y), Pen::Bold);
    board.drawing.shape(
        &[(x, y), (x + 10.0, y - 5.0), (x + 10.0, y + 5.0)],
        Pen::Line,
        Fill::Black,
    );
}

/// The arm, the rise on top of it, and the load, for one of the two mounts.
fn measures(board: &mut Board, scale: Scale, mount: &Mount, (rise, run): (f64, &Numbers<'_>)) {
    let (centre, foot) = scale.at(0.0, 0.0);
    let (_, old) = scale.at(0.0, mount.arm);
    let (_, bar) = scale.at(0.0, mount.arm + rise);
    let x = centre - 66.0;
    let arm = f64::midpoint(foot, old) + 4.0;
    board.measure(
        (x, foot),
        (x, old),
        (x - 8.0, arm),
        Stand::Left,
        &format!("arm {}", run.print("arm").unwrap_or_default()),
    );
    if rise > 0.0 {
        let middle = (f64::midpoint(old, bar) + 4.0).min(arm - 16.0);
        let words = format!("rise {}", run.print("rise").unwrap_or_default());
        board.measure((x, old), (x, bar), (x - 8.0, middle), Stand::Left, &words);
        board
            .drawing
            .line((x + 4.0, old), (centre - 14.0, old), Pen::Thin);
    }
    board
        .drawing
        .line((x + 4.0, bar), (centre - 14.0, bar), Pen::Thin);
    if rise > 0.0 {
        let load = run.print("load").unwrap_or_default();
        board
            .drawing
            .words((centre + 22.0, bar - 10.0), &load, Stand::Right);
    }
}

/// The bending stress before and after as bars, and the allowed one as a line across them.
fn stresses(board: &mut Board, run: &Numbers<'_>) -> Option<()> {
    let allowable = run.number("allowable")?;
    let bars = [
        ("before", "stress_before", Fill::White, Pen::Line),
        ("after", "stress_after", Fill::Hatched, Pen::Bold),
    ];
    let numbers = bars.iter().filter_map(|(_, name, ..)| run.number(name));
    let most = numbers.fold(allowable, f64::max);
    let allowed = COLUMN + allowable / most * 236.0;
    board.heading("Bending stress of the plates");
    for (when, name, fill, pen) in bars {
        let y = board.next() + 6.0;
        let words = format!("{when} {}", run.print(name)?);
        board.drawing.words((COLUMN, y), &words, Stand::Right);
        let size = (run.number(name)? / most * 236.0, 12.0);
        board.drawing.rectangle((COLUMN, y + 8.0), size, pen, fill);
        // What is allowed, across the bar.
        board
            .drawing
            .line((allowed, y + 4.0), (allowed, y + 24.0), Pen::Bold);
        board.notes_from(y + 2.0 * LINE + 4.0);
    }
    let words = format!("allowed {}", run.print("allowable")?);
    let stand = if allowed > COLUMN + 130.0 {
        Stand::Left
    } else {
        Stand::Right
    };
    let y = board.next() + 4.0;
    board.drawing.words((allowed, y), &words, stand);
    board.notes_from(y + 26.0);
    for note in verdict(run)? {
        board.note(&note);
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
