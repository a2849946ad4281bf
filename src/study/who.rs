//! Who may do it? What the task itself says of trades and apprentices.

use super::kinds::Kind;
use super::material::{Material, in_turn};
use super::question::{About, Choice, Question};
use super::words::typed;
use crate::lots::Lots;
use crate::plan::Task;

/// Who may do a task.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Who {
    Apprentice,
    Fitter,
    Licensed,
}

/// One task for each answer after the other.
pub(super) fn make(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let all = &material.made.plan.tasks;
    let a_trade = all.iter().find_map(|task| task.trade.as_deref());
    let a_trade = a_trade.unwrap_or("brakes");
    let tasks = draw.shuffled(material.tasks());
    let questions = [Who::Licensed, Who::Fitter, Who::Apprentice].map(|who| {
        let of_it = tasks.iter().filter(|(_, task)| of(task) == who);
        of_it
            .map(|(_, task)| question(task, a_trade))
            .collect::<Vec<_>>()
    });
    in_turn(questions.into())
}

fn of(task: &Task) -> Who {
    match (&task.trade, task.apprentice) {
        (Some(_), _) => Who::Licensed,
        (None, true) => Who::Apprentice,
        (None, false) => Who::Fitter,
    }
}

fn question(task: &Task, a_trade: &str) -> Question {
    let who = of(task);
    let trade = typed(task.trade.as_deref().unwrap_or(a_trade));
    let options = [
        (Who::Apprentice, "a fitter, or an apprentice".to_owned()),
        (Who::Fitter, "a fitter, but no apprentice".to_owned()),
        (
            Who::Licensed,
            format!("only somebody who holds the licence: {trade}"),
        ),
    ];
    let options = options
        .into_iter()
        .map(|(one, text)| Choice::new(text, one == who));
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
        Kind::Who,
        format!("Who may do this: “{}”?", task.title.marked()),
        options.collect(),
        format!("{says}{}", caution.unwrap_or_default()),
        About {
            ids: vec![task.id.clone()],
            ..About::default()
        },
    )
}
