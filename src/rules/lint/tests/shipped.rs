//! The rule set that is shipped.

use crate::report::{Report, Severity};
use crate::rules::{Files, load};

#[test]
fn the_shipped_rules_have_no_error() {
    let files = Files::builtin();
    let ids = files.class_ids();
    let mut report = Report::new();
    let rules = load(&files, ids.iter().map(String::as_str), &mut report);
    let start = std::time::Instant::now();
    super::super::lint(&rules, &mut report);
    eprintln!(
        "TOOK {:?} for {} classes",
        start.elapsed(),
        rules.classes.len()
    );
    for p in &report.problems {
        let at =
            p.at.as_ref()
                .map(|a| format!("{}:{}", a.file, a.path))
                .unwrap_or_default();
        eprintln!(
            "{} [{}] {}\n    {}\n    {}",
            p.severity.as_str(),
            p.code,
            at,
            p.message,
            p.help.as_deref().unwrap_or("")
        );
    }
    let errors: Vec<_> = report
        .problems
        .iter()
        .filter(|problem| problem.severity == Severity::Error)
        .collect();
    assert!(errors.is_empty(), "{errors:#?}");
}
