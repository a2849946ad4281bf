//! Where the limits behind a verdict come from: a letter beside the verdict, and a line for each letter below.
//!
//! Takes settings of the rules; gives letters in the order in which they are first asked for, and what stands below them. A number that was
//! only remembered is told apart from one that was read, where it is used.

use std::collections::BTreeMap;

use minijinja::{Value, context};

use super::{Made, words};
use crate::assess::Assessed;
use crate::quantity::Units;
use crate::rules::Setting;
use crate::rules::written::Source;

/// The status of what nobody here has read.
const REMEMBERED: &str = "from memory";

/// The marks of one page.
pub(super) struct Marks {
    units: Units,
    letters: BTreeMap<(String, String), String>,
    /// Where each limit comes from, with its letter and words: `a`, `least overlap: 25 mm`.
    list: Vec<(String, (String, String))>,
}

impl Marks {
    pub(super) fn new(units: Units) -> Self {
        Self {
            units,
            letters: BTreeMap::new(),
            list: Vec::new(),
        }
    }

    /// The letters of the limits by which a link was decided: `a, c`.
    pub(super) fn of_link(&mut self, made: &Made<'_>, link: &Assessed<'_>) -> String {
        self.letters_of(link.limits(made.rules).into_values())
    }

    /// The letters of those of them that are only remembered.
    pub(super) fn remembered(&mut self, made: &Made<'_>, link: &Assessed<'_>) -> String {
        let limits = link.limits(made.rules).into_values();
        self.letters_of(limits.filter(|setting| setting.source.status == REMEMBERED))
    }

    /// The letters of some settings.
    pub(super) fn letters_of<'r>(&mut self, settings: impl Iterator<Item = &'r Setting>) -> String {
        let letters: Vec<String> = settings.map(|setting| self.letter(setting)).collect();
        letters.join(", ")
    }

    /// Everything that was marked, by where it comes from.
    pub(super) fn list(self) -> Value {
        let origins = words::drawn_together(self.list.into_iter()).into_iter();
        let origins = origins.map(|(from, limits)| context! { from, limits });
        origins.collect()
    }

    /// The letter of a setting: settings of several classes that say the same share one.
    fn letter(&mut self, setting: &Setting) -> String {
        let limit = format!("{}: {}", setting.label, setting.value.print(self.units));
        let from = words::capital(&from(&setting.source));
        let next = letter(self.letters.len());
        let known = self.letters.entry((limit.clone(), from.clone()));
        let list = &mut self.list;
        known
            .or_insert_with(|| {
                list.push((from, (next.clone(), limit)));
                next
            })
            .clone()
    }
}

/// Where a number comes from, in words.
fn from(source: &Source) -> String {
    let clause = source.clause.as_ref();
    let clause = clause.map_or_else(String::new, |clause| format!(", {clause}"));
    let document = format!("{}{clause}", source.document);
    match source.status.as_str() {
        REMEMBERED => format!("{document}, from memory: ask the vehicle maker"),
        status if status == source.document => document,
        status => format!("{document} ({status})"),
    }
}

/// `a` to `z`, then `aa`.
fn letter(number: usize) -> String {
    let last = char::from(b'a' + u8::try_from(number % 26).unwrap_or(0));
    match number / 26 {
        0 => last.to_string(),
        more => format!("{}{last}", letter(more - 1)),
    }
}

#[cfg(test)]
mod tests {
    use super::letter;

    #[test]
    fn letters_go_on_behind_z() {
        let found = [0, 25, 26, 51, 52].map(letter);
        assert_eq!(found, ["a", "z", "aa", "az", "ba"]);
    }
}
