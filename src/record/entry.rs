//! One line of the record: who signed what for which task, and what fixes it.
//!
//! Takes an entry; gives its canonical line, and the entry again from a line. The canonical form is one JSON object with
//! sorted keys, no white space, UTF-8, numbers as short as they read back the same; the line break is not part of it. The
//! `seal` is the SHA-256 of the line without its seal; `before` is the SHA-256 of the whole line before, zeros for the first.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::time::Time;
use super::value::Value;

/// What stands for the line before the first one.
pub const ZEROS: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// What an entry says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Act {
    /// The work is done.
    Done,
    /// Something was measured.
    Measured,
    /// A supervisor who did not do it looked, and signs it off.
    Checked,
    /// A supervisor refuses the work; the task and everything signed after it fall open.
    Rejected,
    /// A supervisor opens a task again; what was signed after it stands.
    Reopened,
    /// A remark.
    Noted,
}

impl Act {
    /// The word on the command line, in the record and on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Done => "done",
            Self::Measured => "measured",
            Self::Checked => "checked",
            Self::Rejected => "rejected",
            Self::Reopened => "reopened",
            Self::Noted => "noted",
        }
    }
}

/// One line of the record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Its number; the first is 1.
    pub number: u64,
    /// When it was written.
    pub time: Time,
    /// When it was done, for a late entry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Time>,
    /// What it says.
    pub act: Act,
    /// The task.
    pub task: String,
    /// The person's id in the job file.
    pub person: String,
    /// The person's name.
    pub name: String,
    /// As what the person signs.
    pub role: String,
    /// What was written down, by the evidence's name.
    pub values: BTreeMap<String, Value>,
    /// A remark, or the reason.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The odometer, km.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub odometer: Option<f64>,
    /// The torque wrench.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wrench: Option<String>,
    /// The tasks that fell open with a rejected one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub opens: Vec<String>,
    /// The digest of the plan that was signed.
    pub plan: String,
    /// The digest of the task that was signed.
    pub task_digest: String,
    /// The digests of the task's parts, to say what changed when it does.
    pub parts: BTreeMap<String, String>,
    /// SHA-256 of the line before.
    pub before: String,
    /// SHA-256 of this line without its seal.
    pub seal: String,
}

impl Entry {
    /// The entry with its number, the digest of the line before, and its seal.
    #[must_use]
    pub(super) fn chained(mut self, number: u64, before: &str) -> Self {
        self.number = number;
        before.clone_into(&mut self.before);
        self.seal = self.own_seal();
        self
    }

    /// The canonical line, without its line break.
    #[must_use]
    pub fn line(&self) -> String {
        // An entry is numbers, texts and maps with text keys: it can always be written.
        let object = serde_json::to_value(self).unwrap_or_default();
        object.to_string()
    }

    /// The seal that the entry must have.
    #[must_use]
    pub(super) fn own_seal(&self) -> String {
        let mut object = serde_json::to_value(self).unwrap_or_default();
        if let Some(fields) = object.as_object_mut() {
            fields.remove("seal");
        }
        sha256(object.to_string().as_bytes())
    }

    /// When the work was done, as far as the record knows.
    #[must_use]
    pub fn when(&self) -> Time {
        self.at.unwrap_or(self.time)
    }
}

/// SHA-256 in hexadecimal, as `sha256sum` prints it.
#[must_use]
pub(super) fn sha256(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(64);
    for byte in Sha256::digest(bytes) {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text
}
