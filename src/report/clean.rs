//! Characters that must not reach a terminal: takes any text, gives text that only shows.
//!
//! A job file comes from somebody else. A raw escape sequence in it could recolour or rewrite the terminal, and a
//! direction mark could make an excerpt read otherwise than it is.

use std::borrow::Cow;
use std::fmt::Write as _;

/// Whether a character acts on a terminal, or on the order or visibility of its neighbours, instead of showing.
pub fn is_unsafe_to_print(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

/// Text for a message on one line: what would act is written as its number, `\u{1b}`.
///
/// ```
/// use liftsheet::report::in_message;
/// assert_eq!(in_message("Gerät"), "Gerät");
/// assert_eq!(in_message("a\u{1b}[31mb\n"), "a\\u{1b}[31mb\\u{a}");
/// ```
pub fn in_message(text: &str) -> String {
    let mut clean = String::with_capacity(text.len());
    for c in text.chars() {
        if is_unsafe_to_print(c) {
            // Writing to a String does not fail.
            let _ = write!(clean, "\\u{{{:x}}}", u32::from(c));
        } else {
            clean.push(c);
        }
    }
    clean
}

/// Text of several lines: as [`in_message`], but its line breaks stay.
///
/// ```
/// use liftsheet::report::in_lines;
/// assert_eq!(in_lines("a\u{7}\nb"), "a\\u{7}\nb");
/// ```
pub fn in_lines(text: &str) -> String {
    let lines: Vec<String> = text.split('\n').map(in_message).collect();
    lines.join("\n")
}

/// Longer texts are cut when a message quotes them, in characters.
const QUOTED: usize = 40;
/// Longer messages are cut, in characters.
const MESSAGE: usize = 1000;

/// Somebody's text, short and clean enough to be quoted in a message.
///
/// ```
/// use liftsheet::report::quoted;
/// assert_eq!(quoted("Gerät"), "Gerät");
/// assert_eq!(quoted(&"x".repeat(41)), format!("{}…", "x".repeat(40)));
/// ```
pub fn quoted(text: &str) -> String {
    in_message(&cut(text, QUOTED))
}

fn cut(text: &str, most: usize) -> Cow<'_, str> {
    match text.char_indices().nth(most) {
        Some((at, _)) => Cow::Owned(format!("{}…", text.get(..at).unwrap_or_default())),
        None => Cow::Borrowed(text),
    }
}

/// The character to show for one in an excerpt: always one for one, so that columns stay right.
pub(super) fn in_excerpt(c: char) -> char {
    match c {
        '\t' => '\t',
        c if is_unsafe_to_print(c) => '\u{fffd}',
        c => c,
    }
}

/// A message may hold line breaks of its own; everything else that acts is made visible, and too much is cut.
pub(super) fn in_paragraph(text: &str) -> String {
    in_lines(&cut(text, MESSAGE))
}
