//! How a calculation describes itself, so that rules, the command line and the schema can check a call before it is made.

use super::{CalcError, Inputs, Step, Value};
use crate::quantity::Unit;

/// The kind of an input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// A number in this unit.
    Number(Unit),
    /// A whole number of at least one.
    Count,
    /// Yes or no.
    Flag,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// A designation that the calculation reads itself, such as a thread or tyre size.
    Text,
    /// A place or direction, `0,0,0`, in this unit.
    Vector(Unit),
    /// A list of places, `1200,550,50;1200,-550,50`, in this unit.
    Points(Unit),
    /// A list of places in plan, `1200,550;1200,-550`, in this unit.
    Places(Unit),
}

impl Kind {
    /// The unit of the input's numbers; none for yes/no and words.
    #[must_use]
    pub fn unit(self) -> Option<Unit> {
        match self {
            Self::Number(unit) | Self::Vector(unit) | Self::Points(unit) | Self::Places(unit) => {
                Some(unit)
            }
            Self::Count => Some(Unit::One),
            Self::Flag | Self::Choice(_) | Self::Text => None,
        }
    }
}

/// Whether an input must be given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Need {
    /// It must be given.
    Required,
    /// This number is used when it is left out.
    Default(f64),
    /// This word (`yes`/`no` for a flag) is used when it is left out.
    DefaultWord(&'static str),
    /// It may be left out, and the results that need it then say so by their absence.
    Optional,
}

/// Which numbers an input allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Range {
    /// Any finite number.
    Any,
    /// Above zero.
    Positive,
    /// Zero or above.
    NotNegative,
    /// From the first to the second, both allowed.
    Within(f64, f64),
    /// Between the first and the second, neither allowed.
    Between(f64, f64),
}

impl Range {
    /// Whether the number is allowed.
    #[must_use]
    pub fn allows(self, value: f64) -> bool {
        match self {
            Self::Any => value.is_finite(),
            Self::Positive => value > 0.0 && value.is_finite(),
            Self::NotNegative => value >= 0.0 && value.is_finite(),
            Self::Within(least, most) => (least..=most).contains(&value),
            Self::Between(least, most) => least < value && value < most,
        }
    }

    /// The range as a phrase for messages: "above 0", "0 to 150".
    #[must_use]
    pub fn phrase(self) -> String {
        match self {
            Self::Any => "any finite number".to_owned(),
            Self::Positive => "above 0".to_owned(),
            Self::NotNegative => "0 or above".to_owned(),
            Self::Within(least, most) => format!("{least} to {most}"),
            Self::Between(least, most) => format!("above {least} and below {most}"),
        }
    }
}

/// One input of a calculation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InputSpec {
    /// Its name in rules and on the command line.
    pub name: &'static str,
    /// What kind of value it takes.
    pub kind: Kind,
    /// Whether it must be given.
    pub need: Need,
    /// Which numbers it allows.
    pub range: Range,
    /// What it is, in a few words of the trade.
    pub meaning: &'static str,
}

/// One result of a calculation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ResultSpec {
    /// Its name in rules and in JSON.
    pub name: &'static str,
    /// The unit of its numbers; none for yes/no and words.
    pub unit: Option<Unit>,
    /// Whether it may be absent or nothing (a limit never reached, an input not given).
    pub may_be_absent: bool,
    /// What it is, in a few words of the trade.
    pub meaning: &'static str,
}

/// The plain results and working of one run at exact inputs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Found {
    /// Results by name, in the order of the contract; a result that does not apply is left out.
    pub results: Vec<(&'static str, Value)>,
    /// The working.
    pub working: Vec<Step>,
}

/// Extra levels inside the tolerance box at which a result may turn: for inputs as given, (input name, value) pairs.
pub type Turning = fn(&Inputs) -> Vec<(&'static str, f64)>;

/// One calculation of the registry.
#[derive(Debug, Clone, Copy)]
pub struct Calculation {
    /// Its name in rules and on the command line.
    pub name: &'static str,
    /// What it answers, as a short phrase.
    pub title: &'static str,
    /// Where its formula comes from.
    pub source: &'static str,
    /// Its inputs, in the order of the contract.
    pub inputs: &'static [InputSpec],
    /// Its results, in the order of the contract.
    pub results: &'static [ResultSpec],
    /// Runs it at exact inputs that already have every default and lie in their ranges.
    pub run: fn(&Inputs) -> Result<Found, CalcError>,
    /// Where results turn inside a tolerance box.
    pub turning: Turning,
}
