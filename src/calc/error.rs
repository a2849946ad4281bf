//! Why a calculation cannot be made: always the input, what was given, and what is allowed.

use std::fmt;

/// An input that a calculation cannot work with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CalcError {
    /// The input's name.
    pub input: String,
    /// What was given, as text ("missing" when it was left out).
    pub given: String,
    /// What is allowed, as a phrase that follows "allowed:".
    pub allowed: String,
}

impl CalcError {
    /// An error about one input.
    pub fn new(
        input: impl Into<String>,
        given: impl fmt::Display,
        allowed: impl Into<String>,
    ) -> Self {
        Self {
            input: input.into(),
            given: given.to_string(),
            allowed: allowed.into(),
        }
    }
}

impl fmt::Display for CalcError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "`{}` is {}; allowed: {}",
            self.input, self.given, self.allowed
        )
    }
}

impl std::error::Error for CalcError {}
