//! What a name or an expression of a rule stands for: a number, a yes or no, a word, a list, or nothing.

use std::sync::Arc;

/// What a name or an expression of a rule stands for.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Term {
    /// No limit: `none`.
    #[default]
    None,
    /// Yes or no.
    Flag(bool),
    /// A number, in the unit of whatever it measures.
    Number(f64),
    /// A word, or text with quantities in it.
    Word(Arc<str>),
    /// A place of three numbers, or what the largest or smallest is taken of.
    List(Vec<Term>),
}

impl Term {
    /// The number that it is, if it is one and finite.
    pub(crate) fn number(&self) -> Option<f64> {
        match self {
            Self::Number(number) if number.is_finite() => Some(*number),
            _ => None,
        }
    }

    /// What it is, for a sentence: `it gives a number`.
    pub(super) fn kind(&self) -> &'static str {
        match self {
            Self::None => "nothing",
            Self::Flag(_) => "yes or no",
            Self::Number(_) => "a number",
            Self::Word(_) => "a word",
            Self::List(_) => "a list",
        }
    }
}

impl From<f64> for Term {
    fn from(number: f64) -> Self {
        Self::Number(number)
    }
}

impl From<u32> for Term {
    fn from(number: u32) -> Self {
        Self::Number(number.into())
    }
}

impl From<bool> for Term {
    fn from(flag: bool) -> Self {
        Self::Flag(flag)
    }
}

impl From<&str> for Term {
    fn from(word: &str) -> Self {
        Self::Word(word.into())
    }
}

impl From<String> for Term {
    fn from(word: String) -> Self {
        Self::Word(word.into())
    }
}
