//! What is well formed and means something else than its author thought: a word that is no choice, a single brace that is printed as
//! it stands, limits the wrong way round, a moment that nothing heeds, a reading that no check reads, what comes apart and is never
//! looked at.
//!
//! Takes a class or a procedure task with its pieces; pushes what is found. That names are there and pieces can be evaluated is looked
//! at in `names`.

use std::collections::{BTreeMap, BTreeSet};

use super::declared::{Declared, Sort};
use super::rule_texts::{self, RuleText, Use};
use super::{Notes, trial};
use crate::report::{Code, Path, Problem, unknown_help};
use crate::rules::expression::{Expr, Node, Slot, Term};
use crate::rules::written::Task;
use crate::rules::{Answer, Class, ProcedureTask, Stage, Verdict};

pub(super) fn class(class: &Class, declared: &Declared, notes: &mut Notes<'_>) {
    for (task, path, stage) in rule_texts::staged(class) {
        moments(task, &path, stage, notes);
        limits(task, &path, declared, notes);
    }
    if class.checks.is_empty() {
        let help = "add a check; where nothing decides, one with a single branch";
        let at = Path::root().key("checks");
        let message = "nothing judges a link of this class";
        notes.error(Code::BadVerdicts, &at, message, help);
    }
    for branch in class.checks.iter().flat_map(|check| &check.branches) {
        let own = branch.task.as_ref().and_then(|task| task.trade.as_ref());
        if branch.verdict == Verdict::Refer && branch.trade.is_none() && own.is_none() {
            let message = "what is referred is somebody's to decide, and nobody is named";
            let help = "name the `trade`, such as `engineer`; what the workshop does itself is another verdict";
            notes.error(
                Code::BadVerdicts,
                &branch.path.key("verdict"),
                message,
                help,
            );
        }
    }
    never_looked_at(class, notes);
}

pub(super) fn procedure_task(rule: &ProcedureTask, declared: &Declared, notes: &mut Notes<'_>) {
    let path = rule.place.path.key("task");
    moments(&rule.task, &path, rule.stage, notes);
    limits(&rule.task, &path, declared, notes);
}

/// Only the check has moments.
fn moments(task: &Task, path: &Path, stage: Stage, notes: &mut Notes<'_>) {
    let own = task.moment.iter().map(|_| path.key("moment"));
    let evidence = task.evidence.iter().enumerate();
    let evidence = evidence.filter(|(_, one)| one.moment.is_some());
    let asked = evidence.map(|(index, _)| path.key("evidence").index(index).key("moment"));
    for at in own.chain(asked).filter(|_| stage != Stage::Check) {
        let message = format!("a task of `{}` has no moment", stage.word());
        let help = "leave it out; only what is looked at in the check has one";
        notes.error(Code::BadTask, &at, message, help);
    }
}

/// What comes apart and is put together is looked at, also where it is left as it is.
fn never_looked_at(class: &Class, notes: &mut Notes<'_>) {
    let release = class.release.as_ref();
    let refitted = release.is_some_and(|release| release.refit.is_some());
    let branches = class.checks.iter().flat_map(|check| &check.branches);
    let left: Vec<_> = branches
        .filter(|one| one.verdict == Verdict::Leave)
        .collect();
    let looked = class.always_checked || left.iter().any(|one| one.check.is_some());
    if let (Some(left), true) = (left.first(), refitted && !looked) {
        let message = "it may be taken apart and put together here, and nobody looks at it then";
        let help = "give this branch or the class a `check`; on a `leave` it is made only when it came apart";
        notes.error(Code::BadVerdicts, &left.path.key("verdict"), message, help);
    }
}

/// A reading that only texts read is asked for on no survey.
pub(super) fn never_asked(class: &Class, pieces: &[RuleText<'_>], notes: &mut Notes<'_>) {
    let mut decides: BTreeSet<&str> = BTreeSet::new();
    let mut printed: BTreeSet<&str> = BTreeSet::new();
    for piece in pieces {
        let to = match piece.what {
            Use::Condition(_) | Use::Input(_) => &mut decides,
            _ => &mut printed,
        };
        let names = piece.what.names().into_iter().flatten();
        let names = names.map(|name| name.strip_prefix("known.").unwrap_or(name));
        to.extend(names.filter_map(|name| name.split('.').next()));
    }
    for (name, measurement) in &class.measurements {
        let list = matches!(measurement.kind, Answer::Each { .. });
        let heeded = decides.contains(name.as_str()) || measurement.role.is_some();
        let left = measurement.optional || measurement.default.is_some() || list || heeded;
        if !left && printed.contains(name.as_str()) {
            let message = format!("`{name}` is asked for on no survey, since no check reads it");
            let help =
                "let a check read it, or say `optional: true`, and let the texts do without it";
            let at = Path::root().key("measurements").key_of(name.as_str());
            notes.push(Problem::warning(Code::UnusedName, message), &at, help);
        }
    }
}

/// Looks at one piece whose names are declared.
pub(super) fn piece(piece: &RuleText<'_>, declared: &Declared, notes: &mut Notes<'_>) {
    if let Use::Text(_, Ok(template)) = &piece.what
        && template.words().any(|words| words.contains(['{', '}']))
    {
        let message = "a single brace is printed as it stands";
        let help = "write `{{ expression | mm }}` or `{% if condition %}`, or leave the brace out";
        notes.error(Code::BadExpression, &piece.path, message, help);
    }
    let names = piece.what.names().into_iter().flatten();
    let sorts: BTreeMap<Slot, (&String, &Sort)> = names
        .filter_map(|name| Some((Slot::of(name), (name, declared.get(name)?))))
        .collect();
    for (_, node) in piece.what.nodes() {
        node.each(&mut |node| {
            if let Some((name, word, known)) = no_choice(node, &sorts) {
                let message = format!("`{word}` is no choice of `{name}`");
                let help = unknown_help(word, known.iter().map(String::as_str));
                notes.error(Code::UnknownChoice, &piece.path, message, help);
            }
        });
    }
}

/// A choice that is compared with a word that it never is.
fn no_choice<'n>(
    node: &'n Node,
    sorts: &BTreeMap<Slot, (&'n String, &'n Sort)>,
) -> Option<(&'n str, &'n str, &'n [String])> {
    let Node::Compare(first, others) = node else {
        return None;
    };
    let sides = [&**first]
        .into_iter()
        .chain(others.iter().map(|(_, node)| node));
    let sides: Vec<&Node> = sides
        .flat_map(|side| match side {
            Node::List(items) => items.as_slice(),
            other => std::slice::from_ref(other),
        })
        .collect();
    let (name, known) = sides.iter().find_map(|side| match side {
        Node::Name(slot) => match sorts.get(slot)? {
            (name, Sort::Word(words)) if words.len() > 1 => Some((name, words)),
            _ => None,
        },
        _ => None,
    })?;
    sides.iter().find_map(|side| match side {
        Node::Term(Term::Word(word)) if !known.iter().any(|one| **one == **word) => {
            Some((name.as_str(), &**word, known.as_slice()))
        }
        _ => None,
    })
}

/// The limits of what a task writes down, as far as both hang on the same names.
fn limits(task: &Task, path: &Path, declared: &Declared, notes: &mut Notes<'_>) {
    for (index, evidence) in task.evidence.iter().enumerate() {
        let (Some(least), Some(most)) = (&evidence.least, &evidence.most) else {
            continue;
        };
        let [least, most] = [least, most].map(|one| Expr::trusted(one.as_str()));
        if least.names() == most.names() && trial::always_above(&least, &most, declared) {
            let message = format!("the least of `{}` is above its most", evidence.name);
            let at = path.key("evidence").index(index).key("least");
            notes.error(Code::BadTask, &at, message, "let them change places");
        }
    }
}
