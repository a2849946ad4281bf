//! What waits for a hold point? A task that the plan puts behind it, among tasks that it does not.

use super::kinds::Kind;
use super::material::Material;
use super::question::{About, Choice, Question};
use crate::lots::Lots;

/// How many tasks that do not wait stand beside the one that does, at the most.
const OTHERS: usize = 3;

/// One for each hold point that something wanted waits for.
pub(super) fn make(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let tasks = &material.made.plan.tasks;
    let holds = tasks
        .iter()
        .enumerate()
        .filter(|(_, task)| task.hold.is_some());
    let mut questions = Vec::new();
    for (number, hold) in draw.shuffled(holds) {
        let waits = |task: usize| material.comes_before(number, task);
        let waiting = draw.shuffled(material.tasks().filter(|(task, _)| waits(*task)));
        let waiting = waiting.into_iter().next();
        let others = tasks.iter().enumerate();
        let others = others.filter(|(task, _)| *task != number && !waits(*task));
        let others = draw.shuffled(others).into_iter().take(OTHERS);
        let shown = draw.shuffled(waiting.into_iter().chain(others));
        let options = shown.iter();
        let options = options.map(|(task, shown)| Choice::new(shown.title.marked(), waits(*task)));
        questions.push(Question::choose(
            Kind::Hold,
            format!("Which of these has to wait for “{}”?", hold.title.marked()),
            options.collect(),
            "work goes on behind a hold point only when a supervisor who did not do it has signed; the others come before it or do not depend on it".to_owned(),
            About {
                ids: [hold.id.clone()].into_iter().chain(shown.iter().map(|(_, task)| task.id.clone())).collect(),
                ..About::default()
            },
        ));
    }
    questions
}
