//! Bytes → a rule file of each kind, laid over the built-in rules → read, checked and used on the demo: no panic, no hang.
//!
//! The first byte chooses the kind of file.
#![no_main]

use std::collections::BTreeMap;

use libfuzzer_sys::fuzz_target;
use liftsheet::document::{self, Look};
use liftsheet::report::Report;
use liftsheet::rules::{self, Files, Wanted, builtin, pattern};
use liftsheet::source::Source;
use liftsheet::{form, job, lint, pipeline};

/// One file of each kind that the demo uses, or that is read for itself.
const KINDS: [&str; 6] = [
    "connections/fuel-filler-hose.yaml",
    "consequences/centre-of-mass.yaml",
    "limits/california.yaml",
    "patterns/dual-cab.yaml",
    "procedure/40-raise.yaml",
    "settings.yaml",
];

fuzz_target!(|bytes: &[u8]| {
    let Some((kind, bytes)) = bytes.split_first() else {
        return;
    };
    let path = KINDS[usize::from(*kind) % KINDS.len()];
    let Ok(source) = Source::from_bytes(path, bytes.to_vec()) else {
        return;
    };
    let files = Files::overlaid(BTreeMap::from([(path.to_owned(), source)]), true);
    let mut report = Report::new();
    if path.starts_with("patterns/") {
        if let Some(pattern) = pattern::load(&files, "dual-cab", &mut report) {
            form::rehearse(&pattern, &mut report);
        }
        return;
    }
    let demo = builtin::file("demo/forestry-crew.yaml").expect("the demo is there");
    let demo = job::read(&demo, true, &mut report).expect("the demo is sound");
    let links = demo.links.values().map(|link| link.class.as_str());
    let mounts = demo.mounts.values().map(|mount| mount.class.as_str());
    let wanted = Wanted {
        classes: links.chain(mounts).collect(),
        regions: demo.region.as_deref().into_iter().collect(),
    };
    let rules = rules::load(&files, &wanted, &mut report);
    if !report.has_errors() {
        lint::lint(&rules, &mut report);
    }
    pipeline::run(&demo, &rules, &mut report, |made| {
        // A text of the rules may fail to render: that is an answer.
        let _ = document::sheet(&made, Look::default());
    });
});
