//! How a job stands by its record, as a short account for a terminal: what is wrong, what fell open, whose turn it is, how much is left.
//!
//! Takes how the tasks stand; gives plain text in which nothing acts on a terminal. What is finished is counted, and not listed: it would
//! fill the screen.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::record_words::Account;
use super::{Look, words};
use crate::quantity;
use crate::record::{
    Act, Footing, Record, SignedTask, Standing, State, Status, change_words, fast, is_checked,
    ran_behind, turns, worked_out,
};
use crate::report::{in_message, listed, numbered};

/// The account.
pub(crate) fn standing(
    footing: &Footing,
    (status, record): (&Status<'_>, &Record),
    file: &str,
    look: Look,
) -> String {
    let account = Account {
        footing,
        status,
        record,
        units: look.units,
    };
    let mut out = head(&account, file);
    otherwise(&mut out, footing);
    let tasks = || status.tasks.iter();
    let of = |wanted: State| {
        status
            .of_the_lift()
            .filter(move |one| one.state() == wanted)
    };
    let wrong = of(State::OutOfLimits)
        .map(|one| format!("{}: {}", named(one.task), account.wrong(one).join("; ")));
    list(&mut out, "Out of limits", wrong);
    list(
        &mut out,
        "The vehicle stands",
        footing.stands(status).into_iter(),
    );
    list(&mut out, "Fallen open", fallen(&account));
    let waiting = of(State::Done).map(|one| waiting(&account, one));
    list(&mut out, "Waiting for the supervisor", waiting);
    let now = turns(footing, status, None).into_iter();
    let now = now.filter(|turn| turn.act == Act::Done && turn.standing.task.due.is_none());
    let now = now.map(|turn| {
        let task = turn.standing.task;
        let title = task.title.print(look.units);
        format!("{}: {title}{}", named(task), first(status, task))
    });
    list(&mut out, "Can be done now", now);
    let open = status
        .of_the_lift()
        .filter(|one| matches!(one.state(), State::Open | State::Begun));
    let open: Vec<usize> = open.map(|one| one.task.number).collect();
    if !open.is_empty() {
        // Writing to a String cannot fail.
        let _ = writeln!(out, "\nOpen: {}", words::tasks(open));
    }
    list(&mut out, "Remarks on what is open", remarks(&account));
    let due = tasks().filter(|one| one.task.due.is_some());
    let due = due.map(|one| due_line(&account, one));
    list(&mut out, "Due after the lift", due);
    list(&mut out, "Times that do not fit", by_the_clock(&account));
    let unchecked = tasks().filter(|one| !one.task.only_checked());
    let unchecked = unchecked.filter(|one| {
        let work = (one.task.trade.as_deref(), one.task.apprentice);
        !is_checked(&footing.people, work)
    });
    list(
        &mut out,
        "Nobody of this job can check, because whoever may is the only one who may do it",
        unchecked.map(|one| named(one.task)),
    );
    out
}

/// What was last said of work that is still open.
fn remarks<'s>(account: &'s Account<'_, '_>) -> impl Iterator<Item = String> + 's {
    let tasks = account.status.tasks.iter();
    let remarks = tasks.filter_map(|one| Some((one, one.remark()?)));
    remarks.map(|(one, entry)| {
        let note = entry.note.as_deref().unwrap_or_default();
        let by = account.signature(entry);
        format!("{}: {note}, by {by}", named(one.task))
    })
}

/// A task by its number and id.
fn named(task: &SignedTask) -> String {
    format!("{} {}", task.number, task.id)
}

/// Whose turn it is: what each person, or one of them, may do or check now.
pub(crate) fn next(
    footing: &Footing,
    status: &Status<'_>,
    person: Option<&str>,
    look: Look,
) -> String {
    let turns = turns(footing, status, person);
    let mut out = String::new();
    for turn in &turns {
        let task = turn.standing.task;
        let what = match turn.act {
            Act::Checked => "check",
            _ => "do",
        };
        let who = match (person, turn.people.as_slice()) {
            (Some(_), _) => String::new(),
            (None, []) => " (nobody of the people of this job may)".to_owned(),
            (None, people) => format!(" ({})", people.join(", ")),
        };
        let missing: Vec<String> = turn
            .standing
            .missing()
            .filter(|asked| !worked_out(task).contains(&asked.name.as_str()))
            .map(|asked| {
                let limits = quantity::limits(asked.unit, (asked.least, asked.most), look.units);
                let limits = limits
                    .map(|limits| format!(" {limits}"))
                    .unwrap_or_default();
                format!("{}{limits}", asked.name)
            })
            .collect();
        let asks = if missing.is_empty() || turn.act == Act::Checked {
            String::new()
        } else {
            format!("; writes {}", missing.join(", "))
        };
        let line = format!(
            "{:>4} {what}{who}: {}, {}{asks}{}",
            task.number,
            task.title.print(look.units),
            task.id,
            first(status, task)
        );
        out.push_str(&in_message(&line));
        out.push('\n');
    }
    if out.is_empty() {
        out.push_str(match person {
            Some(_) => "nothing is this person's turn now\n",
            None => "nothing is anybody's turn now\n",
        });
    }
    out
}

fn head(account: &Account<'_, '_>, file: &str) -> String {
    let Account {
        footing,
        status,
        record,
        ..
    } = *account;
    let agreed = &footing.agreed;
    // Counted as the sheet numbers them: several that are done together are one.
    let mut tasks = BTreeMap::new();
    for one in status.of_the_lift() {
        *tasks.entry(one.task.number).or_insert(true) &= one.state() == State::Checked;
    }
    let (off, all) = (tasks.values().filter(|off| **off).count(), tasks.len());
    let verdict = if agreed.stops {
        "not released: the lift must not be done as the job file describes it".to_owned()
    } else if agreed.provisional {
        "not released: the plan is provisional, and nothing may be signed on it".to_owned()
    } else if footing.now.is_none() {
        // Whether it is what was signed for, nobody can say.
        let off = numbered(off, "task");
        format!("{off} signed off; the job as it stands now cannot be read")
    } else if footing.torn {
        format!(
            "not released: the last line was cut off; {off} of {} signed off",
            numbered(all, "task")
        )
    } else if footing.released(status) {
        format!("released: {} signed off", numbered(all, "task"))
    } else {
        let refused = status.refused_since().map(|one| one.task.id.as_str());
        let refused: Vec<&str> = refused.collect();
        let refused = if refused.is_empty() {
            String::new()
        } else {
            format!("; not right since: {}", listed(&refused, "and"))
        };
        format!(
            "not released: {off} of {} signed off{refused}",
            numbered(all, "task")
        )
    };
    let bound = match &footing.binding {
        Some(binding) => format!("bound to {} ({})", binding.identification, binding.id),
        None if record.entries.is_empty() => "bound by its first signature".to_owned(),
        None => "not bound to a vehicle: begun by an earlier program; people were known by what was said".to_owned(),
    };
    format!(
        "{}: {verdict}\nrecord {}: {}, every line as it was written\n{}\nlast digest sha256:{}\nplan {}, on sheets {}\n",
        in_message(&agreed.job),
        in_message(file),
        numbered(record.entries.len(), "entry"),
        in_message(&bound),
        record.last_digest(),
        agreed.digest,
        agreed.short(),
    )
}

/// What is otherwise now than was signed for.
fn otherwise(out: &mut String, footing: &Footing) {
    let difference = &footing.difference;
    let fell = || {
        difference
            .fell
            .iter()
            .map(|(what, why)| format!("{what}: {why}"))
    };
    if difference.counts() {
        let mut lines: Vec<String> = difference.changes.iter().map(change_words).collect();
        lines.extend(footing.rules_words().map(ToOwned::to_owned));
        list(out, "Otherwise than was signed for", lines.into_iter());
    } else if difference.plan {
        let heading = "Another version of the program makes another plan; the one that was signed on holds. A supervisor who takes the new one (`--act changed`) opens";
        list(out, heading, fell());
        if difference.fell.is_empty() {
            out.push_str("\nAnother version of the program makes another plan; taking it (`--act changed`) would open nothing.\n");
        }
    }
}

/// A heading with a line for each; nothing where there is none.
fn list(out: &mut String, heading: &str, lines: impl Iterator<Item = String>) {
    let lines: Vec<String> = lines.collect();
    if lines.is_empty() {
        return;
    }
    // Writing to a String cannot fail.
    let _ = writeln!(out, "\n{heading} ({}):", lines.len());
    for line in lines {
        let _ = writeln!(out, "  {}", in_message(&line));
    }
}

fn fallen<'s>(account: &'s Account<'_, '_>) -> impl Iterator<Item = String> + 's {
    let tasks = account.status.tasks.iter();
    let open = tasks.filter(|one| one.state() != State::Checked);
    let fallen = open.filter_map(|one| {
        let opened = one.opened()?;
        let by = opened.by.map(|entry| {
            let note = entry.note.as_ref().map(|note| format!(": {note}"));
            format!(
                ", by {}{}",
                account.signature(entry),
                note.unwrap_or_default()
            )
        });
        let by = by.unwrap_or_default();
        Some(format!("{}: {}{by}", named(one.task), opened.why))
    });
    let gone = account.status.gone.iter().map(|entry| {
        let by = account.signature(entry);
        format!(
            "{}: {} by {by}; the plan has this task no longer",
            entry.task,
            entry.act.word()
        )
    });
    fallen.chain(gone)
}

fn waiting<'a>(account: &Account<'_, 'a>, standing: &Standing<'a>) -> String {
    let missing: Vec<&str> = standing.missing().map(|one| one.name.as_str()).collect();
    let missing = if missing.is_empty() {
        String::new()
    } else {
        format!("; not written down: {}", missing.join(", "))
    };
    let doers = account.doers(standing).join("; ");
    format!("{}: {doers}{missing}", named(standing.task))
}

fn due_line<'a>(account: &Account<'_, 'a>, standing: &Standing<'a>) -> String {
    let due = standing.task.due.as_ref();
    let due = due.map(|due| words::due(due, account.units));
    let signed = account.doers(standing).pop();
    let signed = signed.map_or_else(|| "open".to_owned(), |who| format!("done, {who}"));
    let rounds = match standing.rounds.len() {
        0 => String::new(),
        times => format!("; {} before", numbered(times, "time")),
    };
    let due = due.unwrap_or_default();
    format!("{}: {due}: {signed}{rounds}", named(standing.task))
}

/// The times of the record that do not fit one another, a sentence each.
#[cfg(feature = "serve")]
pub(crate) fn times(footing: &Footing, (status, record): (&Status<'_>, &Record)) -> Vec<String> {
    let account = Account {
        footing,
        status,
        record,
        units: crate::quantity::Units::Metric,
    };
    by_the_clock(&account).collect()
}

fn by_the_clock(account: &Account<'_, '_>) -> impl Iterator<Item = String> {
    let zone = account.footing.zone.clone();
    let stretches = fast(account.status).into_iter().map(move |stretch| {
        let numbers = stretch.tasks.iter().map(|task| task.number).collect();
        format!(
            "{}: said to be done from {} to {}, and take {} at least",
            words::tasks(numbers),
            zone.print(stretch.from),
            zone.print(stretch.to),
            words::duration(stretch.least)
        )
    });
    let behind = ran_behind(account.record).into_iter();
    let behind = behind
        .map(|number| format!("entry {number}: the machine's clock ran behind the entry before"));
    stretches.chain(account.too_soon()).chain(behind)
}

/// What no task says, because the body was not to be raised before.
fn first(status: &Status<'_>, task: &SignedTask) -> &'static str {
    if status.lets_down(task) {
        "; first the body is let down, a bolt by hand in every mount"
    } else {
        ""
    }
}
