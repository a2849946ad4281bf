//! What goes into a calculation and what comes out of it, before anyone rounds or prints it.

use std::borrow::Cow;
use std::fmt;

use serde::Serialize;
use thiserror::Error;

use crate::quantity::Unit;

/// One value of an input or a result, in canonical units.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A finite number.
    Number(f64),
    /// Yes or no.
    Flag(bool),
    /// A word: one of the choices of the input, or a designation such as `M12x1.25` or `235/75R15`.
    Word(String),
    /// A place or direction: x forward, y left, z up (ISO 8855).
    Vector([f64; 3]),
    /// A list of places, or of (x, y, h) samples.
    Points(Vec<[f64; 3]>),
    /// A list of places in plan.
    Places(Vec<[f64; 2]>),
    /// A list of numbers.
    List(Vec<f64>),
    /// A result that does not exist here: a limit that is never reached.
    Nothing,
}

impl From<f64> for Value {
    fn from(number: f64) -> Self {
        Self::Number(number)
    }
}

impl From<Option<f64>> for Value {
    fn from(limit: Option<f64>) -> Self {
        limit.map_or(Self::Nothing, Self::Number)
    }
}

impl From<bool> for Value {
    fn from(flag: bool) -> Self {
        Self::Flag(flag)
    }
}

/// One input as given: its value, and the half-width it may be off by (0 for exact; numbers only).
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    /// The value.
    pub value: Value,
    /// Half-width of the tolerance, in the input's unit.
    pub tolerance: f64,
}

impl Given {
    /// A number known exactly.
    pub fn number(value: f64) -> Self {
        Self::exact(Value::Number(value))
    }

    /// Any value known exactly.
    pub fn exact(value: Value) -> Self {
        Self {
            value,
            tolerance: 0.0,
        }
    }
}

/// The name of an input: as its calculation has it, or whatever somebody wrote for one.
pub type InputName = Cow<'static, str>;

/// The inputs of one calculation by name; an input left out is absent here. They are a dozen at most, and looked through faster than ordered.
#[derive(Debug, Clone, Default)]
pub struct Inputs(pub(crate) Vec<(InputName, Given)>);

impl Inputs {
    /// The input of that name.
    pub fn get(&self, name: &str) -> Option<&Given> {
        let mut all = self.0.iter();
        all.find(|(of, _)| of == name).map(|(_, given)| given)
    }

    /// The input of that name, to be changed.
    pub fn get_mut(&mut self, name: &str) -> Option<&mut Given> {
        let mut all = self.0.iter_mut();
        all.find(|(of, _)| of == name).map(|(_, given)| given)
    }

    /// Gives an input; returns what was given for it before.
    pub fn insert(&mut self, name: InputName, given: Given) -> Option<Given> {
        if let Some(known) = self.get_mut(&name) {
            return Some(std::mem::replace(known, given));
        }
        self.0.push((name, given));
        None
    }
}

impl FromIterator<(InputName, Given)> for Inputs {
    fn from_iter<I: IntoIterator<Item = (InputName, Given)>>(given: I) -> Self {
        Self(given.into_iter().collect())
    }
}

/// The plain results of one run by name, in the order of the contract; one that does not apply is left out.
pub type Results = Vec<(&'static str, Value)>;

/// One result: its value at the stated inputs, and its bounds over the tolerance box when there is one.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The result's name, as the contract of the calculation gives it.
    pub name: &'static str,
    /// The unit of its numbers; none for yes/no and words.
    pub unit: Option<Unit>,
    /// The value at the stated inputs.
    pub value: Value,
    /// Least and most over the tolerance box; none when every input is exact or the result is not a number.
    /// A limit that is nothing in part of the box counts there as the largest rise looked at, 150 mm.
    pub bounds: Option<(f64, f64)>,
    /// What a yes/no, a word or a missing limit is elsewhere in the tolerance box: the other answer, other words,
    /// nothing. Empty when the answer stands over the whole box.
    pub elsewhere: Vec<Value>,
}

/// One line of the working: the formula in symbols, with the numbers put in, and what it gives.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct WorkingStep {
    /// The result's name.
    pub name: &'static str,
    /// The formula in the symbols of the calculation's documentation.
    pub formula: &'static str,
    /// The same formula with the numbers in place of the symbols.
    pub with_numbers: String,
    /// The result with its unit.
    pub gives: String,
}

/// An input that was used: its name, its unit (none for yes/no and words), its value.
pub type Used = (&'static str, Option<Unit>, Given);

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
