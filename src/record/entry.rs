//! One line of the record: who signed what for which task. What fixes it is left to [`crate::chain`].

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use clap::ValueEnum;
use serde::{Deserialize, Serialize};
use strum::IntoStaticStr;

use super::binding::{Binding, JobChange};
use super::value::{Entered, Photo};
use crate::chain::{Chain, Chained, Flaw, Tied, Time};
use crate::people::PIN;

/// What an entry says, in the words of the command line.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
#[derive(Deserialize, IntoStaticStr, Serialize, ValueEnum)]
#[serde(rename_all = "lowercase")]
#[strum(serialize_all = "lowercase")]
pub enum Act {
    /// The record is begun, and bound to one vehicle
    #[value(skip)]
    Bound,
    /// The work is done
    Done,
    /// Something was measured
    Measured,
    /// A supervisor who never did it has checked it
    Checked,
    /// A supervisor refuses it; what rests on it falls open, too
    Rejected,
    /// A supervisor opens it again, and what rests on it
    Reopened,
    /// A value, odometer or time of an entry is put right: by a supervisor, or by its author before it is checked
    Corrected,
    /// Whoever signed it takes it back, while nothing rests on it
    Withdrawn,
    /// A remark
    #[default]
    Noted,
    /// What the job file, the rules or the program say otherwise than was signed for
    Changed,
    /// A supervisor: it is the same vehicle under another identification or job name
    Identified,
    /// A supervisor takes over a record that an earlier program began
    Adopted,
}

impl Act {
    /// The word on the command line, in the record and on pages.
    pub fn word(self) -> &'static str {
        self.into()
    }

    /// Whether it is about the record as a whole and names no task.
    pub fn is_of_record(self) -> bool {
        matches!(
            self,
            Self::Bound | Self::Adopted | Self::Identified | Self::Changed
        )
    }
}

/// A record whose every line is as it was written.
pub type Record = Chain<Entry>;

/// One line of the record. By itself it says nothing: a remark without words.
#[derive(Debug, Default, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// What it says.
    pub act: Act,
    /// When it was done, where somebody says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Time>,
    /// SHA-256 of the line before.
    pub before: String,
    /// What binds the record from here on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub binds: Option<Box<Binding>>,
    /// What the job file gives otherwise than it did.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changes: Vec<JobChange>,
    /// The number of the entry that is corrected or taken back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub entry: Option<u64>,
    /// What fell open by it, each with why: tasks by their id, rows as `task:row`.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub fell: BTreeMap<String, String>,
    /// How the person was known; none in a record that was begun before this was written down, where it was [`crate::people::SAID`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub how: Option<String>,
    /// The public key by which the machine signs from here on, where it is another one than before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub key: Option<String>,
    /// What the machine signed of this line, where the person was known by the PIN.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine: Option<String>,
    /// The person's name.
    pub name: String,
    /// A remark, or the reason.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Its number; the first is 1. It is the order of the entries, whatever their times say.
    pub number: u64,
    /// The odometer, km.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub odometer: Option<f64>,
    /// The random number of the form that it came by, so that the form counts once however often it is sent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub once: Option<String>,
    /// The tasks that fell open with a rejected one, in a record that was begun before `fell` was written.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub opens: Vec<String>,
    /// The digests of the task's parts, to say what changed when it does.
    pub parts: BTreeMap<String, String>,
    /// The person's id in the job file.
    pub person: String,
    /// Photographs that stand for no value of their own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<Photo>,
    /// The digest of the plan that was signed.
    pub plan: String,
    /// As what the person signs.
    pub role: String,
    /// The rows of the task; all of them when it names none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rows: Vec<String>,
    /// SHA-256 of this line without its seal.
    pub seal: String,
    /// The task; empty where the record as a whole is meant.
    pub task: String,
    /// The digest of the task that was signed.
    pub task_digest: String,
    /// When it was recorded, by the machine's clock.
    pub time: Time,
    /// What was written down, by the evidence's name.
    pub values: BTreeMap<String, Entered>,
    /// The torque wrench.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wrench: Option<String>,
}

impl Record {
    /// The binding that holds, with the entry that says so; none for a record that was begun before there were any.
    pub fn bound(&self) -> Option<(&Binding, &Entry)> {
        let mut bound = self.entries.iter().rev();
        bound.find_map(|entry| entry.binds.as_deref().map(|binding| (binding, &**entry)))
    }
}

impl Chained for Entry {
    const AFTER_SEAL: &'static str = "task";

    fn tied(&self) -> Tied<'_> {
        Tied {
            number: self.number,
            before: &self.before,
            key: self.key.as_deref(),
            machine: self.machine.as_deref(),
        }
    }

    fn tie(&mut self, number: u64, before: &str) {
        self.number = number;
        before.clone_into(&mut self.before);
    }

    fn seal(&mut self, seal: String) {
        self.seal = seal;
    }

    fn sign(&mut self, signature: String) {
        self.machine = Some(signature);
    }

    fn must_be_signed(&self, _keyed: bool) -> bool {
        self.is_proved()
    }

    fn may_change_key(&self) -> bool {
        self.act == Act::Adopted
    }

    /// Whoever gave a PIN once gives it always.
    fn impossible(lines: &[Arc<Self>]) -> Option<(usize, Flaw)> {
        let mut proved = BTreeSet::new();
        for (entry, number) in lines.iter().zip(1..) {
            if entry.is_proved() {
                proved.insert(&entry.person);
            } else if proved.contains(&entry.person) {
                return Some((number, Flaw::Unproved));
            }
        }
        None
    }
}

impl Entry {
    /// Whether its person was known by the PIN.
    pub fn is_proved(&self) -> bool {
        self.how.as_deref() == Some(PIN)
    }

    /// Whether it is about a row of its task.
    pub fn names(&self, row: &str) -> bool {
        self.rows.is_empty() || self.rows.iter().any(|own| own == row)
    }
}
