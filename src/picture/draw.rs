//! The drawing board: lines, shapes, words and dimensions in CSS pixels.
//!
//! Every picture draws on this and on nothing else, so all have one pen, one typeface and one way to dimension. A drawing is
//! at most [`WIDEST`] wide, so that its words keep their size of at least 9 pt on A4 and Letter, and as high as what is on it. Words stand where they are
//! put, or beside what they name where `layout` finds room; `written` makes text of the whole. Millimetres of the vehicle become pixels through a [`Scale`].

use super::Picture;
use super::layout::{self, LINE, sentence, wrapped};
pub(crate) use super::piece::{At, Fill, Pen, Stand, WIDEST, WORDS};
pub(super) use super::piece::{Piece, Words};
use crate::quantity::{Quantity, Unit, Units};
use crate::report::{in_message, number_runs};

/// Millimetres of the vehicle → pixels of the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Scale {
    /// Pixels per millimetre.
    pub factor: f64,
    /// Where the vehicle's (0, 0) stands on the drawing.
    pub origin: At,
}

impl Scale {
    /// The scale that fits points of the vehicle, mm right and up, into a place on the drawing (left, top, width, height), centred.
    pub(crate) fn fitted(points: &[At], (left, top, width, height): (f64, f64, f64, f64)) -> Self {
        let range = |of: fn(&At) -> f64| {
            let numbers = points.iter().map(of);
            numbers.fold(
                (f64::INFINITY, f64::NEG_INFINITY),
                |(least, most), number| (least.min(number), most.max(number)),
            )
        };
        let (x, y) = (range(|at| at.0), range(|at| at.1));
        let (wide, tall) = ((x.1 - x.0).max(1e-3), (y.1 - y.0).max(1e-3));
        let factor = (width / wide).min(height / tall);
        Self {
            factor,
            origin: (
                left + (width - wide * factor) / 2.0 - x.0 * factor,
                top + (height - tall * factor) / 2.0 + y.1 * factor,
            ),
        }
    }

    /// The place of a point so many millimetres right of and above the vehicle's (0, 0).
    pub(crate) fn at(self, right: f64, up: f64) -> At {
        let (x, y) = self.origin;
        (x + right * self.factor, y - up * self.factor)
    }

    /// A length in pixels.
    pub(crate) fn length(self, millimetres: f64) -> f64 {
        millimetres * self.factor
    }
}

/// A drawing in the making, and what a picture is drawn from.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Drawing {
    pub(super) width: f64,
    pub(super) margin: f64,
    pub(super) pieces: Vec<Piece>,
    /// The column of notes: its left edge, its width, and where the next one stands.
    notes: (f64, f64, f64),
    /// The headings, notes and dimensions so far, in turn.
    told: String,
}

impl Drawing {
    /// An empty drawing of a width in CSS pixels, held to [`WIDEST`]; it is as high as what is drawn on it.
    pub(crate) fn new(width: f64) -> Self {
        Self {
            width: width.min(WIDEST),
            margin: 7.0,
            pieces: Vec::new(),
            notes: (8.0, width.min(WIDEST) - 16.0, 22.0),
            told: String::new(),
        }
    }

    /// A straight line.
    pub(crate) fn line(&mut self, from: At, to: At, pen: Pen) {
        self.path(&[from, to], pen);
    }

    /// A line through several points.
    pub(crate) fn path(&mut self, points: &[At], pen: Pen) {
        self.pieces.push(Piece::Line(points.to_vec(), pen));
    }

    /// A closed shape.
    pub(crate) fn shape(&mut self, points: &[At], pen: Pen, fill: Fill) {
        self.pieces.push(Piece::Shape(points.to_vec(), pen, fill));
    }

    /// A rectangle from its upper left corner.
    pub(crate) fn rectangle(&mut self, corner: At, size: (f64, f64), pen: Pen, fill: Fill) {
        let ((left, top), (width, height)) = (corner, size);
        let (right, bottom) = (left + width, top + height);
        let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
        self.shape(&corners, pen, fill);
    }

    /// A closed strip of a width about a line.
    pub(crate) fn strip(&mut self, from: At, to: At, width: f64, (pen, fill): (Pen, Fill)) {
        let (across, along) = (to.0 - from.0, to.1 - from.1);
        let length = across.hypot(along).max(f64::EPSILON);
        let (x, y) = (-along / length * width / 2.0, across / length * width / 2.0);
        let corners = [
            (from.0 + x, from.1 + y),
            (to.0 + x, to.1 + y),
            (to.0 - x, to.1 - y),
            (from.0 - x, from.1 - y),
        ];
        self.shape(&corners, pen, fill);
    }

    /// An arc about a centre, in degrees counter-clockwise from the right.
    pub(crate) fn arc(&mut self, (x, y): At, radius: f64, (from, to): (f64, f64), pen: Pen) {
        let points = (0..=16).map(|step| {
            let angle = (from + (to - from) * f64::from(step) / 16.0).to_radians();
            (x + radius * angle.cos(), y - radius * angle.sin())
        });
        let points: Vec<At> = points.collect();
        self.path(&points, pen);
    }

    /// A picture of another kind over the whole of the drawing.
    pub(crate) fn image(&mut self, size: (f64, f64), href: &str) {
        self.margin = 0.0;
        self.pieces.push(Piece::Image(size, href.to_owned()));
    }

    pub(crate) fn circle(&mut self, centre: At, radius: f64, pen: Pen, fill: Fill) {
        self.pieces.push(Piece::Circle(centre, radius, pen, fill));
    }

    /// Words in one line; `at` is on their base line.
    pub(crate) fn words(&mut self, at: At, words: &str, stand: Stand) {
        self.lettering(at, words, (stand, false, None));
    }

    pub(crate) fn bold(&mut self, at: At, words: &str, stand: Stand) {
        self.lettering(at, words, (stand, true, None));
    }

    /// Says something to whoever does not see the drawing. What stands on it as a heading, a note or a dimension is said without this.
    pub(crate) fn tell(&mut self, words: &str) {
        let gap = match self.told.chars().next_back() {
            None => "",
            Some('.' | ':') => " ",
            Some(_) if words.starts_with(char::is_uppercase) => ". ",
            Some(_) => "; ",
        };
        self.told.push_str(gap);
        self.told.push_str(words);
    }

    /// Says which numbers on it are of a kind, if there are any.
    pub(crate) fn tell_numbers(&mut self, kind: &str, numbers: impl Iterator<Item = usize>) {
        let runs = number_runs(numbers.collect());
        if !runs.is_empty() {
            self.tell(&format!("{kind}: {runs}"));
        }
    }

    /// Words on a white plate, so that they can be read on a hatched shape.
    pub(crate) fn plate(&mut self, at: At, words: &str) {
        let area = layout::Area::around(at, words, (Stand::Middle, false)).grown(0.3);
        let size = (area.right - area.left, area.bottom - area.top);
        self.rectangle((area.left, area.top), size, Pen::None, Fill::White);
        self.words(at, words, Stand::Middle);
    }

    /// Words beside a place of half a size, wherever they have room, with a thin line to it where they are not beside it.
    pub(crate) fn label(&mut self, middle: At, half: At, words: &str) {
        self.lettering(middle, words, (Stand::Middle, false, Some(half)));
    }

    fn lettering(&mut self, at: At, words: &str, how: (Stand, bool, Option<At>)) {
        let (stand, bold, free) = how;
        let text = in_message(words);
        self.pieces.push(Piece::Words(Words {
            at,
            text,
            stand,
            bold,
            free,
        }));
    }

    /// A thin line with a bar at both ends; one of no length still shows its bars, upright.
    fn barred(&mut self, from: At, to: At) {
        self.line(from, to, Pen::Thin);
        let (across, along) = (to.0 - from.0, to.1 - from.1);
        let length = across.hypot(along);
        let (bar_x, bar_y) = if length > 1e-9 {
            (-along / length * 4.0, across / length * 4.0)
        } else {
            (0.0, 4.0)
        };
        for (x, y) in [from, to] {
            self.line((x - bar_x, y - bar_y), (x + bar_x, y + bar_y), Pen::Line);
        }
    }

    /// A dimension between two points with its words beside it, wherever they have room. It is marked as one group of the class `kind`, so
    /// that its drawn length can be held against the words.
    pub(crate) fn measure(&mut self, kind: &'static str, from: At, to: At, words: &str) {
        let middle = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
        let half = ((to.0 - from.0).abs() / 2.0, (to.1 - from.1).abs() / 2.0);
        // Words stand beside a dimension, never beyond its ends.
        let half = if half.0 > half.1 {
            (0.0, half.1)
        } else {
            (half.0, 0.0)
        };
        self.tell(words);
        self.pieces.push(Piece::Group(kind));
        self.barred(from, to);
        self.label(middle, half, words);
        self.pieces.push(Piece::End);
    }

    /// Like [`Self::measure`], with its words to the right of a place on their base line.
    pub(crate) fn measure_at(&mut self, kind: &'static str, ends: (At, At), words: &str, at: At) {
        self.tell(words);
        self.measure_untold(kind, ends, words, at);
    }

    fn measure_untold(&mut self, kind: &'static str, (from, to): (At, At), words: &str, at: At) {
        self.pieces.push(Piece::Group(kind));
        self.barred(from, to);
        self.words(at, words, Stand::Right);
        self.pieces.push(Piece::End);
    }

    /// A round length to read the scale off, from a place to the right, of at most 150 pixels.
    pub(crate) fn scale(&mut self, (x, y): At, factor: f64, units: Units) {
        let (unit, steps): (f64, [f64; 8]) = match units {
            Units::Inch => (25.4, [0.25, 0.5, 1.0, 2.0, 4.0, 10.0, 20.0, 40.0]),
            Units::Metric => (1.0, [5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0]),
        };
        let fits = |step: &&f64| **step * unit * factor <= 150.0;
        let long = steps.iter().rev().find(fits).unwrap_or(&1.0) * unit;
        let end = (x + long * factor, y);
        let words = Quantity::exact(long, Unit::Mm).print(units);
        self.measure_untold("scale", ((x, y), end), &words, (end.0 + 9.0, y + 4.5));
    }

    /// The highest place drawn so far.
    pub(crate) fn top(&self) -> f64 {
        layout::frame(&self.pieces).0
    }

    /// The lowest place drawn so far.
    pub(crate) fn bottom(&self) -> f64 {
        layout::frame(&self.pieces).1
    }

    /// Numbers in a row, each with a thin line to its place; `down` is 1 where the places are below the row, −1 where they are above.
    pub(crate) fn callouts(
        &mut self,
        places: &[(At, String)],
        (row, down): (f64, f64),
        ends: (f64, f64),
    ) {
        let numbers = layout::callouts(places, (row, down), ends);
        for ((at, corners), (_, words)) in numbers.iter().zip(places) {
            self.path(corners, Pen::Thin);
            self.bold(*at, words, Stand::Middle);
        }
    }

    /// Headings and notes from here on stand in a column from `left` and `top`, no wider than so many pixels.
    pub(crate) fn notes(&mut self, left: f64, top: f64, wide: f64) {
        self.notes = (left, wide, top);
    }

    /// Where the next note stands.
    pub(crate) fn next(&self) -> f64 {
        self.notes.2
    }

    /// Room between two groups of notes.
    pub(crate) fn space(&mut self, pixels: f64) {
        self.notes.2 += pixels;
    }

    /// A dimension with its words as a note.
    pub(crate) fn noted(&mut self, from: At, to: At, words: &str) {
        let at = (self.notes.0, self.notes.2);
        self.measure_at("length", (from, to), words, at);
        self.notes.2 += LINE;
    }

    /// A heading in the column of notes.
    pub(crate) fn heading(&mut self, words: &str) {
        self.tell(&format!("{words}:"));
        let (left, wide, top) = self.notes;
        for (line, at) in wrapped(words, wide).iter().zip(0..) {
            let at = (left, top + LINE * f64::from(at));
            self.bold(at, line, Stand::Right);
            self.notes.2 = at.1 + LINE;
        }
    }

    /// A note in the column, on as many lines as it needs.
    pub(crate) fn note(&mut self, words: &str) {
        self.tell(words);
        let (left, wide, _) = self.notes;
        for line in wrapped(words, wide) {
            self.words((left, self.notes.2), &line, Stand::Right);
            self.notes.2 += LINE;
        }
    }

    /// The picture: the drawing with its name and its title.
    pub(crate) fn picture(self, name: &str, title: &str) -> Picture {
        let end = if self.told.ends_with('.') { "" } else { "." };
        Picture {
            name: name.to_owned(),
            title: in_message(title),
            says: in_message(&sentence(&format!("{}{end}", self.told))),
            drawing: self,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::layout::settle;
    use super::*;

    #[test]
    fn words_are_words_and_numbers_are_short() {
        let mut drawing = Drawing::new(9000.0);
        drawing.words((1.0 / 3.0, -0.0001), "<b> & \"40 mm\"", Stand::Middle);
        let svg = drawing.picture("gap", "The <gap>").svg();
        assert!(svg.contains("&lt;b&gt; &amp;"), "{svg}");
        assert!(svg.contains("x=\"0.33\" y=\"0\""), "{svg}");
        assert!(svg.contains("width=\"690\""), "{svg}");
        assert!(svg.contains("The &lt;gap&gt;"), "{svg}");
    }

    #[test]
    fn free_words_stand_beside_what_they_name_and_clear_of_the_rest() {
        let mut drawing = Drawing::new(300.0);
        for _ in 0..3 {
            drawing.label((150.0, 50.0), (0.0, 0.0), "12");
        }
        let (pieces, _) = settle(&drawing.pieces, drawing.width);
        let words = pieces.iter().filter_map(|piece| match piece {
            Piece::Words(words) => Some(words.at.0),
            _ => None,
        });
        assert_eq!(
            words.map(|x| x > 150.0).collect::<Vec<_>>(),
            [true, false, false]
        );
    }

    #[test]
    fn a_scale_goes_up_where_the_paper_goes_down() {
        let scale = Scale {
            factor: 0.5,
            origin: (100.0, 200.0),
        };
        assert_eq!(scale.at(40.0, 60.0), (120.0, 170.0));
    }
}
