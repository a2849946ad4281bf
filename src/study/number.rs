//! How much is left, how much longer must it be? A result of the calculation that decides a link, worked out from its inputs.

use std::collections::BTreeSet;

use super::askable::{Material, deciding};
use super::question::{About, Question};
use super::words::{quantity, typed};
use crate::assess::{Assessed, Calculated, Run};
use crate::calc::{self, Calculation, Outcome, Value, WorkingStep};
use crate::lots::Lots;
use crate::quantity::Unit;
use crate::rules::expression::Node;
use crate::rules::facts;
use crate::text::{Text, capital};

/// Results that say where a verdict turns rather than what is there.
const LIMITS: [&str; 2] = ["rise_limit", "rise_limit_moved"];

/// One result of each link.
pub(super) fn make(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let links = draw.shuffled(material.links());
    let question = |link: &Assessed<'_>| {
        let run = deciding(link)?;
        let calc = run.check.calc?;
        let mut worked = link.worked();
        let worked = worked.find(|w| w.check == run.check.id && w.key == run.key)?;
        let steps = worked
            .evaluation
            .working()
            .iter()
            .filter(|step| can_be_asked(step, worked));
        let outcomes = steps.filter_map(|step| Some((step, outcome(link, run, step.name)?)));
        let drawn = draw.shuffled(outcomes);
        let (step, (name, outcome)) = drawn.into_iter().next()?;
        ask(link, run, (calc, worked), (step, &name, outcome))
    };
    links.into_iter().filter_map(question).collect()
}

/// Whether a pocket calculator is enough: no step on the way to it is looked up in a table or done in words.
fn can_be_asked(step: &WorkingStep, worked: &Calculated) -> bool {
    !LIMITS.contains(&step.name)
        && way_to(step, worked)
            .iter()
            .all(|step| step.formula != step.with_numbers)
}

/// The steps that lead to one, in order, itself the last.
fn way_to<'s>(step: &WorkingStep, worked: &'s Calculated) -> Vec<&'s WorkingStep> {
    way(worked.evaluation.working(), BTreeSet::from([step.name]))
}

/// The steps that lead to what these symbols stand for, in order.
pub(crate) fn way<'s>(
    steps: &'s [WorkingStep],
    mut needed: BTreeSet<&'s str>,
) -> Vec<&'s WorkingStep> {
    let mut way = Vec::new();
    for step in steps.iter().rev() {
        if needed.contains(step.name) {
            needed.extend(symbols(step.formula));
            way.push(step);
        }
    }
    way.reverse();
    way
}

/// Every word of a formula or a condition, its symbols among them.
pub(crate) fn symbols(formula: &str) -> impl Iterator<Item = &str> {
    formula.split(|c: char| !(c.is_alphanumeric() || c == '_'))
}

/// A length, angle or torque that is the same at every corner of the tolerances, and not nothing.
fn outcome<'l>(link: &'l Assessed<'_>, run: &Run<'_>, step: &str) -> Option<(String, &'l Outcome)> {
    let name = format!("{}.{step}", run.check.id);
    let outcome = link.results.get(&name)?;
    let asked = matches!(
        outcome.unit?,
        Unit::Mm | Unit::Degree | Unit::NewtonMetre | Unit::Percent
    );
    let plain = matches!(outcome.value, Value::Number(value) if value.abs() > 0.5);
    (asked && plain && outcome.bounds.is_none()).then_some((name, outcome))
}

fn ask(
    link: &Assessed<'_>,
    run: &Run<'_>,
    (calc, worked): (&Calculation, &Calculated),
    (step, name, outcome): (&WorkingStep, &str, &Outcome),
) -> Option<Question> {
    let meaning = calc
        .results
        .iter()
        .find(|spec| spec.name == step.name)?
        .meaning;
    let (Value::Number(value), Some(unit)) = (&outcome.value, outcome.unit) else {
        return None;
    };
    if !is_called_rightly(run) {
        return None;
    }
    let way: Vec<String> = way_to(step, worked).into_iter().map(line).collect();
    Some(Question {
        text: Text::rendered(format!(
            "{}. Given: {}. Work out: {meaning}.",
            capital(&typed(&link.title)),
            given(run, calc),
        )),
        options: Vec::new(),
        answer: Some(Text::rendered(quantity(*value, unit))),
        because: Text::rendered(way.join("; ")),
        about: About {
            ids: vec![link.id.clone()],
            name: Some(name.to_owned()),
            height: None,
        },
    })
}

/// Whether all that went into the calculation is read or told as it is, so that its own words say what it is: nothing that a rule works out, and
/// no rise that is one of the way up or of the tyres.
fn is_called_rightly(run: &Run<'_>) -> bool {
    run.check.with.iter().all(|(_, given)| match given.node() {
        Ok(Node::Term(_)) => true,
        Ok(Node::Name(_)) => !given.text().contains('.') || facts::find(given.text()).is_some(),
        _ => false,
    })
}

fn line(step: &WorkingStep) -> String {
    format!(
        "{} = {} = {} = {}",
        step.name, step.formula, step.with_numbers, step.gives
    )
}

/// The inputs with what each is: `hose pushed over the spigot 38 mm`.
fn given(run: &Run<'_>, calc: &Calculation) -> String {
    let given = calc.inputs.iter().filter_map(|spec| {
        let value = match &run.inputs.get(spec.name)?.value {
            calc::Value::Number(number) => quantity(*number, spec.kind.unit().unwrap_or(Unit::One)),
            calc::Value::Flag(flag) => (if *flag { "yes" } else { "no" }).to_owned(),
            calc::Value::Word(word) => typed(word),
            _ => return None,
        };
        Some(format!("{} ({}) {value}", spec.meaning, spec.name))
    });
    given.collect::<Vec<_>>().join("; ")
}
