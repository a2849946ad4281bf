//! Kinds of field that serde does not have, and what a type's own error may carry. Takes values from any deserializer;
//! gives them checked.

use std::fmt;

use serde::de::{self, Deserialize, Deserializer, Visitor};

use crate::report::{Code, in_message, quoted};

/// A field for yes or no: `yes`, `no`, `true` or `false`, in any case, in quotes or not.
///
/// ```
/// use liftsheet::{report::Report, source::{Source, YesNo, read}};
/// let source = Source::from_text("job.yaml", "NO");
/// assert_eq!(read::<YesNo>(&source, &mut Report::new()).unwrap().value, YesNo(false));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct YesNo(
    /// Whether it is yes.
    pub bool,
);

impl<'de> Deserialize<'de> for YesNo {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(YesNoVisitor)
    }
}

struct YesNoVisitor;

impl Visitor<'_> for YesNoVisitor {
    type Value = YesNo;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("yes or no")
    }

    fn visit_bool<E: de::Error>(self, value: bool) -> Result<YesNo, E> {
        Ok(YesNo(value))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<YesNo, E> {
        let is = |word: &str| text.eq_ignore_ascii_case(word);
        if is("yes") || is("true") {
            return Ok(YesNo(true));
        }
        if is("no") || is("false") {
            return Ok(YesNo(false));
        }
        let message = format!("`{}` is neither yes nor no", quoted(text));
        Err(E::custom(with_help(&message, "write yes or no")))
    }
}

/// For a field that is a bare `f64`, as `#[serde(deserialize_with = "finite")]`; fails for NaN and infinities.
pub fn finite<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
    let value = f64::deserialize(deserializer)?;
    if value.is_finite() {
        Ok(value)
    } else {
        let message = format!("`{value}` is not a finite number");
        Err(de::Error::custom(with_help(
            &message,
            "write a plain number such as 40",
        )))
    }
}

/// Stands before a part of a message; never in the text of one, as control characters in it are written out.
const MARK: char = '\u{1}';

/// A message for `serde::de::Error::custom` whose problem will have this way out.
#[must_use]
pub fn with_help(message: &str, help: &str) -> String {
    let mut marked = Marked::split(message);
    marked.help = Some(in_message(help));
    marked.join()
}

/// A message for `serde::de::Error::custom` whose problem will have this code, instead of `bad-value`.
#[must_use]
pub fn with_code(message: &str, code: Code) -> String {
    let mut marked = Marked::split(message);
    marked.code = Some(code);
    marked.join()
}

/// A message taken apart.
pub(super) struct Marked {
    pub(super) message: String,
    pub(super) help: Option<String>,
    pub(super) code: Option<Code>,
}

impl Marked {
    /// Takes a message apart; the first `h` part is the way out, the first `c` part the code.
    pub(super) fn split(text: &str) -> Self {
        let mut parts = text.split(MARK);
        let mut marked = Self {
            message: in_message(parts.next().unwrap_or_default()),
            help: None,
            code: None,
        };
        for part in parts {
            if let Some(help) = part.strip_prefix('h') {
                marked.help.get_or_insert_with(|| in_message(help));
            } else if let Some(Ok(code)) = part.strip_prefix('c').map(str::parse) {
                marked.code.get_or_insert(code);
            }
        }
        marked
    }

    fn join(self) -> String {
        let help = self.help.map(|help| format!("{MARK}h{help}"));
        let code = self.code.map(|code| format!("{MARK}c{code}"));
        self.message + &help.unwrap_or_default() + &code.unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_carries_its_help_and_code_in_either_order() {
        let one = with_code(&with_help("no `\u{1b}`", "try\nthis"), Code::UnknownChoice);
        let other = with_help(&with_code("no `\u{1b}`", Code::UnknownChoice), "try\nthis");
        for text in [one, other] {
            let marked = Marked::split(&text);
            assert_eq!(marked.message, "no `\\u{1b}`");
            assert_eq!(marked.help.as_deref(), Some("try\\u{a}this"));
            assert_eq!(marked.code, Some(Code::UnknownChoice));
        }
    }

    #[test]
    fn a_plain_message_is_kept() {
        let marked = Marked::split("the tolerance is below zero");
        assert_eq!(marked.message, "the tolerance is below zero");
        assert_eq!((marked.help, marked.code), (None, None));
    }
}
