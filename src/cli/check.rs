//! `check`: every problem of job files and rule sets at once.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use super::args::CheckArgs;
use super::{End, complain, fail, output};
use crate::assess::Depth;
use crate::crew;
use crate::desk::begin::{From, Wish, begin};
use crate::desk::file;
use crate::desk::fill::missing;
use crate::desk::load::{DEMO, DEMO_SURVEY, Loaded, RulesArgs, read_twice};
use crate::form;
use crate::lint;
use crate::pipeline;
use crate::quantity::Units;
use crate::report::{Code, Place, Problem, Severity, numbered};
use crate::rules::{self, Files, Rules, builtin, pattern};

/// Links of which is said what of them is still to be measured.
const LISTED: usize = 12;

pub(super) fn run(args: &CheckArgs) -> End {
    if let Some(message) = read_twice(&args.files) {
        return fail(message);
    }
    let mut loaded = Loaded::default();
    let (folders, mut jobs): (Vec<PathBuf>, Vec<PathBuf>) =
        args.files.iter().cloned().partition(|path| path.is_dir());
    let mut rules = args.rules.clone();
    for folder in folders {
        let (found, only) = loaded.jobs_in(&folder);
        jobs.extend(found);
        if !only {
            rules.rules.push(folder);
        }
    }
    let checked = match loaded.rule_files(&rules) {
        Some(files) => everything(&mut loaded, &files, &rules, &jobs),
        None => Checked::default(),
    };
    let end = complain(&loaded);
    output::complain(&checked.missing);
    if end == End::Done {
        let found = match loaded.report.count(Severity::Warning) {
            0 => "no problem found".to_owned(),
            count => numbered(count, "warning"),
        };
        let files = numbered(checked.files, "file");
        output::complain(&format!("{files} checked, {found}\n"));
        output::complain(&loaded.laid_over);
    }
    end
}

#[derive(Default)]
struct Checked {
    files: usize,
    /// What is still to be measured for the jobs.
    missing: String,
}

/// Checks the jobs, and the rules where they are the user's or nothing else was named.
fn everything(loaded: &mut Loaded, files: &Files, args: &RulesArgs, jobs: &[PathBuf]) -> Checked {
    let mut checked = Checked::default();
    let mut all = None;
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
                begun(&id, files, loaded);
            }
        }
        checked.files += files.count();
        all = Some(rules);
    }
    let jobs = jobs.iter().map(|path| (Some(path.as_path()), DEMO));
    let demos = [(None, DEMO), (None, DEMO_SURVEY)];
    let only_ours = args.rules.is_empty() && checked.files > 0;
    let demos = demos.into_iter().filter(|_| only_ours);
    for (path, demo) in jobs.chain(demos) {
        let missing = job(loaded, (path, demo), (files, all.as_ref()));
        checked.missing += &path.zip(missing).map_or_else(String::new, said);
        checked.files += 1;
    }
    loaded.show_builtin();
    checked
}

/// Begins a job from a pattern of the user's as `new` would, and reports what refuses that at the pattern.
fn begun(id: &str, files: &Files, loaded: &mut Loaded) {
    let path = format!("patterns/{id}.yaml");
    let Some((source, false)) = files.get(&path) else {
        return;
    };
    if loaded.report.has_errors() {
        return;
    }
    let wish = Wish {
        name: id.to_owned(),
        from: From::Pattern(id.to_owned()),
        words: Vec::new(),
        add: Vec::new(),
        without: Vec::new(),
    };
    for refused in begin(&wish, files, loaded).err().into_iter().flatten() {
        let message = format!("no job can be begun from it: {refused}");
        let problem =
            Problem::error(Code::BadRule, message).at(Place::at(Path::new(source.name())));
        loaded.report.push(problem.help("mend that in the pattern"));
    }
}

/// What of the user's lies over ours, a line each; a file in the place of one of ours, or a new one, and each value. Of a file of the
/// procedure it is said which of our tasks are not done any more.
fn laid_over(rules: &Rules) -> String {
    let mut text = String::new();
    for path in &rules.files_laid_over {
        let ours = builtin::file(path).is_some();
        let how = match (path.as_str(), ours) {
            (rules::SETTINGS, _) => continue,
            (_, true) => "laid over ours",
            (_, false) => "new",
        };
        let _ = write!(text, "{path}: {how}");
        let gone = rules.no_longer_done(path);
        if !gone.is_empty() {
            let _ = write!(text, "; no longer done: {}", gone.join(", "));
        }
        text.push('\n');
    }
    for laid in &rules.laid_over {
        let _ = writeln!(text, "{}", laid.print(Units::Metric));
    }
    text
}

/// Takes one job through the whole pipeline, so that everything wrong with it shows; gives what of it is still to be measured, by link. Rules
/// that were read as a whole are not read again for it.
fn job(
    loaded: &mut Loaded,
    (path, demo): (Option<&Path>, &str),
    (files, all): (&Files, Option<&Rules>),
) -> Option<Vec<(String, Vec<String>)>> {
    let job = loaded.job(path, demo)?;
    let own = all.is_none().then(|| loaded.rules_for(&job, files));
    let job = (&job, all.or(own.as_ref())?);
    let found = pipeline::run_to(Depth::Words, job, &mut loaded.report, |made| {
        (missing(&made), crew::longer_than_a_day(&made))
    });
    let (missing, long) = found?;
    loaded.report.extend(long);
    Some(missing)
}

/// What is still to be measured for a job, in a few lines.
pub(super) fn said((path, missing): (&Path, Vec<(String, Vec<String>)>)) -> String {
    let count: usize = missing.iter().map(|(_, labels)| labels.len()).sum();
    if count == 0 {
        return String::new();
    }
    let file = file::shown(path);
    let mut lines = vec![format!(
        "{file}: {} still to be measured; `liftsheet survey {file}` says how, and what each decides",
        numbered(count, "value")
    )];
    let listed = missing.iter().take(LISTED);
    lines.extend(listed.map(|(id, labels)| format!("  {id}: {}", labels.join(", "))));
    if missing.len() > LISTED {
        lines.push(format!("  and more on {} others", missing.len() - LISTED));
    }
    lines.push(String::new());
    lines.join("\n")
}
