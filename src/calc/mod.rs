//! The trade's arithmetic: one pure function per subject, each in its own file, found by name in a registry.
//!
//! Takes inputs in canonical units, some with a tolerance; gives results, their bounds over the tolerance box, and
//! the working. Knows nothing of jobs or rules, and rounds nothing.
//!
//! - [`read_inputs`] reads inputs as a person types them;
//! - [`evaluate()`] checks a call and gives everything; [`results`] gives the plain results alone, for callers that ask often;
//! - [`to_json`] and [`to_text`] are what programs and people read.
//!
//! ```
//! use liftsheet::calc::{evaluate, find, read_inputs};
//! let gap = find("gap").unwrap();
//! let given = read_inputs(gap, &["gap=60 mm ±2", "direction=closes", "least_gap=20", "rise=2 in"]).unwrap();
//! let shortfall = evaluate(gap, &given).unwrap().number("shortfall").unwrap();
//! assert!((shortfall - 10.8).abs() < 1e-9);
//! ```

pub(crate) mod bounds;
mod check;
mod evaluate;
mod json;
pub(crate) mod points;
mod read;
mod spec;
mod tables;
mod take;
mod text;
mod value;
mod working;

mod bolt;
pub mod bolt_length;
mod bracket;
mod driveline;
mod duct;
pub mod fan;
mod gap;
pub mod ground;
pub mod jog;
mod lamp;
pub mod lever;
pub mod limit;
pub mod plane;
mod rod;
mod run;
pub mod shaft;
mod shank;
mod spacer;
pub mod span;
mod spigot;
mod stability;
mod stack;
pub mod strength;
pub mod thread;
pub mod tighten;
pub mod tilt;
pub mod tyre;

pub(crate) use evaluate::explained;
pub use evaluate::{Evaluation, evaluate, results, results_within};
pub(crate) use json::result as result_json;
pub use json::to_json;
pub use read::{read_input, read_inputs};
pub use spec::{
    Calculation, Formula, Found, InputKind, InputSpec, MOST_RISE, Need, Range, ResultSpec, Role,
    Spans, Turning, Window,
};
pub use text::to_text;
pub use value::{CalcError, Given, InputName, Inputs, Outcome, Results, Used, Value, WorkingStep};
pub(crate) use working::with_unit;

/// Every calculation by name.
const ALL: &[Calculation] = &[
    bolt::CALCULATION,
    bracket::CALCULATION,
    driveline::CALCULATION,
    duct::CALCULATION,
    fan::CALCULATION,
    gap::CALCULATION,
    ground::CALCULATION,
    jog::CALCULATION,
    lamp::CALCULATION,
    lever::CALCULATION,
    plane::CALCULATION,
    rod::CALCULATION,
    run::CALCULATION,
    shaft::CALCULATION,
    shank::CALCULATION,
    spacer::CALCULATION,
    spigot::CALCULATION,
    stability::CALCULATION,
    stack::CALCULATION,
    tilt::CALCULATION,
    tyre::CALCULATION,
];

/// Every calculation, sorted by name.
pub fn all() -> &'static [Calculation] {
    ALL
}

/// The calculation of that name, or none.
///
/// ```
/// use liftsheet::calc::find;
/// assert_eq!(find("lever").unwrap().name, "lever");
/// assert!(find("leaver").is_none());
/// ```
pub fn find(name: &str) -> Option<&'static Calculation> {
    let index = ALL.binary_search_by(|calc| calc.name.cmp(name)).ok()?;
    ALL.get(index)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_within_a_calculation() {
        for calc in all() {
            let mut names: Vec<&str> = calc.inputs.iter().map(|spec| spec.name).collect();
            names.extend(calc.results.iter().map(|spec| spec.name));
            let count = names.len();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), count, "{}", calc.name);
        }
    }
}
