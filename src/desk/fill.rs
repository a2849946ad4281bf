//! Values into a job file: what is asked for is written as a whole or not at all, and what the job comes to with it is given back.
//!
//! Takes the file's place and what is to be written where; whatever `check` would refuse is not written. Others may write there at the same
//! time: each waits for the others, and what somebody else has changed meanwhile is not written over.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use super::file;
use super::load::Loaded;
use crate::assess::{self, Depth};
use crate::document::{self, Wanted};
use crate::fill::{self, Filled, ToFill, ToWrite};
use crate::job::{self, Job, LastTime};
use crate::pipeline::{self, Made};
use crate::quantity::Units;
use crate::report::{Code, Problem, Report, Severity, in_message, listed, unless};
use crate::rules::Files;
use crate::sorted::Sorted as _;
use crate::source::Source;

/// How often a file that others change is read again.
const TRIES: usize = 3;

/// What is still to be measured, by connection.
pub(crate) type Missing = Vec<(String, Vec<String>)>;

/// What a job comes to: its problems, its verdicts by connection, what is still to be measured, and what stands in no file yet.
#[derive(Default)]
pub(crate) struct Outcome {
    pub(crate) report: Report,
    verdicts: BTreeMap<String, String>,
    missing: Missing,
    consequences: BTreeSet<String>,
    last_time: LastTime,
    /// The parts by what they are called, those that share a name left out.
    called: BTreeMap<String, String>,
    stretches: BTreeMap<String, Stretches>,
}

/// Between what a connection is pulled apart, and what was read there.
struct Stretches {
    apart: Vec<String>,
    read: Vec<String>,
}

/// Writes everything into the job file, or nothing; gives what the job comes to with it.
pub(crate) fn enter(
    (job, files, dry_run): (&Path, &Files, bool),
    asked: &ToFill,
    loaded: &mut Loaded,
) -> Result<Done, Vec<Problem>> {
    let mut first: Option<Filled> = None;
    for _ in 0..TRIES {
        let _held = held(job);
        let source = loaded.source(job).ok_or_else(Vec::new)?;
        let before = outcome(&source, files);
        let done = attempt(&source, asked, &before, files)?;
        // Whoever else wrote there meanwhile is told of, and not overwritten.
        if let Some(first) = &first {
            overtaken(first, &done.filled, asked)?;
        }
        if dry_run || replaced(job, source.text(), &done.filled.text)? {
            return Ok(done);
        }
        first = Some(done.filled);
    }
    let message = "others go on changing the file; nothing was written";
    Err(vec![
        Problem::error(Code::NotFilled, message).help("try again when they are done"),
    ])
}

/// Puts the text that stood there before in the place of the one that was written, unless somebody has changed that since; says whether.
#[cfg(feature = "serve")]
pub(crate) fn put_back(job: &Path, filled: &Filled) -> Result<bool, Vec<Problem>> {
    let _held = held(job);
    replaced(job, &filled.text, &filled.before)
}

/// A text with everything in it, and what the job comes to with it.
pub(crate) struct Done {
    pub(crate) filled: Filled,
    /// The values as they were written.
    changes: Vec<ToWrite>,
    /// The verdicts that are others now.
    pub(crate) verdicts: Vec<String>,
    pub(crate) missing: Missing,
    /// What is far from what it was last time, and what was read between other fixings: a warning each.
    pub(crate) doubts: Vec<Problem>,
}

/// The text with everything in it; what is wrong with the job then, and was not before.
pub(crate) fn attempt(
    source: &Source,
    asked: &ToFill,
    before: &Outcome,
    files: &Files,
) -> Result<Done, Vec<Problem>> {
    let changes: Vec<ToWrite> = asked.changes.iter().map(|one| by_id(one, before)).collect();
    let mut filled = fill::fill(source.text(), &changes, &before.consequences)?;
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
            .sorted_set()
    };
    let known = errors(&before.report);
    let new = after.report.problems.iter().filter(|problem| {
        problem.severity == Severity::Error
            && !known.contains(&(problem.code, problem.message.clone()))
    });
    let new: Vec<Problem> = new
        .map(|problem| of_change(problem, &filled, asked))
        .collect();
    unless(new, ())?;
    let mut doubts = far(&filled, asked, &before.last_time);
    doubts.extend(read_elsewhere(asked, before, &after));
    let verdicts = after.verdicts.into_iter();
    let others = verdicts.filter(|(id, verdict)| before.verdicts.get(id) != Some(verdict));
    Ok(Done {
        doubts,
        filled,
        changes,
        verdicts: others.map(|(_, verdict)| verdict).collect(),
        missing: after.missing,
    })
}

/// The readings that are far from what another vehicle of the kind had there.
fn far(filled: &Filled, asked: &ToFill, last_time: &LastTime) -> Vec<Problem> {
    let all = asked.changes.iter().zip(&filled.said);
    let far = all.filter_map(|(change, (place, now))| {
        let (last, now) = last_time.far(place, now)?;
        let message = format!("{}: {last} last time, {now} now", change.named());
        let problem = Problem::warning(Code::FarFromLastTime, message);
        Some(problem.help("look again; it is written as it is"))
    });
    far.collect()
}

/// What holds a connection as the file names it, where it was typed as the pages call it.
fn by_id(change: &ToWrite, before: &Outcome) -> ToWrite {
    if !change.place.ends_with(".held_by") || change.value.contains(['[', '{']) {
        return change.clone();
    }
    let parts = change.value.split(',').map(str::trim);
    let parts = parts.map(|part| {
        before
            .called
            .get(&part.to_lowercase())
            .map_or(part, |id| id)
    });
    ToWrite {
        value: parts.collect::<Vec<_>>().join(", "),
        ..change.clone()
    }
}

/// What was read of a connection between fixings of which it is now known that others come between them.
fn read_elsewhere(asked: &ToFill, before: &Outcome, after: &Outcome) -> Vec<Problem> {
    let mut doubts = Vec::new();
    for (id, was) in &before.stretches {
        let now = after.stretches.get(id).map_or(&[][..], |now| &now.apart);
        // Of several stretches each is asked for anew.
        if now.len() != 1 || was.apart == now {
            continue;
        }
        let again = |name: &&String| {
            let mut changes = asked.changes.iter();
            let ends = [format!("{id}."), format!(".{name}")];
            changes.any(|one| one.place.starts_with(&ends[0]) && one.place.ends_with(&ends[1]))
        };
        let read = was.read.iter().filter(|name| !again(name));
        let read: Vec<&str> = read.map(String::as_str).collect();
        if read.is_empty() {
            continue;
        }
        let message = format!(
            "`{}`: read before it was known what holds it: {}; the lift pulls it apart from {}",
            in_message(id),
            listed(&read, "and"),
            listed(now, "and")
        );
        let problem = Problem::warning(Code::ReadElsewhere, message);
        doubts.push(problem.help("read them again there; until then the old readings count"));
    }
    doubts
}

/// A problem by the value that it is about: it would point at a line that is not written.
fn of_change(problem: &Problem, filled: &Filled, asked: &ToFill) -> Problem {
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
pub(crate) fn outcome(source: &Source, files: &Files) -> Outcome {
    let mut loaded = Loaded::default();
    let mut outcome = Outcome {
        consequences: files.ids("consequences").into_iter().collect(),
        ..Outcome::default()
    };
    if let Some(job) = job::read(source, false, &mut loaded.report) {
        let rules = loaded.rules_for(&job, files);
        let made = (&job, &rules);
        let found = pipeline::run_to(Depth::Words, made, &mut loaded.report, |made| {
            (verdicts(&made), missing(&made), stretches(&made))
        });
        (outcome.verdicts, outcome.missing, outcome.stretches) = found.unwrap_or_default();
        outcome.called = called(&job);
        outcome.last_time = job.last_time;
    }
    outcome.report = loaded.report;
    outcome
}

/// What of a job is still to be measured, in walking order; fails with what is wrong with it.
pub(crate) fn wanted(source: &Source, files: &Files) -> Result<Vec<Wanted>, Report> {
    let mut loaded = Loaded::default();
    let job = job::read(source, false, &mut loaded.report);
    let wanted = job.and_then(|job| {
        let rules = loaded.rules_for(&job, files);
        let of = |made: Made<'_>| document::wanted(&made);
        pipeline::run(&job, &rules, &mut loaded.report, of)
    });
    wanted.ok_or(loaded.report)
}

/// The parts by what they are called, in small letters; a name that two share tells neither.
fn called(job: &Job) -> BTreeMap<String, String> {
    let mut called: BTreeMap<String, Option<&String>> = BTreeMap::new();
    for (id, part) in &job.parts {
        let title = part.title.as_deref().map(str::to_lowercase);
        // What is an id of its own is meant as that.
        if let Some(title) = title.filter(|title| !job.parts.contains_key(title)) {
            let known = called.entry(title);
            known.and_modify(|id| *id = None).or_insert(Some(id));
        }
    }
    let called = called.into_iter();
    called
        .filter_map(|(title, id)| Some((title, id?.clone())))
        .sorted_map()
}

/// Where each connection is pulled apart, and what was read there.
fn stretches(made: &Made<'_>) -> BTreeMap<String, Stretches> {
    let links = made.assessment.links.values();
    let links = links.filter_map(|link| {
        let (cut, class) = (made.cut.links.get(&link.id)?, link.class?);
        let apart = cut.disturbed_spans().map(|(_, span)| {
            let [from, to] = [&span.from, &span.to].map(|part| made.job.part_title(part));
            format!("{from} to {to}")
        });
        let of_span = |name: &&String| class.measurements.get(*name).is_some_and(|one| one.of_span);
        let stretches = Stretches {
            apart: apart.collect(),
            read: cut.measured.keys().filter(of_span).cloned().collect(),
        };
        Some((link.id.clone(), stretches))
    });
    links.sorted_map()
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
            format!("{}: {}{because}", link.title, link.word()),
        )
    });
    said.sorted_map()
}

/// Refuses to write where somebody else wrote meanwhile; with both values.
fn overtaken(first: &Filled, now: &Filled, asked: &ToFill) -> Result<(), Vec<Problem>> {
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
    unless(problems, ())
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
        file::create(path, new, true).map_err(failed)?;
        // Whoever might not read it before may not now.
        let kept = std::fs::set_permissions(path, data.permissions());
        kept.map_err(|error| failed(error.to_string()))?;
    }
    Ok(there)
}

/// What was written, and which verdicts it changed.
pub(crate) fn told(done: &Done, asked: &ToFill) -> String {
    let mut text = String::new();
    for (change, was) in done.changes.iter().zip(&done.filled.was) {
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
    for verdict in &done.verdicts {
        text.push_str(&format!("  {verdict}\n"));
    }
    text
}

/// What is still to be measured, by connection.
pub(crate) fn missing(made: &Made<'_>) -> Missing {
    let label = |one: &assess::Missing| one.label.clone();
    let of_vehicle = made.plan.missing.iter().map(label);
    let vehicle = ("the vehicle".to_owned(), of_vehicle.collect());
    let links = made.assessment.links.iter().map(|(id, link)| {
        let own = link.missing.iter().filter(|one| !one.of_vehicle);
        (id.clone(), own.map(&label).collect())
    });
    let all: Vec<(String, Vec<String>)> = std::iter::once(vehicle).chain(links).collect();
    let some = |(_, labels): &(String, Vec<String>)| !labels.is_empty();
    all.into_iter().filter(some).collect()
}
