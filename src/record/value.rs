//! What is written down: a number in its evidence's unit, a yes or no, a text.
//!
//! Takes what a person typed and the evidence that asks for it; gives the value as the record keeps it, and says whether it
//! is within limits. The limits go into the record with the number, so that it can be judged without the plan.

use serde::{Deserialize, Serialize};

use crate::plan::Evidence;
use crate::quantity::{Quantity, Unit, Units};
use crate::report::{Code, Problem, quoted};

/// Comparisons with limits are made to this step, as those of rules are.
const STEP: f64 = 1e-6;

/// One value of an entry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Value {
    /// What is so, or is not.
    Yes(bool),
    /// Words.
    Text(String),
    /// A number with the limits that held when it was written down.
    Number(Number),
}

/// A measured number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Number {
    /// The number, in `unit`.
    pub value: f64,
    /// The unit's code, as plans have it.
    pub unit: String,
    /// How far it may be off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tolerance: Option<f64>,
    /// The least that was right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least: Option<f64>,
    /// The most that was right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most: Option<f64>,
}

impl Number {
    /// A number with the limits of its evidence.
    pub(super) fn of(quantity: Quantity, evidence: &Evidence) -> Self {
        Self {
            value: quantity.value,
            unit: quantity.unit.code().to_owned(),
            tolerance: Some(quantity.tolerance).filter(|half| *half > 0.0),
            least: evidence.least,
            most: evidence.most,
        }
    }

    /// The number as a quantity; none when its unit is not known.
    #[must_use]
    pub fn quantity(&self) -> Option<Quantity> {
        Some(Quantity {
            value: self.value,
            tolerance: self.tolerance.unwrap_or(0.0),
            unit: Unit::from_code(&self.unit)?,
        })
    }
}

impl Value {
    /// Whether the value is what the evidence asks for: a number within its limits at both ends of its tolerance, a yes,
    /// a text that says something.
    #[must_use]
    pub fn is_right(&self, evidence: &Evidence) -> bool {
        match self {
            Self::Yes(yes) => *yes,
            Self::Text(text) => !text.trim().is_empty(),
            Self::Number(number) => {
                let half = number.tolerance.unwrap_or(0.0);
                let (low, high) = (number.value - half, number.value + half);
                evidence.least.is_none_or(|least| low >= least - STEP)
                    && evidence.most.is_none_or(|most| high <= most + STEP)
            }
        }
    }

    /// The value as people read it, in the system of units.
    #[must_use]
    pub fn print(&self, units: Units) -> String {
        match self {
            Self::Yes(true) => "yes".to_owned(),
            Self::Yes(false) => "no".to_owned(),
            Self::Text(text) => text.clone(),
            Self::Number(number) => match number.quantity() {
                Some(quantity) => quantity.print(units),
                None => format!("{} {}", number.value, number.unit),
            },
        }
    }
}

/// Reads what was typed for an evidence; fails with the problem of what is no such value.
pub(super) fn read(evidence: &Evidence, typed: &str) -> Result<Value, Problem> {
    let text = typed.trim();
    match evidence.kind.as_str() {
        "number" => number(evidence, text),
        "yes" => match text.to_ascii_lowercase().as_str() {
            "yes" => Ok(Value::Yes(true)),
            "no" => Ok(Value::Yes(false)),
            _ => Err(Problem::error(
                Code::UnknownChoice,
                format!(
                    "`{}` takes yes or no, not `{}`",
                    evidence.name,
                    quoted(text)
                ),
            )
            .help(format!("write `--value {}=yes`", evidence.name))),
        },
        _ if text.is_empty() => Err(Problem::error(
            Code::EvidenceMissing,
            format!("`{}` takes a few words, and there are none", evidence.name),
        )
        .help(format!("write `--value {}='…'`", evidence.name))),
        _ => Ok(Value::Text(text.to_owned())),
    }
}

fn number(evidence: &Evidence, text: &str) -> Result<Value, Problem> {
    let unit = evidence.unit.unwrap_or(Unit::One);
    match Quantity::parse(text, unit) {
        Ok(quantity) => Ok(Value::Number(Number::of(quantity, evidence))),
        Err(error) => {
            let message = format!("`{}`: {error}", evidence.name);
            Err(Problem::error(error.code(), message).help(error.help()))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::Text;

    fn evidence(kind: &str, limits: (Option<f64>, Option<f64>)) -> Evidence {
        Evidence {
            name: "gap".to_owned(),
            ask: Text::plain("gap"),
            item: None,
            kind: kind.to_owned(),
            unit: (kind == "number").then_some(Unit::Mm),
            least: limits.0,
            most: limits.1,
        }
    }

    #[test]
    fn a_number_is_right_only_with_its_whole_tolerance_within_limits() {
        let gap = evidence("number", (Some(40.0), Some(44.0)));
        let right = |typed: &str| read(&gap, typed).unwrap().is_right(&gap);
        assert!(right("40") && right("44 mm") && right("42 ±2") && right("1.65 in"));
        assert!(!right("39.9") && !right("44.1") && !right("43 ±2"));
    }

    #[test]
    fn a_no_is_written_down_and_is_not_right() {
        let dry = evidence("yes", (None, None));
        assert!(read(&dry, "YES").unwrap().is_right(&dry));
        assert!(!read(&dry, "no").unwrap().is_right(&dry));
        assert_eq!(read(&dry, "maybe").unwrap_err().code, Code::UnknownChoice);
    }

    #[test]
    fn each_kind_refuses_what_it_is_not() {
        let gap = evidence("number", (None, None));
        assert_eq!(read(&gap, "wide").unwrap_err().code, Code::NotANumber);
        assert_eq!(read(&gap, "4 kg").unwrap_err().code, Code::WrongUnit);
        assert_eq!(read(&gap, "nan").unwrap_err().code, Code::NotFinite);
        let who = evidence("text", (None, None));
        assert_eq!(read(&who, "  ").unwrap_err().code, Code::EvidenceMissing);
    }
}
