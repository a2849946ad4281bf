//! Units: no length is added to a mass or compared with an angle, and what is printed or asked for is in the unit that stands beside it.
//!
//! Takes a class or a procedure task with its pieces; pushes every piece whose units contradict each other. What a number typed in an
//! expression is in nobody knows, and what comes of a product is left to its author.

use std::collections::BTreeMap;

use super::Notes;
use super::declared::LENGTHS;
use super::rule_texts::{self, RuleText};
use crate::quantity::Unit;
use crate::report::{Code, Path};
use crate::rules::expression::{Arithmetic, Expr, Filter, Node, Slot, filter_name};
use crate::rules::written::Task;
use crate::rules::{Answer, Class, Limit, ProcedureTask, Rules, Size, facts};

/// What the numbers of names are in.
type Units = BTreeMap<Slot, Unit>;

pub(super) fn class(
    (rules, class): (&Rules, &Class),
    pieces: &[RuleText<'_>],
    notes: &mut Notes<'_>,
) {
    let mut units = of_job(rules);
    let mut put = |name: &str, unit: Unit| units.insert(Slot::of(name), unit);
    for (name, setting) in &class.settings {
        put(name, setting.value.unit);
    }
    for name in LENGTHS {
        put(name, Unit::Mm);
    }
    for (name, measurement) in &class.measurements {
        match &measurement.kind {
            Answer::Number { unit, .. } => drop(put(name, *unit)),
            Answer::Each { fields, .. } => {
                for (name, field) in fields {
                    if let Answer::Number { unit, .. } = &field.kind {
                        put(name, *unit);
                    }
                }
            }
            _ => {}
        }
    }
    for check in &class.checks {
        for result in check.calc.map_or(&[][..], |calc| calc.results) {
            if let Some(unit) = result.unit {
                put(&format!("{}.{}", check.id, result.name), unit);
            }
        }
    }
    for piece in pieces {
        lint_piece(piece, &units, notes);
    }
    for (task, path, _) in rule_texts::staged(class) {
        numbers(task, &path, &units, notes);
    }
}

pub(super) fn procedure_task(rules: &Rules, task: &ProcedureTask, notes: &mut Notes<'_>) {
    let units = of_job(rules);
    for piece in &rule_texts::of_procedure_task(task) {
        lint_piece(piece, &units, notes);
    }
    numbers(&task.task, &task.place.path.key("task"), &units, notes);
}

/// Looks at what a local limit compares.
pub(super) fn limit(limit: &Limit, notes: &mut Notes<'_>) {
    let units: Units = of_facts().collect();
    for (key, compared) in [("value", &limit.value), ("most", &limit.most)] {
        let given = compared.node().ok();
        let given = given.and_then(|node| unit(node, &units, &mut |_| {}));
        differ((Some(limit.unit), given), &limit.place.path.key(key), notes);
    }
}

fn of_facts() -> impl Iterator<Item = (Slot, Unit)> {
    let facts = facts::FACTS.iter();
    facts.filter_map(|fact| Some((Slot::of(fact.name), fact.unit?)))
}

/// The facts of a job, and the settings of the whole rule set.
fn of_job(rules: &Rules) -> Units {
    let facts = of_facts();
    let settings = rules.settings.iter();
    let settings = settings.map(|(name, setting)| (Slot::of(name), setting.value.unit));
    facts.chain(settings).collect()
}

fn lint_piece(piece: &RuleText<'_>, units: &Units, notes: &mut Notes<'_>) {
    let mut told = |message: String| clash(&piece.path, &message, notes);
    for (printed, node) in piece.what.nodes() {
        let unit = unit(node, units, &mut told);
        let filtered = matches!(node, Node::Filter(Filter::Unit(..), _));
        if let Some(unit) = unit.filter(|unit| printed && !filtered && is_real(*unit)) {
            told(format!(
                "a number in {} is printed without its unit: write `| {}`",
                unit.code(),
                filter_name(unit)
            ));
        }
    }
}

/// What a task asks to be written down, and the sizes of its parts.
fn numbers(task: &Task, path: &Path, units: &Units, notes: &mut Notes<'_>) {
    let in_unit = |text: &str| {
        let expression = Expr::trusted(text);
        let node = expression.node().ok()?;
        unit(node, units, &mut |_| {})
    };
    for (index, evidence) in task.evidence.iter().enumerate() {
        let at = path.key("evidence").index(index);
        let asked = evidence
            .unit
            .as_ref()
            .and_then(|unit| unit.parse::<Unit>().ok());
        for (key, limit) in [("least", &evidence.least), ("most", &evidence.most)] {
            let given = limit.as_ref().and_then(|limit| in_unit(limit.as_str()));
            differ((asked, given), &at.key(key), notes);
        }
    }
    for (index, part) in task.parts.iter().enumerate() {
        for (name, size) in &part.size {
            if !name.parse().is_ok_and(Size::is_word) {
                let at = path
                    .key("parts")
                    .index(index)
                    .key("size")
                    .key(name.as_str());
                differ((Some(Unit::Mm), in_unit(size.as_str())), &at, notes);
            }
        }
    }
}

fn differ((asked, given): (Option<Unit>, Option<Unit>), at: &Path, notes: &mut Notes<'_>) {
    if let (Some(asked), Some(given)) = (asked, given)
        && asked != given
    {
        let message = format!(
            "it is in {}, and {} is asked for",
            given.code(),
            asked.code()
        );
        clash(at, &message, notes);
    }
}

fn clash(at: &Path, message: &str, notes: &mut Notes<'_>) {
    let help = "name what is in the right unit, or convert it by a number in the expression";
    notes.error(Code::WrongUnit, at, message, help);
}

/// A count and a share are numbers like any other.
fn is_real(unit: Unit) -> bool {
    unit != Unit::One
}

/// What a piece is in, as far as that is known; tells of every piece below it in which two units meet.
fn unit(node: &Node, units: &Units, told: &mut impl FnMut(String)) -> Option<Unit> {
    match node {
        Node::Name(slot) => units.get(slot).copied(),
        Node::Minus(of)
        | Node::Filter(Filter::Abs | Filter::Round | Filter::Min | Filter::Max, of) => {
            unit(of, units, told)
        }
        Node::Filter(Filter::Unit(printed, _), of) => {
            if let Some(of) = unit(of, units, told).filter(|of| is_real(*printed) && of != printed)
            {
                told(format!(
                    "what is in {} is printed in {}",
                    of.code(),
                    printed.code()
                ));
            }
            None
        }
        Node::List(items) => {
            let mut found = None;
            for item in items {
                let own = unit(item, units, told);
                meet([own, found], "stands beside", told);
                found = found.or(own);
            }
            found
        }
        Node::Two(how, of) => {
            let [one, other] = of.each_ref().map(|side| unit(side, units, told));
            match how {
                Arithmetic::Sum | Arithmetic::Difference => {
                    meet([one, other], "is added to or taken from", told);
                    one.or(other)
                }
                // By a plain number it stays what it is; by another it becomes something else.
                _ => None,
            }
        }
        Node::If(of) => {
            let [_, one, other] = of.each_ref().map(|side| unit(side, units, told));
            meet([one, other], "stands for", told);
            one.or(other)
        }
        Node::Compare(first, others) => {
            let mut before = unit(first, units, told);
            for (_, other) in others {
                let own = unit(other, units, told);
                meet([before, own], "is compared with", told);
                before = own;
            }
            None
        }
        Node::Not(of) => within(std::slice::from_ref(of), units, told),
        Node::And(all) | Node::Or(all) => within(all, units, told),
        Node::Term(_) => None,
    }
}

/// Looks into what is yes or no itself.
fn within(all: &[Node], units: &Units, told: &mut impl FnMut(String)) -> Option<Unit> {
    for one in all {
        unit(one, units, told);
    }
    None
}

fn meet([one, other]: [Option<Unit>; 2], how: &str, told: &mut impl FnMut(String)) {
    if let (Some(one), Some(other)) = (one, other)
        && one != other
    {
        told(format!(
            "what is in {} {how} what is in {}",
            other.code(),
            one.code()
        ));
    }
}
