//! Lines of YAML with comments: values quoted where they must be, comments in a column, nothing that could break out of either.

use std::fmt::Write as _;

use crate::report::is_unsafe_to_print;

/// Comments stand from this column on where the line leaves room.
const COLUMN: usize = 34;

/// The text so far.
#[derive(Debug, Default)]
pub(super) struct Writer {
    out: String,
}

impl Writer {
    pub(super) fn text(self) -> String {
        self.out
    }

    pub(super) fn blank(&mut self) {
        self.out.push('\n');
    }

    /// A comment line of its own; nothing but a `#` for an empty text.
    pub(super) fn remark(&mut self, indent: usize, text: &str) {
        let text = format!("{:indent$}# {}", "", one_line(text));
        self.out.push_str(text.trim_end());
        self.out.push('\n');
    }

    /// A blank line and a comment that explains what follows.
    pub(super) fn section(&mut self, text: &str) {
        self.blank();
        self.remark(0, text);
    }

    /// A line of YAML that needs no quoting, with a comment.
    pub(super) fn line(&mut self, indent: usize, yaml: &str, comment: &str) {
        let mut line = format!("{:indent$}{yaml}", "");
        let comment = one_line(comment);
        if !comment.is_empty() {
            let width = line.chars().count();
            let gap = COLUMN.saturating_sub(width).max(2);
            // Writing to a String cannot fail.
            let _ = write!(line, "{:gap$}# {comment}", "");
        }
        self.out.push_str(&line);
        self.out.push('\n');
    }

    /// `key: value` with a comment.
    pub(super) fn value(&mut self, indent: usize, key: &str, value: &str, comment: &str) {
        self.line(indent, &format!("{key}: {}", scalar(value)), comment);
    }

    /// A line that waits for its value: `#key:` with a comment.
    pub(super) fn waits(&mut self, indent: usize, key: &str, comment: &str) {
        self.line(indent, &format!("#{key}:"), comment);
    }
}

/// A text as a YAML scalar, block or flow: plain where nothing in it can be misread, otherwise in double quotes.
///
/// YAML 1.2.2, 5.7 (escapes) and 7.3.1 (double-quoted style), `from memory`.
pub(super) fn scalar(text: &str) -> String {
    if is_plain(text) {
        return text.to_owned();
    }
    let mut quoted = String::from('"');
    for c in text.chars() {
        match c {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            '\n' => quoted.push_str("\\n"),
            '\t' => quoted.push_str("\\t"),
            c if is_printable(c) => quoted.push(c),
            // Writing to a String cannot fail.
            c => {
                let _ = write!(quoted, "\\U{:08X}", u32::from(c));
            }
        }
    }
    quoted.push('"');
    quoted
}

/// A text as a scalar, with the words that a job file takes as they are.
pub(super) fn word(text: &str) -> String {
    match text {
        "yes" | "no" | "none" => text.to_owned(),
        _ => scalar(text),
    }
}

/// Words that YAML, or an older reader of it, takes for something else than text.
const WORDS: [&str; 10] = [
    "y", "n", "yes", "no", "on", "off", "true", "false", "null", "none",
];

fn is_plain(text: &str) -> bool {
    let harmless =
        |c: char| c.is_ascii_alphanumeric() || matches!(c, ' ' | '-' | '_' | '.' | '/' | '·' | '±');
    // A number is left as it stands only with its unit behind it: nothing takes `40 mm` for anything else.
    let starts = text.chars().next().is_some_and(|c| {
        c.is_ascii_alphabetic()
            || (c.is_ascii_digit() && text.contains(' ') && text.contains(char::is_alphabetic))
    });
    let word = text.to_ascii_lowercase();
    starts && text.chars().all(harmless) && !text.ends_with(' ') && !WORDS.contains(&word.as_str())
}

/// Whether a character may stand in YAML text as itself, and on one line.
fn is_printable(c: char) -> bool {
    if is_unsafe_to_print(c) {
        return false;
    }
    !c.is_control()
        && !matches!(
            c,
            '\u{2028}'
                | '\u{2029}'
                | '\u{FEFF}'
                | '\u{FFFE}'
                | '\u{FFFF}'
                | '\u{E000}'
                | '\u{E001}'
        )
}

/// A text that stays on its line: breaks and other control characters become spaces.
fn one_line(text: &str) -> String {
    let text: String = text
        .chars()
        .map(|c| if is_printable(c) { c } else { ' ' })
        .collect();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn plain_words_stay_plain_and_others_are_quoted() {
        assert_eq!(scalar("ridge-gang"), "ridge-gang");
        assert_eq!(scalar("Fuel tank"), "Fuel tank");
        assert_eq!(scalar("no"), "\"no\"");
        assert_eq!(scalar("40 mm ±2"), "40 mm ±2");
        assert_eq!(scalar("10.9"), "\"10.9\"");
        assert_eq!(scalar("a: b # c"), "\"a: b # c\"");
        assert_eq!(scalar("two\nlines"), "\"two\\nlines\"");
    }

    proptest! {
        // The second reader is a YAML library of its own.
        #[test]
        fn any_text_reads_back_as_itself(text in any::<String>()) {
            let line = format!("- {{a: {}, b: 1}} # end\n", scalar(&text));
            let read: serde_yaml::Value = serde_yaml::from_str(&line).unwrap();
            let first = read.get(0).and_then(|item| item.get("a")).and_then(|a| a.as_str());
            prop_assert_eq!(first, Some(text.as_str()));
        }

        #[test]
        fn any_remark_stays_one_comment(text in any::<String>()) {
            let mut out = Writer::default();
            out.remark(2, &text);
            out.line(0, "a: 1", &text);
            let text = out.text();
            prop_assert_eq!(text.lines().count(), 2);
            let read: std::collections::BTreeMap<String, u8> = serde_yaml::from_str(&text).unwrap();
            prop_assert_eq!(read.get("a"), Some(&1));
        }
    }
}
