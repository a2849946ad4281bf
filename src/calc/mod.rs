//! The trade's arithmetic: one pure function per subject, each in its own file, found by name in a registry.
//!
//! Takes inputs in canonical units, some with a tolerance; gives results, their bounds over the tolerance box, and
//! the working. Knows nothing of jobs or rules, rounds nothing and prints nothing.

mod error;
mod spec;
mod value;

pub use error::CalcError;
pub use spec::{Calculation, Found, InputSpec, Kind, Need, Range, ResultSpec, Turning};
pub use value::{Evaluation, Given, Inputs, Outcome, Step, Value};
