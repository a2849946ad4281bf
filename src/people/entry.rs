//! One line of the record of the people: who joined, left, may do what, has a PIN, or gave a wrong one.

use serde::{Deserialize, Serialize};

use crate::chain::{Chained, Tied, Time};

/// What an entry says.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Act {
    /// Somebody joined the workshop, or came back.
    Joined,
    /// What somebody may sign as.
    Role,
    /// Which licences somebody holds.
    Licence,
    /// Somebody has a PIN, or another one.
    PinSet,
    /// A second person gave somebody another PIN.
    PinReset,
    /// Somebody left.
    Left,
    /// A wrong PIN was given.
    #[default]
    Failed,
    /// A supervisor goes on with a record that lost lines, or with another secret: then no PIN counts that was set before.
    Adopted,
}

/// One line of the record of the people. By itself it is a wrong PIN, which changes nobody.
#[derive(Debug, Default, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// What it says.
    pub act: Act,
    /// SHA-256 of the line before.
    pub before: String,
    /// Who did it, by id; none for the first person, and where nobody can be asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// The device at which it was done, for a wrong PIN.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub device: Option<String>,
    /// How whoever did it was known: `pin` or `said`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub how: Option<String>,
    /// The public key by which the machine signs from here on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub key: Option<String>,
    /// All licences that the person holds from here on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub licences: Option<Vec<String>>,
    /// What the machine signed of this line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine: Option<String>,
    /// The person's name, where somebody joins.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The reason.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Its number; the first is 1.
    pub number: u64,
    /// Whom it is about, by id.
    pub person: String,
    /// SHA-256 of what is kept of the PIN.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pin: Option<String>,
    /// All that the person may sign as from here on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roles: Option<Vec<String>>,
    /// SHA-256 of this line without its seal.
    pub seal: String,
    /// When it was recorded, by the machine's clock.
    pub time: Time,
    /// The workshop's own random number; in the first line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub workshop: Option<String>,
}

impl Entry {
    /// An entry about somebody that says nothing more yet.
    pub(super) fn new(act: Act, person: &str, time: Time) -> Self {
        Self {
            act,
            person: person.to_owned(),
            time,
            ..Self::default()
        }
    }
}

impl Chained for Entry {
    const AFTER_SEAL: &'static str = "time";

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

    /// Once the machine signs the people's record, whoever has only the folder adds nothing to it.
    fn must_be_signed(&self, keyed: bool) -> bool {
        keyed
    }

    fn may_change_key(&self) -> bool {
        self.act == Act::Adopted
    }
}
