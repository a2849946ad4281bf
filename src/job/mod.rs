//! The job file: one vehicle, one lift, what was found and measured on it, and who works on it.
//!
//! Takes a [`Source`]; gives a checked [`Job`], or every problem of the file at once. What its measurements mean is
//! left to `assess`, which knows the rules.

mod check;
pub mod date;
mod last_time;
mod model;
pub(crate) mod written;

pub(crate) use check::{HIGHEST_SPACER, is_id, likeness};
pub(crate) use last_time::LastTime;
pub use model::Job;
pub(crate) use model::{
    Block, CHASSIS, Fixing, Hours, Lift, Link, LinkId, Measurements, Mount, Part, PartId, Person,
    Point, Raise, Role, Side, THINGS, Vehicle,
};
pub use written::Measured;

use crate::embedded;
use crate::report::Report;
use crate::source::{self, Read, Source};

/// Reads and checks a job file; every problem goes to the report. A job is given even when one of them is an error, as long as there
/// is something to look at: later stages then look for more problems and make nothing of it.
pub fn read(source: &Source, demo: bool, report: &mut Report) -> Option<Job> {
    let read = source::read::<written::Job>(source, report)?;
    Some(check::check(&read, source.name(), demo, report))
}

/// Checks the demo of that path below `rules/`; its values were read when the program was built.
pub(crate) fn read_demo(path: &str, source: &Source, report: &mut Report) -> Option<Job> {
    match embedded::values(path) {
        Some(values) => Some(check::check(
            &Read::whole(values),
            source.name(),
            true,
            report,
        )),
        None => read(source, true, report),
    }
}

/// A job file of this project, which is right.
#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails where it is not")]
pub(crate) fn of_this_project(path: &str) -> Job {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let source = Source::read(&path).unwrap();
    read(&source, true, &mut Report::new()).unwrap()
}
