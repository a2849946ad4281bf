//! A drawing written as one `svg` element, when it is asked for.
//!
//! Takes a drawing; gives text. Ids are made of the picture's name, since a page holds several pictures.

use std::fmt::Write as _;

use svg::Node;
use svg::node::Text;
use svg::node::element::{Element, Pattern};

use super::Picture;
use super::draw::{At, Drawing, Fill, Pen, Piece, Stand, WORDS};
use super::layout::settle;

/// The typeface, as on the pages.
const FACE: &str = "Arial, 'Liberation Sans', Roboto, system-ui, sans-serif";

pub(super) fn svg(drawing: &Drawing, picture: &Picture) -> String {
    let (pieces, (top, bottom)) = settle(&drawing.pieces, drawing.width);
    let (top, bottom) = (top - drawing.margin, bottom + drawing.margin);
    let name = &picture.name;
    let mut root = Element::new("svg");
    root.assign("xmlns", "http://www.w3.org/2000/svg");
    root.assign("role", "img");
    root.assign(
        "aria-labelledby",
        format!("{name}-title {name}-says").as_str(),
    );
    let sides = [0.0, top, drawing.width, bottom - top].map(short);
    root.assign("viewBox", sides.join(" ").as_str());
    let [.., width, height] = sides;
    root.assign("width", width);
    root.assign("height", height);
    root.assign("font-family", FACE);
    root.assign("font-size", WORDS);
    for (element, id, text) in [
        ("title", "title", &picture.title),
        ("desc", "says", &picture.says),
    ] {
        let mut named = Element::new(element);
        named.assign("id", format!("{name}-{id}").as_str());
        named.append(Text::new(text));
        root.append(named);
    }
    let mut patterns = Element::new("defs");
    patterns.append(hatching(name, "hatched", 7.0, "45"));
    patterns.append(hatching(name, "crossed", 4.0, "-45"));
    root.append(patterns);
    let mut group: Option<Element> = None;
    for piece in &pieces {
        match piece {
            Piece::Group(kind) => {
                let mut own = Element::new("g");
                own.assign("class", *kind);
                group = Some(own);
            }
            Piece::End => {
                if let Some(group) = group.take() {
                    root.append(group);
                }
            }
            piece => group
                .as_mut()
                .unwrap_or(&mut root)
                .append(element(piece, name)),
        }
    }
    root.to_string()
}

impl Pen {
    fn put(self, element: &mut Element) {
        let (width, dashes) = match self {
            Self::None => return,
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

fn element(piece: &Piece, name: &str) -> Element {
    match piece {
        Piece::Line(points, pen) => path("polyline", points, (*pen, Fill::None), name),
        Piece::Shape(points, pen, fill) => path("polygon", points, (*pen, *fill), name),
        Piece::Circle((x, y), radius, pen, fill) => {
            let place = [("cx", short(*x)), ("cy", short(*y)), ("r", short(*radius))];
            let mut element = with("circle", place);
            element.assign("fill", paint(*fill, name));
            pen.put(&mut element);
            element
        }
        Piece::Image(size, href) => {
            let size = [("width", short(size.0)), ("height", short(size.1))];
            let mut element = with("image", size);
            element.assign("href", href.as_str());
            element
        }
        Piece::Words(words) => {
            let (x, y) = words.at;
            let mut element = with("text", [("x", short(x)), ("y", short(y))]);
            let anchor = match words.stand {
                Stand::Right => "start",
                Stand::Middle => "middle",
                Stand::Left => "end",
            };
            element.assign("text-anchor", anchor);
            if words.bold {
                element.assign("font-weight", "bold");
            }
            element.append(Text::new(&words.text));
            element
        }
        Piece::Group(_) | Piece::End => Element::new("g"),
    }
}

fn path(kind: &str, points: &[At], (pen, fill): (Pen, Fill), name: &str) -> Element {
    let mut element = with(
        kind,
        [("points", listed(points)), ("fill", paint(fill, name))],
    );
    element.assign("stroke-linejoin", "round");
    pen.put(&mut element);
    element
}

fn with<const N: usize>(kind: &str, attributes: [(&str, String); N]) -> Element {
    let mut element = Element::new(kind);
    for (name, value) in attributes {
        element.assign(name, value);
    }
    element
}

fn hatching(picture: &str, name: &str, apart: f64, turned: &str) -> Pattern {
    let ends = ["x1", "y1", "x2"].map(|end| (end, "0".to_owned()));
    let mut line = with("line", ends);
    line.assign("y2", apart);
    line.assign("stroke", "#000");
    line.assign("stroke-width", 1.2);
    Pattern::new()
        .set("id", format!("{picture}-{name}"))
        .set("patternUnits", "userSpaceOnUse")
        .set("width", apart)
        .set("height", apart)
        .set("patternTransform", format!("rotate({turned})"))
        .add(line)
}

fn paint(fill: Fill, name: &str) -> String {
    match fill {
        Fill::None => "none".to_owned(),
        Fill::White => "#fff".to_owned(),
        Fill::Black => "#000".to_owned(),
        Fill::Hatched => format!("url(#{name}-hatched)"),
        Fill::Crossed => format!("url(#{name}-crossed)"),
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
