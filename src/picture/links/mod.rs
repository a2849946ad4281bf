//! Pictures of single connections, one for each calculation that can be drawn: what the lift does to it, before and after.
//!
//! Takes everything made of a job and a link's id; gives its [`Picture`]s. A picture goes by the calculation that the link's class
//! uses, never by the class; its numbers are the assessment's, at the stated values. Where something is still to be measured,
//! the picture says what, and draws nothing. Where it stands on a page is left to `document`.

mod bracket;
mod fan;
mod lever;
pub(super) mod numbers;
mod shaft;
mod speed;
mod spigot;

use super::draw::{Drawing, Fill, Pen, WIDEST};
use super::layout::sentence;
use super::{Made, Picture};
use crate::assess::Assessed;
use crate::quantity::Units;
use numbers::Numbers;

/// Where the column of notes begins, pixels.
const COLUMN: f64 = 436.0;

/// What a drawing is made from: the link, every run of the calculation, and the system of units.
struct Subject<'a> {
    link: &'a Assessed<'a>,
    runs: Vec<Numbers<'a>>,
    units: Units,
}

/// Draws a run and gives what is shown, for the title; nothing where the run holds nothing to compare.
type Draw = fn(&Subject<'_>, &Numbers<'_>, &mut Drawing) -> Option<String>;

/// The pictures of each calculation: its name, the picture's name, the drawing. A picture of the name `once` is drawn of the first run alone,
/// because the others of its calculation are given the same.
const PICTURES: [(&str, &str, bool, Draw); 6] = [
    ("lever", "lever", false, lever::draw),
    ("shaft", "shaft", true, shaft::draw),
    ("shaft", "speed", true, speed::draw),
    ("fan", "fan", false, fan::draw),
    ("spigot", "spigot", false, spigot::draw),
    ("bracket", "bracket", false, bracket::draw),
];

/// Every picture of a link, none when nothing of it can be drawn.
pub fn pictures(made: &Made<'_>, link: &str, units: Units) -> Vec<Picture> {
    let mut calcs: Vec<&str> = PICTURES.iter().map(|(calc, ..)| *calc).collect();
    calcs.dedup();
    let pictures = calcs
        .iter()
        .flat_map(|calc| of_calc(made, link, calc, units));
    pictures.collect()
}

pub(crate) fn of_calc(made: &Made<'_>, link: &str, calc: &str, units: Units) -> Vec<Picture> {
    let Some(link) = made.assessment.links.get(link) else {
        return Vec::new();
    };
    let runs = link.calculated.iter();
    let runs = runs.filter(|run| run.evaluation.calc == calc);
    let runs: Vec<Numbers<'_>> = runs.map(|run| Numbers::new(run, units)).collect();
    let subject = Subject { link, runs, units };
    let drawn = PICTURES.iter().filter(|(of, ..)| *of == calc);
    if subject.runs.is_empty() {
        return drawn
            .take(1)
            .filter_map(|(_, kind, ..)| unknown(&subject, calc, kind))
            .collect();
    }
    drawn
        .flat_map(|(_, kind, once, draw)| each(&subject, kind, *once, *draw))
        .collect()
}

/// One picture for each run that decides something.
fn each(subject: &Subject<'_>, kind: &str, once: bool, draw: Draw) -> Vec<Picture> {
    let runs = subject.runs.iter();
    let deciding = runs.filter(|run| run.decides() && run.moves());
    let deciding = deciding.take(if once { 1 } else { usize::MAX });
    let drawn = deciding.enumerate().filter_map(|(index, run)| {
        let number = if index == 0 {
            String::new()
        } else {
            format!("-{}", index + 1)
        };
        let mut drawing = Drawing::new(WIDEST);
        drawing.notes(COLUMN, 22.0, WIDEST - COLUMN);
        let what = draw(subject, run, &mut drawing)?;
        Some(subject.picture(drawing, &format!("{kind}{number}"), &what))
    });
    drawn.collect()
}

/// An id as the name of a file and of an XML element: letters, digits, `-` and `_`, beginning with a letter or `_`.
fn safe(id: &str) -> String {
    let mut name = String::new();
    if !id.starts_with(|c: char| c.is_ascii_alphabetic()) {
        name.push('_');
    }
    for character in id.chars() {
        if character.is_ascii_alphanumeric() || matches!(character, '-' | '_') {
            name.push(character);
        } else {
            name.push_str(&format!("_{:x}", u32::from(character)));
        }
    }
    name
}

/// The picture of a calculation that could not be made yet: it says what is still to be measured.
fn unknown(subject: &Subject<'_>, calc: &str, kind: &str) -> Option<Picture> {
    let class = subject.link.class?;
    let uses = |check: &crate::rules::Check| check.calc.is_some_and(|own| own.name == calc);
    if subject.link.missing.is_empty() || !class.checks.iter().any(uses) {
        return None;
    }
    let missing = subject.link.missing.iter();
    let labels: Vec<&str> = missing.map(|missing| missing.label.as_str()).collect();
    let mut drawing = Drawing::new(WIDEST);
    let why = format!(
        "Not drawn yet, because this is still to be measured: {}.",
        labels.join("; ")
    );
    not_drawn(&mut drawing, &why);
    Some(subject.picture(drawing, kind, "not measured yet"))
}

/// Why nothing is drawn, in a frame.
fn not_drawn(drawing: &mut Drawing, why: &str) {
    drawing.notes(12.0, 21.0, WIDEST - 24.0);
    drawing.note(why);
    let size = (WIDEST - 2.0, drawing.next() - 8.0);
    drawing.rectangle((1.0, 1.0), size, Pen::Thin, Fill::None);
}

impl Subject<'_> {
    /// A drawing as a picture of this link: of what kind it is, and what it shows.
    fn picture(&self, drawing: Drawing, kind: &str, what: &str) -> Picture {
        let name = format!("{}-{kind}", safe(&self.link.id));
        let title = format!("{}: {what}", sentence(&self.link.title));
        drawing.picture(&name, &title)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc;

    #[test]
    fn every_picture_is_of_a_calculation_there_is() {
        for (calc, ..) in PICTURES {
            assert!(calc::find(calc).is_some(), "{calc}");
        }
    }

    #[test]
    fn a_name_is_safe_whatever_the_id() {
        assert_eq!(safe("filler-hose"), "filler-hose");
        assert_eq!(safe("2nd/\"<x>"), "_2nd_2f_22_3cx_3e");
    }
}
