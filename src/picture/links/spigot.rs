//! A hose on its spigot and its fall: the overlap before and after the lift beside the overlap asked, and the line between the fittings.
//!
//! Takes one run of the hose's check; draws the overlap at the left and the fall at the right, each to its own scale.

use super::super::Picture;
use super::super::draw::{At, Fill, Pen, Stand};
use super::board::{Board, LINE, fitted};
use super::numbers::{Numbers, Worst};
use super::{Subject, title};

/// Where the spigot ends.
const END: f64 = 172.0;

pub(super) fn draw(subject: &Subject<'_>, run: &Numbers<'_>, name: &str) -> Option<Picture> {
    if !run.moves() {
        return None;
    }
    let slides =
        run.number("slide")? > 0.0 && run.number("overlap_moved")? > run.number("overlap_left")?;
    let height = if slides { 322.0 } else { 262.0 };
    let mut board = Board::new(name, height, subject.units);
    board
        .drawing
        .bold((10.0, 22.0), "Overlap on the spigot", Stand::Right);
    let widest = ["overlap", "overlap_left", "least_overlap"]
        .iter()
        .filter_map(|name| run.number(name))
        .fold(10.0, f64::max);
    // How far a hose comes off its spigot at most.
    let off = -["overlap_left", "overlap_moved"]
        .iter()
        .filter_map(|name| run.number(name))
        .fold(-1.0, f64::min);
    let factor = (150.0 / widest).min(90.0 / off).min(4.0);
    let mut hoses = vec![("overlap", "before"), ("overlap_left", "after")];
    if slides {
        hoses.push(("overlap_moved", "moved"));
    }
    let mut y = 56.0;
    for (name, when) in hoses {
        hose(&mut board, run, factor, (name, when, y))?;
        y += 62.0;
    }
    asked(&mut board, run, factor, y)?;
    board.scale((10.0, height - 16.0), factor);
    board
        .drawing
        .line((356.0, 14.0), (356.0, height - 10.0), Pen::Thin);
    board
        .drawing
        .bold((374.0, 22.0), "Fall of the hose", Stand::Right);
    let fall = fall(&mut board, run, height);
    if fall.is_none() {
        for (line, y) in [
            "Not drawn: where the two fittings",
            "stand was not measured.",
        ]
        .into_iter()
        .zip([50.0, 50.0 + LINE])
        {
            board.words((374.0, y), line);
        }
    }
    let says = says(run, slides, fall)?;
    Some(board.picture(
        &title(subject, "its hose on the spigot, and its fall"),
        &says,
    ))
}

/// The spigot with the hose over it, or off it, at a height.
fn hose(
    board: &mut Board,
    run: &Numbers<'_>,
    factor: f64,
    (name, when, y): (&str, &str, f64),
) -> Option<()> {
    let overlap = run.number(name)?;
    let start = END - overlap * factor;
    let fill = if name == "overlap" {
        Fill::None
    } else {
        Fill::Hatched
    };
    let pen = if name == "overlap" {
        Pen::Dashed
    } else {
        Pen::Line
    };
    // The hose stands outside the spigot: two walls with the spigot between them.
    let drawing = &mut board.drawing;
    for wall in [y - 15.0, y + 9.0] {
        drawing.rectangle(
            (start, wall),
            (start.max(END) + 60.0 - start, 6.0),
            pen,
            fill,
        );
    }
    drawing.rectangle((10.0, y - 8.0), (END - 10.0, 16.0), Pen::Line, Fill::White);
    let (words, at, stand) = if overlap < 0.0 {
        let words = format!("{when}: off by {}", run.length(-overlap));
        (words, END - 5.0, Stand::Left)
    } else {
        (
            format!("{when} {}", run.print(name)?),
            END + 10.0,
            Stand::Right,
        )
    };
    let at = (at, y + 28.5);
    board.measure((start, y + 24.0), (END, y + 24.0), at, stand, &words);
    Some(())
}

/// The overlap asked, as a line through every hose and a measure below them.
fn asked(board: &mut Board, run: &Numbers<'_>, factor: f64, y: f64) -> Option<()> {
    let start = END - run.number("least_overlap")? * factor;
    board.drawing.line((start, 34.0), (start, y), Pen::Line);
    board.drawing.line((END, 34.0), (END, y), Pen::Thin);
    let words = format!("asked {}", run.print("least_overlap")?);
    board.measure(
        (start, y - 2.0),
        (END, y - 2.0),
        (END + 10.0, y + 2.5),
        Stand::Right,
        &words,
    );
    let note = missing(run)?;
    board.words((10.0, y + 26.0), &note);
    Some(())
}

/// What is missing of the hose, or that nothing is.
fn missing(run: &Numbers<'_>) -> Option<String> {
    if run.number("length_to_add")? <= 0.0 {
        return Some("The hose is long enough.".to_owned());
    }
    let enough = run.number("overlap_moved")? >= run.number("least_overlap")?;
    let unless = if enough { ", unless moved" } else { "" };
    Some(format!(
        "{} of hose is missing{}{unless}",
        run.print("length_to_add")?,
        run.worst("length_to_add", Worst::Most)
    ))
}

/// The line between the fittings before and after; gives what it says, or nothing when it was not measured.
fn fall(board: &mut Board, run: &Numbers<'_>, height: f64) -> Option<String> {
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
    let scale = fitted(&points, (386.0, 96.0, 190.0, height - 166.0));
    let (tank, neck, lifted) = (
        scale.at(0.0, 0.0),
        scale.at(plan, level),
        scale.at(plan, level + rise),
    );
    let foot = scale.at(plan, 0.0);
    lines(board, (tank, neck, lifted), foot);
    let reach = scale.length(plan).clamp(24.0, 90.0);
    board.arc(tank, reach * 0.6, (0.0, before), Pen::Dashed);
    board.arc(tank, reach * 0.8, (0.0, after), Pen::Line);
    measures(board, run, (tank, neck, lifted), foot)?;
    let words = [("before", "fall_before"), ("after", "fall_after")].map(|(when, name)| {
        let fall = run.print(name).unwrap_or_default();
        format!(
            "{when} {fall}{}",
            if name == "fall_after" {
                run.worst(name, Worst::Least)
            } else {
                String::new()
            }
        )
    });
    for (line, y) in words.iter().zip([44.0, 44.0 + LINE]) {
        board.words((374.0, y), line);
    }
    board.scale((374.0, height - 16.0), scale.factor);
    Some(format!(
        "The body's fitting stands {} {} the other and {} from it in plan; the line between them falls {} before and {} after.",
        run.length(level.abs()),
        if level < 0.0 { "below" } else { "above" },
        run.print("plan")?,
        run.print("fall_before")?,
        run.print("fall_after")?,
    ))
}

/// The line between the fittings: dashed before, bold after; `foot` is level with the tank's fitting and below the other.
fn lines(board: &mut Board, (tank, neck, lifted): (At, At, At), foot: At) {
    let drawing = &mut board.drawing;
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

/// How far the fittings are apart: in plan, in height, and by how much the lift raises the body's.
fn measures(
    board: &mut Board,
    run: &Numbers<'_>,
    (tank, neck, lifted): (At, At, At),
    foot: At,
) -> Option<()> {
    let level = run.number("level")?;
    let x = foot.0 + 14.0;
    let rise_at = f64::midpoint(neck.1, lifted.1) + 4.0;
    let level_at = f64::midpoint(foot.1, neck.1) + 4.0;
    let level_at = level_at.max(rise_at + 16.0);
    let sign = if level < 0.0 { "below " } else { "" };
    let level_words = format!("{sign}{}", run.length(level.abs()));
    board.measure(
        (x, neck.1),
        (x, lifted.1),
        (x + 9.0, rise_at),
        Stand::Right,
        &format!("rise {}", run.print("rise")?),
    );
    board.measure(
        (x, foot.1),
        (x, neck.1),
        (x + 9.0, level_at),
        Stand::Right,
        &level_words,
    );
    let lowest = tank.1.max(neck.1).max(level_at) + 20.0;
    board.measure(
        (tank.0, lowest),
        (foot.0, lowest),
        (f64::midpoint(tank.0, foot.0), lowest + 17.0),
        Stand::Middle,
        &run.print("plan")?,
    );
    Some(())
}

fn says(run: &Numbers<'_>, slides: bool, fall: Option<String>) -> Option<String> {
    let left = run.number("overlap_left")?;
    let left = if left < 0.0 {
        format!("it is off its spigot by {}", run.length(-left))
    } else {
        format!("{} is left", run.print("overlap_left")?)
    };
    let moved = if slides {
        format!(
            " With the fitting moved {} is left.",
            run.print("overlap_moved")?
        )
    } else {
        String::new()
    };
    let fall = fall.unwrap_or_else(|| {
        "The fall is not drawn, because where the two fittings stand was not measured.".to_owned()
    });
    Some(format!(
        "The hose is pushed over its spigot by {}. The rise of {} takes {} of that: {left}{}; at least {} is asked.{moved} {}{} {fall}",
        run.print("overlap")?,
        run.print("rise")?,
        run.length(run.number("growth")?.max(0.0)),
        run.worst("overlap_left", Worst::Least),
        run.print("least_overlap")?,
        missing(run)?,
        if run.number("length_to_add")? > 0.0 {
            "."
        } else {
            ""
        },
    ))
}
