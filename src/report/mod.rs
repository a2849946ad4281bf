//! Problems as values: what is wrong, how bad it is, where, and the way out.
//!
//! Every stage pushes [`Problem`]s into a [`Report`] and goes on, so that a reader sees all of them at once. A
//! [`Place`] is a file and a [`Path`] into it; it becomes a line and a column only in [`render()`], which asks whoever
//! keeps the texts through [`Texts`]. Nothing here reads files or prints.

mod clean;
mod code;
mod excerpt;
mod path;
mod problem;
mod render;
mod suggestion;
mod words;

pub use clean::{in_lines, in_message, is_unsafe_to_print, quoted};
pub use code::Code;
pub use path::{Path, PathStep, Point};
pub(crate) use problem::{Notes, every, unless};
pub use problem::{Place, Problem, Report, Severity};
pub use render::{Look, Texts, render};
pub use suggestion::{did_you_mean, unknown_help};
pub(crate) use words::listed;
pub use words::{number_runs, numbered, or_list};
