//! Reading single fields of a rule file: known words, expressions, quantities.

use std::str::FromStr;
use strum::VariantNames;

use crate::quantity::{Quantity, Unit, Written};
use crate::report::{Code, Notes, Path, Report, unknown_help};
use crate::rules::expression::Expr;

/// A path that is made when there is a problem to tell.
type Later<'a> = &'a dyn Fn() -> Path;

/// A rule file that is checked.
pub(in crate::rules) struct Fields<'a> {
    pub(in crate::rules) notes: Notes<'a>,
    /// Whether it is one of ours, which `check` looks at in full.
    pub(super) trusted: bool,
}

impl<'a> Fields<'a> {
    /// The fields of a file, which is one of ours or not, and the report that its problems go to.
    pub(in crate::rules) fn new(file: &'a str, trusted: bool, report: &'a mut Report) -> Self {
        let notes = Notes::of(file, report);
        Self { notes, trusted }
    }

    /// The thing that a word names, or a report with the words known.
    pub(in crate::rules) fn word<T>(
        &mut self,
        given: &str,
        path: Later<'_>,
        known: &[&str],
        find: impl Fn(&str) -> Option<T>,
    ) -> Option<T> {
        let found = find(given);
        if found.is_none() {
            let message = format!("`{given}` is not known here");
            let help = unknown_help(given, known.iter().copied());
            self.notes
                .error(Code::UnknownChoice, &path(), message, help);
        }
        found
    }

    /// The place of a word among those known, or a report with them.
    pub(in crate::rules) fn among(
        &mut self,
        given: &str,
        path: Later<'_>,
        known: &[&str],
    ) -> Option<usize> {
        let find = |word: &str| known.iter().position(|known| *known == word);
        self.word(given, path, known, find)
    }

    /// The kind that a word names, or a report with the words of all kinds.
    pub(in crate::rules) fn choice<T: FromStr + VariantNames>(
        &mut self,
        given: &str,
        path: Later<'_>,
    ) -> Option<T> {
        self.word(given, path, T::VARIANTS, |word| word.parse().ok())
    }

    /// An expression; one of ours was compiled when it was checked, and is compiled again only if it is needed.
    pub(in crate::rules) fn expression(&mut self, text: &str, path: Later<'_>) -> Option<Expr> {
        if self.trusted {
            return Some(Expr::trusted(text));
        }
        match Expr::compile(text) {
            Ok(expression) => Some(expression),
            Err(error) => {
                let message = error.to_string();
                let help = "write a condition over the names of this rule, such as `fit.overlap_left >= least_overlap`";
                self.notes
                    .error(Code::BadExpression, &path(), message, help);
                None
            }
        }
    }

    /// A compiled expression where one is written.
    pub(in crate::rules) fn optional(
        &mut self,
        text: Option<&String>,
        path: Later<'_>,
    ) -> Option<Expr> {
        self.expression(text?, path)
    }

    /// A quantity of the unit's kind.
    pub(in crate::rules) fn quantity(
        &mut self,
        written: &Written,
        unit: Unit,
        path: Later<'_>,
    ) -> Option<Quantity> {
        self.notes.parsed(written.as_str(), unit, path)
    }
}
