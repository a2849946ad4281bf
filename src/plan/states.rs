//! The states of the vehicle: what a task's `makes` and `while` mean on this job.
//!
//! Takes the courses of the rules and the bodies that go up; gives the steps of a task, instance by instance. What they bring into a plan and
//! put in order is left to `brought`.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::slots::Slot;
use super::task::Task;
use crate::cut::MOUNT;
use crate::job::{Job, Mount};
use crate::report::{Place, Report};
use crate::rules::{Course, Moment, Of, Rules, Spot, Stage, StateRun, Wait};
use crate::sorted::Sorted as _;

/// The course of a connection; its tasks make it without saying so.
const OF_LINK: [&str; 5] = ["found", RELEASED, CORRECTED, CLOSED, "checked"];
/// Its step from which a connection is apart.
pub(super) const RELEASED: &str = "released";
/// Its step at which it is together again.
pub(super) const CLOSED: &str = "closed";
/// A connection is put right.
pub(crate) const CORRECTED: &str = "corrected";
/// What the course of a connection is called; its tasks make it without saying so.
pub(super) const LINK: &str = "link ";

/// Whether a task that brings a state to this step puts something back: a connection only when it is closed, anything else on its way there.
pub(crate) fn puts_back(instance: &str, step: &str) -> bool {
    !instance.starts_with(LINK) || step == CLOSED
}

/// A state as the plan tells of it.
#[derive(Debug, Clone, Serialize)]
pub struct ToldState {
    /// Its steps in order, the found one first.
    pub course: Vec<String>,
    /// Its step at hand-over; none where it may end anywhere.
    pub hand_over: Option<String>,
    /// What has it on this job: `brakes`, or `body cab left`.
    pub instances: BTreeSet<String>,
    /// The steps in which the vehicle is not left overnight.
    pub not_overnight: Vec<String>,
    /// `vehicle`, `group`, `side`, `mount` or `link`.
    pub of: &'static str,
    /// The places that each step shuts everybody out of.
    pub shuts_out: BTreeMap<String, Vec<Spot>>,
}

/// A step of a course, or a run of steps, of one instance.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Steps {
    pub(super) instance: String,
    pub(super) from: usize,
    pub(super) to: usize,
    /// The number at hand-over; none where it may end anywhere.
    pub(super) hand_over: Option<usize>,
}

/// The courses, and the bodies that they are for.
pub(super) struct Courses<'a> {
    job: &'a Job,
    rules: &'a Rules,
    mounts: Vec<&'a str>,
    links: Vec<&'a str>,
    /// Whether tasks are told in full: else they have no tools, cautions and evidence, which neither hours nor days nor parts hang on.
    pub(super) told: bool,
}

/// What a task is for: it has the state that the task speaks of.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Whom<'a> {
    /// The stretch of the work, and so the body and its side.
    pub(super) slot: Option<&'a Slot>,
    /// The connections that it is for; none for the whole vehicle.
    pub(super) links: &'a [String],
    /// The mounts of its body and side.
    pub(super) mounts: &'a [(&'a String, &'a Mount)],
}

/// The steps of a connection's course.
#[derive(Debug, Clone, Copy)]
pub(super) enum OfLink {
    Released = 1,
    Corrected = 2,
    Closed = 3,
    Checked = 4,
}

/// A run of steps of a connection's course.
pub(super) fn of_link(link: &str, from: OfLink, to: OfLink) -> Steps {
    Steps {
        instance: format!("{LINK}{link}"),
        from: from as usize,
        to: to as usize,
        hand_over: None,
    }
}

impl<'a> Courses<'a> {
    pub(super) fn new((job, rules): (&'a Job, &'a Rules), told: bool) -> Self {
        Self {
            job,
            rules,
            mounts: job.mounts.keys().map(String::as_str).collect(),
            links: job.links.keys().map(String::as_str).collect(),
            told,
        }
    }

    /// What holds while something is looked at in a moment of the check.
    pub(super) fn at(&self, moment: Moment) -> BTreeMap<String, String> {
        let during = self.rules.moments.get(moment.word());
        during.cloned().unwrap_or_default()
    }

    /// What is brought about again for work of a stage that is done again. What it names is there: the rules were checked.
    pub(super) fn again(&self, stage: Stage) -> Vec<Steps> {
        let again = self.rules.again.get(stage.word()).into_iter().flatten();
        let runs = again.filter_map(|written| StateRun::read(&self.rules.states, written).ok());
        let steps = runs.map(|found| Steps {
            instance: found.state.to_owned(),
            from: found.run.0,
            to: found.run.1,
            hand_over: None,
        });
        steps.collect()
    }

    /// The place from which a connection's task is done, where its stage or moment says so.
    pub(super) fn done_from(&self, task: &Task) -> Option<Spot> {
        let word = task.moment.map_or(task.stage.word(), Moment::word);
        self.rules.done_from.get(word).copied()
    }

    /// What is written of states, on this job. A state or step that there is not goes to the report.
    pub(super) fn steps(
        &self,
        written: &BTreeMap<String, String>,
        whom: Whom<'_>,
        place: &Place,
        report: &mut Report,
    ) -> Vec<Steps> {
        let mut all = Vec::new();
        for written in written {
            let found = match StateRun::read(&self.rules.states, written) {
                Ok(found) => found,
                Err(problem) => {
                    report.push(problem.at(place.clone()));
                    continue;
                }
            };
            let (from, to) = found.run;
            let state = (found.state, found.course.of);
            let instances = self.instances(state, whom, found.other_side);
            all.extend(instances.into_iter().map(|instance| Steps {
                instance,
                from,
                to,
                hand_over: Some(found.course.hand_over),
            }));
        }
        all
    }

    /// What has the state, as seen from a task: its own body and side, its mounts, its connections, or all where it is of none.
    fn instances(&self, (state, of): (&str, Of), whom: Whom<'_>, other: bool) -> Vec<String> {
        let named = |own: Vec<&str>, all: &[&str]| {
            let of = if own.is_empty() { all } else { &own };
            of.iter().map(|one| format!("{state} {one}")).collect()
        };
        let links = whom.links.iter().map(String::as_str);
        match of {
            Of::Vehicle => vec![state.to_owned()],
            Of::Link => named(links.collect(), &self.links),
            Of::Mount => {
                let of_links = links.filter_map(|link| link.strip_prefix(MOUNT));
                let of_slot = whom.mounts.iter().map(|(id, _)| id.as_str());
                named(of_links.chain(of_slot).collect(), &self.mounts)
            }
            Of::Group | Of::Side => self.of_bodies((state, of), whom.slot, other),
        }
    }

    fn of_bodies(&self, (state, of): (&str, Of), slot: Option<&Slot>, other: bool) -> Vec<String> {
        let group = slot.and_then(|slot| slot.group.as_deref());
        let side = slot.and_then(|slot| slot.side);
        let side = side.map(|side| if other { side.other() } else { side });
        let raises = self.job.lift.raise.iter();
        let raises = raises.filter(|raise| group.is_none_or(|group| raise.group == group));
        let mut all = Vec::new();
        for raise in raises {
            if of == Of::Group {
                all.push(format!("{state} {}", raise.group));
                continue;
            }
            let sides = raise.sides().into_iter();
            let sides = sides.filter(|one| side.is_none_or(|side| side == *one));
            all.extend(sides.map(|side| format!("{state} {} {}", raise.group, side.word())));
        }
        all
    }

    /// The steps in words, as the plan tells them.
    pub(super) fn words(&self, steps: &[Steps]) -> BTreeMap<String, String> {
        let words = steps.iter().map(|steps| {
            let word = |number: usize| self.word(&steps.instance, number);
            let text = if steps.from == steps.to {
                word(steps.from)
            } else {
                format!("{}..{}", word(steps.from), word(steps.to))
            };
            (steps.instance.clone(), text)
        });
        words.sorted_map()
    }

    fn word(&self, instance: &str, number: usize) -> String {
        if instance.starts_with(LINK) {
            let step = OF_LINK.get(number).copied();
            return step.unwrap_or_default().to_owned();
        }
        let course = self.of(instance);
        let step = course.and_then(|course| course.steps.get(number));
        step.cloned().unwrap_or_default()
    }

    /// The state that an instance is of; the longest name that it begins with.
    pub(super) fn course(&self, instance: &str) -> Option<(&'a String, &'a Course)> {
        let ends = instance.rmatch_indices(' ').map(|(end, _)| end);
        let mut ends = std::iter::once(instance.len()).chain(ends);
        ends.find_map(|end| self.rules.states.get_key_value(instance.get(..end)?))
    }

    /// The course of an instance of the rules' states.
    pub(super) fn of(&self, instance: &str) -> Option<&'a Course> {
        self.course(instance).map(|(_, course)| course)
    }

    /// Whether nobody is in a place at a moment of the check.
    pub(super) fn shuts_out(&self, moment: Moment, place: Spot) -> bool {
        self.at(moment).iter().any(|(state, run)| {
            let course = self.of(state);
            let step = course.and_then(|course| Some((course, course.step(run)?)));
            step.is_some_and(|(course, step)| shut_out(course, step).any(|one| one == place))
        })
    }

    /// Whether somebody stays with the vehicle at such steps.
    pub(super) fn attended(&self, steps: &Steps) -> bool {
        let run = self.of(&steps.instance).and_then(|course| course.attended);
        run.is_some_and(|(from, to)| from <= steps.from && steps.to <= to)
    }

    /// The time that passes before a step may be relied on.
    pub(super) fn wait(&self, instance: &str, step: usize) -> Option<(f64, &'a Wait)> {
        let wait = self.of(instance)?.waits.get(&step)?;
        let hours = self.job.lift.coat_hours.filter(|_| wait.of_coat);
        Some((hours.unwrap_or(wait.hours), wait))
    }
}

impl ToldState {
    /// A state of that course, or of a connection's own.
    pub(super) fn of(course: Option<&Course>) -> Self {
        Self {
            course: course.map_or(OF_LINK.map(ToOwned::to_owned).into(), |course| {
                course.steps.clone()
            }),
            hand_over: course.and_then(|course| course.steps.get(course.hand_over).cloned()),
            instances: BTreeSet::new(),
            not_overnight: course
                .map_or_else(Vec::new, |course| slice(course, course.not_overnight)),
            of: course.map_or("link", |course| course.of.word()),
            shuts_out: course.map_or_else(BTreeMap::new, shuts_out),
        }
    }
}

/// The places that everybody is shut out of while a course stands at a step.
pub(super) fn shut_out(course: &Course, step: usize) -> impl Iterator<Item = Spot> {
    let shuts = course.shuts_out.iter();
    let shuts = shuts.filter(move |((from, to), _)| (*from..=*to).contains(&step));
    shuts.flat_map(|(_, places)| places.iter().copied())
}

/// The steps of a run.
fn slice(course: &Course, run: Option<(usize, usize)>) -> Vec<String> {
    let steps = run.and_then(|(from, to)| course.steps.get(from..=to));
    steps.unwrap_or_default().to_vec()
}

/// The places that each step of a course shuts everybody out of.
fn shuts_out(course: &Course) -> BTreeMap<String, Vec<Spot>> {
    let runs = course.shuts_out.iter();
    let steps = runs.flat_map(|(run, places)| {
        let steps = slice(course, Some(*run)).into_iter();
        steps.map(|step| (step, places.clone()))
    });
    steps.sorted_map()
}
