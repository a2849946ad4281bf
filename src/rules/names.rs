//! Names and what they stand for, in the two readings that rules make of them.
//!
//! Takes numbers, answers, words and results under names; gives the scopes that conditions and everything else are evaluated
//! in. Where the values come from is left to `assess`, and to [`crate::lint`] where they are only tried out.

use super::expression::{Fields, Scope, Slot, Term};
use crate::calc;
use crate::text;

/// The names at one set of exact values, in two readings.
#[derive(Debug, Clone, Default)]
pub struct Names {
    /// For calculation inputs, limits and texts: numbers as they are, words as words.
    pub feed: Scope,
    /// For conditions: numbers rounded to 1e-6, each choice as yes or no.
    pub judge: Scope,
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

impl Names {
    /// Adds a number under a name.
    pub fn number(&mut self, name: &str, number: f64) {
        let slot = Slot::of(name);
        self.feed.put(slot, Term::Number(number));
        self.judge.put(slot, Term::Number(rounded(number)));
    }

    /// Adds a yes or no under a name.
    pub fn flag(&mut self, name: &str, flag: bool) {
        let slot = Slot::of(name);
        self.feed.put(slot, Term::Flag(flag));
        self.judge.put(slot, Term::Flag(flag));
    }

    /// Adds a word under a name; one with choices becomes, in conditions, one yes/no for each of them.
    pub fn word(&mut self, name: &str, choices: Option<&[String]>, word: &str) {
        self.feed.set(name, text::clean(word));
        if let Some(choices) = choices {
            let chosen = choices.iter();
            let chosen = chosen.map(|choice| (choice_name(choice), choice == word));
            self.judge.set_fields(name, chosen);
        }
    }

    /// Adds numbers and answers as fields of a name.
    pub fn fields(&mut self, name: &str, fields: &Fields) {
        self.feed.set_fields(name, fields.iter().cloned());
        let judged = fields.iter().map(|(field, term)| match term {
            Term::Number(number) => (*field, Term::Number(rounded(*number))),
            other => (*field, other.clone()),
        });
        self.judge.set_fields(name, judged);
    }
}

/// A calculation's results as fields of a name; a limit that does not exist and lists have none.
#[must_use]
pub fn result_fields(results: &[(&'static str, calc::Value)]) -> Fields {
    let field = |(name, value): &(&'static str, calc::Value)| {
        let term = match value {
            calc::Value::Number(number) => Term::from(*number),
            calc::Value::Flag(flag) => Term::from(*flag),
            calc::Value::Word(word) => Term::from(word.as_str()),
            _ => return None,
        };
        Some((*name, term))
    };
    results.iter().filter_map(field).collect()
}

/// A choice as a field of its measurement in conditions: `seat belt` is `seat_belt`, `8.8` is `_8_8`.
///
/// ```
/// use liftsheet::rules::names::choice_name;
/// assert_eq!(choice_name("seat belt"), "seat_belt");
/// assert_eq!(choice_name("8.8"), "_8_8");
/// ```
#[must_use]
pub fn choice_name(choice: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '_' };
    let name: String = choice.chars().map(plain).collect();
    match name.chars().next() {
        Some(first) if first.is_ascii_digit() => format!("_{name}"),
        _ => name,
    }
}
