//! The signed record: what may be signed by whom and when, what stands, and that nobody can quietly change it.
//!
//! - `acts`: signing, refusing, reopening, and what stands afterwards.
//! - `broken`: writers that are cut off, full disks, tampering, and verifying without the program.
//! - `desk`: a small job, the people who sign on it, and their signatures.
//! - `many`: many writers at once, and writers killed at any moment.
//! - `refused`: every refusal with its own code, and the whole of what is said.
//! - `sheet`: the account, the signed sheet and its JSON.
//! - `whole`: the demo signed from its first task to its last.

mod acts;
mod broken;
mod desk;
mod many;
pub(crate) mod refused;
mod sheet;
pub(crate) mod whole;
