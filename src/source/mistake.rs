//! Why a value cannot be read into its type, as a kind and the node it is about. Takes what serde tells, and the way out that a type's own
//! error may carry beside its message; the sentence is left to `wording`.

use std::fmt;

use serde::de::{Error, Expected, Unexpected};

use super::locator::Id;
use crate::report::in_message;

/// A value that does not fit its type.
#[derive(Debug, thiserror::Error)]
#[error("{what:?}")]
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

/// Stands before the way out behind a message, with an `h`; never in the text of either, as control characters in them are written out.
const MARK: char = '\u{1}';

/// A message for `serde::de::Error::custom` whose problem will have this way out.
pub(crate) fn with_help(message: &str, help: &str) -> String {
    format!("{}{MARK}h{}", in_message(message), in_message(help))
}

/// A message without its way out, and that.
pub(super) fn told(text: &str) -> (String, Option<String>) {
    let (message, help) = text.split_once(MARK).unwrap_or((text, ""));
    (in_message(message), help.strip_prefix('h').map(in_message))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_carries_its_help() {
        let (message, help) = told(&with_help("no `\u{1b}`", "try\nthis"));
        assert_eq!(message, "no `\\u{1b}`");
        assert_eq!(help.as_deref(), Some("try\\u{a}this"));
    }

    #[test]
    fn a_plain_message_is_kept() {
        let (message, help) = told("the tolerance is below zero");
        assert_eq!(message, "the tolerance is below zero");
        assert_eq!(help, None);
    }
}
