//! `sign`: adds entries to the record of a job.

use std::collections::{BTreeMap, BTreeSet};
use std::io::IsTerminal as _;
use std::path::Path;
use std::sync::Arc;

use super::args::SignArgs;
use super::pins::Pins;
use super::{End, complain, fail, output, people, print, refused_all};
use crate::desk::load::{self, Loaded};
use crate::desk::open::{self, Desk};
use crate::desk::photo::{self, Taken};
use crate::desk::sign::{self, Done, MUCH, ToSign, added, failed, lots, much, now, told};
use crate::document::{self, Look};
use crate::people::Proof;
use crate::record::{self, Entry, TableLine, Wish};
use crate::report::{Code, Place, Problem, every, in_message};
use crate::sorted::Sorted as _;
use crate::source::table;

pub(super) fn run(args: &SignArgs) -> End {
    if args.job == Path::new("-") {
        return fail(open::NO_PLACE);
    }
    if args.pin_stdin && args.from.as_deref() == Some(Path::new("-")) {
        return fail(
            "standard input holds either the table or the PINs; give the table by its name",
        );
    }
    let mut loaded = Loaded::default();
    let Some(desk) = open::open(&args.job, (&args.rules, output::complain), &mut loaded) else {
        return complain(&loaded).max(End::Open);
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
        Err(problems) => refused_all(loaded, problems, &desk.path),
    }
}

/// What a person may sign now.
fn next(args: &SignArgs, desk: &Desk) -> End {
    let status = desk.footing.status(&desk.record);
    let (by, look) = (args.by.as_deref(), Look::default());
    print(&document::next(&desk.footing, &status, by, look))
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
    let wish = Wish {
        proofs: proofs(args, desk, table.as_deref()).map_err(failed)?,
        ..wish
    };
    let asked = ToSign {
        wish,
        table,
        photos,
    };
    // A refused signature leaves nothing behind: no empty record, nothing kept.
    let after = asked.signed(&desk.footing, &desk.record)?;
    let entries = added(&desk.record, &after);
    let count = record::consequence(entries).len();
    if args.dry_run {
        let text = told(
            &desk.footing,
            (&desk.record, &after),
            (&asked.wish, "would be signed"),
        );
        return Ok((text, open::torn(&desk.path, &desk.record)));
    }
    if count > MUCH && !args.yes && !asked_yes(entries) {
        return Err(failed(much(entries)));
    }
    sign::sign(desk, &asked, count.max(MUCH))
}

/// The proofs of all who sign and have a PIN.
fn proofs(
    args: &SignArgs,
    desk: &Desk,
    table: Option<&[TableLine]>,
) -> Result<BTreeMap<String, Proof>, Problem> {
    let Some(workshop) = &desk.footing.workshop else {
        return Ok(BTreeMap::new());
    };
    let by = |line: &TableLine| {
        let cells = ["done_by", "checked_by"].map(|name| line.cells.get(name).cloned());
        cells.into_iter().flatten()
    };
    let named = table.unwrap_or_default().iter().flat_map(by);
    let all: BTreeSet<String> = named.chain(args.by.clone()).sorted_set();
    let pins = Pins::new(args.pin_stdin);
    let mut proofs = BTreeMap::new();
    for person in all {
        if let Some(proof) = people::proof(workshop, &person, &pins)? {
            proofs.insert(person, proof);
        }
    }
    Ok(proofs)
}

/// Asks whether that much is meant, where somebody sits at a terminal.
fn asked_yes(entries: &[Arc<Entry>]) -> bool {
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
        rules_given: !args.rules.rules.is_empty(),
        at: at.transpose()?,
        id: lots()?,
        ..Wish::new(args.act, args.by.as_deref().unwrap_or_default(), now())
    })
}

fn lines(path: &Path) -> Result<Vec<TableLine>, Problem> {
    let bad = |message: String| {
        Problem::error(Code::BadTable, message)
            .at(Place::at(path))
            .help("write one with `liftsheet record JOB -o to-sign.csv`, and save it as comma-separated text in UTF-8")
    };
    let text = load::table(path).map_err(bad)?;
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
        let line = TableLine {
            number: usize::try_from(number).unwrap_or(0),
            cells: cells.filter(|(_, cell)| !cell.is_empty()).sorted_map(),
            photo: None,
        };
        if !line.cells.is_empty() {
            lines.push(line);
        }
    }
    Ok(lines)
}

/// Reads the photographs whose files a table names as values; a file stands beside the table unless its whole path is given.
fn photos_of(table: &mut [TableLine], path: &Path) -> Result<Vec<Taken>, Vec<Problem>> {
    let beside = path.parent().unwrap_or(Path::new(""));
    let asks = |line: &&mut TableLine| line.cells.get("kind").is_some_and(|kind| kind == "photo");
    let photos = table.iter_mut().filter(asks).filter_map(|line| {
        let file = line.cells.get("value")?;
        let taken = photo::take(None, &beside.join(file));
        line.photo = taken.as_ref().ok().map(|taken| taken.photo.clone());
        Some(taken.map_err(|problem| {
            let message = format!("row {}: {}", line.number, problem.message);
            Problem { message, ..problem }
        }))
    });
    every(photos)
}
