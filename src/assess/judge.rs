//! One unit at one set of exact values: which branch of its check applies, and with what numbers; or whether the release is needed.
//!
//! Takes a [`JudgedSpan`], a [`Unit`] and values; gives a [`Judged`]. Tolerances, spans and missing values are left to the callers, which
//! judge many points.

use std::collections::BTreeSet;

use super::judged_span::JudgedSpan;
use super::problem::Refused;
use super::types::{Address, Need, Values};
use super::units::{Target, Unit, has_key};
use crate::calc::{self, Given, Inputs, Role, Window};
use crate::rules::expression::{Expr, ExpressionError, Scope};
use crate::rules::{Branch, Check, root};

/// A check made at one point.
#[derive(Debug, Clone)]
pub(super) struct CheckMade<'r> {
    pub(super) branch: &'r Branch,
    pub(super) inputs: Inputs,
    pub(super) results: calc::Results,
    /// The names, the results among them.
    pub(super) names: Scope,
}

impl CheckMade<'_> {
    /// The numbers of a check that have a role.
    pub(super) fn of_role(&self, check: Option<&Check>, role: Role) -> impl Iterator<Item = f64> {
        let specs = check.and_then(|check| check.calc);
        let specs = specs.map_or(&[][..], |calc| calc.results).iter();
        specs
            .filter(move |spec| spec.role == role)
            .filter_map(|spec| self.number(spec.name))
    }

    /// The number among its results of that name.
    pub(super) fn number(&self, result: &str) -> Option<f64> {
        let (_, value) = self.results.iter().find(|(name, _)| *name == result)?;
        match value {
            calc::Value::Number(number) => Some(*number),
            _ => None,
        }
    }
}

/// One unit at one point.
#[derive(Debug)]
pub(super) enum Judged<'r> {
    Made(Box<CheckMade<'r>>),
    /// It does not apply here.
    Elsewhere,
    /// It cannot be made yet; nothing is named where only a check above it waits.
    Missing(BTreeSet<Need>),
    /// Whether the release is needed, with the names for its texts.
    Release(bool, Scope),
}

/// A check above the target of a unit at one point.
enum Above {
    Found(calc::Results),
    Elsewhere,
    Missing,
}

/// Why a unit cannot be judged: the check that is refused, none for the release.
pub(super) type Failed<'r> = (Option<&'r Check>, Refused);

impl<'r> JudgedSpan<'r> {
    /// Judges a unit at the values, under their names; fails where a calculation or an expression refuses them.
    pub(super) fn judge(
        &self,
        unit: &Unit<'r>,
        (values, mut names): (&Values, Scope),
        window: Option<Window>,
    ) -> Result<Judged<'r>, Failed<'r>> {
        let mut unmade: BTreeSet<&str> = BTreeSet::new();
        // What is among the names already was worked out by the caller.
        let open = unit.above.iter();
        let open = open.filter(|check| !names.has_under(check.slots().0));
        for check in open.collect::<Vec<_>>() {
            let above = self.above(check, (values, &names), &unmade);
            match above.map_err(|refused| (Some(*check), refused))? {
                Above::Found(found) => names.results(check, &found),
                Above::Elsewhere => {}
                Above::Missing => drop(unmade.insert(&check.id)),
            }
        }
        match unit.target {
            Target::Check(check, key) => {
                let made = self.check((check, key), (values, names), &unmade, window);
                made.map_err(|refused| (Some(check), refused))
            }
            Target::Release(when) => {
                let needs = self.expression_needs(when, (values, &names));
                if !needs.is_empty() || when.names().iter().any(|name| unmade.contains(root(name)))
                {
                    return Ok(Judged::Missing(needs));
                }
                let needed = when.holds(&names).map_err(|e| (None, e.into()))?;
                Ok(Judged::Release(needed, names))
            }
        }
    }

    /// The same unit where only some readings move: what the checks above come to without those is worked out here, into the names.
    pub(super) fn settled(
        &self,
        unit: &Unit<'r>,
        (values, names): (&Values, &mut Scope),
        moving: &[Address],
    ) -> Unit<'r> {
        let mut above = Vec::new();
        let mut unmade: BTreeSet<&str> = BTreeSet::new();
        for check in &unit.above {
            if names.has_under(check.slots().0) {
                continue;
            }
            let reads = &self.class.reads(check, None).values;
            let fixed = !moving.iter().any(|address| reads.contains(address));
            if fixed && let Ok(Above::Found(found)) = self.above(check, (values, names), &unmade) {
                names.results(check, &found);
            } else {
                unmade.insert(&check.id);
                above.push(*check);
            }
        }
        Unit {
            target: unit.target,
            above,
            reads: unit.reads,
        }
    }

    /// A check above the target, whose results alone count.
    fn above(
        &self,
        check: &'r Check,
        (values, names): (&Values, &Scope),
        unmade: &BTreeSet<&str>,
    ) -> Result<Above, Refused> {
        if waits(check, unmade) || !self.applies_needs(check, (values, names)).is_empty() {
            return Ok(Above::Missing);
        }
        if !applies(check, names)? {
            return Ok(Above::Elsewhere);
        }
        if !self.needs((check, None), values, names).is_empty() {
            return Ok(Above::Missing);
        }
        self.result(check, values, names).map(Above::Found)
    }

    fn check(
        &self,
        (check, key): (&'r Check, Option<&'r str>),
        (values, names): (&Values, Scope),
        unmade: &BTreeSet<&str>,
        window: Option<Window>,
    ) -> Result<Judged<'r>, Refused> {
        let mut needs = self.applies_needs(check, (values, &names));
        if needs.is_empty() && !waits_to_apply(check, unmade) {
            if !applies(check, &names)? {
                return Ok(Judged::Elsewhere);
            }
            needs = self.needs((check, key), values, &names);
        }
        if !needs.is_empty() || waits(check, unmade) {
            return Ok(Judged::Missing(needs));
        }
        let given = |list: &String| key.is_some_and(|key| has_key(values, list, key));
        if check.each.as_ref().is_some_and(|list| !given(list)) {
            // Nothing of this key is given, and nothing of it is missed.
            return Ok(Judged::Elsewhere);
        }
        let made = self.made((check, key), values, names, window)?;
        Ok(Judged::Made(Box::new(made)))
    }

    fn applies_needs(&self, check: &Check, at: (&Values, &Scope)) -> BTreeSet<Need> {
        let applies = check.applies.as_ref();
        let needs = applies.map(|when| self.expression_needs(when, at));
        needs.unwrap_or_default()
    }

    /// The results of a check that others read; of one made for a list, those of its heaviest key.
    fn result(
        &self,
        check: &'r Check,
        values: &Values,
        names: &Scope,
    ) -> Result<calc::Results, Refused> {
        let Some(list) = &check.each else {
            let found = self.calculated((check, None), values, names, None)?;
            return Ok(found.map_or_else(Vec::new, |(_, results)| results));
        };
        let mut heaviest: Option<CheckMade<'_>> = None;
        for key in self
            .class
            .keys(list)
            .iter()
            .filter(|key| has_key(values, list, key))
        {
            let made = self.made((check, Some(key)), values, names.clone(), None)?;
            let heavier = |than: &CheckMade<'_>| made.branch.verdict > than.branch.verdict;
            if heaviest.as_ref().is_none_or(heavier) {
                heaviest = Some(made);
            }
        }
        Ok(heaviest.map_or_else(Vec::new, |made| made.results))
    }

    fn made(
        &self,
        (check, key): (&'r Check, Option<&'r str>),
        values: &Values,
        mut names: Scope,
        window: Option<Window>,
    ) -> Result<CheckMade<'r>, Refused> {
        if let (Some(list), Some(key)) = (&check.each, key) {
            names = self.names_for_key(&names, values, list, key);
        }
        let found = self.calculated((check, key), values, &names, window)?;
        let (inputs, results) = found.unwrap_or_default();
        if check.calc.is_some() {
            names.results(check, &results);
        }
        Ok(CheckMade {
            branch: self.branch(check, &names)?,
            inputs,
            results,
            names,
        })
    }

    /// The calculation of a check, with its inputs; none where it has none. `names` are those of the key.
    fn calculated(
        &self,
        (check, key): (&Check, Option<&str>),
        values: &Values,
        names: &Scope,
        window: Option<Window>,
    ) -> Result<Option<Calculated>, Refused> {
        let Some(calc) = check.calc else {
            return Ok(None);
        };
        let mut inputs = Inputs(Vec::with_capacity(check.with.len()));
        let at = check.each.as_deref().zip(key);
        for (name, expression) in &check.with {
            if !self.left_out(expression, at, (values, names)) {
                let value = expression.input(names)?;
                inputs.insert(name.clone(), Given::exact(value));
            }
        }
        let results = calc::results_within(calc, &inputs, window).map_err(Refused::Calculation)?;
        Ok(Some((inputs, results)))
    }

    fn branch(&self, check: &'r Check, names: &Scope) -> Result<&'r Branch, Refused> {
        for branch in &check.branches {
            let holds = match &branch.when {
                None => true,
                Some(when) => when.holds(names)?,
            };
            if holds {
                return Ok(branch);
            }
        }
        Err(Refused::Expression(ExpressionError {
            text: check.id.clone(),
            reason: format!("no branch of the check holds for `{}`", self.id),
        }))
    }
}

type Calculated = (Inputs, calc::Results);

fn applies(check: &Check, names: &Scope) -> Result<bool, Refused> {
    let applies = check.applies.as_ref();
    applies.map_or(Ok(true), |when| when.holds(names).map_err(Into::into))
}

fn waits_to_apply(check: &Check, unmade: &BTreeSet<&str>) -> bool {
    let mut names = check.applies.iter().flat_map(Expr::names);
    !unmade.is_empty() && names.any(|name| unmade.contains(root(name)))
}

/// Whether a check above it that was not made is read by a check.
fn waits(check: &Check, unmade: &BTreeSet<&str>) -> bool {
    let mut names = check.deciding().flat_map(Expr::names);
    !unmade.is_empty() && names.any(|name| unmade.contains(root(name)))
}
