//! Pictures that serve a decision, drawn to scale from the numbers of a job, black on white.
//!
//! Takes everything made of a job ([`Made`]), or the same over a range of heights; gives [`Picture`]s: a title, a text that says the same, and the SVG when it is asked for. Where
//! they stand on a page is left to `document`.

pub(crate) mod draw;
mod heights;
mod lanes;
pub mod layout;
pub mod links;
pub(crate) mod photo;
mod piece;
pub mod vehicle;
mod written;

use serde::Serialize;

pub(crate) use heights::heights;
pub(crate) use lanes::{lanes, whole};

pub(crate) use crate::pipeline::Made;

/// One picture; a page is told its name and what it says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Picture {
    /// Its name among the pictures of a page, as a file is named: `side-view`.
    pub name: String,
    /// What it shows, in a line; plain text.
    #[serde(skip)]
    pub title: String,
    /// What it says, for a reader who does not see it; plain text.
    pub says: String,
    /// What is drawn.
    #[serde(skip)]
    drawing: draw::Drawing,
}

impl Picture {
    /// The drawing as one `svg` element; it is made only here.
    pub fn svg(&self) -> String {
        written::svg(&self.drawing, self)
    }
}
