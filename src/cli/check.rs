//! `check`: every problem of job files and rule sets at once.

use std::path::Path;

use super::args::CheckArgs;
use super::load::{DEMO, DEMO_SURVEY, Loaded};
use super::{End, complain, output};
use crate::pipeline;
use crate::report::{Severity, numbered};
use crate::rules::{Files, lint};

pub(super) fn run(args: &CheckArgs) -> End {
    let mut loaded = Loaded::default();
    let files = loaded.rule_files(&args.rules);
    let mut checked = 0;
    if let Some(files) = &files {
        if args.files.is_empty() || !args.rules.rules.is_empty() {
            let rules = loaded.all_rules(files);
            if !loaded.report.has_errors() {
                lint::lint(&rules, &mut loaded.report);
            }
            loaded.show_builtin();
            checked += rules.classes.len() + 1;
        }
        let jobs = args.files.iter().map(|path| (Some(path.as_path()), DEMO));
        let demos = [(None, DEMO), (None, DEMO_SURVEY)]
            .into_iter()
            .filter(|_| args.files.is_empty());
        for (path, demo) in jobs.chain(demos) {
            job(&mut loaded, path, demo, files);
            checked += 1;
        }
    }
    let end = complain(&loaded);
    if end == End::Done {
        let warnings = loaded.report.count(Severity::Warning);
        let found = match warnings {
            0 => "no problem found".to_owned(),
            count => numbered(count, "warning"),
        };
        output::complain(&format!("{} checked, {found}\n", numbered(checked, "file")));
    }
    end
}

/// Takes one job through the whole pipeline, so that everything wrong with it shows.
fn job(loaded: &mut Loaded, path: Option<&Path>, demo: &str, files: &Files) {
    let Some(job) = loaded.job(path, demo) else {
        return;
    };
    let rules = loaded.rules_for(&job, files);
    pipeline::run(&job, &rules, &mut loaded.report, |_| ());
}
