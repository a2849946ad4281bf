//! What judging is told in: values and where they stand, what is missing, what a value decides, a check as it came out.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::calc::Inputs;
use crate::quantity::{Quantity, Unit};
pub use crate::rules::Address;
pub(super) use crate::rules::Need;
use crate::rules::expression::Scopes;
use crate::rules::{Branch, Check, Verdict};

/// What a vehicle is judged for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Depth {
    /// For verdicts alone.
    Verdict,
    /// For the work that follows from them too, with the least and most of every number in it.
    Work,
    /// For what pages say of them too: reasons and numbers.
    Words,
    /// For what a missing value decides too: of a vehicle that nobody has measured yet that takes ten times as long as all else.
    Whole,
}

/// One measured value.
#[derive(Debug, Clone, PartialEq)]
pub enum Datum {
    /// A number with its tolerance.
    Number(Quantity),
    /// A word or designation.
    Word(String),
    /// Yes or no.
    Flag(bool),
}

/// Every value known of a link, or of one of its spans.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Values {
    pub(super) data: BTreeMap<Address, Datum>,
    /// Those that the class supplied because the job did not.
    pub(super) assumed: BTreeSet<Address>,
}

impl Values {
    pub(super) fn datum(&self, name: &str) -> Option<&Datum> {
        self.data.get(&Address::One(name.to_owned()))
    }

    /// The number at an address, with its tolerance.
    pub(super) fn number(&self, address: &Address) -> Option<Quantity> {
        match self.data.get(address)? {
            Datum::Number(quantity) => Some(*quantity),
            _ => None,
        }
    }

    /// Puts a number in the place of another, to a tolerance.
    pub(super) fn put(&mut self, address: &Address, value: f64, tolerance: f64) {
        if let Some(Datum::Number(number)) = self.data.get_mut(address) {
            number.value = value;
            number.tolerance = tolerance;
        }
    }
}

/// One thing to be measured or looked at.
#[derive(Debug, Clone, Default)]
pub struct Missing {
    pub label: String,
    pub how: String,
    pub unit: Option<Unit>,
    pub answers: Vec<String>,
    /// How close to read it.
    pub tolerance: Option<f64>,
    /// Where it goes in the job file.
    pub place: String,
    /// What it decides; links in one situation share it.
    pub decides: Arc<Decides>,
    /// Whether it belongs to the vehicle rather than to one link.
    pub of_vehicle: bool,
}

impl Missing {
    /// Nothing known of it but what it is called and where it goes.
    pub(super) fn blank(label: String, place: String) -> Self {
        Self {
            label,
            place,
            ..Self::default()
        }
    }
}

/// What missing readings decide, kept for links in one situation.
pub(super) type KeptMissing = RefCell<BTreeMap<String, Arc<Decides>>>;

/// What a missing value decides.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Decides {
    /// Nothing, as far as it was asked.
    #[default]
    Nothing,
    /// What each stretch of a number's range leads to: its least and its most value, the lowest stretch first.
    Stretches(Unit, Vec<(f64, f64, Outcomes)>),
    /// What each answer leads to.
    Answers(Vec<(String, Outcomes)>),
    /// It was not worked out: too many values are missing.
    Untold,
}

/// What a value can lead to: more than one verdict while other values are missing too; and the size that serves there, mm, where one
/// is chosen.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Outcomes {
    pub verdicts: BTreeSet<Verdict>,
    pub made: Option<f64>,
}

/// One check as it came out: at one point, or, of a judged link, at the worst.
#[derive(Debug, Clone)]
pub struct Run<'r> {
    pub check: &'r Check,
    /// The key, for a check made once for each key of a list.
    pub key: Option<String>,
    pub branch: &'r Branch,
    /// The calculation's inputs.
    pub inputs: Inputs,
    /// The names for the branch's texts and limits, at every point of the tolerances at which this branch holds; the worst first.
    pub scopes: Scopes,
    /// The same of its own stretch alone, where what is missing on others was added.
    pub(super) alone: Option<Scopes>,
}

/// A reading that could lighten a verdict if it were taken, or taken more closely.
#[derive(Debug, Clone)]
pub struct Again {
    pub reading: Missing,
    /// The value from which on the lighter verdict holds.
    pub limit: Quantity,
    /// Whether that value or more is needed (else that value or less).
    pub or_more: bool,
    pub verdict: Verdict,
}
