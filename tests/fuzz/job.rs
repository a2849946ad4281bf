//! Bytes → a job file → the plan and its page: no panic, no hang, whatever stands in the file.
#![no_main]

use std::hint::black_box;
use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;
use liftsheet::document::{self, Look};
use liftsheet::job;
use liftsheet::pipeline;
use liftsheet::report::{self, Report};
use liftsheet::rules::{self, Files, Rules, Wanted};
use liftsheet::source::{Source, Sources};

/// The built-in rules, read once: what varies is the job.
fn shipped() -> &'static Rules {
    static RULES: OnceLock<Rules> = OnceLock::new();
    RULES.get_or_init(|| {
        let files = Files::builtin();
        let (classes, regions) = (files.class_ids(), files.ids("limits"));
        let wanted = Wanted {
            classes: classes.iter().map(String::as_str).collect(),
            regions: regions.iter().map(String::as_str).collect(),
        };
        rules::load(&files, &wanted, &mut Report::new())
    })
}

fuzz_target!(|bytes: &[u8]| {
    let Ok(source) = Source::from_bytes("job.yaml", bytes.to_vec()) else {
        return;
    };
    let mut report = Report::new();
    if let Some(job) = job::read(&source, false, &mut report) {
        let made = pipeline::run(&job, shipped(), &mut report, |made| {
            black_box(made.json());
            let page = document::sheet(&made, Look::default()).expect("the template is sound");
            document::html(&page, Look::default()).expect("the shell is sound");
        });
        assert!(
            made.is_some() || report.has_errors(),
            "nothing made, and nobody knows why"
        );
    }
    let mut sources = Sources::default();
    sources.add(source);
    let said = report::render(&report, &sources, report::Look::default());
    assert!(
        !said.contains('\u{1b}'),
        "an escape sequence reaches the terminal"
    );
});
