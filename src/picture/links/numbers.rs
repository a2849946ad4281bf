//! The numbers of one calculation of a link, by the names of its inputs and results.
//!
//! Takes what the assessment calculated at the stated values; gives numbers to draw with and the same in words. Nothing is worked out
//! here: a name that the calculation does not have gives nothing.

use crate::assess::{Assessed, Calculated};
use crate::calc::{Inputs, Outcome, Value};
use crate::quantity::{Quantity, Unit, Units};

/// One calculation, read by name.
pub(in crate::picture) struct Numbers<'a> {
    calculated: &'a Calculated,
    units: Units,
}

impl<'a> Numbers<'a> {
    /// The first run of a calculation of a link.
    pub(in crate::picture) fn of(link: &'a Assessed<'_>, calc: &str, units: Units) -> Option<Self> {
        let mut runs = link.calculated.iter();
        let run = runs.find(|run| run.evaluation.calc == calc)?;
        Some(Self::new(run, units))
    }

    pub(in crate::picture) fn new(calculated: &'a Calculated, units: Units) -> Self {
        Self { calculated, units }
    }

    /// Whether its check goes by this run.
    pub(in crate::picture) fn decides(&self) -> bool {
        self.calculated.decides
    }

    /// The key of a check made for each key of a list.
    pub(in crate::picture) fn key(&self) -> Option<&'a str> {
        self.calculated.key.as_deref()
    }

    /// What the calculation was given.
    pub(in crate::picture) fn inputs(&self) -> Inputs {
        self.calculated.evaluation.given()
    }

    fn outcome(&self, name: &str) -> Option<&'a Outcome> {
        self.calculated.evaluation.result(name)
    }

    fn input(&self, name: &str) -> Option<(&'a Value, f64, Option<Unit>)> {
        let mut inputs = self.calculated.evaluation.inputs.iter();
        let (_, unit, given) = inputs.find(|(of, ..)| *of == name)?;
        Some((&given.value, given.tolerance, *unit))
    }

    /// The number of an input or a result.
    pub(in crate::picture) fn number(&self, name: &str) -> Option<f64> {
        let given = self.input(name).map(|(value, ..)| value);
        match given.or_else(|| self.outcome(name).map(|outcome| &outcome.value))? {
            Value::Number(number) => Some(*number),
            _ => None,
        }
    }

    /// A place or direction among the inputs.
    pub(in crate::picture) fn vector(&self, name: &str) -> Option<[f64; 3]> {
        match self.input(name)?.0 {
            Value::Vector(vector) => Some(*vector),
            _ => None,
        }
    }

    /// A word among the inputs.
    pub(in crate::picture) fn word(&self, name: &str) -> Option<&'a str> {
        match self.input(name)?.0 {
            Value::Word(word) => Some(word),
            _ => None,
        }
    }

    /// Whether a result is a yes.
    pub(in crate::picture) fn holds(&self, name: &str) -> bool {
        let outcome = self.outcome(name);
        outcome.is_some_and(|outcome| outcome.value == Value::Flag(true))
    }

    /// An input or a result with its unit, and the tolerance of an input.
    pub(in crate::picture) fn print(&self, name: &str) -> Option<String> {
        let value = self.number(name)?;
        let (tolerance, unit) = match self.input(name) {
            Some((_, tolerance, unit)) => (tolerance, unit),
            None => (0.0, self.outcome(name)?.unit),
        };
        let unit = unit?;
        let quantity = Quantity {
            unit,
            value,
            tolerance,
        };
        Some(quantity.print(self.units))
    }

    /// Words with the number or the word of each name in braces: `arm {arm}`; none where one has no number. Behind the name of a result, `+` adds what it is at worst
    /// when more of it is worse, `-` when less is.
    pub(in crate::picture) fn say(&self, words: &str) -> Option<String> {
        let mut said = String::new();
        for (index, piece) in words.split(['{', '}']).enumerate() {
            let name = piece.trim_end_matches(['+', '-']);
            match index % 2 {
                0 => said.push_str(piece),
                _ => match self.word(name) {
                    Some(word) => said.push_str(word),
                    None => said.push_str(&self.print(name)?),
                },
            }
            if index % 2 == 1 && name != piece {
                said.push_str(&self.worst(name, piece.ends_with('+')));
            }
        }
        Some(said)
    }

    /// What a result is at the bad end of the tolerances: `, at worst 12 mm`; nothing where every input is exact.
    fn worst(&self, name: &str, most: bool) -> String {
        let of = self.outcome(name);
        let Some((bounds, unit)) = of.and_then(|of| of.bounds.zip(of.unit)) else {
            return String::new();
        };
        let bad = Quantity::exact(if most { bounds.1 } else { bounds.0 }, unit).print(self.units);
        // A tolerance that this result does not feel.
        if self.print(name).is_some_and(|stated| stated == bad) {
            return String::new();
        }
        format!(", at worst {bad}")
    }

    /// A length in words.
    pub(in crate::picture) fn length(&self, millimetres: f64) -> String {
        Quantity::exact(millimetres, Unit::Mm).print(self.units)
    }

    /// Whether the lift moves anything here: where nothing rises, before and after are the same.
    pub(in crate::picture) fn moves(&self) -> bool {
        self.number("rise").is_some_and(|rise| rise > 0.0)
    }
}
