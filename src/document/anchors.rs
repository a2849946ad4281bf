//! Links between the places of a page, and to the page beside it: from a verdict to its task and to its reasons, and back.
//!
//! A template writes `{{ here(id) }}` where a place is, `{{ to(text, id) }}` for a link to a place of the same page, and
//! `{{ beside(text, id) }}` for one to the same place of the page beside it. HTML has them as links (see `markup`), the last one where the
//! page knows its neighbour's file; in Markdown the text alone stands ([`without`]). Text typed by a person makes none, since it is escaped.

use std::borrow::Cow;

/// What a link of ours begins with, behind its text.
const OURS: [&str; 2] = ["(#", "(^"];

/// Where a link leads, as its address in Markdown tells.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Leads<'a> {
    /// It is the place itself.
    Here(&'a str),
    /// To a place of the same page.
    To(&'a str),
    /// To a place of the page beside it.
    Beside(&'a str),
}

impl<'a> Leads<'a> {
    /// Reads an address; none where it is not one of ours.
    pub(super) fn of(address: &'a str) -> Option<Self> {
        let here = address.strip_prefix("#=").map(Self::Here);
        let to = || address.strip_prefix('#').map(Self::To);
        let beside = || address.strip_prefix('^').map(Self::Beside);
        here.or_else(to).or_else(beside)
    }
}

/// The place of a connection on a page.
pub(super) fn connection(id: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
    let id: String = id.chars().map(plain).collect();
    format!("connection-{id}")
}

/// The place of a printed task on a page.
pub(super) fn task(number: usize) -> String {
    format!("task-{number}")
}

/// The place itself, without a word.
pub(super) fn here(id: &str) -> String {
    format!("[](#={id})")
}

/// A link to a place of the same page; `text` is Markdown already.
pub(super) fn to(text: &str, id: &str) -> String {
    format!("[{text}](#{id})")
}

/// A link to a place of the page beside it; `text` is Markdown already.
pub(super) fn beside(text: &str, id: &str) -> String {
    format!("[{text}](^{id})")
}

/// The Markdown with the texts of our links in their places.
pub(super) fn without(markdown: &str) -> Cow<'_, str> {
    if !OURS.iter().any(|sign| markdown.contains(sign)) {
        return Cow::Borrowed(markdown);
    }
    let mut out = String::with_capacity(markdown.len());
    let mut rest = markdown;
    while let Some(at) = rest.find(['\\', '`', '[']) {
        let (before, here) = rest.split_at(at);
        out.push_str(before);
        let (taken, left) = match here.as_bytes().first() {
            Some(b'[') => link(here).unwrap_or(("[", here.get(1..).unwrap_or_default())),
            Some(b'`') => code(here),
            _ => here.split_at(escaped(here)),
        };
        out.push_str(taken);
        rest = left;
    }
    out.push_str(rest);
    Cow::Owned(out)
}

/// The text of a link of ours, and what stands behind the link.
fn link(text: &str) -> Option<(&str, &str)> {
    let inner = text.strip_prefix('[')?;
    let end = closing(inner)?;
    let (own, behind) = inner.split_at(end);
    let address = behind.strip_prefix(']')?;
    if !OURS.iter().any(|sign| address.starts_with(sign)) {
        return None;
    }
    Some((own, address.split_once(')')?.1))
}

/// Where the bracket stands that closes a link's text.
fn closing(text: &str) -> Option<usize> {
    let mut escaped = false;
    let found = text.char_indices().find(|(_, c)| {
        let closes = *c == ']' && !escaped;
        escaped = *c == '\\' && !escaped;
        closes
    });
    found.map(|(at, _)| at)
}

/// A stretch of code, which is as it is, and what stands behind it.
fn code(text: &str) -> (&str, &str) {
    let ticks = text.len() - text.trim_start_matches('`').len();
    let (open, inner) = text.split_at(ticks);
    let end = inner.find(open).map_or(ticks, |at| 2 * ticks + at);
    text.split_at(end)
}

/// How long a backslash is with what it escapes.
fn escaped(text: &str) -> usize {
    let mut chars = text.char_indices().skip(2);
    chars.next().map_or(text.len(), |(at, _)| at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_tells_where_it_leads() {
        assert_eq!(Leads::of("#=task-3"), Some(Leads::Here("task-3")));
        assert_eq!(Leads::of("#task-3"), Some(Leads::To("task-3")));
        assert_eq!(Leads::of("^task-3"), Some(Leads::Beside("task-3")));
        assert_eq!(Leads::of("https://example.org"), None);
        assert_eq!(connection("mount C1L"), "connection-mount-C1L");
    }

    #[test]
    fn markdown_has_the_texts_alone() {
        let own = format!(
            "{}{} · {}",
            here("a"),
            to("12", "task-4"),
            beside("**leave**", "b")
        );
        for (markdown, plain) in [
            (own.as_str(), "12 · **leave**"),
            (
                "- [ ] a [x](y.svg) \\[b](#c) [",
                "- [ ] a [x](y.svg) \\[b](#c) [",
            ),
            ("`[a](#b)` [c \\] d](#e)f", "`[a](#b)` c \\] df"),
            ("``a ` [b](#c)`` \\`[d](#e)", "``a ` [b](#c)`` \\`d"),
        ] {
            assert_eq!(without(markdown), plain, "{markdown}");
        }
    }
}
