//! Integration tests: one binary, its contents one subject a line. Wherever it can be, a test runs the real program.
//!
//! - `calc`: the trade's arithmetic against published figures, other code, and its own promises.
//! - `errors`: deliberate mistakes, one a file below `cases/errors`, and the whole of what is said of each.
//! - `hostile`: files made to do harm.
//! - `support`: running the program, writing job files, reading plans, geometry worked out anew.

mod calc;
mod errors;
mod hostile;
mod support;
