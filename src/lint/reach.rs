//! Reach: every branch can hold, the check can be made at every height, and what is printed is there to be printed.
//!
//! Tries each check at many points, as [`super::sample`] chooses them. A branch never seen to hold is a warning, because points
//! prove nothing; a height at which no point works is an error, because then no vehicle can be judged there.

use std::collections::BTreeSet;

use super::point::Space;
use super::rule_texts::RuleText;
use super::sample::{self, Tried};
use super::subject::{self, Subject};
use super::{Notes, silent, taller};
use crate::calc::Need;
use crate::report::{Code, Problem};
use crate::rules::expression::{Expr, Scope};
use crate::rules::{Check, Class};

/// Tries every check of a class, and its release.
pub(super) fn class<'a>(
    (settings, class): (&Scope, &'a Class),
    pieces: &'a [RuleText<'a>],
    notes: &mut Notes<'_>,
) {
    let subjects = subject::all(class, pieces);
    let demanded = demanded(&subjects);
    let checks: Vec<&Subject<'_>> = subjects.iter().filter(|one| one.check.is_some()).collect();
    let space = Space::new(
        (settings, class),
        &checks,
        &subject::used(&checks),
        &demanded,
    );
    let before = notes.report.problems.len();
    silent::class((settings, class), &checks, &demanded, notes);
    if notes.report.problems.len() > before {
        return;
    }
    let each = subjects.iter().enumerate().map(|(number, target)| {
        let chain = chain(&subjects, number, target);
        let space = Space::new((settings, class), &chain, &subject::used(&chain), &demanded);
        let tried = sample::tried(&chain, &space);
        (space, tried)
    });
    let each: Vec<(Space<'_>, Tried)> = each.collect();
    taller::class(&space, &checks, &each, notes);
    for (target, (_, tried)) in subjects.iter().zip(&each) {
        failures(target, tried, notes);
        if let Some(check) = target.check {
            left_out(check, tried, notes);
            heights(check, tried, notes);
            unreached(check, tried, notes);
        }
    }
}

/// The names that expressions demand, dotted and by their roots. To ask whether something is known demands nothing.
fn demanded(subjects: &[Subject<'_>]) -> BTreeSet<String> {
    let mut demanded = BTreeSet::new();
    for name in subjects
        .iter()
        .flat_map(Subject::expressions)
        .flat_map(Expr::names)
    {
        if !name.starts_with("known.") {
            demanded.extend(name.split('.').next().map(ToOwned::to_owned));
            demanded.insert(name.clone());
        }
    }
    demanded
}

/// The checks that one builds on, directly or not, in order, and itself last.
fn chain<'s, 'a>(
    subjects: &'s [Subject<'a>],
    number: usize,
    target: &'s Subject<'a>,
) -> Vec<&'s Subject<'a>> {
    let mut chain = vec![target];
    let mut roots = target.roots();
    for above in subjects.iter().take(number).rev() {
        if roots.contains(above.id) {
            roots.extend(above.roots());
            chain.push(above);
        }
    }
    chain.reverse();
    chain
}

fn failures(target: &Subject<'_>, tried: &Tried, notes: &mut Notes<'_>) {
    for (path, message) in &tried.failed {
        let message = format!("at some values of `{}` {message}", target.id);
        let help = "what may not be given (an optional measurement, or one that no check reads) and a result that may not exist stand only behind a test that they are there: `known.…` or `applies`";
        notes.error(Code::BadExpression, path, message, help);
    }
}

/// An input that the calculation must have may not hang on something that may not be given.
fn left_out(check: &Check, tried: &Tried, notes: &mut Notes<'_>) {
    let inputs = check.calc.map_or(&[][..], |calc| calc.inputs);
    for spec in inputs.iter().filter(|spec| spec.need == Need::Required) {
        if let Some(absent) = tried.left_out.get(spec.name) {
            let message = format!(
                "`{}` must be given, and is not when {absent} is not given",
                spec.name
            );
            let help =
                "make the check only where it is known (`applies: known.…`), or ask for it always";
            let at = check.path.key("with").key(spec.name);
            notes.error(Code::MissingInput, &at, message, help);
        }
    }
}

fn heights(check: &Check, tried: &Tried, notes: &mut Notes<'_>) {
    let Some((first, refusal)) = tried.not_covered.first() else {
        return;
    };
    let last = tried.not_covered.last().map_or(*first, |(last, _)| *last);
    let count = tried.not_covered.len();
    let heights = if count == 1 {
        format!("at a rise of {first} mm")
    } else {
        format!("at {count} of the heights tried, from {first} to {last} mm of rise,")
    };
    let message = format!(
        "check `{}` cannot be made {heights} whatever is measured: {refusal}",
        check.id
    );
    let help = "let it apply only where it can be made, and let another check say what holds there";
    notes.error(Code::HeightNotCovered, &check.path, message, help);
}

fn unreached(check: &Check, tried: &Tried, notes: &mut Notes<'_>) {
    for (branch, reached) in check.branches.iter().zip(&tried.reached) {
        if reached.is_none() {
            let condition = match &branch.when {
                Some(when) => format!("`{}`", when.text()),
                None => "the last branch".to_owned(),
            };
            let message = format!(
                "nothing that was tried leads to {condition} of check `{}`",
                check.id
            );
            let help = "look at the branches above it and at the ranges of the measurements; take it out if it can never hold";
            let problem = Problem::warning(Code::VerdictUnreachable, message);
            notes.push(problem, &branch.path, help);
        }
    }
}
