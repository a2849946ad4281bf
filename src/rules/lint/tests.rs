//! The lint tried on small rule sets, and on the one that is shipped.

use crate::report::Report;
use crate::rules::{Files, load};

#[test]
fn shipped() {
    let files = Files::builtin();
    let ids = files.class_ids();
    let mut report = Report::new();
    let rules = load(&files, ids.iter().map(String::as_str), &mut report);
    for p in &report.problems {
        eprintln!("LOAD {p:?}");
    }
    let start = std::time::Instant::now();
    super::lint(&rules, &mut report);
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
}
