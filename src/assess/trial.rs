//! A class judged at values that nobody measured, for whoever asks what its rules would say: the lint above all.
//!
//! Takes a class, facts, a span and values; gives how one check or the release comes out there, by the same judging as a job's.

use std::collections::BTreeSet;

use super::facts::JobFacts;
use super::judge::Judged;
use super::judged_span::{JudgedSpan, unmeasured};
use super::problem::Refused;
use super::types::{Address, Datum, Values};
use super::units::{Target, Unit};
use crate::calc::CalcError;
use crate::cut::Span;
use crate::rules::expression::{ExpressionError, Scope};
use crate::rules::names::Names;
use crate::rules::{Check, Class, Verdict};

/// What texts call a link that nobody has.
const TITLES: (&str, &str, &str) = ("link", "from", "to");

/// A class at values that could be.
#[derive(Debug)]
pub struct Trial {
    basis: JobFacts,
    span: Span,
    values: Values,
    names: Names,
}

/// A check of a class, or its release, to be tried.
#[derive(Debug)]
pub struct TriedCheck<'r> {
    class: &'r Class,
    /// None for a release that is always needed.
    unit: Option<Unit<'r>>,
}

impl<'r> TriedCheck<'r> {
    /// A check; of one made for a list, its first key.
    pub(crate) fn check(class: &'r Class, check: &'r Check) -> Self {
        let keys = check.each.as_deref().map(|list| class.keys(list));
        let key = keys.and_then(|keys| keys.first()).map(String::as_str);
        Self {
            class,
            unit: Some(class.unit(Target::Check(check, key))),
        }
    }

    /// Every check of a class, in order; of one made for a list, its first key.
    pub fn all(class: &'r Class) -> Vec<Self> {
        let checks = class.checks.iter();
        checks.map(|check| Self::check(class, check)).collect()
    }

    /// Whether the release is needed.
    pub(crate) fn release(class: &'r Class) -> Self {
        let release = class.release.as_ref();
        let when = release.and_then(|release| release.when.as_ref());
        Self {
            class,
            unit: when.map(|when| class.unit(Target::Release(when))),
        }
    }
}

/// How it came out.
#[derive(Debug)]
pub(crate) enum Tried {
    /// This branch holds, or the release is needed (0); with the names of its texts and of its conditions.
    Branch(usize, Names),
    /// It does not apply here, or the release is not needed.
    Elsewhere,
    /// Something that it needs is not given, or a check above it could not be made.
    Waits,
    /// The calculation refuses the values.
    Refused(CalcError),
    /// An expression fails.
    Failed(ExpressionError),
}

impl Tried {
    /// The branch that holds, if one does.
    pub(crate) fn branch(&self) -> Option<usize> {
        let Self::Branch(branch, _) = self else {
            return None;
        };
        Some(*branch)
    }
}

impl Trial {
    /// The names with which every trial of a class begins, those of the facts and settings given among them.
    pub fn beginning(class: &Class, facts: &Scope) -> Names {
        let names = unmeasured(class, facts, TITLES);
        Names {
            feed: names.feed.as_ground(),
            judge: names.judge.as_ground(),
        }
    }

    /// A class at values that could be, and at such facts, which `begun` has too; what it would not ask for there is not given, and told.
    pub fn new(
        class: &Class,
        begun: Names,
        span: Span,
        given: impl IntoIterator<Item = (Address, Datum)>,
    ) -> (Self, BTreeSet<Address>) {
        let mut values = Values::default();
        values.data.extend(given);
        let mut trial = Self {
            basis: JobFacts::of(begun.feed.clone()),
            span,
            values,
            names: Names::default(),
        };
        let mut names = begun;
        trial.case(class).measured(&trial.values, &mut names);
        trial.names = names;
        let unasked = trial.unasked(class);
        if !unasked.is_empty() {
            let data = &mut trial.values.data;
            data.retain(|address, _| !unasked.contains(address));
            let mut names = std::mem::take(&mut trial.names);
            let case = trial.case(class);
            case.forget(&mut names, &trial.values, &unasked);
            trial.names = names;
        }
        (trial, unasked)
    }

    fn unasked(&self, class: &Class) -> BTreeSet<Address> {
        if class.asking().next().is_none() {
            return BTreeSet::new();
        }
        let case = self.case(class);
        let unasked = self.values.data.keys().filter(|address| {
            let measurement = case.measurement(address);
            let when = measurement.and_then(|measurement| measurement.ask_when.as_ref());
            let supplied = measurement.is_some_and(|measurement| measurement.default.is_some());
            !supplied && when.is_some_and(|when| matches!(when.holds(&self.names.judge), Ok(false)))
        });
        unasked.cloned().collect()
    }

    /// Whether something is not given here that would let a check apply.
    pub(crate) fn could_apply(&self, class: &Class) -> bool {
        let case = self.case(class);
        !case.could_apply(&self.values, &self.names).is_empty()
    }

    /// Every check of a class here, as [`TriedCheck::all`] has them.
    pub(crate) fn checks<'t>(
        &'t self,
        all: &'t [TriedCheck<'t>],
    ) -> impl Iterator<Item = (&'t Check, Tried)> {
        let mut names = self.names.clone();
        all.iter().filter_map(move |asked| {
            let check = asked.unit.as_ref()?.check()?;
            let tried = self.made(asked, names.clone());
            // Of a list others read the heaviest key, which is not this one.
            if let (Tried::Branch(_, found), None) = (&tried, &check.each) {
                names.feed.take_fields(&check.id, &found.feed);
                names.judge.take_fields(&check.id, &found.judge);
            }
            Some((check, tried))
        })
    }

    /// The heaviest verdict of all checks of a class; none where one of them cannot be made.
    pub fn heaviest(&self, all: &[TriedCheck<'_>]) -> Option<Verdict> {
        let mut heaviest = None;
        for (check, tried) in self.checks(all) {
            match tried {
                Tried::Branch(number, _) => {
                    heaviest = heaviest.max(Some(check.branches.get(number)?.verdict));
                }
                Tried::Elsewhere => {}
                _ => return None,
            }
        }
        heaviest
    }

    /// Tries a check or the release here.
    pub(crate) fn make(&self, asked: &TriedCheck<'_>) -> Tried {
        self.made(asked, self.names.clone())
    }

    fn made(&self, asked: &TriedCheck<'_>, names: Names) -> Tried {
        let Some(unit) = &asked.unit else {
            return Tried::Branch(0, names);
        };
        let case = self.case(asked.class);
        match case.judge(unit, (&self.values, names), None) {
            Ok(Judged::Made(made)) => {
                let mut branches = unit.check().into_iter().flat_map(|check| &check.branches);
                let number = branches.position(|one| std::ptr::eq(one, made.branch));
                let (feed, judge) = (made.scope, made.judge);
                Tried::Branch(number.unwrap_or_default(), Names { feed, judge })
            }
            Ok(Judged::Elsewhere | Judged::Release(false, _)) => Tried::Elsewhere,
            Ok(Judged::Missing(_)) => Tried::Waits,
            Ok(Judged::Release(true, feed)) => {
                let judge = feed.clone();
                Tried::Branch(0, Names { feed, judge })
            }
            Err((check, _))
                if check.map(|check| &check.id) != unit.check().map(|check| &check.id) =>
            {
                Tried::Waits
            }
            Err((_, Refused::Calculation(error))) => Tried::Refused(error),
            Err((_, Refused::Expression(error))) => Tried::Failed(error),
        }
    }

    fn case<'a>(&'a self, class: &'a Class) -> JudgedSpan<'a> {
        JudgedSpan {
            class,
            id: &class.id,
            span: &self.span,
            titles: TITLES,
            basis: &self.basis,
        }
    }
}
