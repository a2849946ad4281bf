//! `sign`: adds entries to the record of a job. The only file that reads the clock and draws lots.

use std::io::IsTerminal as _;
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

use super::args::SignArgs;
use super::desk::{self, Desk};
use super::load::Loaded;
use super::photo::Taken;
use super::{End, complain, fail, output, page, photo, print};
use crate::document;
use crate::record::{self, Act, Appended, Entry, Footing, Line, Record, StoreError, Time, Wish};
use crate::report::{Code, Problem, in_message, numbered};
use crate::source::table;

/// More tasks than these do not fall open without a question.
const MUCH: usize = 10;

pub(super) fn run(args: &SignArgs) -> End {
    if args.job == Path::new("-") {
        return fail(desk::NO_PLACE);
    }
    let mut loaded = Loaded::default();
    let desk = match desk::open(&args.job, &args.rules, &mut loaded) {
        Ok(desk) => desk,
        Err(end) => return complain(&loaded).max(end),
    };
    if loaded.report.has_errors() {
        return complain(&loaded);
    }
    if args.next {
        return next(args, &desk);
    }
    let signed = signed(args, &desk);
    match signed {
        Ok((text, warning)) => {
            loaded.report.extend(warning);
            complain(&loaded);
            // What is signed stays signed, whether or not anybody can be told.
            print(&text);
            End::Done
        }
        Err(problems) => {
            let placed = |problem: Problem| match problem.at {
                Some(_) => problem,
                None => problem.at(desk::place(&desk.path)),
            };
            loaded.report.extend(problems.into_iter().map(placed));
            complain(&loaded).max(End::Open)
        }
    }
}

/// What a person may sign now.
fn next(args: &SignArgs, desk: &Desk) -> End {
    let status = desk.footing.status(&desk.record);
    let look = page::metric();
    print(&document::next(
        &desk.footing,
        &status,
        args.by.as_deref(),
        look,
    ))
}

type Done = Result<(String, Option<Problem>), Vec<Problem>>;

fn failed(problem: Problem) -> Vec<Problem> {
    vec![problem]
}

/// What is to be signed: a wish, or the lines of a table; and the photographs that go with it.
struct Asked {
    wish: Wish,
    table: Option<Vec<Line>>,
    photos: Vec<Taken>,
}

impl Asked {
    fn entries(&self, footing: &Footing, record: &Record) -> Result<Vec<Entry>, Vec<Problem>> {
        match &self.table {
            Some(lines) => record::from_table(footing, record, (lines, &self.wish)),
            None => record::sign(footing, record, &self.wish),
        }
    }
}

fn signed(args: &SignArgs, desk: &Desk) -> Done {
    let mut photos = photo::read(&args.photo)?;
    let wish = wish(args, desk, &photos).map_err(failed)?;
    let table = match args.from.as_deref() {
        Some(path) => {
            let mut table = lines(path).map_err(failed)?;
            photos.extend(photos_of(&mut table, path)?);
            Some(table)
        }
        None => None,
    };
    let asked = Asked {
        wish,
        table,
        photos,
    };
    // A refused signature leaves nothing behind: no empty record, nothing kept.
    let entries = asked.entries(&desk.footing, &desk.record)?;
    let count = record::consequence(&entries).len();
    if args.dry_run {
        let text = told(&desk.footing, (&desk.record, &entries), "would be signed");
        return Ok((text, desk::torn(&desk.path, &desk.record)));
    }
    if count > MUCH && !args.yes && !asked_yes(&entries) {
        return Err(failed(much(&entries)));
    }
    let kept = desk
        .keep()
        .and_then(|()| photo::keep(&desk.folder, asked.photos.iter()));
    kept.map_err(|error| failed(desk::problem(&desk.path, StoreError::NotWritten(error))))?;
    write(desk, &asked, count.max(MUCH))
}

fn write(desk: &Desk, asked: &Asked, most: usize) -> Done {
    let mut text = String::new();
    let appended = record::append(&desk.path, &desk::waiting(&desk.path), |record| {
        let footing = desk.footing_of(record).map_err(|problem| vec![problem])?;
        let entries = asked.entries(&footing, record)?;
        if record::consequence(&entries).len() > most {
            return Err(vec![much(&entries)]);
        }
        text = told(&footing, (record, &entries), "signed");
        Ok(record::lines(&mut record.clone(), entries))
    });
    let appended = appended.map_err(|error| failed(desk::problem(&desk.path, error)))?;
    let appended: Appended = appended?;
    let warning = appended.set_aside.map(|(aside, bytes)| {
        let message = format!(
            "the last line was cut off; its {bytes} bytes were set aside in `{}`",
            aside.display()
        );
        Problem::warning(Code::RecordTorn, message)
            .at(desk::place(&desk.path))
            .help("whoever signed it was never told so; see that nothing is missing, and sign it again")
    });
    Ok((text, warning))
}

/// The problem of an act by which much falls open.
fn much(entries: &[Entry]) -> Problem {
    let fell = record::consequence(entries);
    let first: Vec<&str> = fell.iter().take(MUCH).copied().collect();
    let message = format!(
        "{} would fall open and would have to be signed again: {}, and {} more",
        numbered(fell.len(), "task"),
        first.join(", "),
        fell.len().saturating_sub(first.len())
    );
    Problem::error(Code::MuchFallsOpen, message)
        .help("add `--yes` if that is meant; `--dry-run` names all of them")
}

/// Asks whether that much is meant, where somebody sits at a terminal.
fn asked_yes(entries: &[Entry]) -> bool {
    if !(std::io::stdin().is_terminal() && std::io::stderr().is_terminal()) {
        return false;
    }
    let question = format!("{}\nIs that meant? Type yes: ", much(entries).message);
    output::complain(&question);
    let mut answer = String::new();
    std::io::stdin().read_line(&mut answer).is_ok() && answer.trim().eq_ignore_ascii_case("yes")
}

/// Reads the command line as what somebody wants to sign.
fn wish(args: &SignArgs, desk: &Desk, photos: &[Taken]) -> Result<Wish, Problem> {
    let pair = |text: &String| {
        let pair = text.split_once('=');
        pair.map(|(name, value)| (name.trim().to_owned(), value.to_owned()))
            .ok_or_else(|| {
                let message = format!("`{}` is not a value", in_message(text));
                Problem::error(Code::BadEvidence, message).help("write it as `name=value`")
            })
    };
    let at = args.at.as_deref().map(|text| {
        let found = desk.footing.zone.parse(text);
        found.map_err(|why| record::no_time(text, why))
    });
    Ok(Wish {
        tasks: args.tasks.clone(),
        sheet: args.sheet.clone(),
        values: args.value.iter().map(pair).collect::<Result<_, _>>()?,
        ticks: args.ticks,
        photos: photos
            .iter()
            .map(|taken| (taken.name.clone(), taken.photo.clone()))
            .collect(),
        note: args.note.clone(),
        odometer: args.odometer.clone(),
        wrench: args.wrench.clone(),
        entry: args.entry,
        at: at.transpose()?,
        id: lots()?,
        ..Wish::new(
            args.act.into(),
            args.by.as_deref().unwrap_or_default(),
            now(),
        )
    })
}

/// A number that no other record has: 128 bits of the system's own lots.
fn lots() -> Result<String, Problem> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes).map_err(|error| {
        let message = format!("the system gives no random numbers: {error}");
        Problem::error(Code::RecordNotWritten, message).help("nothing is signed; sign again")
    })?;
    Ok(format!("{:032x}", u128::from_be_bytes(bytes)))
}

/// The time now. A clock before 1970 is as wrong as any, and counts as 1970.
fn now() -> Time {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let seconds = since.map_or(0, |since| since.as_secs());
    Time::from_seconds(i64::try_from(seconds).unwrap_or(0))
}

/// The lines of a filled table.
fn lines(path: &Path) -> Result<Vec<Line>, Problem> {
    let bad = |message: String| {
        Problem::error(Code::BadTable, message)
            .at(desk::place(path))
            .help("write one with `liftsheet record JOB -o to-sign.csv`, and save it as comma-separated text in UTF-8")
    };
    let text = if path == Path::new("-") {
        std::io::read_to_string(std::io::stdin())
    } else {
        std::fs::read_to_string(path)
    };
    let text = text.map_err(|error| bad(format!("the table cannot be read: {error}")))?;
    let mut reader = table::reader(&text);
    let head = reader
        .headers()
        .map_err(|error| bad(error.to_string()))?
        .clone();
    if !head.iter().any(|name| name.trim() == "task") {
        return Err(bad("the table has no column `task`".to_owned()));
    }
    let mut lines = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|error| bad(error.to_string()))?;
        let number = row.position().map_or(0, csv::Position::line);
        let cells = head
            .iter()
            .zip(&row)
            .map(|(name, cell)| (name.trim().to_owned(), table::unguarded(cell)));
        let line = Line {
            number: usize::try_from(number).unwrap_or(0),
            cells: cells.filter(|(_, cell)| !cell.is_empty()).collect(),
            photo: None,
        };
        if !line.cells.is_empty() {
            lines.push(line);
        }
    }
    Ok(lines)
}

/// Reads the photographs whose files a table names as values; a file stands beside the table unless its whole path is given.
fn photos_of(table: &mut [Line], path: &Path) -> Result<Vec<Taken>, Vec<Problem>> {
    let beside = path.parent().unwrap_or(Path::new(""));
    let (mut taken, mut problems) = (Vec::new(), Vec::new());
    let asks = |line: &&mut Line| line.cells.get("kind").is_some_and(|kind| kind == "photo");
    for line in table.iter_mut().filter(asks) {
        let Some(file) = line.cells.get("value") else {
            continue;
        };
        match photo::one(None, &beside.join(file)) {
            Ok(one) => {
                line.photo = Some(one.photo.clone());
                taken.push(one);
            }
            Err(problem) => {
                let message = format!("row {}: {}", line.number, problem.message);
                problems.push(Problem { message, ..problem });
            }
        }
    }
    if problems.is_empty() {
        Ok(taken)
    } else {
        Err(problems)
    }
}

/// What was signed, a line an entry, and what is to be said at once to whoever stands beside the vehicle.
fn told(footing: &Footing, (record, entries): (&Record, &[Entry]), how: &str) -> String {
    let mut after = record.clone();
    let first = record.entries.len() + 1;
    let mut text = String::new();
    for (entry, number) in entries.iter().zip(first..) {
        text.push_str(&line(footing, (entry, number), how));
        for (what, why) in &entry.fell {
            text.push_str(&format!("  falls open: {what}, which {why}\n"));
        }
    }
    record::lines(&mut after, entries.to_vec());
    let status = footing.status(&after);
    for remark in record::remarks(&status, entries) {
        text.push_str(&format!("  {}\n", in_message(&remark)));
    }
    text
}

fn line(footing: &Footing, (entry, number): (&Entry, usize), how: &str) -> String {
    let who = format!("by {} as {}", in_message(&entry.name), entry.role);
    let time = footing.zone.print(entry.time);
    let late = entry
        .at
        .map(|at| format!(", done {}", footing.zone.print(at)));
    let late = late.unwrap_or_default();
    let Some(task) = footing.agreed.find(&entry.task) else {
        let what = match (&entry.binds, entry.act) {
            (Some(binding), Act::Bound) => {
                format!("record begun for {}", in_message(&binding.identification))
            }
            _ => format!("record {}", entry.act.word()),
        };
        return format!("{how}: {what} {who}, entry {number} of {time}\n");
    };
    let rows = if entry.rows.is_empty() {
        String::new()
    } else {
        format!(" at {}", entry.rows.join(", "))
    };
    let title = task.title.print(crate::quantity::Units::Metric);
    format!(
        "{how}: {} {} ({}){rows} {} {who}, entry {number} of {time}{late}\n",
        task.number,
        entry.task,
        in_message(&title),
        entry.act.word(),
    )
}
