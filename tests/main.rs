//! Integration tests.
//!
//! - `calc`: the trade's arithmetic against published figures, other code, and its own promises.

mod calc;
