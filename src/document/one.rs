//! One printed task, as a piece of a page: for whoever does it with a screen in the hand.
//!
//! Takes what was made of the job and the task's number; gives HTML that stands in a page of somebody else.

use minijinja::context;

use super::extract::Extract;
use super::tasks;
use super::{DocumentError, Look, Made, engine, markup};

/// What a printed task is called, and its tools, parts, cautions and steps; nothing where no task has that number. Fails only when its template
/// is defective.
pub(crate) fn task(
    made: &Made<'_>,
    number: usize,
    look: Look,
) -> Result<(String, String), DocumentError> {
    let title = tasks::title(made, number, look.units).unwrap_or_default();
    let (sections, pictures) = tasks::sections(made, look, Some(&Extract::Task(number)))?;
    let text = engine::render("one.md", context! { sections })?;
    let mut html = String::new();
    markup::body(&text, (&pictures, None), &mut html)?;
    Ok((title, html))
}
