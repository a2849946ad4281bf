//! Why a calculation cannot be made: always the input, what was given, and what is allowed.

use std::fmt;

use thiserror::Error;

/// An input that a calculation cannot work with.
#[derive(Debug, Clone, PartialEq, Eq)]
#[derive(Error)]
#[error("`{input}` is {given}; allowed: {allowed}")]
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
