//! Integration tests: one binary, its contents one subject a line. Wherever it can be, a test runs the real program.
//!
//! - `calc`: the trade's arithmetic against published figures, other code, and its own promises.
//! - `calc_command`: `calc` on the command line.
//! - `cut`: which links a body lift pulls apart.
//! - `errors`: deliberate mistakes, one a file below `cases/errors`, and the whole of what is said of each.
//! - `explain`: every code explained.
//! - `hostile`: files made to do harm.
//! - `plan`: the order of work, access, refits, hold points.
//! - `properties`: promises that hold for every vehicle.
//! - `support`: running the program, writing job files, reading plans, geometry worked out anew.
//! - `tolerance`: verdicts at the worst corner, and what to measure again.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::float_cmp,
    reason = "clippy takes the functions that tests share for code outside tests"
)]

mod calc;
mod calc_command;
mod cut;
mod errors;
mod explain;
mod hostile;
mod plan;
mod properties;
mod support;
mod tolerance;
