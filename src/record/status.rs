//! The plan and the entries → how each task stands.
//!
//! Takes the tasks in the order of work and a verified record; gives a [`Status`]. A signature stands as long as the task it
//! was given for is the same: one whose text, limits, order, people or time has changed falls open, and says so. Whether the
//! gaps of a body stand square is left to [`super::square`].

use std::collections::BTreeMap;

use super::basis::{Basis, Kept};
use super::chain::Record;
use super::entry::{Act, Entry};
use super::square;
use super::value::Value;
use crate::plan::{Evidence, Task};

/// How every task of a plan stands.
#[derive(Debug)]
pub struct Status<'a> {
    /// The tasks, in the order of work.
    pub tasks: Vec<Standing<'a>>,
    /// Signatures for tasks that the plan has no longer.
    pub gone: Vec<&'a Entry>,
    by_id: BTreeMap<&'a str, usize>,
}

/// How one task stands.
#[derive(Debug)]
pub struct Standing<'a> {
    /// The task.
    pub task: &'a Task,
    /// Who did it since it was last open.
    pub done: Vec<&'a Entry>,
    /// Who signed it off.
    pub checked: Option<&'a Entry>,
    /// What is written down, the latest of each, with the entry it comes from.
    pub values: BTreeMap<&'a str, (Value, &'a Entry)>,
    /// What opened it again after it had been signed.
    pub opened: Option<&'a Entry>,
    /// Signatures that no longer stand because the task changed, each with the parts that did.
    pub fallen: Vec<(&'a Entry, Vec<&'a str>)>,
    /// Everything ever signed for it.
    pub history: Vec<&'a Entry>,
}

/// How far a task is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Nothing stands.
    Open,
    /// Something was measured, the work is not signed as done.
    Begun,
    /// A value is outside its limits.
    OutOfLimits,
    /// Done, and waiting for the supervisor.
    Done,
    /// Signed off.
    Checked,
}

impl State {
    /// The word on pages and in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Begun => "begun",
            Self::OutOfLimits => "out of limits",
            Self::Done => "waiting for the supervisor",
            Self::Checked => "signed off",
        }
    }
}

impl<'a> Standing<'a> {
    fn new(task: &'a Task) -> Self {
        Self {
            task,
            done: Vec::new(),
            checked: None,
            values: BTreeMap::new(),
            opened: None,
            fallen: Vec::new(),
            history: Vec::new(),
        }
    }

    /// How far the task is.
    #[must_use]
    pub fn state(&self) -> State {
        if self.wrong().next().is_some() {
            State::OutOfLimits
        } else if self.done.is_empty() {
            if self.values.is_empty() {
                State::Open
            } else {
                State::Begun
            }
        } else if self.checked.is_some() && self.missing().next().is_none() {
            State::Checked
        } else {
            State::Done
        }
    }

    /// What is written down and not as it must be.
    pub fn wrong(&self) -> impl Iterator<Item = (&'a Evidence, &Value)> {
        let evidence = self.task.evidence.iter();
        let written = evidence.filter_map(|evidence| {
            let (value, _) = self.values.get(evidence.name.as_str())?;
            Some((evidence, value))
        });
        written.filter(|(evidence, value)| !value.is_right(evidence))
    }

    /// What is asked for and not written down.
    pub fn missing(&self) -> impl Iterator<Item = &'a Evidence> {
        let evidence = self.task.evidence.iter();
        evidence.filter(|evidence| !self.values.contains_key(evidence.name.as_str()))
    }

    /// Whether anything stands that could be taken back.
    #[must_use]
    pub fn is_signed(&self) -> bool {
        !(self.done.is_empty() && self.values.is_empty())
    }

    fn open(&mut self) {
        self.done.clear();
        self.values.clear();
        self.checked = None;
    }

    fn apply(&mut self, entry: &'a Entry) {
        let again = self
            .task
            .due
            .as_ref()
            .is_some_and(|due| due.every.is_some());
        if again && self.checked.is_some() && entry.act != Act::Checked {
            self.open();
        }
        for (name, value) in &entry.values {
            self.values.insert(name, (value.clone(), entry));
        }
        match entry.act {
            Act::Done => {
                self.fallen.clear();
                self.done.push(entry);
            }
            Act::Checked => self.checked = Some(entry),
            _ => {}
        }
    }
}

impl<'a> Status<'a> {
    /// How the tasks of a plan stand by a record.
    #[must_use]
    pub fn of(basis: &Basis<'a>, record: &'a Record) -> Self {
        let tasks = &basis.plan.tasks;
        let ids = tasks.iter().map(|task| task.id.as_str());
        let mut status = Self {
            by_id: ids.zip(0..).collect(),
            tasks: tasks.iter().map(Standing::new).collect(),
            gone: Vec::new(),
        };
        for entry in &record.entries {
            status.take(entry, basis);
        }
        square::fill(&mut status, basis.job);
        status
    }

    /// How the task of that id stands.
    #[must_use]
    pub fn get(&self, id: &str) -> Option<&Standing<'a>> {
        self.tasks.get(*self.by_id.get(id)?)
    }

    pub(super) fn get_mut(&mut self, id: &str) -> Option<&mut Standing<'a>> {
        self.tasks.get_mut(*self.by_id.get(id)?)
    }

    /// Whether every task is signed off but those that come due after the lift.
    #[must_use]
    pub fn released(&self) -> bool {
        let before = self.tasks.iter().filter(|one| one.task.due.is_none());
        before.into_iter().all(|one| one.state() == State::Checked)
    }

    /// The ids of the signed tasks that come after a task, however indirectly.
    #[must_use]
    pub fn signed_after(&self, id: &str) -> Vec<String> {
        let mut found: Vec<&str> = vec![id];
        // Every task stands behind all that it waits for.
        for one in &self.tasks {
            if one
                .task
                .after
                .iter()
                .any(|before| found.contains(&before.as_str()))
            {
                found.push(&one.task.id);
            }
        }
        let signed = |id: &&str| self.get(id).is_some_and(Standing::is_signed);
        let found = found.into_iter().skip(1).filter(signed);
        found.map(ToOwned::to_owned).collect()
    }

    fn take(&mut self, entry: &'a Entry, basis: &Basis<'a>) {
        let (Some(standing), Some(kept)) = (self.get_mut(&entry.task), basis.kept(&entry.task))
        else {
            self.gone.push(entry);
            return;
        };
        standing.history.push(entry);
        match entry.act {
            Act::Noted => {}
            Act::Reopened => self.opened_by(&entry.task, entry),
            Act::Rejected => {
                self.opened_by(&entry.task, entry);
                for id in &entry.opens {
                    self.opened_by(id, entry);
                }
            }
            Act::Done | Act::Measured | Act::Checked => {
                if kept.whole == entry.task_digest {
                    standing.apply(entry);
                } else {
                    standing.fallen.push((entry, changed(kept, entry)));
                }
            }
        }
    }

    fn opened_by(&mut self, id: &str, entry: &'a Entry) {
        if let Some(standing) = self.get_mut(id) {
            standing.open();
            standing.opened = Some(entry);
        }
    }
}

/// The parts of a task that are not as they were signed.
fn changed<'a>(now: &Kept, entry: &'a Entry) -> Vec<&'a str> {
    let parts = entry.parts.iter();
    let changed = parts.filter(|(part, digest)| now.parts.get(*part) != Some(*digest));
    changed.map(|(part, _)| part.as_str()).collect()
}
