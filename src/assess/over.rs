//! One unit over the whole box of its tolerances: what came of it at the points, and the bounds of every result.
//!
//! Takes the check as it was made point by point (see `walked`); gives the verdict, whether the
//! tolerances leave it open, and the names for its texts.

use std::collections::{BTreeMap, BTreeSet};

use super::judge::CheckMade;
use super::types::Need;
use super::units::Target;
use crate::calc::bounds::{Spreads, numbers};
use crate::calc::{Calculation, InputName, Value, Window};
use crate::rules::expression::Scope;
use crate::rules::{Check, Verdict};

/// Points of one branch whose names are all kept for its texts and limits; of more, those with the least or the most of a number.
const KEPT: usize = 200;

/// One unit over its box.
#[derive(Debug, Default)]
pub(super) struct Over<'r> {
    pub(super) check: Option<&'r Check>,
    pub(super) key: Option<String>,
    /// Where the check was made, the stated values first where it was made there.
    pub(super) made: Vec<CheckMade<'r>>,
    /// Whether there are points at which it does not apply.
    pub(super) elsewhere: bool,
    pub(super) missing: BTreeSet<Need>,
    /// The names at the first point that needs the release, and at the first of all.
    pub(super) released: Option<Scope>,
    pub(super) scope: Option<Scope>,
    pub(super) spreads: Option<Spreads>,
    /// Least and most of each number that goes into the calculation.
    pub(super) given: BTreeMap<InputName, (f64, f64)>,
    /// Whether, where a size is chosen, there are points at which none serves.
    pub(super) none: bool,
    /// Where a size is chosen, what serves at every point.
    pub(super) window: Option<Window>,
}

impl<'r> Over<'r> {
    pub(super) fn new(target: Target<'r>) -> Self {
        let (check, key) = match target {
            Target::Check(check, key) => (Some(check), key.map(ToOwned::to_owned)),
            Target::Release(_) => (None, None),
        };
        Self {
            check,
            key,
            ..Self::default()
        }
    }

    /// The verdict: the heaviest of all points, but where its tolerances leave open what is to be done, `measure`.
    pub(super) fn verdict(&self) -> Option<Verdict> {
        let heaviest = self.made.iter().map(|made| made.branch.verdict).max();
        if self.open() {
            Some(Verdict::Measure)
        } else {
            heaviest
        }
    }

    /// Whether the tolerances leave open what is to be done: a stop at some points only, other work for the same verdict, or no size
    /// that serves at all of them.
    pub(super) fn open(&self) -> bool {
        let verdict = |made: &CheckMade<'_>| made.branch.verdict;
        let Some(heaviest) = self.made.iter().map(verdict).max() else {
            return false;
        };
        let all = !self.elsewhere && self.made.iter().all(|made| verdict(made) == heaviest);
        let mut heavy = self.made.iter().filter(|made| verdict(made) == heaviest);
        let first = heavy.next();
        let same =
            |made: &CheckMade<'_>| first.is_none_or(|first| first.branch.same_work(made.branch));
        // Where none serves even at one point, a branch of the rule says what is done.
        let none_serves = !self.none && self.window.is_some_and(|window| !window.serves());
        (heaviest == Verdict::Stop && !all) || !heavy.all(same) || none_serves
    }

    pub(super) fn make(&mut self, calc: Option<&Calculation>, made: CheckMade<'r>) {
        for (name, given) in &made.inputs.0 {
            if let Value::Number(number) = given.value {
                let ends = self.given.entry(name.clone()).or_insert((number, number));
                *ends = (ends.0.min(number), ends.1.max(number));
            }
        }
        let first = || Spreads::of(&made.results);
        self.spreads.get_or_insert_with(first).widen(&made.results);
        if let Some(calc) = calc {
            let mut own = None;
            Window::narrow(&mut own, calc, &made.results);
            self.none |= own.is_some_and(|own| !own.serves());
            Window::narrow(&mut self.window, calc, &made.results);
        }
        self.made.push(made);
    }

    /// The names at the points where a branch holds as another does, those of a number's least and most where there are many.
    pub(super) fn scopes(&self, like: &CheckMade<'r>) -> Vec<Scope> {
        let alike = self.made.iter();
        let alike = alike.filter(|made| std::ptr::eq(made.branch, like.branch));
        let alike: Vec<&CheckMade<'_>> = alike.collect();
        let kept = if alike.len() > KEPT {
            self.extremes(&alike)
        } else {
            alike
        };
        kept.into_iter().map(|made| made.names.clone()).collect()
    }

    /// The stated values, and the points at which a number of the check is least or most.
    pub(super) fn ends(&self) -> Vec<&CheckMade<'r>> {
        let all: Vec<&CheckMade<'r>> = self.made.iter().collect();
        self.extremes(&all)
    }

    fn extremes<'m>(&self, made: &[&'m CheckMade<'r>]) -> Vec<&'m CheckMade<'r>> {
        let calc = self.check.and_then(|check| check.calc);
        let row = |made: &&CheckMade<'_>| {
            let given = made.inputs.0.iter().map(|(_, given)| match given.value {
                Value::Number(number) => number,
                _ => f64::NAN,
            });
            let found = calc.map(|calc| numbers(calc, &made.results));
            given.chain(found.unwrap_or_default()).collect::<Vec<f64>>()
        };
        let rows: Vec<Vec<f64>> = made.iter().map(row).collect();
        let mut kept = BTreeSet::from([0]);
        for column in 0..rows.first().map_or(0, Vec::len) {
            let value = |row: usize| {
                let number = rows.get(row).and_then(|row| row.get(column));
                number.copied().filter(|number| !number.is_nan())
            };
            let there = (0..rows.len()).filter_map(|row| Some((row, value(row)?)));
            let by = |one: &(usize, f64), other: &(usize, f64)| one.1.total_cmp(&other.1);
            // An answer that is the same everywhere is kept once.
            let (least, most) = (there.clone().min_by(by), there.max_by(by));
            if let (Some(least), Some(most)) = (least, most)
                && least.1 < most.1
            {
                kept.extend([least.0, most.0]);
            }
        }
        kept.into_iter()
            .filter_map(|row| made.get(row).copied())
            .collect()
    }
}
