//! Names and what they stand for, in the two readings that rules make of them.
//!
//! Takes numbers, answers, words and results under names; gives the scopes that conditions and everything else are evaluated
//! in. Where the values come from is left to `assess`, and to [`crate::lint`] where they are only tried out.

use super::expression::{NameFields, Scope, Slot, Term};
use super::model::{Answer, Measurement, Slots};
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
    pub(crate) fn number(&mut self, name: &str, number: f64) {
        self.number_at(Slot::of(name), number);
    }

    /// Adds a number under the name of that number.
    pub(crate) fn number_at(&mut self, slot: Slot, number: f64) {
        self.feed.put(slot, Term::Number(number));
        self.judge.put(slot, Term::Number(rounded(number)));
    }

    /// Adds a fact of the job under the name of that number: as it is in both readings.
    pub(crate) fn fact(&mut self, slot: Slot, fact: &Term) {
        self.feed.put(slot, fact.clone());
        self.judge.put(slot, fact.clone());
    }

    /// Adds a yes or no under the name of that number.
    pub(crate) fn flag_at(&mut self, slot: Slot, flag: bool) {
        self.feed.put(slot, Term::Flag(flag));
        self.judge.put(slot, Term::Flag(flag));
    }

    /// Adds a word under the names of a measurement; one with choices becomes, in conditions, one yes/no for each of them.
    pub(crate) fn word_at(&mut self, slots: &Slots, word: &str) {
        self.feed.put(slots.own, Term::from(text::clean(word)));
        if !slots.choices.is_empty() {
            let chosen = slots.choices.iter();
            let chosen = chosen.map(|(slot, choice)| (*slot, Term::Flag(choice == word)));
            self.judge.replace(slots.own, chosen.collect());
        }
    }

    /// Whether the names of all these numbers stand for something, in one reading or the other: then nothing that reads them is missing.
    pub(crate) fn have_all<'s>(&self, slots: impl IntoIterator<Item = &'s Slot>) -> bool {
        let mut slots = slots.into_iter();
        slots.all(|slot| self.feed.at(*slot).is_some() || self.judge.at(*slot).is_some())
    }

    /// Takes the names of a measurement away: it is not known.
    pub(crate) fn forget(&mut self, slots: &Slots) {
        self.feed.replace(slots.own, Vec::new());
        self.judge.replace(slots.own, Vec::new());
        self.flag_at(slots.known, false);
    }

    /// Adds numbers and answers as fields of a name.
    pub(crate) fn fields(&mut self, name: &str, fields: &NameFields) {
        let root = Slot::of(name);
        self.fields_at(root, root.fields(fields.iter().cloned()));
    }

    /// Adds numbers and answers as fields of the name of that number, sorted by theirs.
    pub(crate) fn fields_at(&mut self, root: Slot, fields: Vec<(Slot, Term)>) {
        let judged = fields.iter().map(|(slot, term)| match term {
            Term::Number(number) => (*slot, Term::Number(rounded(*number))),
            other => (*slot, other.clone()),
        });
        self.judge.replace(root, judged.collect());
        self.feed.replace(root, fields);
    }
}

impl Measurement {
    /// The numbers of its names, under the name that its class has for it.
    pub(crate) fn slots(&self, name: &str) -> &Slots {
        self.slots.get_or_init(|| {
            let choices = match &self.kind {
                Answer::Choice(choices) => choices.as_slice(),
                _ => &[],
            };
            let choices = choices.iter().map(|choice| {
                let slot = Slot::of(&format!("{name}.{}", choice_name(choice)));
                (slot, choice.clone())
            });
            let mut choices: Vec<(Slot, String)> = choices.collect();
            choices.sort_by_key(|(slot, _)| *slot);
            Slots {
                own: Slot::of(name),
                known: Slot::of(&format!("known.{name}")),
                choices,
            }
        })
    }
}

/// A calculation's results as fields of a name; a limit that does not exist and lists have none.
pub(crate) fn result_fields(results: &[(&'static str, calc::Value)]) -> NameFields {
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
pub fn choice_name(choice: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '_' };
    let name: String = choice.chars().map(plain).collect();
    match name.chars().next() {
        Some(first) if first.is_ascii_digit() => format!("_{name}"),
        _ => name,
    }
}
