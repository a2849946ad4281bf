//! Where the limits behind a verdict come from: a letter beside the verdict, and a line for each letter below.
//!
//! Takes settings of the rules; gives letters in the order in which they are first asked for, and what stands below them. A number that was
//! only remembered is told apart from one that was read, where it is used.

use std::collections::BTreeMap;

use serde::Serialize;

use super::{Made, words};
use crate::assess::Assessed;
use crate::quantity::Units;
use crate::rules::Setting;
use crate::rules::written::Source;

/// The status of what nobody here has read.
const REMEMBERED: &str = "from memory";

/// The limits that come from one place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Origin {
    from: String,
    /// Each with its letter: `a`, `least overlap: 25 mm`.
    limits: Vec<(String, String)>,
}

/// The marks of one page.
pub(super) struct Marks {
    units: Units,
    letters: BTreeMap<(String, String), String>,
    list: Vec<Origin>,
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
    pub(super) fn list(self) -> Vec<Origin> {
        self.list
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
                let limit = (next.clone(), limit);
                match list.iter_mut().find(|origin| origin.from == from) {
                    Some(origin) => origin.limits.push(limit),
                    None => list.push(Origin {
                        from: from.clone(),
                        limits: vec![limit],
                    }),
                }
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
