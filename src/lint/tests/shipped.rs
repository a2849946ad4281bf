//! The rule set that is shipped.

use crate::report::{Problem, Report, Severity};
use crate::rules::{Files, Wanted, load};

#[test]
fn the_shipped_rules_have_no_error() {
    let files = Files::builtin();
    let (ids, regions) = (files.class_ids(), files.ids("limits"));
    let wanted = Wanted {
        classes: ids.iter().map(String::as_str).collect(),
        regions: regions.iter().map(String::as_str).collect(),
    };
    let mut report = Report::new();
    let rules = load(&files, &wanted, &mut report);
    crate::lint::lint(&rules, &mut report);
    let errors = report.problems.iter();
    let errors: Vec<&Problem> = errors
        .filter(|problem| problem.severity == Severity::Error)
        .collect();
    assert!(errors.is_empty(), "{errors:#?}");
    assert!(rules.classes.len() > 40, "only some classes were looked at");
}
