//! Names: every one that an expression or text uses is declared where it stands, and every expression and text yields what
//! its place needs.

use std::collections::BTreeSet;

use super::declared::{self, ClassNames, Declared, Sort};
use super::rule_texts::{self, RuleText, Stand, Use};
use super::{Notes, slips, trial};
use crate::report::{Code, Path, unknown_help};
use crate::rules::expression::{Expr, Reading};
use crate::rules::names::choice_name;
use crate::rules::{Answer, Class, Limit, ProcedureTask, facts};
use crate::sorted::Sorted as _;

/// Names that the program gives a meaning of its own.
const TAKEN: [&str; 13] = [
    "rise", "travel", "working", "at_end", "known", "given", "lift", "block", "vehicle", "link",
    "from", "to", "key",
];

/// Checks every piece of a class.
pub(super) fn class<'a>(names: &ClassNames<'a>, pieces: &[RuleText<'a>], notes: &mut Notes<'_>) {
    let class = names.class;
    twice(class, notes);
    lists(class, notes);
    let mut seen = BTreeSet::new();
    for piece in pieces {
        let reading = match piece.what {
            Use::Condition(_) => Reading::Judge,
            _ => Reading::Feed,
        };
        // A task that several branches share is tried once; where its names are missing it is told of each place.
        let text = match &piece.what {
            Use::Text(text, _) => Some(*text),
            Use::Limit(expression) => Some(expression.text()),
            _ => None,
        };
        let again = text.is_some_and(|text| !seen.insert((piece.stand, text)));
        let declared = names.at(piece.stand, reading);
        let hint = |name: &str| class_hint(class, name, piece.stand, reading);
        lint_piece(piece, &declared, again, hint, notes);
    }
}

/// Checks every piece of a procedure task.
pub(super) fn procedure_task(declared: &Declared, task: &ProcedureTask, notes: &mut Notes<'_>) {
    let asked = task.when.iter().flat_map(Expr::names).collect();
    for piece in &rule_texts::of_procedure_task(task) {
        lint_piece(piece, declared, false, |_| None, notes);
        may_be_absent(piece, &asked, notes);
    }
}

/// Checks the condition by which a consequence is looked at: it is asked before anything is measured, so it names facts alone.
pub(super) fn only_when(class: &Class, notes: &mut Notes<'_>) {
    if let Some(piece) = rule_texts::only_when(class) {
        lint_piece(&piece, &declared::FACTS, false, |_| None, notes);
    }
}

/// Checks what a local limit compares and says: facts alone, and of a fact that a job may leave out only one that it asks for.
pub(super) fn limit(limit: &Limit, notes: &mut Notes<'_>) {
    let mut printed = declared::FACTS.clone();
    printed.extend(["value", "most"].map(|own| (own.to_owned(), Sort::Number(100.0))));
    let expressions = limit.applies.iter().chain([&limit.value, &limit.most]);
    let asked = expressions.flat_map(Expr::names).collect();
    for piece in rule_texts::of_limit(limit) {
        let text = matches!(piece.what, Use::Text(..));
        let declared = if text { &printed } else { &declared::FACTS };
        lint_piece(&piece, declared, false, |_| None, notes);
        may_be_absent(&piece, &asked, notes);
    }
}

/// A fact that a job may leave out can stand in a text only where a condition of the same rule asks for it, or the text itself whether it is given.
fn may_be_absent(piece: &RuleText<'_>, asked: &BTreeSet<&String>, notes: &mut Notes<'_>) {
    if matches!(piece.what, Use::Condition(_)) {
        return;
    }
    let used: BTreeSet<&String> = piece.what.names().into_iter().flatten().collect();
    for name in &used {
        let Some(fact) = facts::find(name) else {
            continue;
        };
        if !asked.contains(name) && !used.contains(&fact.given()) {
            let message = format!("`{name}` is printed here, and a job may leave it out");
            let help =
                "let a condition of this rule ask for it, or the text itself whether it is given";
            notes.error(Code::BadExpression, &piece.path, message, help);
        }
    }
}

/// Checks one piece; `tried` where its text was tried before, `hint` knows better than the nearest name what was meant.
fn lint_piece(
    piece: &RuleText<'_>,
    declared: &Declared,
    tried: bool,
    hint: impl Fn(&str) -> Option<String>,
    notes: &mut Notes<'_>,
) {
    let used = match piece.what.names() {
        Ok(used) => used,
        Err(error) => return bad(&piece.path, error.to_string(), notes),
    };
    let mut all = true;
    for name in used {
        if !declared.contains_key(name) {
            all = false;
            let help = hint(name).unwrap_or_else(|| help(name, declared));
            let message = format!("`{name}` is not a name that this rule has");
            notes.error(Code::UnknownName, &piece.path, message, help);
        }
    }
    if all && !tried {
        slips::piece(piece, declared, notes);
        if let Err(error) = trial::attempt(&piece.what, used, declared) {
            bad(&piece.path, error.to_string(), notes);
        }
    }
}

fn bad(path: &Path, message: String, notes: &mut Notes<'_>) {
    let help = "a condition gives yes or no, a limit a number; a text takes names and the filters of units, such as `| mm`";
    notes.error(Code::BadExpression, path, message, help);
}

/// The nearest name; of a name with fields, its fields.
fn help(name: &str, declared: &Declared) -> String {
    let root = name.split('.').next().unwrap_or(name);
    let under = format!("{root}.");
    let of_root: Vec<&str> = declared
        .keys()
        .map(String::as_str)
        .filter(|known| known.starts_with(&under))
        .collect();
    if declared.contains_key(root) {
        format!("`{root}` has no fields; use it alone")
    } else if of_root.is_empty() {
        unknown_help(name, declared.keys().map(String::as_str))
    } else {
        unknown_help(name, of_root.into_iter())
    }
}

/// What the author of a class may have had in mind with a name that is there, but not here or not so.
fn class_hint(class: &Class, name: &str, stand: Stand<'_>, reading: Reading) -> Option<String> {
    let root = name.split('.').next().unwrap_or(name);
    if let Some(number) = class.checks.iter().position(|check| check.id == root) {
        if number >= stand.results {
            return Some(format!(
                "the results of check `{root}` can be read below its calculation only"
            ));
        }
        return class
            .checks
            .get(number)
            .filter(|check| check.calc.is_none())
            .map(|_| format!("check `{root}` has no calculation, and so no results"));
    }
    match (&class.measurements.get(root)?.kind, reading) {
        (Answer::Choice(choices), Reading::Judge) if name == root => {
            let first = choices
                .first()
                .map_or_else(String::new, |choice| choice_name(choice));
            Some(format!(
                "in a condition ask for one of its choices, such as `{root}.{first}`"
            ))
        }
        (Answer::Choice(_), Reading::Feed) if name != root => {
            let choice = name.split_once('.').map_or(name, |(_, choice)| choice);
            Some(format!(
                "here `{root}` is the word itself: compare it, as in `{root} == '{choice}'`"
            ))
        }
        (Answer::Designation, Reading::Judge) => Some(format!(
            "`{root}` is a designation; give it to a calculation, and judge the results"
        )),
        (Answer::Each { .. }, _) => Some(format!(
            "`{root}` is a list; make the check `for: {root}`, and use the names of its fields"
        )),
        _ => None,
    }
}

/// One name must stand for one thing; the fields of two lists are never read together.
fn twice(class: &Class, notes: &mut Notes<'_>) {
    let root = Path::root();
    let (settings, measurements) = (root.key("settings"), root.key("measurements"));
    let mut seen: BTreeSet<&str> = TAKEN.into_iter().sorted_set();
    let mut own: Vec<(&str, Path)> = Vec::new();
    own.extend(
        class
            .settings
            .keys()
            .map(|name| (name.as_str(), settings.key_of(name.as_str()))),
    );
    let keys = class.measurements.keys();
    own.extend(keys.map(|name| (name.as_str(), measurements.key_of(name.as_str()))));
    let checks = class.checks.iter();
    own.extend(checks.map(|check| (check.id.as_str(), check.path.key("id"))));
    let mut again: Vec<(&str, Path)> = own
        .into_iter()
        .filter(|(name, _)| !seen.insert(name))
        .collect();
    for (list, measurement) in &class.measurements {
        if let Answer::Each { fields, .. } = &measurement.kind {
            let at = measurements.key(list.as_str()).key("fields");
            let fields = fields.keys().filter(|name| seen.contains(name.as_str()));
            again.extend(fields.map(|name| (name.as_str(), at.key_of(name.as_str()))));
        }
    }
    for (name, path) in again {
        let message = format!("`{name}` already stands for something else");
        let help = "give it another name; expressions could not tell the two apart";
        notes.error(Code::BadRule, &path, message, help);
    }
}

/// What a check is made for must be a list.
fn lists(class: &Class, notes: &mut Notes<'_>) {
    let lists: Vec<&str> = class
        .measurements
        .iter()
        .filter(|(_, measurement)| matches!(measurement.kind, Answer::Each { .. }))
        .map(|(name, _)| name.as_str())
        .collect();
    for check in &class.checks {
        if let Some(each) = check.each.as_deref().filter(|each| !lists.contains(each)) {
            let message = format!("`{each}` is not a list of this class");
            let help = unknown_help(each, lists.iter().copied());
            notes.error(Code::UnknownName, &check.path.key("for"), message, help);
        }
    }
}
