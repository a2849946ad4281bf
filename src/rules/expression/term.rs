//! What a name or an expression of a rule stands for: a number, a yes or no, a word, a list, or nothing; and a name in both readings.

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

/// How a piece of a rule reads its names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Reading {
    /// In conditions: each choice as yes or no.
    Judge,
    /// Everywhere else: words as words.
    Feed,
}

/// What a name stands for in both readings.
#[derive(Debug, Clone)]
pub(crate) enum Meaning {
    /// The same in both.
    Alike(Term),
    /// A word that conditions do not read.
    Word(Arc<str>),
    /// Whether a choice was made, which conditions alone read.
    Choice(bool),
}

impl Meaning {
    /// What is read of it.
    pub(super) fn read(&self, reading: Reading) -> Option<Term> {
        match (self, reading) {
            (Self::Alike(term), _) => Some(term.clone()),
            (Self::Word(word), Reading::Feed) => Some(Term::Word(Arc::clone(word))),
            (Self::Choice(flag), Reading::Judge) => Some(Term::Flag(*flag)),
            (Self::Word(_), Reading::Judge) | (Self::Choice(_), Reading::Feed) => None,
        }
    }
}

/// Comparisons are made after rounding to this, so that a limit met exactly is met.
pub(super) fn rounded(number: f64) -> f64 {
    let scaled = number * 1e6;
    // Beyond this a double has no decimals left to round, and scaling could overflow.
    if scaled.abs() < 1e15 {
        scaled.round() / 1e6
    } else {
        number
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
