//! How the vehicle stands when some of the tasks are done: what is off, open, loose or up, and not yet as it is handed over.
//!
//! Takes tasks in the order of work and when each is done; gives short phrases. A step that several tasks make begins with the first
//! of them and is whole with the last. What a hold point clears stands on its own page, and connections that are apart are counted.

use std::collections::BTreeMap;

use super::states::{CLOSED, LINK, RELEASED};
use crate::report::numbered;

/// What a task makes, and when.
#[derive(Debug, Clone, Copy)]
pub struct Making<'a> {
    /// For each state the step of its course.
    pub makes: &'a BTreeMap<String, String>,
    /// Whether it is a hold point.
    pub hold: bool,
    /// The number of the turn in which it is done.
    pub turn: usize,
}

/// What tasks make, and when.
///
/// ```
/// use std::collections::BTreeMap;
/// use liftsheet::plan::{Making, Stands};
/// let makes = |step: &str| BTreeMap::from([("brakes".to_owned(), step.to_owned())]);
/// let (open, closed) = (makes("open"), makes("closed"));
/// let tasks = [(&open, 0), (&closed, 1), (&closed, 2)];
/// let stands = Stands::of(tasks.map(|(makes, turn)| Making { makes, hold: false, turn }));
/// assert_eq!(stands.before(2, |_| true), ["brakes open and partly closed"]);
/// assert!(stands.before(3, |_| true).is_empty());
/// ```
#[derive(Debug)]
pub struct Stands<'a> {
    /// For each instance its steps, and whether any of its tasks is more than a hold point.
    courses: BTreeMap<&'a String, (Vec<StepMade<'a>>, bool)>,
}

impl<'a> Stands<'a> {
    /// What these tasks make.
    pub fn of(tasks: impl IntoIterator<Item = Making<'a>>) -> Self {
        let mut courses: BTreeMap<&String, (Vec<StepMade<'_>>, bool)> = BTreeMap::new();
        for task in tasks {
            for (instance, word) in task.makes {
                let (steps, kept) = courses.entry(instance).or_default();
                match steps.iter_mut().find(|step| step.word == word) {
                    Some(step) => {
                        step.begins = step.begins.min(task.turn);
                        step.ends = step.ends.max(task.turn);
                    }
                    None => steps.push(StepMade {
                        word,
                        begins: task.turn,
                        ends: task.turn,
                    }),
                }
                *kept |= !task.hold;
            }
        }
        Self { courses }
    }

    /// Phrases for the wanted states that, before a turn, have left what they were found as and are not yet as they stay: `brakes open`.
    pub fn before(&self, turn: usize, wanted: impl Fn(&String) -> bool) -> Vec<String> {
        let mut apart = 0;
        let mut alike: BTreeMap<String, Vec<&str>> = BTreeMap::new();
        let courses = self.courses.iter();
        for (instance, (steps, kept)) in courses.filter(|(instance, _)| wanted(instance)) {
            if instance.starts_with(LINK) {
                let begun = || steps.iter().filter(|step| step.begins < turn);
                let has = |word: &str| begun().any(|step| step.word == word);
                // What no task of its own closes goes back with something else, whose state says so.
                let closes = steps.iter().any(|step| step.word == CLOSED);
                apart += usize::from(closes && has(RELEASED) && !has(CLOSED));
            } else if let Some(step) = step(steps, turn).filter(|_| *kept) {
                alike.entry(step).or_default().push(called(instance));
            }
        }
        let mut phrases: Vec<String> = alike.into_iter().map(phrase).collect();
        if apart > 0 {
            phrases.push(format!("apart: {}", numbered(apart, "connection")));
        }
        phrases
    }
}

/// The state of a body that is called body is said once.
fn called(instance: &str) -> &str {
    let (state, of) = instance.split_once(' ').unwrap_or((instance, ""));
    let again = of
        .strip_prefix(state)
        .is_some_and(|side| side.starts_with(' '));
    if again { of } else { instance }
}

/// `chocks in` for one, `open: bonnet, brakes` for several that stand at the same step.
fn phrase((step, instances): (String, Vec<&str>)) -> String {
    match instances.as_slice() {
        [one] => format!("{one} {step}"),
        several => format!("{step}: {}", several.join(", ")),
    }
}

/// A step of a course, and the turns of the first and the last task that makes it.
#[derive(Debug)]
struct StepMade<'a> {
    word: &'a str,
    begins: usize,
    ends: usize,
}

/// `open`, or `open and partly closed`; nothing where nobody began, or where it is as it stays.
fn step(steps: &[StepMade<'_>], turn: usize) -> Option<String> {
    let whole = steps.iter().rposition(|step| step.ends < turn);
    let begun = steps.iter().rposition(|step| step.begins < turn)?;
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
