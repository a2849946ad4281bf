//! A class judged at values that nobody measured, for whoever asks what its rules would say: the lint above all.
//!
//! Takes a class, facts, a span and values; gives how one check or the release comes out there, by the same judging as a job's.

use std::collections::{BTreeMap, BTreeSet};

use super::judge::Judged;
use super::judged_span::{JudgedSpan, unmeasured};
use super::problem::Refused;
use super::types::{Address, Datum, Values};
use super::units::{Target, Unit};
use crate::calc::CalcError;
use crate::cut::Span;
use crate::rules::expression::{Expr, ExpressionError, Scope, Slot, Term};
use crate::rules::{Check, Class, Verdict};
use crate::sorted::Sorted as _;

/// What texts call a link that nobody has.
const TITLES: (&str, &str, &str) = ("link", "from", "to");

/// A class at values that could be, moved from one choice of them to the next.
#[derive(Debug)]
pub struct Trial<'r> {
    class: &'r Class,
    facts: Scope,
    /// What of the values is asked for on a condition, with that.
    asking: BTreeMap<Address, &'r Expr>,
    span: Span,
    values: Values,
    names: Scope,
    /// What is left of both where something of them would not be asked for.
    asked: Option<(Values, Scope)>,
}

/// A check of a class, or its release, to be tried.
#[derive(Debug)]
pub struct TriedCheck<'r> {
    /// None for a release that is always needed.
    unit: Option<Unit<'r>>,
}

impl<'r> TriedCheck<'r> {
    /// A check; of one made for a list, its first key.
    pub(crate) fn check(class: &'r Class, check: &'r Check) -> Self {
        let keys = check.each.as_deref().map(|list| class.keys(list));
        let key = keys.and_then(|keys| keys.first()).map(String::as_str);
        Self {
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
        let unit = class.unit_of_release();
        Self { unit }
    }
}

/// How it came out.
#[derive(Debug)]
pub(crate) enum Tried {
    /// This branch holds, or the release is needed (0); with the names there.
    Branch(usize, Scope),
    /// It does not apply here, or the release is not needed.
    Elsewhere,
    /// Something that it needs is not given, or a check above it could not be made.
    Waits,
    /// The calculation refuses the values.
    Refused(CalcError),
    Failed(ExpressionError),
}

/// A check cannot be made at the values given.
#[derive(Debug, Clone, Copy)]
pub struct Unmade;

impl Tried {
    /// The branch that holds, if one does.
    pub(crate) fn branch(&self) -> Option<usize> {
        let Self::Branch(branch, _) = self else {
            return None;
        };
        Some(*branch)
    }
}

impl<'r> Trial<'r> {
    /// The names with which every trial of a class begins, those of the facts and settings given among them.
    pub fn beginning(class: &Class, facts: &Scope) -> Scope {
        unmeasured(class, facts, TITLES).as_ground()
    }

    /// A class of which nothing is given yet, no span either.
    pub fn begun(class: &'r Class, names: Scope) -> Self {
        Self {
            class,
            facts: names.clone(),
            asking: BTreeMap::new(),
            span: Span::moved(0.0, 0.0, Vec::new()),
            values: Values::default(),
            names,
            asked: None,
        }
    }

    /// Gives a value, or takes it away; after the distance of the fixings the span is given again.
    pub fn give(&mut self, address: &Address, datum: Option<Datum>) {
        let span = judged(self.class, &self.span, &self.facts);
        span.value(address, datum.as_ref(), &mut self.names);
        let Some(datum) = datum else {
            self.values.data.remove(address);
            self.asking.remove(address);
            return;
        };
        let measurement = self.class.measurement(address);
        // What has a default is there whether it is asked for or not.
        let measurement = measurement.filter(|measurement| measurement.default.is_none());
        if let Some(when) = measurement.and_then(|measurement| measurement.ask_when.as_ref()) {
            self.asking.insert(address.clone(), when);
        }
        self.values.data.insert(address.clone(), datum);
    }

    /// Gives a fact of the job.
    pub(crate) fn fact(&mut self, slot: Slot, fact: &Term) {
        self.facts.put(slot, fact.clone());
        self.names.put(slot, fact.clone());
    }

    /// Gives the span.
    pub fn pull(&mut self, span: Span) {
        self.span = span;
        let span = judged(self.class, &self.span, &self.facts);
        span.pulled(&self.values, &mut self.names);
    }

    /// Takes what would not be asked for here for not given, and tells it.
    pub fn ask(&mut self) -> BTreeSet<Address> {
        let unasked = self.unasked();
        self.asked = (!unasked.is_empty()).then(|| {
            let (mut values, mut names) = (self.values.clone(), self.names.clone());
            values.data.retain(|address, _| !unasked.contains(address));
            let span = self.judged();
            for address in &unasked {
                span.value(address, None, &mut names);
            }
            span.working(&values, &mut names);
            (values, names)
        });
        unasked
    }

    fn unasked(&self) -> BTreeSet<Address> {
        let asking = self.asking.iter();
        let unasked = asking.filter(|(_, when)| matches!(when.holds(&self.names), Ok(false)));
        unasked.map(|(address, _)| address.clone()).sorted_set()
    }

    /// The values that are asked for, and their names.
    fn here(&self) -> (&Values, &Scope) {
        let asked = self.asked.as_ref();
        asked.map_or((&self.values, &self.names), |(values, names)| {
            (values, names)
        })
    }

    /// Whether something is not given here that would let a check apply.
    pub(crate) fn could_apply(&self) -> bool {
        let (values, names) = self.here();
        !self.judged().could_apply(values, names).is_empty()
    }

    /// The verdict of a check, none where it does not apply; fails where it cannot be made.
    pub fn verdict(&self, asked: &TriedCheck<'_>) -> Result<Option<Verdict>, Unmade> {
        let check = asked.unit.as_ref().and_then(Unit::check);
        let branches = check.map_or(&[][..], |check| &check.branches);
        match self.make(asked) {
            Tried::Branch(number, _) => Ok(branches.get(number).map(|found| found.verdict)),
            Tried::Elsewhere => Ok(None),
            _ => Err(Unmade),
        }
    }

    /// Tries a check or the release here.
    pub(crate) fn make(&self, asked: &TriedCheck<'_>) -> Tried {
        let (values, names) = self.here();
        let Some(unit) = &asked.unit else {
            return Tried::Branch(0, names.clone());
        };
        match self.judged().judge(unit, (values, names.clone()), None) {
            Ok(Judged::Made(made)) => {
                let mut branches = unit.check().into_iter().flat_map(|check| &check.branches);
                let number = branches.position(|one| std::ptr::eq(one, made.branch));
                Tried::Branch(number.unwrap_or_default(), made.names)
            }
            Ok(Judged::Elsewhere | Judged::Release(false, _)) => Tried::Elsewhere,
            Ok(Judged::Missing(_)) => Tried::Waits,
            Ok(Judged::Release(true, names)) => Tried::Branch(0, names),
            Err((check, _))
                if check.map(|check| &check.id) != unit.check().map(|check| &check.id) =>
            {
                Tried::Waits
            }
            Err((_, Refused::Calculation(error))) => Tried::Refused(error),
            Err((_, Refused::Expression(error))) => Tried::Failed(error),
        }
    }

    fn judged(&self) -> JudgedSpan<'_> {
        judged(self.class, &self.span, &self.facts)
    }
}

fn judged<'a>(class: &'a Class, span: &'a Span, facts: &'a Scope) -> JudgedSpan<'a> {
    JudgedSpan {
        class,
        id: &class.id,
        span,
        titles: TITLES,
        basis: facts,
    }
}
