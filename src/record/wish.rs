//! What somebody wants to sign, as it was typed.

use std::collections::BTreeMap;

use super::entry::Act;
use super::value::Photo;
use crate::chain::Time;
use crate::people::Proof;

/// What somebody wants to sign.
#[derive(Debug, Default, Clone)]
pub struct Wish {
    /// What is signed.
    pub act: Act,
    /// The tasks, as typed: ids, printed numbers, ranges, rows.
    pub tasks: Vec<String>,
    /// The four characters of the sheet that the numbers are from.
    pub sheet: Option<String>,
    /// The person's id.
    pub by: String,
    /// Who gave a PIN, by id.
    pub proofs: BTreeMap<String, Proof>,
    /// Values by name, as typed.
    pub values: Vec<(String, String)>,
    /// Whether everything that is asked with yes or no is so.
    pub ticks: bool,
    /// Photographs, by the name of what asks for them.
    pub photos: Vec<(Option<String>, Photo)>,
    /// A remark, or the reason.
    pub note: Option<String>,
    /// The odometer, as typed; km without a unit.
    pub odometer: Option<String>,
    /// The torque wrench.
    pub wrench: Option<String>,
    /// The entry that is put right or taken back.
    pub entry: Option<u64>,
    /// The random number of the form that it comes by. A form counts once, and work that is signed as done by now is not signed once more:
    /// whoever sends it may not have seen that.
    pub once: Option<String>,
    /// Whether folders of rules are given, be they empty: nobody leaves out by a slip what lay over before.
    pub rules_given: bool,
    /// When it was done, where somebody says so.
    pub at: Option<Time>,
    /// The time now.
    pub now: Time,
    /// A number that no other record has, for a record that is begun.
    pub id: String,
}

impl Wish {
    /// A wish with nothing but what it cannot be without.
    pub fn new(act: Act, by: &str, now: Time) -> Self {
        Self {
            act,
            by: by.to_owned(),
            now,
            ..Self::default()
        }
    }

    /// The remark, where it is more than space.
    pub(super) fn said(&self) -> Option<String> {
        self.note.clone().filter(|note| !note.trim().is_empty())
    }
}
