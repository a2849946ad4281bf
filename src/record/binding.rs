//! What binds a record to one vehicle: whose it is, who may do what, and which plan is signed on.
//!
//! The first entry of a record carries a [`Binding`], and so does every later one that says that something of it is otherwise now. The
//! last of them holds. What the job file and the plan said is kept beside the record under its SHA-256, which stands here.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use crate::job::{Job, Role};
use crate::people::Workshop;
use crate::sorted::Sorted as _;

/// Whose record it is, who may do what, and which plan is signed on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Binding {
    /// The record's own random id; the same in all of its bindings.
    pub id: String,
    /// Number plate or identification number of the vehicle.
    pub identification: String,
    /// What the workshop calls the job.
    pub job: String,
    /// SHA-256 of the job file as it is kept.
    pub kept_job: String,
    /// SHA-256 of the plan as it is kept.
    pub kept_plan: String,
    /// What the workshop laid over the program's rules: its files, and settings with their values.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub laid_over: Vec<String>,
    /// Who may do what, by id.
    pub people: BTreeMap<String, Who>,
    /// The digest of the plan.
    pub plan: String,
    /// The program's version.
    pub program: String,
    /// The digest of all rules in effect, the program's and the workshop's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<String>,
    /// The digest of the workshop's own rules; none where only the program's hold.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rules: Option<String>,
    /// What the vehicle is called.
    pub vehicle: String,
    /// The number of the workshop whose people they are; none where they are the job file's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub workshop: Option<String>,
    /// The time zone of the workshop.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<String>,
}

/// What a person may do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Who {
    /// The licences held.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub licences: Vec<String>,
    /// The name on the pages.
    pub name: String,
    /// What the person signs as.
    pub roles: Vec<String>,
}

impl Who {
    fn of(name: &str, roles: &BTreeSet<Role>, licences: &BTreeSet<String>) -> Self {
        Self {
            name: name.to_owned(),
            roles: roles.iter().map(|role| role.word().to_owned()).collect(),
            licences: licences.iter().cloned().collect(),
        }
    }

    /// Whether the person has a role.
    pub fn is(&self, role: Role) -> bool {
        self.roles.iter().any(|own| own == role.word())
    }

    /// Whether the person holds a licence.
    pub fn holds(&self, licence: &str) -> bool {
        self.licences.iter().any(|own| own == licence)
    }
}

/// Who may do what by a job file.
pub fn people(job: &Job) -> BTreeMap<String, Who> {
    let people = job.people.iter().map(|(id, own)| {
        let who = Who::of(&own.name, &own.roles, &own.licences);
        (id.clone(), who)
    });
    people.sorted_map()
}

/// Who may do what by a workshop's own record.
pub fn people_of(workshop: &Workshop) -> BTreeMap<String, Who> {
    let people = workshop.people.iter().map(|(id, own)| {
        let who = Who::of(&own.name, &own.roles, &own.licences);
        (id.clone(), who)
    });
    people.sorted_map()
}

/// A value that the job file gives otherwise than it did.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JobChange {
    /// What it is; none for one that is there no longer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<String>,
    /// What it was; none for a value that was not there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before: Option<String>,
    /// Its place in the job file: `links.hose.measured.slack`.
    pub place: String,
}
