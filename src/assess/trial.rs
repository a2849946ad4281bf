//! A class judged at values that nobody measured, for whoever asks what its rules would say: the lint above all.
//!
//! Takes a class, facts, a span and values; gives how one check or the release comes out there, by the same judging as a job's.

use std::collections::BTreeSet;

use super::case::Case;
use super::facts::Basis;
use super::judge::Judged;
use super::problem::Refused;
use super::types::{Address, Datum, Values};
use super::units::{Target, Unit};
use crate::calc::CalcError;
use crate::cut::Span;
use crate::rules::expression::{ExpressionError, Scope};
use crate::rules::names::Names;
use crate::rules::{Check, Class};

/// A class at values that could be.
#[derive(Debug)]
pub struct Trial {
    basis: Basis,
    span: Span,
    values: Values,
}

/// How it came out.
#[derive(Debug)]
pub enum Tried {
    /// This branch holds, or the release is needed (0); with the names of its texts and of its conditions.
    Branch(usize, Names),
    /// It does not apply here, or the release is not needed.
    Elsewhere,
    /// Something that it needs is not given, or a check above it could not be made.
    Waits,
    /// No branch holds.
    NoBranch,
    /// The calculation refuses the values.
    Refused(CalcError),
    /// An expression fails.
    Failed(ExpressionError),
}

impl Trial {
    /// Values and facts that could be.
    #[must_use]
    pub fn new(
        facts: Scope,
        span: Span,
        given: impl IntoIterator<Item = (Address, Datum)>,
    ) -> Self {
        let mut values = Values::default();
        values.data.extend(given);
        Self {
            basis: Basis::of(facts),
            span,
            values,
        }
    }

    /// What is given is left out where the class would not ask for it.
    pub fn leave_out_unasked(&mut self, class: &Class) -> BTreeSet<Address> {
        let case = self.case(class);
        let names = case.names(&self.values);
        let unasked = self.values.data.keys().filter(|address| {
            let measurement = case.measurement(address);
            let when = measurement.and_then(|measurement| measurement.ask_when.as_ref());
            let supplied = measurement.is_some_and(|measurement| measurement.default.is_some());
            !supplied && when.is_some_and(|when| matches!(when.holds(&names.judge), Ok(false)))
        });
        let unasked: BTreeSet<Address> = unasked.cloned().collect();
        self.values
            .data
            .retain(|address, _| !unasked.contains(address));
        unasked
    }

    /// Makes one check; of one made for a list, its first key.
    #[must_use]
    pub fn check(&self, class: &Class, check: &Check) -> Tried {
        let case = self.case(class);
        let key = check.each.as_deref().map(|list| case.keys(list));
        let key = key.and_then(|keys| keys.first()).map(String::as_str);
        let unit = case.unit(Target::Check(check, key));
        self.judged(&case, &unit, |branch| {
            let mut branches = check.branches.iter();
            branches.position(|one| std::ptr::eq(one, branch))
        })
    }

    /// Asks whether the release is needed.
    #[must_use]
    pub fn release(&self, class: &Class) -> Tried {
        let case = self.case(class);
        let when = class
            .release
            .as_ref()
            .and_then(|release| release.when.as_ref());
        let Some(when) = when else {
            return Tried::Branch(0, case.names(&self.values));
        };
        let unit = case.unit(Target::Release(when));
        self.judged(&case, &unit, |_| None)
    }

    fn judged<'r>(
        &self,
        case: &Case<'r>,
        unit: &Unit<'r>,
        number: impl Fn(&crate::rules::Branch) -> Option<usize>,
    ) -> Tried {
        match case.judge(unit, (&self.values, case.names(&self.values)), None) {
            Ok(Judged::Made(made)) => {
                let names = Names {
                    feed: made.scope,
                    judge: made.judge,
                };
                number(made.branch).map_or(Tried::NoBranch, |branch| Tried::Branch(branch, names))
            }
            Ok(Judged::Elsewhere | Judged::Release(false, _)) => Tried::Elsewhere,
            Ok(Judged::Missing(_)) => Tried::Waits,
            Ok(Judged::Release(true, feed)) => {
                let judge = feed.clone();
                Tried::Branch(0, Names { feed, judge })
            }
            Err((check, refused)) => {
                let own = check.map(|check| &check.id) == unit.check().map(|check| &check.id);
                match refused {
                    _ if !own => Tried::Waits,
                    Refused::Calculation(error) => Tried::Refused(error),
                    Refused::Expression(error) => Tried::Failed(error),
                }
            }
        }
    }

    fn case<'a>(&'a self, class: &'a Class) -> Case<'a> {
        Case {
            class,
            id: &class.id,
            span: &self.span,
            titles: ("link", "from", "to"),
            basis: &self.basis,
        }
    }
}
