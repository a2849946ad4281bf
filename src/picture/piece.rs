//! What a drawing is made of: pens, fills, words and where they stand, in CSS pixels.

/// The widest drawing, CSS pixels: it fits between the margins of A4 and of Letter.
pub(crate) const WIDEST: f64 = 690.0;
/// The size of words, CSS pixels (9.4 pt).
pub(crate) const WORDS: f64 = 12.5;
/// A place on the drawing, pixels right and down from its upper left corner.
pub(crate) type At = (f64, f64);

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Pen {
    None,
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

/// How a shape is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fill {
    None,
    /// White: it hides what is behind.
    White,
    Black,
    /// Light hatching.
    Hatched,
    /// Dense hatching, across the light one.
    Crossed,
}

/// Where words stand from their place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stand {
    Right,
    Middle,
    Left,
}

/// One thing on a drawing.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Piece {
    Line(Vec<At>, Pen),
    /// A closed shape.
    Shape(Vec<At>, Pen, Fill),
    /// A circle, by its centre and its radius.
    Circle(At, f64, Pen, Fill),
    /// A picture of another kind over the whole of the drawing: its size, and where it is.
    Image((f64, f64), String),
    Words(Words),
    /// What follows is one group of this class.
    Group(&'static str),
    End,
}

/// Words on their base line.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Words {
    pub(super) at: At,
    pub(super) text: String,
    pub(super) stand: Stand,
    pub(super) bold: bool,
    /// Half the size of what free words name, and `at` is its middle.
    pub(super) free: Option<At>,
}
