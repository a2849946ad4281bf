//! What comes first, and what waits: two tasks of which one must wait for the other, however many lie between them, and hold points.

use std::collections::BTreeSet;

use super::askable::{Material, in_turn};
use super::question::{About, Question};
use crate::lots::Lots;
use crate::plan::Task;
use crate::rules::Stage;
use crate::sorted::Sorted as _;

/// Two tasks by number, the first before the other, and why.
type Pair = (usize, usize, String);

/// Makes the pairs of one reason.
type Pairs = fn(&Material<'_>, &mut Lots) -> Vec<Pair>;

/// The reasons for which one task waits for another.
const REASONS: [Pairs; 4] = [
    release_before_raise,
    hold_points,
    check_after_work,
    work_after_tightening,
];

/// Which comes first, and why? One of each reason after the other.
pub(super) fn order(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let pairs = REASONS.map(|pairs| {
        let mut found = pairs(material, draw);
        // The plan has the last word on what waits for what.
        found.retain(|(first, then, _)| material.comes_before(*first, *then));
        found
    });
    let pairs = in_turn(pairs.into());
    pairs
        .into_iter()
        .filter_map(|pair| question(material, draw, pair))
        .collect()
}

fn question(
    material: &Material<'_>,
    draw: &mut Lots,
    (first, then, because): Pair,
) -> Option<Question> {
    let task = |number: usize| material.made.plan.tasks.get(number);
    let (first, then) = (task(first)?, task(then)?);
    if ![first, then]
        .into_iter()
        .all(|task| material.is_named_once(task))
    {
        return None;
    }
    let shown = draw.shuffled([(first, true), (then, false)]);
    let options = shown.iter();
    let options = options.map(|(task, right)| (task.title.marked(), *right));
    Some(Question::choose(
        "Which of these two comes first? Say why.".to_owned(),
        options,
        because,
        About::of(shown.iter().map(|(task, _)| task.id.clone())),
    ))
}

fn of_stage<'a>(
    material: &'a Material<'_>,
    stage: Stage,
) -> impl Iterator<Item = (usize, &'a Task)> {
    let tasks = material.made.plan.tasks.iter().enumerate();
    tasks.filter(move |(_, task)| task.stage == stage)
}

/// What would tear comes apart before anything is raised.
fn release_before_raise(material: &Material<'_>, draw: &mut Lots) -> Vec<Pair> {
    let raised: Vec<usize> = of_stage(material, Stage::Raise)
        .filter(|(_, task)| task.side.is_some())
        .map(|(number, _)| number)
        .collect();
    let released = material.tasks().filter_map(|(number, task)| {
        let link = material.made.assessment.links.get(task.links.first()?)?;
        (task.stage == Stage::Release && link.release).then_some((number, link))
    });
    let released = draw.shuffled(released);
    released
        .into_iter()
        .filter_map(|(first, link)| {
            let then = *raised.get(draw.below(raised.len()))?;
            let because = format!(
                "{} while the body goes up, so it comes apart before anything is raised",
                material.reason(link)
            );
            Some((first, then, because))
        })
        .collect()
}

/// Nothing behind a hold point is begun before it is signed.
fn hold_points(material: &Material<'_>, draw: &mut Lots) -> Vec<Pair> {
    let tasks = &material.made.plan.tasks;
    let holds: BTreeSet<&str> = tasks
        .iter()
        .filter(|task| task.hold.is_some())
        .map(|task| task.id.as_str())
        .sorted_set();
    let waiting = material.tasks().flat_map(|(then, task)| {
        let holds = task.after.iter().filter(|id| holds.contains(id.as_str()));
        holds.filter_map(move |id| Some((tasks.iter().position(|task| task.id == *id)?, then)))
    });
    draw.shuffled(waiting)
        .into_iter()
        .filter_map(|(first, then)| {
            let title = tasks.get(first)?.title.marked();
            let because =
                format!("“{title}” stops the work until a supervisor who did not do it has signed");
            Some((first, then, because))
        })
        .collect()
}

/// What was put right is checked when it is done.
fn check_after_work(material: &Material<'_>, draw: &mut Lots) -> Vec<Pair> {
    let checks: Vec<(usize, &Task)> = of_stage(material, Stage::Check).collect();
    let works = material
        .tasks()
        .filter(|(_, task)| task.stage == Stage::Correct);
    let pairs = works.flat_map(|(first, work)| {
        let of_same = checks
            .iter()
            .filter(|(_, check)| check.links.iter().any(|id| work.links.contains(id)));
        of_same.map(move |(then, _)| (first, *then))
    });
    let because =
        "a correction is checked when it is done; a check made before it says nothing of it";
    let pair = |(first, then)| (first, then, because.to_owned());
    draw.shuffled(pairs).into_iter().map(pair).collect()
}

/// Nothing is cut to length or fitted for good before the body stands tightened on its blocks.
fn work_after_tightening(material: &Material<'_>, draw: &mut Lots) -> Vec<Pair> {
    let lowered: Vec<usize> = of_stage(material, Stage::Lower)
        .map(|(number, _)| number)
        .collect();
    let works = material
        .tasks()
        .filter(|(_, task)| task.stage == Stage::Correct && !task.links.is_empty());
    let works = draw.shuffled(works);
    works
        .into_iter()
        .filter_map(|(then, work)| {
            let first = *lowered.get(draw.below(lowered.len()))?;
            let because = format!(
                "“{}” is measured and fitted where the body ends up, and nobody works under or inside a body that hangs on jacks",
                work.title.marked()
            );
            Some((first, then, because))
        })
        .collect()
}

/// How many tasks that do not wait stand beside the one that does, at the most.
const OTHERS: usize = 3;

/// What waits for a hold point? One for each that something wanted waits for: a task that the plan puts behind it, among tasks that it does not.
pub(super) fn hold(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let tasks = &material.made.plan.tasks;
    let holds = tasks
        .iter()
        .enumerate()
        .filter(|(_, task)| task.hold.is_some() && material.is_named_once(task));
    let mut questions = Vec::new();
    for (number, hold) in draw.shuffled(holds) {
        let waits = |task: usize| material.comes_before(number, task);
        let told = |task: &Task| material.is_named_once(task);
        let waiting = material
            .tasks()
            .filter(|(at, task)| waits(*at) && told(task));
        let waiting = draw.shuffled(waiting);
        let waiting = waiting.into_iter().next();
        let others = tasks.iter().enumerate();
        let others = others.filter(|(at, task)| *at != number && !waits(*at) && told(task));
        let others = draw.shuffled(others).into_iter().take(OTHERS);
        let shown = draw.shuffled(waiting.into_iter().chain(others));
        let options = shown.iter();
        let options = options.map(|(task, shown)| (shown.title.marked(), waits(*task)));
        questions.push(Question::choose(
            format!("Which of these has to wait for “{}”?", hold.title.marked()),
            options,
            "work goes on behind a hold point only when a supervisor who did not do it has signed; the others come before it or do not depend on it".to_owned(),
            About::of([hold.id.clone()].into_iter().chain(shown.iter().map(|(_, task)| task.id.clone()))),
        ));
    }
    questions
}
