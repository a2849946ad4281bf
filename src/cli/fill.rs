//! `fill`: values into a job file, from the command line, a table or questions; what they come to is said at once.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use super::args::FillArgs;
use super::check;
use super::load::Loaded;
use super::{End, complain, desk, fail, output, print, questions};
use crate::document::{self, Wanted};
use crate::fill::{self, Change, Filled};
use crate::job;
use crate::pipeline::{self, Made};
use crate::quantity::Units;
use crate::report::{Code, Problem, Report, Severity, in_message};
use crate::rules::Files;
use crate::source::Source;

/// How often a file that others change is read again.
const TRIES: usize = 3;

pub(super) fn run(args: &FillArgs) -> End {
    if args.job == Path::new("-") {
        return fail("a job file is written into; give its name");
    }
    let nothing = args.values.is_empty() && args.from.is_none() && args.without.is_empty();
    if nothing {
        return questions::run(args);
    }
    let mut loaded = Loaded::default();
    let text = match filled(args, &mut loaded) {
        Ok(text) => text,
        Err(problems) => {
            return refused(args, loaded, problems);
        }
    };
    complain(&loaded).max(print(&text))
}

/// Says why nothing was written.
pub(super) fn refused(args: &FillArgs, mut loaded: Loaded, problems: Vec<Problem>) -> End {
    let placed = |problem: Problem| match problem.at {
        Some(_) => problem,
        None => problem.at(desk::place(&args.job)),
    };
    loaded.report.extend(problems.into_iter().map(placed));
    complain(&loaded).max(End::Open)
}

/// Everything that is asked for.
#[derive(Default)]
pub(super) struct Asked {
    pub(super) changes: Vec<Change>,
    pub(super) without: Vec<String>,
    pub(super) remarks: Vec<Change>,
}

/// What a job comes to: its problems, its verdicts by connection, what is still to be measured, and what stands in no file yet.
pub(super) struct Outcome {
    pub(super) report: Report,
    verdicts: BTreeMap<String, String>,
    missing: String,
    consequences: BTreeSet<String>,
    /// What is still to be measured, in walking order.
    pub(super) wanted: Vec<Wanted>,
}

/// Writes everything and says what it came to; nothing is written when something is wrong.
fn filled(args: &FillArgs, loaded: &mut Loaded) -> Result<String, Vec<Problem>> {
    let files = loaded.rule_files(&args.rules).ok_or_else(Vec::new)?;
    let asked = asked(args)?;
    let (done, before) = enter((&args.job, &files, args.dry_run), &asked, loaded)?;
    let mut text = told(&done, &before, &asked);
    let file = output::shown(&args.job);
    let how = if args.dry_run {
        "would be written"
    } else {
        "written"
    };
    text.push_str(&format!("{file} {how}\n"));
    // The whole list is what `survey` is for.
    if let Some(count) = done.after.missing.lines().next() {
        text.push_str(&format!("{count}\n"));
    }
    Ok(text)
}

/// Writes everything into the job file, or nothing; gives what the job came to, before and after.
pub(super) fn enter(
    (job, files, dry_run): (&Path, &Files, bool),
    asked: &Asked,
    loaded: &mut Loaded,
) -> Result<(Done, Outcome), Vec<Problem>> {
    let mut first: Option<Filled> = None;
    for _ in 0..TRIES {
        let _held = held(job);
        let source = loaded.source(Some(job), "").ok_or_else(Vec::new)?;
        let before = outcome(&source, files);
        let done = attempt(&source, asked, &before, files)?;
        // Whoever else wrote there meanwhile is told of, and not overwritten.
        if let Some(first) = &first {
            overtaken(first, &done.filled, asked)?;
        }
        if dry_run || replaced(job, source.text(), &done.filled.text)? {
            return Ok((done, before));
        }
        first = Some(done.filled);
    }
    let message = "others go on changing the file; nothing was written";
    Err(vec![
        Problem::error(Code::NotFilled, message).help("try again when they are done"),
    ])
}

/// A text with everything in it, and what the job comes to with it.
pub(super) struct Done {
    pub(super) filled: Filled,
    after: Outcome,
}

/// The text with everything in it; what is wrong with the job then, and was not before.
pub(super) fn attempt(
    source: &Source,
    asked: &Asked,
    before: &Outcome,
    files: &Files,
) -> Result<Done, Vec<Problem>> {
    let mut filled = fill::fill(source.text(), &asked.changes, &before.consequences)?;
    if !asked.remarks.is_empty() {
        filled.text = fill::remarked(&filled.text, &asked.remarks, &before.consequences)?;
    }
    if !asked.without.is_empty() {
        filled.text = fill::without(&filled.text, &asked.without)?;
    }
    let after = outcome(
        &Source::from_text(source.name(), filled.text.clone()),
        files,
    );
    let errors = |report: &Report| {
        let all = report.problems.iter();
        let errors = all.filter(|problem| problem.severity == Severity::Error);
        errors
            .map(|problem| (problem.code, problem.message.clone()))
            .collect::<BTreeSet<_>>()
    };
    let known = errors(&before.report);
    let new = after.report.problems.iter().filter(|problem| {
        problem.severity == Severity::Error
            && !known.contains(&(problem.code, problem.message.clone()))
    });
    let new: Vec<Problem> = new
        .map(|problem| of_change(problem, &filled, asked))
        .collect();
    if new.is_empty() {
        Ok(Done { filled, after })
    } else {
        Err(new)
    }
}

/// A problem by the value that it is about: it would point at a line that is not written.
fn of_change(problem: &Problem, filled: &Filled, asked: &Asked) -> Problem {
    let at = problem.at.as_ref().map(|at| at.path.steps());
    let about = |path: &&crate::report::Path| at.is_some_and(|at| at.starts_with(path.steps()));
    let change = filled.paths.iter().position(|path| about(&path));
    let change = change.and_then(|at| asked.changes.get(at));
    let message = match change {
        Some(change) => format!("{}: {}", change.named(), problem.message),
        None => problem.message.clone(),
    };
    Problem {
        at: None,
        message,
        ..problem.clone()
    }
}

/// What a job file comes to.
pub(super) fn outcome(source: &Source, files: &Files) -> Outcome {
    let mut loaded = Loaded::default();
    let mut outcome = Outcome {
        report: Report::new(),
        verdicts: BTreeMap::new(),
        missing: String::new(),
        consequences: BTreeSet::new(),
        wanted: Vec::new(),
    };
    if let Some(job) = job::read(source, false, &mut loaded.report) {
        let rules = loaded.rules_for(&job, files);
        let name = Path::new(source.name());
        let found = pipeline::run(&job, &rules, &mut loaded.report, |made| {
            let missing = check::said((name, check::missing(&made)));
            (verdicts(&made), missing, document::wanted(&made))
        });
        (outcome.verdicts, outcome.missing, outcome.wanted) = found.unwrap_or_default();
    }
    outcome.consequences = files.ids("consequences").into_iter().collect();
    outcome.report = loaded.report;
    outcome
}

/// What each connection needs, and why, in a sentence.
fn verdicts(made: &Made<'_>) -> BTreeMap<String, String> {
    let links = made.assessment.links.iter();
    let said = links.map(|(id, link)| {
        let because = link.because.print(Units::Metric);
        let because = if because.is_empty() {
            because
        } else {
            format!("; {because}")
        };
        (
            id.clone(),
            format!("{}: {}{because}", link.title, link.verdict.word()),
        )
    });
    said.collect()
}

/// Refuses to write where somebody else wrote meanwhile; with both values.
fn overtaken(first: &Filled, now: &Filled, asked: &Asked) -> Result<(), Vec<Problem>> {
    let all = first.was.iter().zip(&now.was).zip(&asked.changes);
    let lost =
        all.filter(|((before, now), change)| before != now && now.as_ref() != Some(&change.value));
    let problems: Vec<Problem> = lost
        .map(|((_, now), change)| {
            let message = format!(
                "somebody else has changed `{}` meanwhile: it is {} there, and {} here",
                in_message(&change.place),
                in_message(now.as_deref().unwrap_or("nothing")),
                in_message(&change.value)
            );
            Problem::error(Code::NotFilled, message).help("ask which is right, and write that")
        })
        .collect();
    if problems.is_empty() {
        Ok(())
    } else {
        Err(problems)
    }
}

/// Keeps others who fill in the same file waiting. Where it cannot be locked, what they wrote is seen before it would be lost.
#[cfg(unix)]
fn held(path: &Path) -> Option<std::fs::File> {
    use std::os::unix::fs::MetadataExt as _;

    // Opening a pipe might not end.
    std::fs::metadata(path)
        .ok()
        .filter(std::fs::Metadata::is_file)?;
    loop {
        let file = std::fs::File::open(path).ok()?;
        file.lock().ok()?;
        let (own, there) = (file.metadata().ok()?, std::fs::metadata(path).ok()?);
        // Whoever had it before has put another file in its place.
        if (own.dev(), own.ino()) == (there.dev(), there.ino()) {
            return Some(file);
        }
    }
}

/// A locked file could not be replaced here.
#[cfg(not(unix))]
fn held(_: &Path) -> Option<std::fs::File> {
    None
}

/// Puts the new text in the place of the old one; says whether the old one still stood there.
fn replaced(path: &Path, old: &str, new: &str) -> Result<bool, Vec<Problem>> {
    let there = std::fs::read(path).is_ok_and(|bytes| bytes == old.as_bytes());
    if there {
        let failed = |message: String| {
            let problem = Problem::error(Code::NotFilled, message);
            vec![problem.help("see who may write there, and what stands in the file")]
        };
        let data = std::fs::metadata(path).map_err(|error| failed(error.to_string()))?;
        output::create(path, new, true).map_err(|error| failed(error.to_string()))?;
        // Whoever might not read it before may not now.
        let kept = std::fs::set_permissions(path, data.permissions());
        kept.map_err(|error| failed(error.to_string()))?;
    }
    Ok(there)
}

/// What was written, and which verdicts it changed.
pub(super) fn told(done: &Done, before: &Outcome, asked: &Asked) -> String {
    let mut text = String::new();
    for (change, was) in asked.changes.iter().zip(&done.filled.was) {
        let was = match was {
            Some(was) if *was != change.value => format!(", was {}", in_message(was)),
            _ => String::new(),
        };
        let (place, value) = (in_message(&change.place), in_message(&change.value));
        text.push_str(&format!("{place}: {value}{was}\n"));
    }
    for id in &asked.without {
        text.push_str(&format!("{}: taken out\n", in_message(id)));
    }
    for remark in &asked.remarks {
        let (place, value) = (in_message(&remark.place), in_message(&remark.value));
        text.push_str(&format!("{place}: remark, {value}\n"));
    }
    let after = done.after.verdicts.iter();
    for (_, verdict) in after.filter(|(id, verdict)| before.verdicts.get(*id) != Some(verdict)) {
        text.push_str(&format!("  {verdict}\n"));
    }
    text
}

/// What is asked for on the command line and in the table.
fn asked(args: &FillArgs) -> Result<Asked, Vec<Problem>> {
    let mut problems = Vec::new();
    let mut changes = Vec::new();
    for pair in &args.values {
        if let Some((place, value)) = pair.split_once('=') {
            changes.push(Change {
                place: place.trim().to_owned(),
                value: value.trim().to_owned(),
                line: None,
            });
        } else {
            let message = format!("`{}` is not a value", in_message(pair));
            let problem = Problem::error(Code::BadValue, message);
            problems.push(problem.help("write it as `PLACE=VALUE`"));
        }
    }
    let (mut without, mut remarks) = (args.without.clone(), Vec::new());
    if let Some(path) = &args.from {
        match table(path) {
            Ok(rows) => {
                changes.extend(rows.changes);
                without.extend(rows.without);
                remarks = rows.remarks;
            }
            Err(found) => problems.extend(found),
        }
    }
    if problems.is_empty() {
        Ok(Asked {
            changes,
            without,
            remarks,
        })
    } else {
        Err(problems)
    }
}

fn table(path: &Path) -> Result<fill::Rows, Vec<Problem>> {
    let text = if path == Path::new("-") {
        std::io::read_to_string(std::io::stdin())
    } else {
        std::fs::read_to_string(path)
    };
    let placed = |problem: Problem| problem.at(desk::place(path));
    match text {
        Ok(text) => {
            fill::rows(&text).map_err(|problems| problems.into_iter().map(placed).collect())
        }
        Err(error) => {
            let message = format!("the table cannot be read: {error}");
            let problem = Problem::error(Code::BadTable, message);
            Err(vec![placed(problem.help("write one with `liftsheet survey JOB -o survey.csv`, and save it as comma-separated text in UTF-8"))])
        }
    }
}
