//! Trying an expression or text with values that its names could have.
//!
//! Takes a piece and the names declared where it stands; gives what it yields over several sets of values, or why it cannot
//! be evaluated. Only the names that the piece uses are set, so a trial costs little.

use std::collections::{BTreeMap, BTreeSet};

use minijinja::Value as Name;

use super::declared::{Declared, Sort};
use super::pieces::Use;
use crate::calc;
use crate::rules::expression::{self, Expr, ExpressionError, Scope};

/// The names that a piece uses; fails when it cannot be compiled.
pub(super) fn names(what: Use<'_>) -> Result<BTreeSet<String>, ExpressionError> {
    match what {
        Use::Condition(expression) | Use::Input(expression) | Use::Number(expression) => {
            Ok(expression.checked_names()?.clone())
        }
        Use::Limit(text) => Ok(Expr::compile(text)?.names().clone()),
        Use::Text(text) if !text.contains('{') => Ok(BTreeSet::new()),
        Use::Text(text) => expression::names_in_text(text),
    }
}

/// Tries a piece whose names are all declared; fails when no reading of the calculations' answers makes it work.
pub(super) fn attempt(
    what: Use<'_>,
    used: &BTreeSet<String>,
    declared: &Declared,
) -> Result<(), ExpressionError> {
    if let Use::Text(text) = what
        && !text.contains('{')
    {
        return Ok(());
    }
    // Whether an answer is a word or a yes/no is the calculation's secret until it is made.
    let as_flags = with_scopes(what, &scopes(used, declared, Answers::Flags));
    let failed = match as_flags {
        Ok(()) => return Ok(()),
        Err(failed) => failed,
    };
    let answers = used
        .iter()
        .any(|name| declared.get(name) == Some(&Sort::Answer));
    if answers && with_scopes(what, &scopes(used, declared, Answers::Words)).is_ok() {
        return Ok(());
    }
    Err(failed)
}

/// What a calculation's input could be.
pub(super) fn inputs(expression: &Expr, declared: &Declared) -> Vec<calc::Value> {
    let mut found = Vec::new();
    for answers in [Answers::Flags, Answers::Words] {
        for scope in scopes(expression.names(), declared, answers) {
            found.extend(expression.input(&scope).ok());
        }
    }
    found
}

fn with_scopes(what: Use<'_>, scopes: &[Scope]) -> Result<(), ExpressionError> {
    match what {
        Use::Condition(expression) => all(scopes, |scope| expression.holds(scope).map(drop)),
        Use::Text(text) => all(scopes, |scope| expression::render(text, scope).map(drop)),
        Use::Input(expression) => any(scopes, |scope| expression.input(scope).map(drop)),
        Use::Number(expression) => any(scopes, |scope| expression.number(scope).map(drop)),
        Use::Limit(text) => {
            let expression = Expr::compile(text)?;
            any(scopes, |scope| expression.limit(scope).map(drop))
        }
    }
}

type Tried = Result<(), ExpressionError>;

fn all(scopes: &[Scope], attempt: impl Fn(&Scope) -> Tried) -> Tried {
    scopes.iter().try_for_each(attempt)
}

/// Arithmetic may fail at one set of values that nobody would measure; it is wrong when it fails at all of them.
fn any(scopes: &[Scope], attempt: impl Fn(&Scope) -> Tried) -> Tried {
    let mut failed = Ok(());
    for scope in scopes {
        failed = attempt(scope);
        if failed.is_ok() {
            return failed;
        }
    }
    failed
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Answers {
    Flags,
    Words,
}

/// Sets of values: every flag yes, every flag no, every second one; every word in turn.
fn scopes(used: &BTreeSet<String>, declared: &Declared, answers: Answers) -> Vec<Scope> {
    let words = used.iter().map(|name| match declared.get(name) {
        Some(Sort::Word(words)) => words.len(),
        _ => 0,
    });
    let sets = words.max().unwrap_or(0).max(3);
    (0..sets)
        .map(|set| scope(used, declared, set, answers))
        .collect()
}

fn scope(used: &BTreeSet<String>, declared: &Declared, set: usize, answers: Answers) -> Scope {
    let mut scope = Scope::default();
    let mut roots: BTreeMap<&str, BTreeMap<&str, Name>> = BTreeMap::new();
    for (place, name) in used.iter().enumerate() {
        let Some(sort) = declared.get(name) else {
            continue;
        };
        let value = value(sort, set, place, answers);
        match name.split_once('.') {
            Some((root, field)) => {
                roots.entry(root).or_default().insert(field, value);
            }
            None => scope.set(name.as_str(), value),
        }
    }
    for (root, fields) in roots {
        scope.set(root, Name::from(fields));
    }
    scope
}

fn value(sort: &Sort, set: usize, place: usize, answers: Answers) -> Name {
    let flag = match set {
        0 => true,
        1 => false,
        _ => place % 2 == set % 2,
    };
    match sort {
        // Numbers that differ by name and set, so that a difference of two of them is rarely nought.
        Sort::Number(number) => {
            let small = u32::try_from(3 * set + place).unwrap_or(0);
            Name::from(number * (1.0 + 0.01 * f64::from(small)))
        }
        Sort::Word(words) => {
            let word = words.get(set % words.len().max(1));
            Name::from(word.map_or("word", String::as_str))
        }
        Sort::Answer if answers == Answers::Words => Name::from("word"),
        Sort::Flag | Sort::Answer => Name::from(flag),
    }
}
