//! The checks of a class at one set of exact values: which branch of each applies, and with what numbers.
//!
//! Takes a [`Case`] and values; gives a [`Judged`]. Tolerances, spans and missing values are left to the callers, which
//! judge many points.

use std::collections::{BTreeMap, BTreeSet};

use minijinja::Value as Name;

use super::case::Case;
use super::needs::Need;
use super::problem::Refused;
use super::values::{Address, Values};
use crate::calc::{self, Given, Inputs};
use crate::rules::expression::Scope;
use crate::rules::names::{Names, result_fields};
use crate::rules::{Answer, Branch, Check, Verdict};

/// One check as it came out at one point.
#[derive(Debug, Clone)]
pub struct Run<'r> {
    /// The check.
    pub check: &'r Check,
    /// The key, for a check made once for each key of a list.
    pub key: Option<String>,
    /// The branch that applies.
    pub branch: &'r Branch,
    /// The calculation's inputs.
    pub inputs: Inputs,
    /// The names for the branch's texts and limits.
    pub scope: Scope,
}

/// Every check at one point.
#[derive(Debug, Default)]
pub(super) struct Judged<'r> {
    /// The checks that could be made.
    pub(super) runs: Vec<Run<'r>>,
    /// What the others still need.
    pub(super) missing: BTreeSet<Need>,
    /// Whether the release is needed; none while that cannot be told.
    pub(super) release: Option<bool>,
    /// The names for the release's texts and limits.
    pub(super) scope: Scope,
}

impl Judged<'_> {
    /// The heaviest verdict of the checks made, or `measure` while something lighter than `stop` is missing.
    pub(super) fn verdict(&self) -> Verdict {
        let made = self.runs.iter().map(|run| run.branch.verdict);
        let missing = (!self.missing.is_empty()).then_some(Verdict::Measure);
        made.chain(missing).max().unwrap_or(Verdict::Leave)
    }
}

impl<'r> Case<'r> {
    /// Judges the case at the values given; fails where a calculation or expression refuses them.
    pub(super) fn judge(&self, values: &Values) -> Result<Judged<'r>, (&'r Check, Refused)> {
        let mut names = self.names(values);
        let mut judged = Judged::default();
        let mut unmade = BTreeSet::new();
        for check in &self.class.checks {
            let refused = |refused| (check, refused);
            let mut needs = super::needs::Needs::default();
            if let Some(applies) = &check.applies {
                self.expression_needs(applies, None, values, &names, &unmade, &mut needs);
                if needs.none() && !applies.holds(&names.judge).map_err(|e| refused(e.into()))? {
                    continue;
                }
            }
            if needs.none() {
                needs = self.needs(check, values, &names, &unmade);
            }
            if !needs.none() {
                judged.missing.extend(needs.missing);
                unmade.insert(check.id.as_str());
                continue;
            }
            let runs = self.runs(check, values, &names).map_err(refused)?;
            if let Some(heaviest) = heaviest(&runs) {
                let (_, found) = heaviest;
                names.fields(&check.id, found);
            }
            judged.runs.extend(runs.into_iter().map(|(run, _)| run));
        }
        self.judge_release(values, &names, &unmade, &mut judged);
        judged.scope = names.feed;
        Ok(judged)
    }

    fn judge_release(
        &self,
        values: &Values,
        names: &Names,
        unmade: &BTreeSet<&str>,
        judged: &mut Judged<'_>,
    ) {
        let Some(release) = &self.class.release else {
            judged.release = Some(false);
            return;
        };
        let Some(when) = &release.when else {
            judged.release = Some(true);
            return;
        };
        let mut needs = super::needs::Needs::default();
        self.expression_needs(when, None, values, names, unmade, &mut needs);
        if needs.none() {
            // A condition that cannot be evaluated releases: what is not certain not to tear is taken apart.
            judged.release = Some(when.holds(&names.judge).unwrap_or(true));
        } else {
            judged.missing.extend(needs.missing);
        }
    }

    /// The check at these names: once, or once for each key of its list.
    fn runs(
        &self,
        check: &'r Check,
        values: &Values,
        names: &Names,
    ) -> Result<Vec<Found<'r>>, Refused> {
        let Some(list) = &check.each else {
            return Ok(vec![self.run(check, None, values, names.clone())?]);
        };
        let keys = match self.class.measurements.get(list).map(|list| &list.kind) {
            Some(Answer::Each { keys, .. }) => keys.as_slice(),
            _ => &[],
        };
        let present = keys.iter().filter(|key| has_key(values, list, key));
        present
            .map(|key| {
                let names = self.names_for_key(names, values, list, key);
                self.run(check, Some(key), values, names)
            })
            .collect()
    }

    fn run(
        &self,
        check: &'r Check,
        key: Option<&String>,
        values: &Values,
        mut names: Names,
    ) -> Result<Found<'r>, Refused> {
        let mut inputs = BTreeMap::new();
        let mut found = Vec::new();
        if let Some(calc) = check.calc {
            for (name, expression) in &check.with {
                let at = check.each.as_deref().zip(key.map(String::as_str));
                if !self.left_out(expression, at, values) {
                    let value = expression.input(&names.feed)?;
                    inputs.insert(name.clone(), Given::exact(value));
                }
            }
            found = result_fields(calc::results(calc, &inputs).map_err(Refused::Calculation)?);
            names.fields(&check.id, &found);
        }
        let branch = self.branch(check, &names)?;
        let run = Run {
            check,
            key: key.cloned(),
            branch,
            inputs,
            scope: names.feed,
        };
        Ok((run, found))
    }

    fn branch(&self, check: &'r Check, names: &Names) -> Result<&'r Branch, Refused> {
        for branch in &check.branches {
            let holds = match &branch.when {
                None => true,
                Some(when) => when.holds(&names.judge)?,
            };
            if holds {
                return Ok(branch);
            }
        }
        Err(Refused::Expression(
            crate::rules::expression::ExpressionError {
                text: check.id.clone(),
                reason: format!("no branch of the check holds for `{}`", self.id),
            },
        ))
    }
}

fn has_key(values: &Values, list: &str, key: &str) -> bool {
    let under =
        |address: &Address| matches!(address, Address::Each(l, k, _) if l == list && k == key);
    values.data.keys().any(under)
}

/// A run with its results as names.
type Found<'r> = (Run<'r>, Vec<(&'static str, Name)>);

/// The run with the heaviest verdict, the first of equals.
fn heaviest<'a, 'r>(runs: &'a [Found<'r>]) -> Option<(&'a Run<'r>, &'a [(&'static str, Name)])> {
    let mut heaviest: Option<&Found<'r>> = None;
    for run in runs {
        if heaviest.is_none_or(|(best, _)| run.0.branch.verdict > best.branch.verdict) {
            heaviest = Some(run);
        }
    }
    heaviest.map(|(run, found)| (run, found.as_slice()))
}
