//! `sign`: adds entries to the record of a job. The only file that reads the clock.

use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use super::args::SignArgs;
use super::load::{DEMO, Loaded};
use super::{End, complain, fail, print};
use crate::pipeline;
use crate::record::{self, Appended, Basis, Entry, Record, StoreError, Time, Wish};
use crate::report::{Code, Place, Problem, in_message};

pub(super) fn run(args: &SignArgs) -> End {
    let Some(path) = path_of(&args.job) else {
        return fail(NO_PLACE);
    };
    let wish = match wish(args) {
        Ok(wish) => wish,
        Err(message) => return fail(&message),
    };
    let mut loaded = Loaded::default();
    let signed = signed(args, &path, &wish, &mut loaded);
    let end = complain(&loaded);
    match signed {
        Some(text) if end == End::Done => print(&text),
        _ => end.max(End::Open),
    }
}

/// Where the record of a job stands: `job.record.jsonl` beside `job.yaml`. Standard input has no place for one.
pub(super) fn path_of(job: &Path) -> Option<PathBuf> {
    (job != Path::new("-")).then(|| job.with_extension("record.jsonl"))
}

/// What is said when a job has no place beside which a record could stand.
pub(super) const NO_PLACE: &str = "a record stands beside its job file; give the file's name";

/// Reads the command line as what somebody wants to sign.
fn wish(args: &SignArgs) -> Result<Wish, String> {
    let pair = |text: &String| {
        let pair = text.split_once('=');
        pair.map(|(name, value)| (name.trim().to_owned(), value.to_owned()))
            .ok_or_else(|| format!("`{text}` is not a value; write it as `name=value`"))
    };
    let at = args.at.as_deref().map(|text| {
        Time::parse(text).ok_or_else(|| {
            format!("`{text}` is not a time; write it with its offset from UTC, such as `2025-03-04T15:10+10:00`")
        })
    });
    Ok(Wish {
        act: args.act.into(),
        tasks: args.tasks.clone(),
        by: args.by.clone(),
        values: args.value.iter().map(pair).collect::<Result<_, _>>()?,
        note: args.note.clone(),
        odometer: args.odometer.clone(),
        wrench: args.wrench.clone(),
        at: at.transpose()?,
        now: now(),
    })
}

/// The time now. A clock before 1970 is as wrong as any, and counts as 1970.
fn now() -> Time {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let seconds = since.map_or(0, |since| since.as_secs());
    Time::from_seconds(i64::try_from(seconds).unwrap_or(0))
}

/// Signs; gives what to print, and nothing when it is refused.
fn signed(args: &SignArgs, path: &Path, wish: &Wish, loaded: &mut Loaded) -> Option<String> {
    let files = loaded.rule_files(&args.rules)?;
    let job = loaded.job(Some(&args.job), DEMO)?;
    let rules = loaded.rules_for(&job, &files);
    let done = pipeline::run(&job, &rules, &mut loaded.report, |made| {
        write(path, &Basis::of(&made), wish, args.dry_run)
    });
    loaded.show_builtin();
    match done? {
        Ok((text, warning)) => {
            loaded.report.extend(warning);
            Some(text)
        }
        Err(problems) => {
            let place = || Place::file(path.display().to_string());
            let placed = |problem: Problem| match problem.at {
                Some(_) => problem,
                None => problem.at(place()),
            };
            loaded.report.extend(problems.into_iter().map(placed));
            None
        }
    }
}

type Done = Result<(String, Option<Problem>), Vec<Problem>>;

fn write(path: &Path, basis: &Basis<'_>, wish: &Wish, dry_run: bool) -> Done {
    let failed = |error: StoreError| vec![problem(path, error)];
    // A refused signature must not leave an empty record behind.
    if dry_run || !path.exists() {
        let record = record::read(path).map_err(failed)?;
        let entries = record::sign(basis, &record, wish)?;
        if dry_run {
            return Ok((
                told(&record, &entries, "would be signed"),
                torn(path, &record),
            ));
        }
    }
    let mut text = String::new();
    let appended = record::append(path, |record| {
        let entries = record::sign(basis, record, wish)?;
        text = told(record, &entries, "signed");
        Ok::<_, Vec<Problem>>(record::lines(&mut record.clone(), entries))
    });
    let appended: Appended = appended.map_err(failed)??;
    let warning = appended.set_aside.map(|(aside, bytes)| {
        let message = format!(
            "the last line was cut off; its {bytes} bytes were set aside in `{}`",
            aside.display()
        );
        Problem::warning(Code::RecordTorn, message)
            .at(Place::file(path.display().to_string()))
            .help("whoever signed it was never told so; see that nothing is missing, and sign it again")
    });
    Ok((text, warning))
}

/// What was signed, a line an entry.
fn told(record: &Record, entries: &[Entry], how: &str) -> String {
    let first = record.entries.len() + 1;
    let lines = entries.iter().zip(first..).map(|(entry, number)| {
        let late = entry.at.map(|at| format!(", late for {at}"));
        format!(
            "{how}: {} {} by {} as {}, entry {number} of {}{}\n",
            entry.task,
            entry.act.word(),
            in_message(&entry.name),
            entry.role,
            entry.time,
            late.unwrap_or_default()
        )
    });
    lines.collect()
}

/// The problem of a record that ends in a torn line, where it does.
pub(super) fn torn(path: &Path, record: &Record) -> Option<Problem> {
    let message = format!(
        "the last line was cut off: {} bytes stand behind the last whole line",
        record.torn
    );
    let problem = Problem::warning(Code::RecordTorn, message)
        .at(Place::file(path.display().to_string()))
        .help(
            "the next signature sets it aside in a file of its own; whatever it said is not signed",
        );
    (record.torn > 0).then_some(problem)
}

/// The problem of a record that could not be read or written.
pub(super) fn problem(path: &Path, error: StoreError) -> Problem {
    let place = Place::file(path.display().to_string());
    match error {
        StoreError::Unreadable(error) => {
            let message = format!("the record cannot be read: {error}");
            Problem::error(Code::UnreadableFile, message)
                .at(place)
                .help("see who may read it, and whether another file has its name")
        }
        StoreError::NotWritten(error) => {
            let message = format!("the record cannot be written, so nothing is signed: {error}");
            Problem::error(Code::RecordNotWritten, message)
                .at(place)
                .help("make room on the disk, or see who may write beside the job file; then sign again")
        }
        StoreError::Broken(broken) => Problem::error(Code::RecordBroken, broken.to_string())
            .at(place)
            .help("nothing more is signed on it; fetch the record from a copy, and ask how it came to be changed"),
    }
}
