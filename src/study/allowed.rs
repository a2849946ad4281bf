//! Who may do a task, and which readings may be signed off when it is done.

use super::askable::{Material, in_turn};
use super::question::{About, Question};
use super::words::{quantity, typed};
use crate::lots::Lots;
use crate::plan::{Evidence, Task};
use crate::quantity::{Quantity, Round, Unit};
use crate::text::{capital, mark};

/// Who may do a task.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Who {
    Apprentice,
    Fitter,
    Licensed,
}

/// Who may do it? One task for each answer after the other, by what the task itself says of trades and apprentices.
pub(super) fn who(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let all = &material.made.plan.tasks;
    let a_trade = all.iter().find_map(|task| task.trade.as_deref());
    let a_trade = a_trade.unwrap_or("brakes");
    // Whoever does what a hold point asks for, it is the supervisor's signature that lets the work go on.
    let tasks = material.tasks().filter(|(_, task)| task.hold.is_none());
    let tasks = draw.shuffled(tasks);
    let questions = [Who::Licensed, Who::Fitter, Who::Apprentice].map(|who| {
        let of_it = tasks.iter().filter(|(_, task)| who_may(task) == who);
        of_it
            .map(|(_, task)| of_who(task, a_trade))
            .collect::<Vec<_>>()
    });
    in_turn(questions.into())
}

fn who_may(task: &Task) -> Who {
    match (&task.trade, task.apprentice) {
        (Some(_), _) => Who::Licensed,
        (None, true) => Who::Apprentice,
        (None, false) => Who::Fitter,
    }
}

fn of_who(task: &Task, a_trade: &str) -> Question {
    let who = who_may(task);
    let trade = typed(task.trade.as_deref().unwrap_or(a_trade));
    let options = [
        (Who::Apprentice, "a fitter, or an apprentice".to_owned()),
        (Who::Fitter, "a fitter, but no apprentice".to_owned()),
        (
            Who::Licensed,
            format!("only somebody who holds the licence: {trade}"),
        ),
    ];
    let options = options.into_iter().map(|(one, text)| (text, one == who));
    let says = match who {
        Who::Apprentice => {
            "the sheet names no trade for it and lets an apprentice do it".to_owned()
        }
        Who::Fitter => {
            "the sheet names no trade for it, and says “not for an apprentice”".to_owned()
        }
        Who::Licensed => format!(
            "the sheet names the trade “{trade}” for it; the licensed trade does and signs its own work"
        ),
    };
    let caution = task
        .cautions
        .first()
        .map(|caution| format!("; its caution: {}", caution.marked()));
    Question::choose(
        format!("Who may do this: “{}”?", task.title.marked()),
        options,
        format!("{says}{}", caution.unwrap_or_default()),
        About::of([task.id.clone()]),
    )
}

/// A reading stands off its limit by this share of it, and by this much at least, so that no rounding brings it over.
const SHARE: f64 = 0.1;
const LEAST: f64 = 3.0;

/// Which readings may be signed off? One of each task, with readings well inside and well outside its limits.
pub(super) fn evidence(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let tasks = draw.shuffled(material.tasks());
    let questions = tasks.into_iter().filter_map(|(_, task)| {
        let asked = task
            .evidence
            .iter()
            .filter(|evidence| evidence.kind == "number");
        let asked = draw.shuffled(asked);
        asked
            .into_iter()
            .find_map(|evidence| of_evidence(task, evidence, draw))
    });
    questions.collect()
}

fn of_evidence(task: &Task, evidence: &Evidence, draw: &mut Lots) -> Option<Question> {
    let unit = evidence
        .unit
        .filter(|unit| matches!(unit, Unit::Mm | Unit::NewtonMetre | Unit::Degree))?;
    let readings = readings(evidence.least, evidence.most);
    let options = draw.shuffled(readings).into_iter();
    let options = options.map(|value| (quantity(value, unit), is_within(value, evidence)));
    let item = evidence.item.as_deref().map(|item| format!(", {item}"));
    Some(Question::choose(
        format!(
            "“{}” asks for this: {}{}. Which of these readings may be signed off? Tick every one.",
            task.title.marked(),
            evidence.ask.marked(),
            item.unwrap_or_default()
        ),
        options,
        format!(
            "{}; a reading outside its limits is never signed off, the work is put right and measured again",
            capital(&limits(evidence, unit))
        ),
        About {
            ids: vec![task.id.clone()],
            name: Some(evidence.name.clone()),
            height: None,
        },
    ))
}

fn is_within(value: f64, evidence: &Evidence) -> bool {
    evidence.least.is_none_or(|least| value >= least)
        && evidence.most.is_none_or(|most| value <= most)
}

fn limits(evidence: &Evidence, unit: Unit) -> String {
    let print = |limit: f64, round| mark(Quantity::exact(limit, unit), Some(round));
    let least = evidence
        .least
        .map(|least| format!("at least {}", print(least, Round::Up)));
    let most = evidence
        .most
        .map(|most| format!("at most {}", print(most, Round::Down)));
    let both: Vec<String> = least.into_iter().chain(most).collect();
    both.join(" and ")
}

/// Whole readings on both sides of each limit; none where the limits leave no room for one.
fn readings(least: Option<f64>, most: Option<f64>) -> Vec<f64> {
    let off = |limit: f64| (limit.abs() * SHARE).max(LEAST);
    let around =
        |limit: f64| [-2.0, -1.0, 1.0, 2.0].map(|steps| (limit + steps * off(limit)).round());
    let readings = match (least, most) {
        (Some(least), Some(most)) if most - least >= 2.0 * LEAST => vec![
            (least - off(least)).round(),
            f64::midpoint(least, most).round(),
            (most + off(most)).round(),
            (most + 2.0 * off(most)).round(),
        ],
        (Some(limit), None) | (None, Some(limit)) => around(limit).to_vec(),
        _ => Vec::new(),
    };
    readings
        .into_iter()
        .filter(|reading| *reading > 0.0)
        .collect()
}
