//! A page's Markdown → one HTML file that needs nothing else: style sheet inside, no script, no request.
//!
//! Takes a [`Page`]; gives HTML for a screen and for paper of the size asked for, with the job and the plan's digest and
//! `page n of m` on every sheet. What the Markdown means is left to [`super::markup`].

use minijinja::context;

use super::{DocumentError, Look, Page, Paper, engine, escape, markup};
use crate::picture::photo;

/// Where the body ends. Nothing that is filled in can hold it: `<` is escaped in HTML and in the style sheet.
const END: &str = "</main>";

/// The page as one HTML file; fails only when the shell's template is defective.
pub fn html(page: &Page, look: Look) -> Result<String, DocumentError> {
    let shell = context! {
        title => escape::shown(&page.title),
        size => match look.paper {
            Paper::A4 => "A4",
            Paper::Letter => "letter",
        },
        // What the style sheet goes by.
        class => match (look.short, look.large) {
            (false, false) => "",
            (true, false) => "short",
            (false, true) => "large",
            (true, true) => "short large",
        },
        banner => page.banner.as_deref(),
        footer => page.footer.as_str(),
        screen => include_str!("../../templates/screen.css"),
        print => include_str!("../../templates/print.css"),
        // Photographs stand within the file itself.
        photos => page.pictures.iter().any(photo::is_one),
    };
    // The body is written right behind its head: filled in by the engine, a large one would be in memory three times.
    let mut html = engine::render("page.html", shell)?;
    let end = html.rfind(END).unwrap_or(html.len());
    let after = html.split_off(end);
    let around = (page.pictures.as_slice(), page.beside.as_deref());
    markup::body(&page.markdown, around, &mut html)?;
    html.push_str(&after);
    Ok(html)
}
