//! A workshop's people: who joins and may do what, what a PIN proves, what cannot be forged with the folder alone, what is lost and found.

mod forged;
mod joins;
mod known;
mod lost;
mod pins;
mod shop;

/// The kept texts of this file's cases.
pub(crate) const NAMES: &[&str] = &[
    "keys-not-kept",
    "other-key",
    "people-changed",
    "pin-lost",
    "pin-needed",
    "pin-wait",
    "record-cut-short",
    "weak-pin",
    "wrong-pin",
];
