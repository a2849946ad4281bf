//! Verdict lists: the last branch has no condition and no other does without one; work has its task and its check; nothing is done
//! about what is left alone or stops the lift.

use std::collections::{BTreeMap, BTreeSet};

use super::Notes;
use super::tasks::word;
use crate::report::{Code, Path};
use crate::rules::written::Task;
use crate::rules::{Branch, Check, Class, Stage, TRADES, Verdict};
use crate::sorted::Sorted as _;

/// Names that the program gives to a link's tasks.
const TASKS: [&str; 5] = ["measure", "release", "correct", "check", "refit"];

/// Checks the branches of a class.
pub(super) fn class(class: &Class, notes: &mut Notes<'_>) {
    for check in &class.checks {
        conditions(check, notes);
        for branch in &check.branches {
            lint_branch(branch, notes);
        }
    }
    extras(class, notes);
    if let Some(release) = &class.release {
        let at = || Path::root().key("release").key("trade");
        word(release.trade.as_deref(), &TRADES, at, notes);
    }
}

fn conditions(check: &Check, notes: &mut Notes<'_>) {
    let Some((last, others)) = check.branches.split_last() else {
        let message = format!("check `{}` has no verdict", check.id);
        let help = "add at least one branch; the last has no `when`";
        notes.error(
            Code::BadVerdicts,
            &check.path.key("verdicts"),
            message,
            help,
        );
        return;
    };
    if last.when.is_some() {
        let message = format!(
            "the last branch of check `{}` has a condition, so there may be no verdict at all",
            check.id
        );
        let help = "leave its `when` out, or add a branch without one";
        notes.error(Code::BadVerdicts, &last.path.key("when"), message, help);
    }
    for branch in others.iter().filter(|branch| branch.when.is_none()) {
        let message = format!(
            "this branch of check `{}` always holds, so those below it never do",
            check.id
        );
        let help = "give it a `when`, or put it last";
        notes.error(Code::BadVerdicts, &branch.path, message, help);
    }
}

fn lint_branch(branch: &Branch, notes: &mut Notes<'_>) {
    let at = &branch.path;
    let trade = branch.trade.as_deref();
    word(trade, &TRADES, || at.key("trade"), notes);
    if branch.because.trim().is_empty() {
        let message = "a verdict without a reason convinces nobody";
        let help = "say why, with the numbers that decide";
        notes.error(Code::BadVerdicts, &at.key("because"), message, help);
    }
    if matches!(branch.verdict, Verdict::Leave | Verdict::Stop) {
        idle(branch, notes);
    } else {
        working(branch, notes);
    }
    evidence(branch, notes);
}

/// Nothing is done about what is left alone, nor about what stops the lift; what is left alone may be checked.
fn idle(branch: &Branch, notes: &mut Notes<'_>) {
    let given = [
        ("task", branch.task.is_some()),
        ("also", !branch.also.is_empty()),
        ("leaves", !branch.leaves.is_empty()),
        // What is left as it is may still have been taken apart on the way, and is then checked.
        (
            "check",
            branch.check.is_some() && branch.verdict == Verdict::Stop,
        ),
    ];
    for (key, _) in given.iter().filter(|(_, given)| *given) {
        let message = format!(
            "`{}` has no work, and this one has `{key}`",
            branch.verdict.word()
        );
        let help = "leave it out, or give another verdict";
        notes.error(Code::BadVerdicts, &branch.path.key_of(*key), message, help);
    }
}

/// Work is done by tasks of its own or of the procedure. What the procedure does, and what is first done after the checks, is
/// checked there.
fn working(branch: &Branch, notes: &mut Notes<'_>) {
    let word = branch.verdict.word();
    let mut later = branch
        .also
        .iter()
        .filter(|(_, stage, _)| *stage >= Stage::Check);
    let elsewhere = !branch.leaves.is_empty() || later.any(|(.., task)| !task.evidence.is_empty());
    if branch.task.is_none() && elsewhere {
        return;
    }
    if branch.task.is_none() {
        let message = format!("`{word}` is work, and there is no `task`");
        let at = branch.path.key("verdict");
        let help = "say what is done";
        notes.error(Code::BadVerdicts, &at, message, help);
    }
    if branch.check.is_none() {
        let message = format!("`{word}` is work, and there is no `check`");
        let help = "say how it is checked, with what is written down";
        let at = branch.path.key("verdict");
        notes.error(Code::BadVerdicts, &at, message, help);
    }
}

/// A check without evidence leaves nothing to sign for.
fn evidence(branch: &Branch, notes: &mut Notes<'_>) {
    if branch
        .check
        .as_ref()
        .is_some_and(|check| check.evidence.is_empty())
    {
        let message = "nothing is written down when this is checked";
        let help = "add `evidence`: a number with its limits, a yes, or a text";
        notes.error(Code::BadVerdicts, &branch.path.key("check"), message, help);
    }
}

/// Work of one link is told apart by its name: a name is used for one piece of work, and not for the work that every link may
/// have. Two checks may name the same work alike; what is referred stands alone, so its work may be named like any other.
fn extras(class: &Class, notes: &mut Notes<'_>) {
    let mut seen: BTreeMap<(&str, bool), (usize, &Task)> = BTreeMap::new();
    for (number, check) in class.checks.iter().enumerate() {
        for branch in &check.branches {
            let mut own_ids: BTreeSet<&str> = TASKS.into_iter().sorted_set();
            for (index, (id, _, task)) in branch.also.iter().enumerate() {
                let refer = branch.verdict == Verdict::Refer;
                let (of, other) = *seen.entry((id, refer)).or_insert((number, task));
                let same = other.title == task.title && other.steps == task.steps;
                if !own_ids.insert(id) || of != number && !same {
                    let at = branch.path.key("also").index(index).key("id");
                    let message = format!("`{id}` already names other work of this link");
                    let help = "give it another id";
                    notes.error(Code::DuplicateTask, &at, message, help);
                }
            }
        }
    }
}
