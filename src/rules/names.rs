//! Names and what they stand for, in the two readings that rules make of them.
//!
//! Takes numbers, answers, words and results; adds them under their names to the scopes in which expressions are evaluated. Where the values
//! come from is left to `assess`, and to [`crate::lint`] where they are only tried out.

use super::expression::{Meaning, Scope, Slot, Term};
use super::model::{Answer, Check, Measurement, Slots};
use crate::{calc, text};

impl Scope {
    /// Adds a word under the names of a measurement; one with choices becomes, in conditions, one yes/no for each of them.
    pub(crate) fn word_at(&mut self, slots: &Slots, word: &str) {
        let own = (slots.own, Meaning::Word(text::clean(word).into()));
        let chosen = slots.choices.iter();
        let chosen = chosen.map(|(slot, choice)| (*slot, Meaning::Choice(choice == word)));
        self.replace(slots.own, chosen.chain([own]).collect());
    }

    /// Takes the names of a measurement away: it is not known.
    pub(crate) fn forget(&mut self, slots: &Slots) {
        self.replace(slots.own, Vec::new());
        self.put(slots.known, false);
    }

    /// Adds what the calculation of a check gives as fields of its name; a limit that does not exist and lists have none.
    pub(crate) fn results(&mut self, check: &Check, results: &[(&'static str, calc::Value)]) {
        let (root, fields) = check.slots();
        let mut fields = fields.iter();
        let found = results.iter().filter_map(|(name, value)| {
            let (_, slot) = fields.find(|(field, _)| field == name)?;
            let term = match value {
                calc::Value::Number(number) => Term::Number(*number),
                calc::Value::Flag(flag) => Term::Flag(*flag),
                calc::Value::Word(word) => Term::from(word.as_str()),
                _ => return None,
            };
            Some((*slot, Meaning::Alike(term)))
        });
        self.replace_found(*root, found.collect());
    }
}

impl Check {
    /// The numbers of its name and of each result of its calculation, in the order of the contract.
    pub(crate) fn slots(&self) -> &(Slot, Vec<(&'static str, Slot)>) {
        self.slots.get_or_init(|| {
            let root = Slot::of(&self.id);
            let results = self.calc.map_or(&[][..], |calc| calc.results).iter();
            let fields = results.map(|spec| (spec.name, root.field(spec.name)));
            (root, fields.collect())
        })
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
            Slots {
                own: Slot::of(name),
                known: Slot::of(&format!("known.{name}")),
                choices: choices.collect(),
            }
        })
    }
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
