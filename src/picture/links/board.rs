//! What the pictures of connections share on the drawing board: measures with their words where there is room, a column of notes, a scale to
//! read lengths off, arcs, and views fitted into their place.
//!
//! Takes places in pixels; draws on [`Drawing`] alone. A measure is always a thin line, two bars and its words, in this order.

use super::super::Picture;
use super::super::draw::{At, Drawing, Fill, Pen, Scale, Stand, WIDEST};
use crate::quantity::{Quantity, Unit, Units};

/// Where the column of notes begins.
pub(super) const COLUMN: f64 = 436.0;
/// From one line of notes to the next.
pub(super) const LINE: f64 = 17.0;
/// How many characters fit into the column of notes, at 0.6 em each.
const COLUMN_CHARACTERS: usize = 33;

/// A drawing with a column of notes at its right.
pub(super) struct Board {
    pub(super) drawing: Drawing,
    units: Units,
    height: f64,
    next: f64,
}

impl Board {
    pub(super) fn new(name: &str, height: f64, units: Units) -> Self {
        Self {
            drawing: Drawing::new(name, WIDEST, height),
            units,
            height,
            next: 22.0,
        }
    }

    pub(super) fn picture(self, title: &str, says: &str) -> Picture {
        self.drawing.picture(title, says)
    }

    /// A thin frame round everything.
    pub(super) fn frame(&mut self) {
        let size = (WIDEST - 2.0, self.height - 2.0);
        self.drawing
            .rectangle((1.0, 1.0), size, Pen::Thin, Fill::None);
    }

    pub(super) fn words(&mut self, at: At, words: &str) {
        self.drawing.words(at, words, Stand::Right);
    }

    /// The next note begins no higher than this.
    pub(super) fn notes_from(&mut self, y: f64) {
        self.next = self.next.max(y);
    }

    /// A heading in the column of notes.
    pub(super) fn heading(&mut self, words: &str) {
        self.drawing.bold((COLUMN, self.next), words, Stand::Right);
        self.next += LINE;
    }

    /// A note in the column, on as many lines as it needs.
    pub(super) fn note(&mut self, words: &str) {
        for line in wrapped(words, COLUMN_CHARACTERS) {
            self.drawing.words((COLUMN, self.next), &line, Stand::Right);
            self.next += LINE;
        }
    }

    /// A measure whose words stand in the column of notes, at the next line.
    pub(super) fn noted(&mut self, from: At, to: At, words: &str) {
        let mut lines = wrapped(words, COLUMN_CHARACTERS).into_iter();
        let first = lines.next().unwrap_or_default();
        let at = (COLUMN, self.next);
        self.measure(from, to, at, Stand::Right, &first);
        self.next += LINE;
        for line in lines {
            self.drawing.words((COLUMN, self.next), &line, Stand::Right);
            self.next += LINE;
        }
    }

    /// Room between two groups of notes.
    pub(super) fn space(&mut self) {
        self.next += 9.0;
    }

    /// Where the next note stands.
    pub(super) fn next(&self) -> f64 {
        self.next
    }

    /// A measure with its words at a place of their own.
    pub(super) fn measure(&mut self, from: At, to: At, at: At, stand: Stand, words: &str) {
        self.drawing.barred(from, to);
        self.drawing.words(at, words, stand);
    }

    /// A level length with its words behind it; gives the height that it took.
    pub(super) fn bar(&mut self, (x, y): At, length: f64, (pen, fill): (Pen, Fill), words: &str) {
        if length > 0.0 {
            self.drawing
                .rectangle((x, y - 11.0), (length, 9.0), pen, fill);
        }
        self.measure(
            (x, y + 3.0),
            (x + length, y + 3.0),
            (x + length.max(0.0) + 9.0, y),
            Stand::Right,
            words,
        );
    }

    /// A round length to read the scale off, with its left end at a place.
    pub(super) fn scale(&mut self, at: At, factor: f64) {
        let inches = self.units == Units::Inch;
        let unit = if inches { 25.4 } else { 1.0 };
        let steps: [f64; 8] = if inches {
            [0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0]
        } else {
            [5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0]
        };
        let fits = |step: &&f64| **step * unit * factor <= 90.0;
        let length = steps.iter().rev().find(fits).unwrap_or(&1.0) * unit;
        let words = format!(
            "scale {}",
            Quantity::exact(length, Unit::Mm).print(self.units)
        );
        let (x, y) = at;
        let end = x + length * factor;
        self.measure(at, (end, y), (end + 8.0, y + 4.5), Stand::Right, &words);
    }

    /// An arc about a centre, in degrees counter-clockwise from the right.
    pub(super) fn arc(&mut self, (x, y): At, radius: f64, (from, to): (f64, f64), pen: Pen) {
        let points = (0..=16).map(|step| {
            let angle = (from + (to - from) * f64::from(step) / 16.0).to_radians();
            (x + radius * angle.cos(), y - radius * angle.sin())
        });
        let points: Vec<At> = points.collect();
        self.drawing.path(&points, pen);
    }

    /// A closed strip of a width about a line.
    pub(super) fn strip(&mut self, from: At, to: At, width: f64, (pen, fill): (Pen, Fill)) {
        let (across, along) = (to.0 - from.0, to.1 - from.1);
        let length = across.hypot(along).max(f64::EPSILON);
        let (x, y) = (-along / length * width / 2.0, across / length * width / 2.0);
        let corners = [
            (from.0 + x, from.1 + y),
            (to.0 + x, to.1 + y),
            (to.0 - x, to.1 - y),
            (from.0 - x, from.1 - y),
        ];
        self.drawing.shape(&corners, pen, fill);
    }
}

/// The scale that fits points of the vehicle, mm right and up, into a place on the drawing (left, top, width, height), centred.
pub(super) fn fitted(points: &[At], (left, top, width, height): (f64, f64, f64, f64)) -> Scale {
    let range = |of: fn(&At) -> f64| {
        let numbers = points.iter().map(of);
        numbers.fold(
            (f64::INFINITY, f64::NEG_INFINITY),
            |(least, most), number| (least.min(number), most.max(number)),
        )
    };
    let (x, y) = (range(|at| at.0), range(|at| at.1));
    let wide = (x.1 - x.0).max(1e-3);
    let tall = (y.1 - y.0).max(1e-3);
    let factor = (width / wide).min(height / tall);
    let origin_x = left + (width - wide * factor) / 2.0 - x.0 * factor;
    let origin_y = top + (height - tall * factor) / 2.0 + y.1 * factor;
    Scale {
        factor,
        origin: (origin_x, origin_y),
    }
}

/// Words on lines of at most so many characters; a longer word is cut.
pub(super) fn wrapped(words: &str, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        let letters: Vec<char> = word.chars().collect();
        for piece in letters.chunks(most) {
            let piece: String = piece.iter().collect();
            match lines.last_mut() {
                Some(line) if line.chars().count() + 1 + piece.chars().count() <= most => {
                    line.push(' ');
                    line.push_str(&piece);
                }
                _ => lines.push(piece),
            }
        }
    }
    lines
}
