//! Text → text that stays text: in Markdown, in a code span, in a string of a style sheet.
//!
//! Takes what somebody typed; gives one line in which nothing acts as markup. HTML is escaped by the template engine and
//! by the Markdown writer; this file only cleans what goes there ([`shown`]).

use std::borrow::Cow;
use std::fmt::Write as _;

use crate::report::is_unsafe_to_print;

/// Stands for a character that has no place on paper.
const REPLACED: char = '\u{fffd}';

/// The text on one line: white space is single spaces, and characters that act or mean nothing show as replaced.
pub(super) fn shown(text: &str) -> Cow<'_, str> {
    // Most texts are so already.
    let plain = |c: char| c == ' ' || (prints(c) && !c.is_whitespace());
    if text.chars().all(plain) && text.trim() == text && !text.contains("  ") {
        return Cow::Borrowed(text);
    }
    let mut line = String::with_capacity(text.len());
    for word in text.split_whitespace() {
        if !line.is_empty() {
            line.push(' ');
        }
        line.extend(word.chars().map(|c| if prints(c) { c } else { REPLACED }));
    }
    Cow::Owned(line)
}

/// Whether a character shows by itself. The joiners of some scripts do not, but words are misspelt without them.
fn prints(c: char) -> bool {
    if matches!(c, ' '..='~') {
        return true;
    }
    let joiner = matches!(c, '\u{200c}' | '\u{200d}');
    let private = matches!(c, '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..);
    let none = u32::from(c) & 0xfffe == 0xfffe || matches!(c, '\u{fdd0}'..='\u{fdef}');
    joiner || !(is_unsafe_to_print(c) || private || none)
}

/// The text in Markdown, escaped where a reader of Markdown could take it for markup, and only there.
pub(super) fn markdown(text: &str) -> Cow<'_, str> {
    let line = shown(text);
    let opening = opening(&line);
    let mut out = String::new();
    let mut done = 0;
    // Nothing but signs of ASCII acts or opens anything.
    let signs = line.bytes().enumerate();
    for (at, sign) in signs.filter(|(_, byte)| byte.is_ascii_punctuation()) {
        let (before, after) = (line.get(..at), line.get(at + 1..));
        let (before, after) = (before.unwrap_or_default(), after.unwrap_or_default());
        if opening == Some(at) || acts(before.chars().next_back(), sign, after) {
            out.push_str(line.get(done..at).unwrap_or_default());
            out.push('\\');
            done = at;
        }
    }
    if out.is_empty() {
        return line;
    }
    out.push_str(line.get(done..).unwrap_or_default());
    Cow::Owned(out)
}

/// Where a text that begins a line would begin a block: its first sign, or the sign after its first number.
fn opening(line: &str) -> Option<usize> {
    let digits = line.bytes().take_while(u8::is_ascii_digit).count();
    let sign = line.as_bytes().get(digits)?;
    let opens = if digits == 0 {
        sign.is_ascii_punctuation()
    } else {
        // A number opens a list only when a space follows its sign.
        let ends = line
            .as_bytes()
            .get(digits + 1)
            .is_none_or(|next| *next == b' ');
        ends && matches!(sign, b'.' | b')')
    };
    opens.then_some(digits)
}

/// Whether a sign could act in the middle of a line.
fn acts(before: Option<char>, sign: u8, after: &str) -> bool {
    let letter = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
    match sign {
        b'\\' | b'`' | b'*' | b'[' | b']' | b'<' | b'>' | b'|' | b'~' | b'$' | b'@' => true,
        // Within a word an underscore is a letter.
        b'_' => !(letter(before) && letter(after.chars().next())),
        // Only before a name or a number an ampersand is more than itself.
        b'&' => after.starts_with(|c: char| c == '#' || c.is_ascii_alphanumeric()),
        // Some readers make links of bare addresses.
        b':' => after.starts_with("//"),
        b'.' => before.is_some_and(|c| c.eq_ignore_ascii_case(&'w')),
        // The last number signs of a heading would only close it.
        b'#' => after.is_empty(),
        _ => false,
    }
}

/// A name of the job file as a code span; as text when it holds anything that a name does not.
pub(super) fn code(text: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "._-[]→ ".contains(c);
    let line = shown(text);
    if line.is_empty() || !line.chars().all(plain) {
        return markdown(text).into_owned();
    }
    format!("`{line}`")
}

/// The text as a string of a style sheet, quotes included; it cannot end the string, nor the element that holds it.
pub(super) fn css_string(text: &str) -> String {
    let mut out = String::from("\"");
    for c in shown(text).chars() {
        if c.is_alphanumeric() || c == ' ' {
            out.push(c);
        } else {
            // Writing to a String cannot fail.
            let _ = write!(out, "\\{:x} ", u32::from(c));
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_words_stay_readable() {
        for text in [
            "Fuel filler hose, 38 mm (R.H.) – 2.5 in; nuts & bolts: 100 %",
            "part_of_it + 3/8\" UNF, don't",
            "Gerät № 7 بدنه",
        ] {
            assert_eq!(markdown(text), text);
        }
    }

    #[test]
    fn what_could_act_is_escaped() {
        assert_eq!(markdown("a | b"), "a \\| b");
        assert_eq!(markdown("# cab"), "\\# cab");
        assert_eq!(markdown("12. cab"), "12\\. cab");
        assert_eq!(markdown("29.4 mm is left"), "29.4 mm is left");
        assert_eq!(markdown("- cab - tub"), "\\- cab - tub");
        assert_eq!(markdown("&lt; a & b"), "\\&lt; a & b");
        assert_eq!(markdown("_a_b_"), "\\_a_b\\_");
        assert_eq!(markdown("see https://x.y"), "see https\\://x.y");
        assert_eq!(markdown("a\r\n\u{a0}b\t"), "a b");
        assert_eq!(markdown(""), "");
    }

    #[test]
    fn what_has_no_place_on_paper_shows_as_replaced() {
        assert_eq!(
            shown("a\u{202e}b\u{e000}c\u{7}d\u{fffe}"),
            "a\u{fffd}b\u{fffd}c\u{fffd}d\u{fffd}"
        );
        assert_eq!(shown("نمی\u{200c}شود"), "نمی\u{200c}شود");
    }

    #[test]
    fn names_are_code_and_anything_else_is_text() {
        assert_eq!(code("links[a-b].held_by"), "`links[a-b].held_by`");
        assert_eq!(code("a`b"), "a\\`b");
        assert_eq!(code(""), "");
    }

    #[test]
    fn a_style_string_cannot_be_left() {
        assert_eq!(css_string("a\"b"), "\"a\\22 b\"");
        assert!(!css_string("</style>\\").contains(['<', '/', '>']));
    }
}
