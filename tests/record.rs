//! The signed record: what may be signed by whom and when, what stands, and that nobody can quietly change it.
//!
//! - `acts`: signing, refusing, reopening, and what stands afterwards.
//! - `again`: what is done again late, on what else it needs again, and what stands.
//! - `bound`: whose record it is, and what is kept beside it.
//! - `broken`: writers that are cut off, full disks, tampering, and verifying without the program.
//! - `desk`: a small job, the people who sign on it, and their signatures.
//! - `many`: many writers at once, and writers killed at any moment.
//! - `mended`: what was wrong put right, and who is independent through all of it.
//! - `photos`: photographs kept, asked for, and carried by the signed page.
//! - `quick`: numbers, tables, whose turn it is; and nobody hangs.
//! - `refused`: every refusal with its own code, and the whole of what is said.
//! - `sheet`: the account, the signed sheet and its JSON.
//! - `traces`: what was written down wrong stays wrong until it is answered, and visible afterwards.
//! - `undone`: what falls open, and that nothing is signed behind it.
//! - `walk`: thousands of acts held against a second, simple model of what must be open.
//! - `whole`: the demo signed from its first task to its last.

mod acts;
mod again;
mod bound;
mod broken;
pub(crate) mod desk;
mod many;
mod mended;
mod photos;
mod quick;
pub(crate) mod refused;
mod sheet;
mod traces;
mod undone;
mod walk;
pub(crate) mod whole;
