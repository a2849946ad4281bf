//! Links between the places of a page, and to the page beside it: from a verdict to its task and to its reasons, and back.
//!
//! A template writes `{{ here(id) }}` where a place is, `{{ to(text, id) }}` for a link to a place of the same page, and
//! `{{ beside(text, id) }}` for one to the same place of the page beside it. HTML has them as links (see `markup`), the last one where the
//! page knows its neighbour's file; in Markdown the text alone stands ([`without`]). Text typed by a person makes none, since it is escaped.

/// What the address of a link of ours begins with: to a place of the same page, and to one of the page beside it.
const TO: char = '#';
pub(super) const BESIDE: char = '^';
/// What it begins with where it is the place itself.
pub(super) const HERE: &str = "#=";

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
    format!("[]({HERE}{id})")
}

/// A link to a place of the same page; `text` is Markdown already.
pub(super) fn to(text: &str, id: &str) -> String {
    format!("[{text}]({TO}{id})")
}

/// A link to a place of the page beside it; `text` is Markdown already.
pub(super) fn beside(text: &str, id: &str) -> String {
    format!("[{text}]({BESIDE}{id})")
}

/// The Markdown with the texts of our links in their places. A bracket that is not escaped and closes before a parenthesis ends a link or an
/// image: code of ours holds no parenthesis.
pub(super) fn without(markdown: &str) -> String {
    let mut pieces = markdown.split("](");
    let mut out = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        let behind = piece
            .strip_prefix([TO, BESIDE])
            .and_then(|own| own.split_once(')'));
        match behind.zip(opening(&out)) {
            Some(((_, after), at)) => {
                out.remove(at);
                out.push_str(after);
            }
            None => out.extend(["](", piece]),
        }
    }
    out
}

/// Where the text of a link opens that is closed at the end; none where that is escaped.
fn opening(text: &str) -> Option<usize> {
    let bare = |at: &usize| {
        let before = text.get(..*at).unwrap_or_default();
        (before.len() - before.trim_end_matches('\\').len()) % 2 == 0
    };
    let mut brackets = text.rmatch_indices(['[', ']']);
    let (at, last) = brackets.find(|(at, _)| bare(at))?;
    (last == "[" && bare(&text.len())).then_some(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_an_id_of_html() {
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
            ("[c \\[ \\] d](#e)f \\](#g)", "c \\[ \\] df \\](#g)"),
            ("[a\\\\](#b) \\\\[c](^d)", "a\\\\ \\\\c"),
        ] {
            assert_eq!(without(markdown), plain, "{markdown}");
        }
    }
}
