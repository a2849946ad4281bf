//! Chained lines: a file of JSON objects, one a line, of which none can be changed, left out or put in unseen.
//!
//! Takes a kind of [`Chained`]; gives a [`Chain`] of them, read, verified and added to. The canonical form is one JSON object with sorted
//! keys, no white space, UTF-8, numbers as short as they read back the same; the line break is not part of it. The `seal` is the SHA-256 of
//! the line without its seal; `before` is the SHA-256 of the whole line before, zeros for the first. Where a `key` stands, the lines from
//! it on may carry what the machine signed of them: the line without seal and signature. What the lines say is left to whose they are.
//!
//! `lines` is whether a file is as it was written, `store` reads and appends under a lock, `time` points in time as lines have them,
//! `doubt` what the machine knows against lines that are whole in themselves.

mod doubt;
mod lines;
mod store;
mod time;

pub use crate::sha256::sha256;
pub use doubt::Doubt;
pub use lines::{Broken, Chain, Flaw, verify};
pub use store::{Appended, StoreError, append, aside, held, read};
pub use time::{NoTime, Time, Zone};

use std::sync::Arc;

use serde::Serialize;
use serde::de::DeserializeOwned;

/// What stands for the line before the first one.
pub const ZEROS: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// What stands for a key from where on no machine signs.
pub const NO_KEY: &str = "none";

/// What ties a line to those before it.
#[derive(Debug, Clone, Copy)]
pub struct Tied<'a> {
    /// Its number; the first is 1.
    pub number: u64,
    /// SHA-256 of the line before.
    pub before: &'a str,
    /// The public key by which this line and those behind it are signed, where it is another one than before.
    pub key: Option<&'a str>,
    /// What the machine signed of it.
    pub machine: Option<&'a str>,
}

/// A kind of line.
pub trait Chained: Serialize + DeserializeOwned + Clone {
    /// The name that follows `seal` in its canonical form, and nothing but it.
    const AFTER_SEAL: &'static str;

    /// What ties it to those before it.
    fn tied(&self) -> Tied<'_>;

    /// Ties it to those before it.
    fn tie(&mut self, number: u64, before: &str);

    /// Seals it.
    fn seal(&mut self, seal: String);

    /// Signs it.
    fn sign(&mut self, signature: String);

    /// Whether the machine must have signed it; `keyed` is whether there is a key.
    fn must_be_signed(&self, keyed: bool) -> bool;

    /// Whether it may put another key in the place of one.
    fn may_change_key(&self) -> bool;

    /// What else makes a line of whole lines impossible: its number in the file, and why.
    fn impossible(_lines: &[Arc<Self>]) -> Option<(usize, Flaw)> {
        None
    }

    /// The canonical line, without its line break: the fields of all that is written in one are declared in the order of their names.
    fn line(&self) -> String {
        // It is numbers, texts and maps with text keys: it can always be written.
        serde_json::to_string(self).unwrap_or_default()
    }

    /// The canonical line without its seal, and where asked without what the machine signed.
    fn bare(&self, signed: bool) -> String {
        let mut object = serde_json::to_value(self).unwrap_or_default();
        if let Some(fields) = object.as_object_mut() {
            fields.remove("seal");
            if !signed {
                fields.remove("machine");
            }
        }
        object.to_string()
    }
}
