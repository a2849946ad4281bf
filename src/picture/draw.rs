//! The drawing board: lines, shapes, words and dimensions in CSS pixels, written as one `svg` element.
//!
//! Every picture draws on this and on nothing else, so all have one pen, one typeface and one way to dimension. A drawing is
//! at most [`WIDEST`] wide, so that its words keep their size of at least 9 pt on A4 and Letter. Ids are made of the picture's
//! name, since a page holds several pictures. Millimetres of the vehicle become pixels through a [`Scale`].

use std::fmt::Write as _;

use svg::Node;
use svg::node::Text;
use svg::node::element::{Element, Pattern};

use super::Picture;
use crate::report::in_message;

/// The widest drawing, CSS pixels: it fits between the margins of A4 and of Letter.
pub const WIDEST: f64 = 690.0;
/// The size of words, CSS pixels (9.4 pt).
pub const WORDS: f64 = 12.5;
/// The typeface, as on the pages.
const FACE: &str = "Arial, 'Liberation Sans', Roboto, system-ui, sans-serif";

/// A place on the drawing, pixels right and down from its upper left corner.
pub type At = (f64, f64);

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pen {
    /// A dimension or a mark.
    Thin,
    /// An outline.
    Line,
    /// What the picture is about.
    Bold,
    /// Where something was before.
    Dashed,
    /// The cut between body and chassis.
    Cut,
}

impl Pen {
    fn put(self, element: &mut Element) {
        let (width, dashes) = match self {
            Self::Thin => (0.8, None),
            Self::Line => (1.5, None),
            Self::Bold => (3.0, None),
            Self::Dashed => (1.2, Some("6 4")),
            Self::Cut => (3.5, Some("14 7")),
        };
        element.assign("stroke", "#000");
        element.assign("stroke-width", width);
        if let Some(dashes) = dashes {
            element.assign("stroke-dasharray", dashes);
        }
    }
}

/// How a shape is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fill {
    /// Not at all.
    None,
    /// White: it hides what is behind.
    White,
    /// Black.
    Black,
    /// Light hatching.
    Hatched,
    /// Dense hatching, across the light one.
    Crossed,
}

/// Where words stand from their place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stand {
    /// To the right of it.
    Right,
    /// Centred on it.
    Middle,
    /// To the left of it.
    Left,
}

/// Millimetres of the vehicle → pixels of the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Pixels per millimetre.
    pub factor: f64,
    /// Where the vehicle's (0, 0) stands on the drawing.
    pub origin: At,
}

impl Scale {
    /// The place of a point so many millimetres right of and above the vehicle's (0, 0).
    #[must_use]
    pub fn at(self, right: f64, up: f64) -> At {
        let (x, y) = self.origin;
        (x + right * self.factor, y - up * self.factor)
    }

    /// A length in pixels.
    #[must_use]
    pub fn length(self, millimetres: f64) -> f64 {
        millimetres * self.factor
    }
}

/// A drawing in the making.
#[derive(Debug)]
pub struct Drawing {
    name: String,
    size: (f64, f64),
    shapes: Vec<Element>,
}

impl Drawing {
    /// An empty drawing of a width and a height in CSS pixels; the width is held to [`WIDEST`].
    #[must_use]
    pub fn new(name: &str, width: f64, height: f64) -> Self {
        Self {
            name: name.to_owned(),
            size: (width.min(WIDEST), height),
            shapes: Vec::new(),
        }
    }

    /// A straight line.
    pub fn line(&mut self, from: At, to: At, pen: Pen) {
        self.path(&[from, to], pen);
    }

    /// A line through several points.
    pub fn path(&mut self, points: &[At], pen: Pen) {
        let mut element = Element::new("polyline");
        element.assign("points", listed(points));
        element.assign("fill", "none");
        element.assign("stroke-linejoin", "round");
        pen.put(&mut element);
        self.shapes.push(element);
    }

    /// A closed shape.
    pub fn shape(&mut self, points: &[At], pen: Pen, fill: Fill) {
        let mut element = Element::new("polygon");
        element.assign("points", listed(points));
        element.assign("fill", self.paint(fill));
        element.assign("stroke-linejoin", "round");
        pen.put(&mut element);
        self.shapes.push(element);
    }

    /// A rectangle from its upper left corner.
    pub fn rectangle(&mut self, corner: At, size: (f64, f64), pen: Pen, fill: Fill) {
        let ((left, top), (width, height)) = (corner, size);
        let (right, bottom) = (left + width, top + height);
        let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
        self.shape(&corners, pen, fill);
    }

    /// A picture of another kind over the whole of the drawing.
    pub fn image(&mut self, (width, height): (f64, f64), href: &str) {
        let mut element = Element::new("image");
        element.assign("width", short(width));
        element.assign("height", short(height));
        element.assign("href", href);
        self.shapes.push(element);
    }

    /// A circle.
    pub fn circle(&mut self, centre: At, radius: f64, pen: Pen, fill: Fill) {
        let mut element = Element::new("circle");
        element.assign("cx", short(centre.0));
        element.assign("cy", short(centre.1));
        element.assign("r", short(radius));
        element.assign("fill", self.paint(fill));
        pen.put(&mut element);
        self.shapes.push(element);
    }

    /// Words in one line; `at` is on their base line.
    pub fn words(&mut self, at: At, words: &str, stand: Stand) {
        self.lettering(at, words, stand, false);
    }

    /// Words in bold.
    pub fn bold(&mut self, at: At, words: &str, stand: Stand) {
        self.lettering(at, words, stand, true);
    }

    fn lettering(&mut self, at: At, words: &str, stand: Stand, bold: bool) {
        let mut element = Element::new("text");
        element.assign("x", short(at.0));
        element.assign("y", short(at.1));
        let anchor = match stand {
            Stand::Right => "start",
            Stand::Middle => "middle",
            Stand::Left => "end",
        };
        element.assign("text-anchor", anchor);
        if bold {
            element.assign("font-weight", "bold");
        }
        // A white edge keeps words readable where they cross a line.
        element.assign("stroke", "#fff");
        element.assign("stroke-width", 3);
        element.assign("paint-order", "stroke");
        element.append(Text::new(in_message(words)));
        self.shapes.push(element);
    }

    /// A thin line with a bar at both ends; one of no length still shows its bars, upright.
    pub fn barred(&mut self, from: At, to: At) {
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

    /// A dimension between two points; its words stand `beside` it, with a thin line to them. It is marked as one group of the class `kind`, so
    /// that its drawn length can be held against the words.
    pub fn measure(&mut self, kind: &str, (from, to): (At, At), words: &str, beside: (At, Stand)) {
        let before = std::mem::take(&mut self.shapes);
        self.barred(from, to);
        let middle = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
        let (at, stand) = beside;
        let ends = (at.0, at.1 - WORDS * 0.35);
        let near = match stand {
            Stand::Right => Some((ends.0 - 3.0, ends.1)),
            Stand::Left => Some((ends.0 + 3.0, ends.1)),
            Stand::Middle => None,
        };
        if let Some(near) = near {
            self.line(middle, near, Pen::Thin);
        }
        self.words(at, words, stand);
        let mut group = Element::new("g");
        group.assign("class", kind);
        for shape in std::mem::replace(&mut self.shapes, before) {
            group.append(shape);
        }
        self.shapes.push(group);
    }

    /// The picture: the drawing with its title and the text that says the same.
    #[must_use]
    pub fn picture(self, title: &str, says: &str) -> Picture {
        let (title, says) = (in_message(title), in_message(says));
        let (width, height) = self.size;
        let mut root = Element::new("svg");
        root.assign("xmlns", "http://www.w3.org/2000/svg");
        root.assign("role", "img");
        root.assign(
            "aria-labelledby",
            format!("{0}-title {0}-says", self.name).as_str(),
        );
        root.assign(
            "viewBox",
            format!("0 0 {} {}", short(width), short(height)).as_str(),
        );
        root.assign("width", short(width));
        root.assign("height", short(height));
        root.assign("font-family", FACE);
        root.assign("font-size", WORDS);
        for (element, text) in [("title", &title), ("desc", &says)] {
            let id = if element == "title" { "title" } else { "says" };
            let mut named = Element::new(element);
            named.assign("id", format!("{}-{id}", self.name).as_str());
            named.append(Text::new(text));
            root.append(named);
        }
        let mut patterns = Element::new("defs");
        patterns.append(self.hatching("hatched", 7.0, "45"));
        patterns.append(self.hatching("crossed", 4.0, "-45"));
        root.append(patterns);
        for shape in self.shapes {
            root.append(shape);
        }
        Picture {
            svg: root.to_string(),
            name: self.name,
            title,
            says,
        }
    }

    fn hatching(&self, name: &str, apart: f64, turned: &str) -> Pattern {
        let mut line = Element::new("line");
        line.assign("x1", 0);
        line.assign("y1", 0);
        line.assign("x2", 0);
        line.assign("y2", apart);
        line.assign("stroke", "#000");
        line.assign("stroke-width", 1.2);
        Pattern::new()
            .set("id", format!("{}-{name}", self.name))
            .set("patternUnits", "userSpaceOnUse")
            .set("width", apart)
            .set("height", apart)
            .set("patternTransform", format!("rotate({turned})"))
            .add(line)
    }

    fn paint(&self, fill: Fill) -> String {
        match fill {
            Fill::None => "none".to_owned(),
            Fill::White => "#fff".to_owned(),
            Fill::Black => "#000".to_owned(),
            Fill::Hatched => format!("url(#{}-hatched)", self.name),
            Fill::Crossed => format!("url(#{}-crossed)", self.name),
        }
    }
}

/// A number of pixels to a hundredth: what nobody can see would only make the file longer.
fn short(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0;
    // Never a minus before nothing.
    format!("{}", rounded + 0.0)
}

fn listed(points: &[At]) -> String {
    let mut list = String::new();
    for (x, y) in points {
        let gap = if list.is_empty() { "" } else { " " };
        // A string takes everything that is written to it.
        let _ = write!(list, "{gap}{},{}", short(*x), short(*y));
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_words_and_numbers_are_short() {
        let mut drawing = Drawing::new("gap", 9000.0, 80.0);
        drawing.words((1.0 / 3.0, -0.0001), "<b> & \"40 mm\"", Stand::Middle);
        let picture = drawing.picture("The <gap>", "40 mm");
        assert!(picture.svg.contains("&lt;b&gt; &amp;"), "{}", picture.svg);
        assert!(
            picture.svg.contains("x=\"0.33\" y=\"0\""),
            "{}",
            picture.svg
        );
        assert!(picture.svg.contains("viewBox=\"0 0 690 80\""));
        assert!(picture.svg.contains("The &lt;gap&gt;"));
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
