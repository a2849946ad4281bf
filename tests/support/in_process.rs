//! The pipeline without a process, for promises that are tried on hundreds of vehicles: the shipped rules are read once.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use liftsheet::job;
use liftsheet::pipeline::{self, Made};
use liftsheet::report::Report;
use liftsheet::rules::{self, Files, Rules, Wanted};
use liftsheet::source::Source;

use super::run::case;

/// The shipped rules with every class, but for the mounts: theirs ask for much that takes long to judge, so simple ones stand in for them.
fn rules() -> &'static Rules {
    static RULES: OnceLock<Rules> = OnceLock::new();
    RULES.get_or_init(|| shipped_and_simple("body-mount"))
}

/// The shipped rules with every class, and the simple class of mounts under this name.
pub(crate) fn shipped_and_simple(mounts: &str) -> Rules {
    let simple = Source::read(&case("rules/small/connections/body-mount.yaml")).unwrap();
    let own = BTreeMap::from([(format!("connections/{mounts}.yaml"), simple)]);
    let files = Files::overlaid(own, true);
    let ids = files.class_ids();
    let mut report = Report::new();
    let wanted = Wanted::classes(ids.iter().map(String::as_str));
    let rules = rules::load(&files, &wanted, &mut report);
    assert_eq!(report.problems, [], "the shipped rules cannot be loaded");
    rules
}

/// What `then` makes of the plan of a job file.
#[track_caller]
pub(crate) fn made<T>(yaml: &str, then: impl FnOnce(Made<'_>) -> T) -> T {
    let mut report = Report::new();
    let source = Source::from_text("job.yaml", yaml);
    let job = job::read(&source, false, &mut report);
    let made = job.and_then(|job| pipeline::run(&job, rules(), &mut report, then));
    made.unwrap_or_else(|| panic!("{:?}\n{yaml}", report.problems))
}

/// The plan's JSON as text.
#[track_caller]
pub(crate) fn json(yaml: &str) -> String {
    made(yaml, |made| made.json().to_string())
}
