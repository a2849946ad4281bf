//! Trying an expression or text with values that its names could have.
//!
//! Takes a piece and the names declared where it stands; gives what it yields over several sets of values, or why it cannot
//! be evaluated. Only the names that the piece uses are set, so a trial costs little.

use std::collections::BTreeSet;

use super::declared::{Declared, Sort};
use super::rule_texts::Use;
use crate::calc;
use crate::rules::expression::{Expr, ExpressionError, Scope, Slot, Term};

/// Tries a piece whose names are all declared; fails when no reading of the calculations' answers makes it work.
pub(super) fn attempt(
    what: &Use<'_>,
    used: &BTreeSet<String>,
    declared: &Declared,
) -> Result<(), ExpressionError> {
    let used = sorts(used, declared);
    // Whether an answer is a word or a yes/no is the calculation's secret until it is made.
    let as_words = |words| with_scopes(what, &scopes(&used, words));
    as_words(false).or_else(|failed| {
        let answers = used.iter().any(|(_, sort)| **sort == Sort::Answer);
        if answers && as_words(true).is_ok() {
            return Ok(());
        }
        Err(failed)
    })
}

/// What a calculation's input could be.
pub(super) fn inputs(expression: &Expr, declared: &Declared) -> Vec<calc::Value> {
    let used = sorts(expression.names(), declared);
    let scopes = [false, true].map(|words| scopes(&used, words));
    let scopes = scopes.iter().flatten();
    scopes
        .filter_map(|scope| expression.input(scope).ok())
        .collect()
}

/// Whether one number is above another of the same names whatever these are.
pub(super) fn always_above(one: &Expr, other: &Expr, declared: &Declared) -> bool {
    let used = sorts(one.names(), declared);
    let known = used.len() == one.names().len();
    let above = |scope: &Scope| {
        let ends = [one, other].map(|expression| expression.number(scope).ok());
        matches!(ends, [Some(low), Some(high)] if low > high)
    };
    known && scopes(&used, false).iter().all(above)
}

/// What each name that is used stands for.
fn sorts<'d>(used: &BTreeSet<String>, declared: &'d Declared) -> Vec<(Slot, &'d Sort)> {
    let used = used.iter();
    used.filter_map(|name| Some((Slot::of(name), declared.get(name)?)))
        .collect()
}

fn with_scopes(what: &Use<'_>, scopes: &[Scope]) -> Result<(), ExpressionError> {
    match what {
        Use::Condition(expression) => scopes
            .iter()
            .try_for_each(|scope| expression.holds(scope).map(drop)),
        Use::Text(_, Ok(template)) => scopes
            .iter()
            .try_for_each(|scope| template.render(scope).map(drop)),
        Use::Text(_, Err(error)) => Err(error.clone()),
        Use::Input(expression) => any(scopes, |scope| expression.input(scope).map(drop)),
        Use::Number(expression) => any(scopes, |scope| expression.number(scope).map(drop)),
        Use::Limit(expression) => any(scopes, |scope| expression.limit(scope).map(drop)),
    }
}

/// Arithmetic may fail at one set of values that nobody would measure; it is wrong when it fails at all of them.
fn any(
    scopes: &[Scope],
    attempt: impl Fn(&Scope) -> Result<(), ExpressionError>,
) -> Result<(), ExpressionError> {
    let mut failed = Ok(());
    for scope in scopes {
        failed = attempt(scope);
        if failed.is_ok() {
            return failed;
        }
    }
    failed
}

/// Sets of values: every flag yes, every flag no, every second one; every word in turn. `words` where a calculation's answers are taken
/// for words, else they are flags.
fn scopes(used: &[(Slot, &Sort)], words: bool) -> Vec<Scope> {
    let counts = used.iter().map(|(_, sort)| match sort {
        Sort::Word(words) => words.len(),
        _ => 0,
    });
    // Without names each set is the same.
    let sets = counts.max().map_or(1, |most| most.max(3));
    (0..sets).map(|set| scope(used, set, words)).collect()
}

fn scope(used: &[(Slot, &Sort)], set: usize, words: bool) -> Scope {
    let mut scope = Scope::default();
    for (place, (slot, sort)) in used.iter().enumerate() {
        scope.put(*slot, value(sort, set, place, words));
    }
    scope
}

fn value(sort: &Sort, set: usize, place: usize, words: bool) -> Term {
    let flag = match set {
        0 => true,
        1 => false,
        _ => place % 2 == set % 2,
    };
    match sort {
        // Numbers that differ by name and set, so that a difference of two of them is rarely nought.
        Sort::Number(number) => {
            let small = u32::try_from(3 * set + place).unwrap_or(0);
            Term::from(number * (1.0 + 0.01 * f64::from(small)))
        }
        Sort::Word(words) => {
            let word = words.get(set % words.len().max(1));
            Term::from(word.map_or("word", String::as_str))
        }
        Sort::Answer if words => Term::from("word"),
        Sort::Flag | Sort::Answer => Term::from(flag),
    }
}
