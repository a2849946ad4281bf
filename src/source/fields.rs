//! What a type's own error may carry beside its message: the way out.

use crate::report::in_message;

/// Stands before a part of a message; never in the text of one, as control characters in it are written out.
const MARK: char = '\u{1}';

/// A message for `serde::de::Error::custom` whose problem will have this way out.
pub fn with_help(message: &str, help: &str) -> String {
    let mut marked = Marked::split(message);
    marked.help = Some(in_message(help));
    marked.join()
}

/// A message taken apart.
pub(super) struct Marked {
    pub(super) message: String,
    pub(super) help: Option<String>,
}

impl Marked {
    /// Takes a message apart; its first `h` part is the way out.
    pub(super) fn split(text: &str) -> Self {
        let mut parts = text.split(MARK);
        let mut marked = Self {
            message: in_message(parts.next().unwrap_or_default()),
            help: None,
        };
        for part in parts {
            if let Some(help) = part.strip_prefix('h') {
                marked.help.get_or_insert_with(|| in_message(help));
            }
        }
        marked
    }

    fn join(self) -> String {
        let help = self.help.map(|help| format!("{MARK}h{help}"));
        self.message + &help.unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_carries_its_help() {
        let marked = Marked::split(&with_help("no `\u{1b}`", "try\nthis"));
        assert_eq!(marked.message, "no `\\u{1b}`");
        assert_eq!(marked.help.as_deref(), Some("try\\u{a}this"));
    }

    #[test]
    fn a_plain_message_is_kept() {
        let marked = Marked::split("the tolerance is below zero");
        assert_eq!(marked.message, "the tolerance is below zero");
        assert_eq!(marked.help, None);
    }
}
