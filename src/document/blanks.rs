//! Blanks to write in: `[   ]` with no-break spaces between the brackets.
//!
//! Gives the blanks that templates print, and finds them again in what a reader made of the Markdown. Nobody's text holds
//! one, because a no-break space that somebody typed is printed as a plain space.

use std::fmt::{self, Write as _};

use comrak::html::Context;

const BLANK: char = '\u{a0}';

/// What stands before the initials of who did a task, in the task's first line.
const DONE_BY: &str = "Done by ";

/// Whether the first line of a task asks for the initials of who did it.
pub(super) fn asks_initials(line: &str) -> bool {
    line.contains(&format!("{DONE_BY}{}", blank(4)))
}

/// A blank of that many characters.
pub(super) fn blank(width: usize) -> String {
    let inside: String = std::iter::repeat_n(BLANK, width).collect();
    format!("[{inside}]")
}

/// Text, with its blanks as boxes to write in. A word that a no-break space ties to its blank stays on one line with it. In a task, what
/// follows a blank at the beginning of a sentence belongs to it: `asked` says so, and whether such a sentence is still open.
pub(super) fn write<T>(
    context: &mut Context<T>,
    text: &str,
    asked: &mut Option<bool>,
) -> fmt::Result {
    let mut rest = text;
    while let Some((before, width, after)) = next_blank(rest) {
        let kept = before.ends_with(BLANK);
        let word = if kept {
            before.rfind(' ').map_or(0, |space| space + 1)
        } else {
            before.len()
        };
        // They stand in the corner of the task already.
        if asked.is_some() && before.ends_with(DONE_BY) {
            context.escape(before.strip_suffix(DONE_BY).unwrap_or_default())?;
            rest = after;
            continue;
        }
        context.escape(before.get(..word).unwrap_or_default())?;
        let class = match width {
            0..=2 => "box tick",
            3..=5 => "box initials",
            6..=10 => "box",
            11..=20 => "box name",
            21..=35 => "box line",
            _ => "box sign",
        };
        if kept {
            context.write_str("<span class=\"keep\">")?;
            context.escape(before.get(word..).unwrap_or_default())?;
        } else if before.trim().is_empty() || before.ends_with(". ") {
            close(context, asked)?;
            if asked.is_some() {
                let tick = if class == "box tick" { " tick" } else { "" };
                write!(context, "<span class=\"ask{tick}\">")?;
                *asked = Some(true);
            }
        }
        // A box to tick is not left at the end of a line by the first word of what it stands for.
        let first = if asked.is_some() && !kept && class == "box tick" {
            let end = after.match_indices(' ').nth(1);
            end.map_or(after.len(), |(end, _)| end)
        } else {
            0
        };
        if first > 0 {
            context.write_str("<span class=\"first\">")?;
        }
        write!(context, "<span class=\"{class}\"></span>")?;
        context.escape(after.get(..first).unwrap_or_default())?;
        if kept || first > 0 {
            context.write_str("</span>")?;
        }
        rest = after.get(first..).unwrap_or_default();
    }
    context.escape(rest)
}

/// Closes a sentence that belongs to a blank, if one is open.
pub(super) fn close<T>(context: &mut Context<T>, asked: &mut Option<bool>) -> fmt::Result {
    if asked.is_some_and(|open| open) {
        context.write_str("</span>")?;
        *asked = Some(false);
    }
    Ok(())
}

/// The first blank of a text: what stands before it, its width, what stands after it.
fn next_blank(text: &str) -> Option<(&str, usize, &str)> {
    let mut from = 0;
    while let Some((at, _)) = text.get(from..)?.match_indices('[').next() {
        let open = from + at;
        let inside = text.get(open + 1..)?;
        let end = inside.find(|c| c != BLANK)?;
        if end > 0 && inside.get(end..)?.starts_with(']') {
            let width = inside.get(..end)?.chars().count();
            return Some((text.get(..open)?, width, inside.get(end + 1..)?));
        }
        from = open + 1;
    }
    None
}

/// The text with dots in place of its blanks, for names that are read aloud.
pub(super) fn dotted(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, _, after)) = next_blank(rest) {
        plain.push_str(before);
        plain.push('…');
        rest = after;
    }
    plain.push_str(rest);
    plain
}

#[cfg(test)]
mod tests {
    use super::{blank, dotted};

    #[test]
    fn only_a_blank_is_one() {
        assert_eq!(
            dotted(&format!("a {} mm {}", blank(8), blank(1))),
            "a … mm …"
        );
        for text in ["[]", "[ ]", "[", "[\u{a0}", "[\u{a0}x]", "[[\u{a0} ]"] {
            assert_eq!(dotted(text), text);
        }
        assert_eq!(dotted("[[\u{a0}]]"), "[…]");
    }
}
