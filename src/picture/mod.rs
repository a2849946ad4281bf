//! Pictures that serve a decision, drawn to scale from the numbers of a job, black on white.
//!
//! Takes everything made of a job ([`Made`]), or the same over a range of heights; gives [`Picture`]s: SVG with its title and a text that says the same. Where
//! they stand on a page is left to `document`.

pub mod draw;
mod heights;
mod lanes;
pub mod links;
pub mod photo;
pub mod vehicle;

pub use heights::heights;
pub use lanes::{lanes, name as day_name, whole};

pub use crate::pipeline::Made;

/// One picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Its name among the pictures of a page, as a file is named: `side-view`.
    pub name: String,
    /// What it shows, in a line; plain text.
    pub title: String,
    /// What it says, for a reader who does not see it; plain text.
    pub says: String,
    /// The drawing: one `svg` element.
    pub svg: String,
}
