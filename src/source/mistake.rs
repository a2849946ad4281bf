//! Why a value cannot be read into its type, as a kind and the node it is about. Takes what serde tells, and the way out that a type's own
//! error may carry beside its message; the sentence is left to `wording`.

use std::fmt;

use serde::de::{Error, Expected, Unexpected};

use super::locator::Id;
use crate::report::in_message;

/// A value that does not fit its type.
#[derive(Debug)]
pub(super) struct Mistake {
    pub(super) what: What,
    /// The innermost node that is known to be at fault.
    pub(super) node: Option<Id>,
    /// Whether the node's key is at fault, and not its value.
    pub(super) at_key: bool,
}

/// The kinds of mistake.
#[derive(Debug)]
pub(super) enum What {
    UnknownField {
        given: String,
        known: &'static [&'static str],
    },
    MissingField {
        field: &'static str,
        /// All fields of the item, if it is a struct.
        fields: &'static [&'static str],
    },
    WrongType {
        expected: String,
    },
    BadValue {
        expected: String,
    },
    WrongLength {
        found: usize,
        expected: String,
    },
    Custom(String),
}

impl Mistake {
    fn new(what: What) -> Self {
        Self {
            what,
            node: None,
            at_key: false,
        }
    }

    /// A value that is not what its type expects.
    pub(super) fn wrong_type(expected: &dyn Expected) -> Self {
        Self::new(What::WrongType {
            expected: expected.to_string(),
        })
    }

    /// The same mistake, about this node unless it already has one further in.
    pub(super) fn at(mut self, node: Id) -> Self {
        self.node.get_or_insert(node);
        self
    }

    /// The same mistake, about the key of this node unless it already has a node.
    pub(super) fn at_key(mut self, node: Id) -> Self {
        if self.node.is_none() {
            (self.node, self.at_key) = (Some(node), true);
        }
        self
    }

    /// The same mistake; a missing field learns which others its item has.
    pub(super) fn among(mut self, all: &'static [&'static str]) -> Self {
        if let (None, What::MissingField { fields, .. }) = (self.node, &mut self.what) {
            *fields = all;
        }
        self
    }
}

impl fmt::Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.what {
            What::Custom(message) => f.write_str(message),
            other => write!(f, "{other:?}"),
        }
    }
}

impl std::error::Error for Mistake {}

impl Error for Mistake {
    fn custom<T: fmt::Display>(message: T) -> Self {
        Self::new(What::Custom(message.to_string()))
    }

    fn invalid_type(_: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::wrong_type(expected)
    }

    fn invalid_value(_: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::new(What::BadValue {
            expected: expected.to_string(),
        })
    }

    fn invalid_length(found: usize, expected: &dyn Expected) -> Self {
        Self::new(What::WrongLength {
            found,
            expected: expected.to_string(),
        })
    }

    fn unknown_field(given: &str, known: &'static [&'static str]) -> Self {
        let given = given.to_owned();
        Self::new(What::UnknownField { given, known })
    }

    fn missing_field(field: &'static str) -> Self {
        Self::new(What::MissingField { field, fields: &[] })
    }
}

/// Stands before a part of a message; never in the text of one, as control characters in it are written out.
const MARK: char = '\u{1}';

/// A message for `serde::de::Error::custom` whose problem will have this way out.
pub(crate) fn with_help(message: &str, help: &str) -> String {
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
