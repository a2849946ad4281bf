//! How one task and each of its rows stands, as its entries come in one after the other.
//!
//! Takes a task and entries; gives a [`Standing`]. Which entries count, and what else they open, is left to [`super::status`].

use std::collections::BTreeMap;

use super::agreed::{Asked, Row, SignedTask};
use super::entry::{Act, Entry};
use super::value::Entered;

/// How one task stands.
#[derive(Debug)]
pub struct Standing<'a> {
    /// The task.
    pub task: &'a SignedTask,
    /// How its rows stand.
    pub rows: Vec<RowStanding<'a>>,
    /// What is written down, the latest of each, with the entry it comes from.
    pub values: BTreeMap<&'a str, (Entered, &'a Entry)>,
    /// Everything ever signed for it, what was taken back among it.
    pub history: Vec<&'a Entry>,
    /// The rounds that are behind it, for a task that comes again: who did it, and who signed it off.
    pub rounds: Vec<(Vec<&'a Entry>, &'a Entry)>,
}

/// How one row of a task stands.
#[derive(Debug)]
pub struct RowStanding<'a> {
    /// The row.
    pub row: &'a Row,
    /// Who did it since it was last open.
    pub done: Vec<&'a Entry>,
    /// Who signed it off.
    pub checked: Option<&'a Entry>,
    /// Why it fell open after something was signed.
    pub opened: Option<Opened<'a>>,
}

/// Why something fell open.
#[derive(Debug, Clone, PartialEq)]
pub struct Opened<'a> {
    /// The entry that opened it; none while nobody signed for what changed.
    pub by: Option<&'a Entry>,
    /// In words.
    pub why: String,
}

/// How far a task is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Nothing stands.
    Open,
    /// Something was measured or some rows are done, but not all.
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
    pub(super) fn new(task: &'a SignedTask) -> Self {
        let rows = task.rows.iter().map(|row| RowStanding {
            row,
            done: Vec::new(),
            checked: None,
            opened: None,
        });
        Self {
            task,
            rows: rows.collect(),
            values: BTreeMap::new(),
            history: Vec::new(),
            rounds: Vec::new(),
        }
    }

    /// How far the task is: as far as the row that is least far.
    pub fn state(&self) -> State {
        if self.wrong().next().is_some() {
            return State::OutOfLimits;
        }
        let done = self.rows.iter().all(|row| !row.done.is_empty());
        let off = self.rows.iter().all(|row| row.checked.is_some());
        if off && (done || self.task.only_checked()) && self.missing().next().is_none() {
            State::Checked
        } else if done {
            State::Done
        } else if self.is_signed() {
            State::Begun
        } else {
            State::Open
        }
    }

    /// How far one of its rows is.
    pub fn row_state(&self, row: &RowStanding<'a>) -> State {
        let asks = || row.row.asks.iter();
        let value = |asked: &Asked| self.values.get(asked.name.as_str()).map(|(value, _)| value);
        if asks().any(|asked| value(asked).is_some_and(|value| !value.is_right(asked))) {
            return State::OutOfLimits;
        }
        let missing = asks().any(|asked| value(asked).is_none());
        match (row.done.is_empty(), row.checked) {
            (false, Some(_)) if !missing => State::Checked,
            (true, Some(_)) if !missing && self.task.only_checked() => State::Checked,
            (false, _) => State::Done,
            (true, _) if asks().any(|asked| value(asked).is_some()) => State::Begun,
            (true, _) => State::Open,
        }
    }

    /// What is written down and not as it must be.
    pub fn wrong(&self) -> impl Iterator<Item = (&'a Asked, &Entered)> {
        let written = self.task.asks().filter_map(|(_, asked)| {
            let (value, _) = self.values.get(asked.name.as_str())?;
            Some((asked, value))
        });
        written.filter(|(asked, value)| !value.is_right(asked))
    }

    /// What is asked for and not written down.
    pub fn missing(&self) -> impl Iterator<Item = &'a Asked> {
        let asks = self.task.asks().map(|(_, asked)| asked);
        asks.filter(|asked| !self.values.contains_key(asked.name.as_str()))
    }

    /// Whether it is done, with everything written down and within its limits, and waits to be checked.
    pub(super) fn is_right(&self) -> bool {
        let written = self.missing().next().is_none() && self.wrong().next().is_none();
        self.state() == State::Done && written
    }

    /// Who did what of it stands, each once and in order.
    pub fn done(&self) -> Vec<&'a Entry> {
        let mut done: Vec<&Entry> = self
            .rows
            .iter()
            .flat_map(|row| &row.done)
            .copied()
            .collect();
        done.sort_by_key(|entry| entry.number);
        done.dedup_by_key(|entry| entry.number);
        done
    }

    /// Who signed the last of it off, when all of it is.
    pub fn checked(&self) -> Option<&'a Entry> {
        let all: Option<Vec<&Entry>> = self.rows.iter().map(|row| row.checked).collect();
        all?.into_iter().max_by_key(|entry| entry.number)
    }

    /// What opened it again, the last.
    pub fn opened(&self) -> Option<&Opened<'a>> {
        let opened = self.rows.iter().filter_map(|row| row.opened.as_ref());
        opened.max_by_key(|opened| opened.by.map_or(u64::MAX, |entry| entry.number))
    }

    /// Whether it fell open for something else than itself: what was done to the vehicle was done all the same.
    pub(super) fn fell_with_another(&self) -> bool {
        let own = |opened: &Opened<'_>| {
            let by = opened.by.filter(|entry| entry.task == self.task.id);
            by.is_some_and(|entry| matches!(entry.act, Act::Rejected | Act::Reopened))
        };
        self.opened().is_some_and(|opened| !own(opened))
    }

    /// The remark on work that is still open, as long as nothing else was signed for it since.
    pub fn remark(&self) -> Option<&'a Entry> {
        let last = self.history.last().copied();
        last.filter(|last| last.act == Act::Noted && self.state() != State::Checked)
    }

    /// Whether anything stands that could be taken back.
    pub fn is_signed(&self) -> bool {
        let signed = |row: &RowStanding<'_>| !row.done.is_empty() || row.checked.is_some();
        !self.values.is_empty() || self.rows.iter().any(signed)
    }

    pub(super) fn open(&mut self, row: Option<&str>, why: &Opened<'a>) {
        for standing in &mut self.rows {
            if row.is_some_and(|row| row != standing.row.id) {
                continue;
            }
            for asked in &standing.row.asks {
                self.values.remove(asked.name.as_str());
            }
            standing.done.clear();
            standing.checked = None;
            standing.opened = Some(why.clone());
        }
    }

    /// Whether an act begins the next round of a task that comes again.
    pub(super) fn begins_again(&self, act: Act) -> bool {
        self.task.comes_again() && act != Act::Checked && self.checked().is_some()
    }

    /// Takes an entry that says that something was done, measured or checked.
    pub(super) fn apply(&mut self, entry: &'a Entry) {
        if self.begins_again(entry.act)
            && let Some(checked) = self.checked()
        {
            self.rounds.push((self.done(), checked));
            for row in &mut self.rows {
                row.done.clear();
                row.checked = None;
            }
            self.values.clear();
        }
        for (name, value) in &entry.values {
            self.values.insert(name, (value.clone(), entry));
        }
        for row in self.rows.iter_mut().filter(|row| entry.names(&row.row.id)) {
            match entry.act {
                Act::Done => {
                    row.opened = None;
                    row.done.push(entry);
                }
                Act::Checked => row.checked = Some(entry),
                _ => {}
            }
        }
    }

    /// The number of the entry that gave a value that stands; what put it right since counts with that.
    pub(super) fn given_by(&self, name: &str) -> Option<u64> {
        let (_, from) = self.values.get(name)?;
        match from.act {
            Act::Corrected => from.entry,
            _ => Some(from.number),
        }
    }

    /// Puts a value right where it still comes from the entry that was wrong, or from one that put that right before; its row is checked
    /// again.
    pub(super) fn correct(&mut self, entry: &'a Entry) {
        for (name, value) in &entry.values {
            if self.given_by(name) != entry.entry {
                continue;
            }
            self.values.insert(name, (value.clone(), entry));
            let asks =
                |row: &&mut RowStanding<'_>| row.row.asks.iter().any(|one| one.name == *name);
            for row in self.rows.iter_mut().filter(asks) {
                if row.checked.take().is_some() {
                    row.opened = Some(Opened {
                        by: Some(entry),
                        why: format!("`{name}` was put right"),
                    });
                }
            }
        }
    }
}
