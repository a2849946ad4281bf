//! The signed sheet: every task with who did it, who checked it, when, and the values; what is open; what did not go straight;
//! and the hand-over with what comes due.
//!
//! Takes how the tasks stand by the record; gives one [`Page`] that prints the record's last digest, so that the paper fixes the record.
//! What it says of the job itself was drawn up when the plan was signed on ([`to_keep`]) and is kept with it, so that the page is the same
//! whatever program and rules are then in use.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use minijinja::context;
use minijinja::value::{Serde, Value as Filled};
use serde::Serialize;
use serde_json::{Value, json};

use super::record_words::{self, Account};
use super::sheet::{DEMO, head, short};
use super::{
    DocumentError, Look, Made, Page, Picture, engine, escape, facts, handover, links, words,
};
use crate::quantity::Units;
use crate::record::{Binding, Entry, Footing, Record, Standing, State, Status, fast};
use crate::report::Problem;
use crate::sorted::Sorted as _;

/// Pieces of one printed task that the same people signed at the same time.
#[derive(Serialize)]
struct TaskRow {
    number: usize,
    pieces: Vec<SignedPiece>,
    /// How often yes was answered.
    ticks: usize,
    done: Vec<String>,
    checked: Vec<String>,
    state: &'static str,
}

/// A piece of a task, with what was written down for it.
#[derive(Serialize)]
struct SignedPiece {
    title: String,
    hold: bool,
    values: Vec<String>,
}

/// The system of units by which a kept page is found.
fn named(units: Units) -> &'static str {
    match units {
        Units::Metric => "mm",
        Units::Inch => "in",
    }
}

/// What the signed sheet says of a job beside its tasks, in both systems of units, to be kept with the plan.
pub fn to_keep(made: &Made<'_>) -> BTreeMap<String, Value> {
    let pages = [Units::Metric, Units::Inch].map(|units| {
        let look = Look {
            units,
            ..Look::default()
        };
        let left = links::left_alone(made, look);
        let page = json!({
            "head": head(made, look), "facts": facts::facts(made, units), "left": left,
            "worked": handover::worked(made), "watch": handover::watch(made), "demo": made.job.demo,
        });
        (named(units).to_owned(), page)
    });
    pages.into()
}

/// Makes the signed sheet with the photographs that can be shown, by the digests of their files; fails only when its template is defective.
pub(crate) fn signed(
    footing: &Footing,
    (status, record): (&Status<'_>, &Record),
    (path, photos, lost): (&Path, &BTreeMap<String, Picture>, &[(String, Problem)]),
    look: Look,
) -> Result<Page, DocumentError> {
    let account = Account {
        footing,
        status,
        record,
        units: look.units,
    };
    let agreed = &footing.agreed;
    let none = Value::Null;
    let kept = agreed.pages.get(named(look.units)).unwrap_or(&none);
    let digest = format!("sha256:{}", record.last_digest());
    let binding = footing.binding.as_ref();
    let otherwise = footing.changed().or(footing.other_vehicle());
    let (rows, signers) = rows(&account);
    let view = context! {
        head => Serde(&kept["head"]),
        facts => Serde(&kept["facts"]),
        left => Serde(&kept["left"]),
        released => footing.released(status),
        bound => binding.map(|binding| bound(binding, record)),
        // Without its folder, which is the machine's: the page is the same wherever the record lies, and as long.
        file => path.file_name().unwrap_or(path.as_os_str()).to_string_lossy(),
        entries => record.entries.len(),
        torn => footing.torn,
        last_digest => &digest,
        otherwise => otherwise.map(|problem| problem.message),
        wrong => wrong(&account),
        waiting => of_state(status, &[State::Done]),
        open => of_state(status, &[State::Open, State::Begun]),
        fallen => fallen(&account),
        // How the vehicle stands.
        stands => footing.stands(status),
        rows => Serde(rows),
        // Who signed, each with the letter of the table, and the years and clocks of their times.
        signers,
        clocks => clocks(&account),
        photos => Serde(shown(&account, photos)),
        // What those photographs were of that are not as they were kept.
        lost => lost.iter().map(|(of, _)| of).collect::<Filled>(),
        fast => faster(&account),
        soon => account.too_soon(),
        events => events(&account),
        // How far the record was at each hold point.
        held => held(&account),
        handover => handover::handover(&account, kept),
        digest => &agreed.digest,
    };
    let job = escape::shown(&agreed.job);
    let plan = words::digest(&agreed.digest);
    let record = words::digest(&digest);
    Ok(Page {
        title: format!("Signed sheet: {job}"),
        markdown: engine::markdown("signed.md", view)?,
        banner: (kept["demo"] == Value::Bool(true)).then(|| DEMO.to_owned()),
        footer: format!("{} · plan {plan} · record {record}", short(&job)),
        pictures: photos.values().cloned().collect(),
        ..Page::default()
    })
}

fn bound(binding: &Binding, record: &Record) -> Filled {
    let keys = record.entries.iter().filter_map(|entry| entry.key.clone());
    let rules = binding.rule_set.as_ref();
    context! {
        id => &binding.id,
        program => &binding.program,
        rules => rules.map(|digest| words::digest(digest)),
        laid_over => &binding.laid_over,
        // The keys by which the machine signed what was done with a PIN, in turn.
        keys => keys.collect::<Filled>(),
    }
}

/// The photographs of all tasks that can be shown, each once.
fn shown<'a>(account: &Account<'_, '_>, photos: &'a BTreeMap<String, Picture>) -> Vec<&'a Picture> {
    let tasks = account.status.tasks.iter();
    let taken = tasks.flat_map(|one| account.photos(one));
    let taken: BTreeSet<&String> = taken.map(|photo| &photo.sha256).sorted_set();
    let shown = taken.into_iter().filter_map(|sha256| photos.get(sha256));
    shown.collect()
}

/// The numbers of the tasks in one of the states; those that come due after the lift stand on their own.
fn of_state(status: &Status<'_>, wanted: &[State]) -> String {
    let tasks = status.of_the_lift();
    let tasks = tasks.filter(|one| wanted.contains(&one.state()));
    let numbers: Vec<usize> = tasks.map(|one| one.task.number).collect();
    if numbers.is_empty() {
        return String::new();
    }
    words::tasks(numbers)
}

fn wrong(account: &Account<'_, '_>) -> Filled {
    let tasks = account.status.tasks.iter();
    let tasks = tasks.filter(|one| one.state() == State::OutOfLimits);
    let named = tasks.map(|one| {
        let title = one.task.title.print(account.units);
        context! { number => one.task.number, title, what => account.wrong(one) }
    });
    named.collect()
}

fn fallen(account: &Account<'_, '_>) -> Filled {
    let tasks = account.status.tasks.iter();
    let open = tasks.filter(|one| one.state() != State::Checked);
    let fallen = open.filter_map(|one| {
        let opened = one.opened()?;
        let by = opened.by.map(|entry| account.signature(entry));
        Some(context! {
            number => one.task.number,
            title => one.task.title.print(account.units),
            why => &opened.why,
            by => by.unwrap_or_default(),
        })
    });
    fallen.collect()
}

/// Every task as it was signed, and who signed.
fn rows(account: &Account<'_, '_>) -> (Vec<TaskRow>, Vec<String>) {
    let mut signers = Vec::new();
    let mut rows: Vec<TaskRow> = Vec::new();
    // What comes due after the lift stands on the hand-over until it is signed for the first time.
    let waits = |one: &Standing<'_>| one.task.due.is_some() && one.history.is_empty();
    for standing in account.status.tasks.iter().filter(|one| !waits(one)) {
        let mut marks = |entries: Vec<&Entry>| -> Vec<String> {
            let mut marks: Vec<String> = entries
                .into_iter()
                .map(|entry| account.mark(entry, &mut signers))
                .collect();
            marks.dedup();
            marks
        };
        let (values, ticks) = account.values(standing);
        let mut row = TaskRow {
            number: standing.task.number,
            ticks,
            pieces: vec![SignedPiece {
                title: standing.task.title.print(account.units),
                hold: standing.task.hold.is_some(),
                values,
            }],
            done: marks(record_words::done_by(standing)),
            checked: marks(record_words::checked_by(standing)),
            state: standing.state().word(),
        };
        let alike = |last: &&mut TaskRow| {
            let signed = (&last.done, &last.checked, last.state);
            last.number == row.number && signed == (&row.done, &row.checked, row.state)
        };
        match rows.last_mut().filter(alike) {
            Some(last) => {
                last.pieces.append(&mut row.pieces);
                last.ticks += row.ticks;
            }
            None => rows.push(row),
        }
    }
    let lettered = signers.into_iter().enumerate();
    let signers = lettered.map(|(place, who)| format!("{}: {who}", words::letter(place)));
    (rows, signers.collect())
}

/// How far the record was at each hold point: this paper holds it also if later lines are lost.
fn held(account: &Account<'_, '_>) -> Vec<String> {
    let tasks = account.status.tasks.iter();
    let holds = tasks.filter(|one| one.task.hold.is_some());
    let mut held: Vec<String> = holds
        .filter_map(|one| {
            let number = one.task.number;
            let entry = record_words::checked_by(one).into_iter().last()?;
            let line = usize::try_from(entry.number).ok()?;
            let digest = account.record.digest_of(line)?.get(..16)?;
            Some(format!("task {number}, entry {}: {digest}", entry.number))
        })
        .collect();
    held.dedup();
    held
}

/// The years and the workshop's clocks by which was signed: `2025, UTC`.
fn clocks(account: &Account<'_, '_>) -> String {
    let entries = account.record.entries.iter();
    let times = entries.map(|entry| account.footing.zone.print(entry.time));
    let clocks: BTreeSet<String> = times
        .filter_map(|time| Some(format!("{}, {}", time.get(..4)?, time.get(17..)?)))
        .sorted_set();
    clocks.into_iter().collect::<Vec<_>>().join("; ")
}

/// Work that is said to have been done faster than anybody works.
fn faster(account: &Account<'_, '_>) -> Filled {
    let zone = &account.footing.zone;
    let stretches = fast(account.status).into_iter();
    let rows = stretches.map(|stretch| {
        context! {
            tasks => words::tasks(stretch.tasks.iter().map(|task| task.number).collect()),
            from => zone.print(stretch.from),
            to => zone.print(stretch.to),
            took => words::duration(stretch.minutes()),
            least => words::duration(stretch.least),
        }
    });
    rows.collect()
}

fn events(account: &Account<'_, '_>) -> Filled {
    let events = account.events().into_iter();
    let rows = events.map(|event| {
        context! {
            entry => event.entry.number,
            task => &event.entry.task,
            what => event.what,
            who => account.signature(event.entry),
            note => event.entry.note.as_deref().unwrap_or_default(),
        }
    });
    rows.collect()
}
