//! How the vehicle stands when some of the tasks are done: what is off, open, loose or up, and not yet as it is handed over.
//!
//! Takes tasks in the order of work and which of them are done; gives short phrases. A step that several tasks make begins with the first
//! of them and is whole with the last. What a hold point clears stands on its own page, and connections that are apart are counted.

use std::collections::BTreeMap;

use super::states::{CLOSED, LINK, RELEASED};
use crate::report::numbered;

/// What a task makes, and how far it is.
#[derive(Debug, Clone, Copy)]
pub struct Making<'a> {
    /// For each state the step of its course.
    pub makes: &'a BTreeMap<String, String>,
    /// Whether it is a hold point.
    pub hold: bool,
    /// Whether it is done.
    pub done: bool,
}

/// Phrases for the wanted states that have left what it was found as and are not yet as they stay: `brakes open`.
///
/// ```
/// use std::collections::BTreeMap;
/// use liftsheet::plan::{Making, stands};
/// let makes = |step: &str| BTreeMap::from([("brakes".to_owned(), step.to_owned())]);
/// let (open, closed) = (makes("open"), makes("closed"));
/// let mut tasks = [(&open, true), (&closed, true), (&closed, false)]
///     .map(|(makes, done)| Making { makes, hold: false, done });
/// assert_eq!(stands(tasks, |_| true), ["brakes open and partly closed"]);
/// tasks[2].done = true;
/// assert!(stands(tasks, |_| true).is_empty());
/// ```
pub fn stands<'a>(
    tasks: impl IntoIterator<Item = Making<'a>>,
    wanted: impl Fn(&str) -> bool,
) -> Vec<String> {
    // For each instance its steps, and whether any of its tasks is more than a hold point.
    let mut courses: BTreeMap<&str, (Vec<Step<'_>>, bool)> = BTreeMap::new();
    for task in tasks {
        for (instance, word) in task.makes.iter().filter(|(instance, _)| wanted(instance)) {
            let (steps, kept) = courses.entry(instance).or_default();
            let at = steps.iter().position(|step| step.word == word);
            let at = at.unwrap_or(steps.len());
            if at == steps.len() {
                steps.push(Step::new(word));
            }
            let step = steps.get_mut(at);
            if let Some(step) = step {
                step.all &= task.done;
                step.any |= task.done;
            }
            *kept |= !task.hold;
        }
    }
    let apart = |(instance, (steps, _)): (&&str, &(Vec<Step<'_>>, bool))| {
        let began = |word: &str| steps.iter().any(|step| step.word == word && step.any);
        instance.starts_with(LINK) && began(RELEASED) && !began(CLOSED)
    };
    let apart = courses.iter().filter(|one| apart(*one)).count();
    let own = courses.iter();
    let own = own.filter(|(instance, (_, kept))| *kept && !instance.starts_with(LINK));
    let mut alike: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    for (instance, (steps, _)) in own {
        if let Some(step) = step(steps) {
            alike.entry(step).or_default().push(instance);
        }
    }
    let mut phrases: Vec<String> = alike.into_iter().map(phrase).collect();
    if apart > 0 {
        phrases.push(format!("apart: {}", numbered(apart, "connection")));
    }
    phrases
}

/// `chocks in` for one, `open: bonnet, brakes` for several that stand at the same step.
fn phrase((step, instances): (String, Vec<&str>)) -> String {
    match instances.as_slice() {
        [one] => format!("{one} {step}"),
        several => format!("{step}: {}", several.join(", ")),
    }
}

/// A step of a course and how far it is made.
struct Step<'a> {
    word: &'a str,
    all: bool,
    any: bool,
}

impl<'a> Step<'a> {
    fn new(word: &'a str) -> Self {
        Self {
            word,
            all: true,
            any: false,
        }
    }
}

/// `open`, or `open and partly closed`; nothing where nobody began, or where it is as it stays.
fn step(steps: &[Step<'_>]) -> Option<String> {
    let whole = steps.iter().rposition(|step| step.all);
    let begun = steps.iter().rposition(|step| step.any)?;
    if whole == Some(steps.len().saturating_sub(1)) {
        return None;
    }
    let word = |at: usize| steps.get(at).map_or("", |step| step.word);
    Some(match whole {
        Some(whole) if begun > whole => format!("{} and partly {}", word(whole), word(begun)),
        Some(whole) => word(whole).to_owned(),
        None => format!("partly {}", word(begun)),
    })
}
