//! `check`: every problem of job files and rule sets at once.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use super::args::{CheckArgs, RulesArgs};
use super::load::{DEMO, DEMO_SURVEY, Loaded, read_twice};
use super::{End, complain, fail, output};
use crate::form;
use crate::pipeline;
use crate::quantity::Units;
use crate::report::{Severity, numbered};
use crate::rules::{self, Files, Rules, builtin, lint, pattern};

pub(super) fn run(args: &CheckArgs) -> End {
    if let Some(message) = read_twice(&args.files) {
        return fail(message);
    }
    let mut loaded = Loaded::default();
    let (folders, jobs): (Vec<PathBuf>, Vec<PathBuf>) =
        args.files.iter().cloned().partition(|path| path.is_dir());
    let mut rules = args.rules.clone();
    rules.rules.extend(folders);
    let checked = match loaded.rule_files(&rules) {
        Some(files) => everything(&mut loaded, &files, &rules, &jobs),
        None => 0,
    };
    let end = complain(&loaded);
    if end == End::Done {
        let found = match loaded.report.count(Severity::Warning) {
            0 => "no problem found".to_owned(),
            count => numbered(count, "warning"),
        };
        output::complain(&format!("{} checked, {found}\n", numbered(checked, "file")));
        output::complain(&loaded.laid_over);
    }
    end
}

/// Checks the jobs, and the rules where they are the user's or nothing else was named; gives how many files that was.
fn everything(loaded: &mut Loaded, files: &Files, args: &RulesArgs, jobs: &[PathBuf]) -> usize {
    let mut checked = 0;
    if jobs.is_empty() || !args.rules.is_empty() {
        let rules = loaded.all_rules(files);
        if !args.only_own_rules {
            loaded.laid_over = laid_over(&rules);
        }
        if !loaded.report.has_errors() {
            lint::lint(&rules, &mut loaded.report);
        }
        for id in pattern::ids(files) {
            if let Some(pattern) = pattern::load(files, &id, &mut loaded.report) {
                form::rehearse(&pattern, &mut loaded.report);
            }
        }
        checked += files.count();
    }
    let jobs = jobs.iter().map(|path| (Some(path.as_path()), DEMO));
    let demos = [(None, DEMO), (None, DEMO_SURVEY)];
    let only_ours = args.rules.is_empty() && checked > 0;
    let demos = demos.into_iter().filter(|_| only_ours);
    for (path, demo) in jobs.chain(demos) {
        job(loaded, path, demo, files);
        checked += 1;
    }
    loaded.show_builtin();
    checked
}

/// What of the user's lies over ours, a line each; a file in the place of one of ours, or a new one, and each value.
fn laid_over(rules: &Rules) -> String {
    let mut text = String::new();
    for path in &rules.files_laid_over {
        let ours = builtin::file(path).is_some();
        let how = match (path.as_str(), ours) {
            (rules::SETTINGS, _) => continue,
            (_, true) => "laid over ours",
            (_, false) => "new",
        };
        let _ = writeln!(text, "{path}: {how}");
    }
    for laid in &rules.laid_over {
        let (was, value) = (laid.was, laid.value);
        let units = Units::Metric;
        let _ = writeln!(
            text,
            "{}: {}, not {}",
            laid.setting,
            value.print(units),
            was.print(units)
        );
    }
    text
}

/// Takes one job through the whole pipeline, so that everything wrong with it shows.
fn job(loaded: &mut Loaded, path: Option<&Path>, demo: &str, files: &Files) {
    let Some(job) = loaded.job(path, demo) else {
        return;
    };
    let rules = loaded.rules_for(&job, files);
    pipeline::run(&job, &rules, &mut loaded.report, |_| ());
}
