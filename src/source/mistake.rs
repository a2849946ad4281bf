//! Why a value cannot be read into its type, as a kind and the node it is about. Takes what serde tells; the sentence
//! is left to `wording`.

use std::fmt;

use serde::de::{Error, Expected, Unexpected};

use super::locator::Id;

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
    UnknownChoice {
        given: String,
        known: &'static [&'static str],
    },
    MissingField {
        field: &'static str,
        /// All fields of the item, if it is a struct.
        fields: &'static [&'static str],
    },
    /// Two spellings of one field.
    TwiceField(&'static str),
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

    fn unknown_variant(given: &str, known: &'static [&'static str]) -> Self {
        let given = given.to_owned();
        Self::new(What::UnknownChoice { given, known })
    }

    fn unknown_field(given: &str, known: &'static [&'static str]) -> Self {
        let given = given.to_owned();
        Self::new(What::UnknownField { given, known })
    }

    fn missing_field(field: &'static str) -> Self {
        Self::new(What::MissingField { field, fields: &[] })
    }

    fn duplicate_field(field: &'static str) -> Self {
        Self::new(What::TwiceField(field))
    }
}
