//! Integration tests: one binary, its contents one subject a line. Wherever it can be, a test runs the real program.
//!
//! - `calc`: the trade's arithmetic against published figures, other code, and its own promises.
//! - `calc_command`: `calc` on the command line.
//! - `classes`: every class of connection by its cases, one file a class below `cases/classes`.
//! - `cut`: which links a body lift pulls apart.
//! - `documents`: pages, whole and in part; text typed by people as text.
//! - `crew`: who does what when; published networks, and promises that hold for every schedule.
//! - `errors`: deliberate mistakes, one a file below `cases/errors`, and the whole of what is said of each.
//! - `explain`: every code explained.
//! - `guide`: the README does what it says.
//! - `hostile`: files made to do harm.
//! - `jobs`: whole invented jobs below `cases/jobs`.
//! - `limits`: local limits, each figure with where it was read.
//! - `new`: job files from patterns.
//! - `plan`: the order of work, access, refits, hold points.
//! - `properties`: promises that hold for every vehicle.
//! - `record`: who may sign what, what stands, and that nobody can quietly change it.
//! - `support`: running the program, writing job files, reading plans, geometry worked out anew.
//! - `tolerance`: verdicts at the worst corner, and what to measure again.

// A test fails by panicking, also in what the tests share.
#![allow(
    clippy::expect_used,
    clippy::float_cmp,
    clippy::format_push_string,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::unwrap_used
)]

mod calc;
mod calc_command;
mod classes;
mod crew;
mod cut;
mod documents;
mod errors;
mod explain;
mod guide;
mod hostile;
mod jobs;
mod limits;
mod new;
mod plan;
mod properties;
mod record;
mod support;
mod tolerance;
