//! What is done with files on disk, whoever asks for it: the command line and the workshop's page read, fill in and sign in the same ways.
//!
//! `load` reads job files and rules, `open` a record with all that it stands on, `photo` photographs. `begin` makes the text of a new job
//! file, `fill` writes values into one, `sign` entries into a record, `staff` the folder's people into a job; `trust` is what speaks against
//! a record; `file` is how a file comes to be there whole. What is said of it, and where, is left to whoever asks.

pub(crate) mod begin;
pub(crate) mod file;
pub(crate) mod fill;
pub(crate) mod load;
pub(crate) mod open;
pub(crate) mod photo;
pub(crate) mod sign;
pub(crate) mod staff;
mod trust;
