//! A wish to sign → the entries it makes, or every reason why not.
//!
//! Takes what the record stands on, the record, and who wants to sign what with which values; gives the entries. Each task is
//! decided on after the ones before it, in the order of work, and either all of them are signed or none. Pure: the time and
//! the record are handed in, and writing is left to [`crate::chain`].

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::agreed::SignedTask;
use super::binding::{Binding, Who};
use super::entry::{Act, Entry, Record};
use super::evidence::{self, Given};
use super::footing::Footing;
use super::standing::{Standing, State};
use super::status::Status;
use super::target::{self, Target};
use super::wish::Wish;
use super::{known, mend, odometer, permit, rests, square, turn, when};
use crate::crew;
use crate::job::Role;
use crate::people::SAID;
use crate::report::{Code, Problem, quoted, unknown_help, unless};
use crate::sorted::Sorted as _;

/// The record with the entries that a wish makes; fails with every reason why it may not be signed.
pub fn sign(footing: &Footing, record: &Record, wish: &Wish) -> Result<Record, Vec<Problem>> {
    let mut problems: Vec<Problem> = footing.agreed.signable().err().into_iter().collect();
    problems.extend(stands(footing, record, wish));
    problems.extend(sent_before(record, wish));
    let changed = plans(record).len() > 1;
    let targets = meant(footing, wish, (wish.sheet.as_deref(), changed));
    let mut targets = targets
        .map_err(|more| problems.extend(more))
        .unwrap_or_default();
    still_to_sign(&mut targets, &Status::of(&footing.agreed, record), wish);
    let who = person(&footing.people, &wish.by)
        .map_err(|problem| problems.push(problem))
        .ok();
    let proof = known::by(footing, record, wish)
        .map_err(|problem| problems.push(problem))
        .ok();
    let km = general(record, wish)
        .map_err(|more| problems.extend(more))
        .ok();
    let given = evidence::assign(&targets, wish).map_err(|more| problems.extend(more));
    if problems.is_empty() && targets.is_empty() && !wish.act.is_of_record() {
        let message = format!("no task is named that is `{}`", wish.act.word());
        let help = "name tasks by the ids or numbers that the sheet prints";
        problems.push(Problem::error(Code::TaskNotInPlan, message).help(help));
    }
    let (Some(who), Some(proof), Some(km), Ok(given), true) =
        (who, proof, km, given, problems.is_empty())
    else {
        return Err(problems);
    };
    let mut after = record.clone();
    if wish.act.is_of_record() {
        let entry = of_record(footing, record, (wish, who)).map_err(|no| vec![no])?;
        known::push(&mut after, entry, proof);
        return Ok(after);
    }
    if record.entries.is_empty() {
        let entry = begun(footing, (wish, who)).map_err(|no| vec![no])?;
        known::push(&mut after, entry, proof);
    }
    let mut each: Vec<_> = targets.iter().zip(given).collect();
    if matches!(wish.act, Act::Rejected | Act::Reopened) {
        // The last first: what falls open with one of them could not be refused any more.
        each.reverse();
    }
    let before = after.entries.len();
    let mut refused = Vec::new();
    for (target, given) in each {
        match entry_of(footing, &after, (wish, who), (target, km, &given)) {
            Ok(entry) => known::push(&mut after, entry, proof),
            // Of what a number names that is signed whose turn it is; what comes behind a value out of its limits, or behind another task, waits.
            Err(no) if waits(&no, target, wish.act) && after.entries.len() > before => {}
            // Whoever signs off several is told at once of each that is not as it must be.
            Err(no) if wish.act == Act::Checked && is_of_its_own(&no) => refused.push(no),
            Err(_) if !refused.is_empty() => {
                refused.extend(lacks(footing, &after, wish, (target, &given)));
            }
            // What else is refused for one task would only be refused again for those that come after it.
            Err(no) => return Err(vec![no]),
        }
    }
    unless(refused, after)
}

/// What is not as it must be at a task that is not signed off since one before it is not.
fn lacks(
    footing: &Footing,
    record: &Record,
    wish: &Wish,
    (target, given): (&Target<'_>, &Given),
) -> Option<Problem> {
    let status = Status::of(&footing.agreed, record);
    let standing = status.get(&target.task.id)?;
    let rows = rows(standing, wish.act, target);
    evidence::values(&status, (standing, &rows), (wish, given), &footing.zone).err()
}

/// Whether a check is refused for what stands, or does not, at its own task.
fn is_of_its_own(no: &Problem) -> bool {
    matches!(
        no.code,
        Code::EvidenceMissing | Code::OutsideLimits | Code::NotDone | Code::OwnWork
    )
}

/// The tasks that a wish names. What a form names stood on its screen together, as what is printed under one number.
fn meant<'f>(
    footing: &'f Footing,
    wish: &Wish,
    sheet: (Option<&str>, bool),
) -> Result<Vec<Target<'f>>, Vec<Problem>> {
    let mut targets = target::resolve(&footing.agreed, &wish.tasks, wish.act, sheet)?;
    for target in &mut targets {
        target.by_number |= wish.once.is_some();
    }
    Ok(targets)
}

/// Whether work is refused for its turn alone, and was named by a number with other work.
fn waits(no: &Problem, target: &Target<'_>, act: Act) -> bool {
    act == Act::Done && target.by_number && no.code == Code::OutOfTurn
}

/// What a wish names by a number and leaves as it was, since its turn has not come.
pub(crate) fn left<'f>(footing: &'f Footing, after: &Record, wish: &Wish) -> Vec<&'f SignedTask> {
    // Which sheet its numbers are of was looked at when it was signed.
    let named = meant(footing, wish, (None, false));
    let status = Status::of(&footing.agreed, after);
    let open = |target: &Target<'_>| {
        let state = status.get(&target.task.id).map(Standing::state);
        wish.act == Act::Done && target.by_number && state == Some(State::Open)
    };
    let left = named.unwrap_or_default().into_iter().filter(open);
    left.map(|target| target.task).collect()
}

/// Refuses a form that was signed before.
fn sent_before(record: &Record, wish: &Wish) -> Option<Problem> {
    let once = wish.once.as_ref()?;
    let mut entries = record.entries.iter();
    let before = entries.find(|entry| entry.once.as_ref() == Some(once))?;
    let message = format!("this was signed before, as entry {}", before.number);
    Some(Problem::error(Code::AlreadySigned, message).help("nothing more is signed"))
}

/// Leaves out what a number names beside and is signed off already, or done by a form and as it must be; where all is, it stays, and the
/// refusal says so.
fn still_to_sign(targets: &mut Vec<Target<'_>>, status: &Status<'_>, wish: &Wish) {
    let by_form = wish.act == Act::Done && wish.once.is_some();
    let off = |target: &Target<'_>| {
        let standing = status.get(&target.task.id);
        let off = standing.is_some_and(|one| one.state() == State::Checked);
        target.by_number && (off || by_form && standing.is_some_and(Standing::is_right))
    };
    if matches!(wish.act, Act::Done | Act::Checked) && !targets.iter().all(off) {
        targets.retain(|target| !off(target));
    }
}

/// How much falls open by entries.
pub fn consequence(entries: &[Arc<Entry>]) -> BTreeSet<&str> {
    entries
        .iter()
        .flat_map(|entry| entry.fell.keys())
        .map(String::as_str)
        .sorted_set()
}

/// The digests of the plans that were signed on.
fn plans(record: &Record) -> BTreeSet<&str> {
    let binds = record
        .entries
        .iter()
        .filter_map(|entry| entry.binds.as_ref());
    binds.map(|binding| binding.plan.as_str()).sorted_set()
}

/// Refuses an act for what the record stands on: not adopted, another vehicle's, a job file that is otherwise now.
fn stands(footing: &Footing, record: &Record, wish: &Wish) -> Option<Problem> {
    let act = wish.act;
    if !record.entries.is_empty() && record.bound().is_none() {
        return (act != Act::Adopted).then(|| {
            let message = "this record was begun by an earlier program, and is bound to no vehicle";
            let help =
                "a supervisor takes it over: `liftsheet sign JOB --act adopted --by … --note '…'`";
            Problem::error(Code::NotAdopted, message).help(help)
        });
    }
    if let Some(doubt) = &footing.doubt {
        return (act != Act::Adopted).then(|| doubt.clone());
    }
    match act {
        Act::Adopted => Some(idle("the record is bound to its vehicle already")),
        Act::Bound => Some(idle("a record is bound by its first signature")),
        Act::Identified if footing.difference.identity.is_empty() => Some(idle(
            "the record and the job file name the same vehicle and job",
        )),
        Act::Identified => None,
        _ if !footing.difference.identity.is_empty() => footing.other_vehicle(),
        Act::Changed if !(footing.difference.counts() || footing.difference.plan) => {
            Some(idle("the job file says what was signed for"))
        }
        Act::Changed if footing.is_bare() && !wish.rules_given => footing.changed(),
        Act::Changed => footing.left_apart(),
        Act::Noted => None,
        _ => footing.changed(),
    }
}

fn idle(message: &str) -> Problem {
    Problem::error(Code::NothingSigned, message).help("there is nothing to sign for")
}

fn person<'j>(people: &'j BTreeMap<String, Who>, id: &str) -> Result<&'j Who, Problem> {
    people.get(id).ok_or_else(|| {
        let known = people.keys().map(String::as_str);
        let message = format!("`{}` is not one of the people of this job", quoted(id));
        Problem::error(Code::UnknownPerson, message).help(unknown_help(id, known))
    })
}

/// What holds for the wish as a whole: reason, time, odometer. Gives the odometer in km.
fn general(record: &Record, wish: &Wish) -> Result<Option<f64>, Vec<Problem>> {
    let mut problems = Vec::new();
    let wordless = matches!(
        wish.act,
        Act::Bound | Act::Done | Act::Measured | Act::Checked | Act::Withdrawn
    );
    if !wordless && wish.said().is_none() {
        let message = format!(
            "`{}` takes a few words that say why or what",
            wish.act.word()
        );
        problems.push(Problem::error(Code::ReasonMissing, message).help("add `--note '…'`"));
    }
    problems.extend(when::past(record, wish).err());
    let km = wish.odometer.as_deref().map(odometer::read).transpose();
    let km = km.and_then(|km| {
        let next = km.filter(|_| wish.act != Act::Corrected);
        next.map_or(Ok(()), |next| odometer::runs_on(record, None, next))?;
        Ok(km)
    });
    match km {
        Ok(km) => unless(problems, km),
        Err(problem) => {
            problems.push(problem);
            Err(problems)
        }
    }
}

/// An entry of somebody, about nothing yet.
fn entry(footing: &Footing, (wish, who): (&Wish, &Who), role: Role) -> Entry {
    Entry {
        time: wish.now,
        at: wish.at,
        act: wish.act,
        person: wish.by.clone(),
        name: who.name.clone(),
        role: role.word().to_owned(),
        how: Some(SAID.to_owned()),
        note: wish.said(),
        once: wish.once.clone(),
        plan: footing.agreed.digest.clone(),
        ..Entry::default()
    }
}

/// The first entry of a record, which binds it to its vehicle.
fn begun(footing: &Footing, (wish, who): (&Wish, &Who)) -> Result<Entry, Problem> {
    let role = permit::of_record((&wish.by, who), Act::Bound, false)?;
    let entry = entry(footing, (wish, who), role);
    Ok(Entry {
        act: Act::Bound,
        at: None,
        note: None,
        once: None,
        binds: Some(Box::new(binding(footing, &wish.id)?)),
        ..entry
    })
}

/// What binds a record to the job as it is now.
fn binding(footing: &Footing, id: &str) -> Result<Binding, Problem> {
    let Some(now) = &footing.now else {
        let message = "the job file gives no plan, so nothing can be signed for it";
        return Err(Problem::error(Code::NotKept, message).help("correct the job file"));
    };
    if now.binding.identification.trim().is_empty() {
        let message =
            "the job file does not say which vehicle it is, so nothing can be signed for it";
        let help =
            "add `identification:` under `vehicle`, with its number plate or identification number";
        return Err(Problem::error(Code::NoIdentification, message).help(help));
    }
    Ok(Binding {
        id: id.to_owned(),
        ..now.binding.clone()
    })
}

/// Whether a person may sign for another job file, and so write into it what would have to be signed for.
pub(crate) fn may_change(footing: &Footing, record: &Record, id: &str) -> Result<(), Problem> {
    let who = person(&footing.people, id)?;
    let released = Status::of(&footing.agreed, record).released();
    permit::of_record((id, who), Act::Changed, released).map(|_| ())
}

/// An entry about the record as a whole.
fn of_record(
    footing: &Footing,
    record: &Record,
    (wish, who): (&Wish, &Who),
) -> Result<Entry, Problem> {
    if let Some(task) = wish.tasks.first() {
        let message = format!(
            "`{}` is about the whole record, and names no task",
            wish.act.word()
        );
        let help = format!("leave `{}` out", quoted(task));
        return Err(Problem::error(Code::TaskNotInPlan, message).help(help));
    }
    let difference = &footing.difference;
    let supervisor = wish.act != Act::Changed
        || difference.people
        || difference.lift()
        || difference.is_of_program();
    let role = permit::of_record((&wish.by, who), wish.act, supervisor);
    let role = role.map_err(|no| of_folder(footing, no))?;
    if wish.act == Act::Changed {
        may_change(footing, record, &wish.by)?;
    }
    let id = footing
        .binding
        .as_ref()
        .map_or(&wish.id, |binding| &binding.id);
    let mut binds = binding(footing, id)?;
    let mut own = entry(footing, (wish, who), role);
    match (wish.act, &footing.binding) {
        // A slip of the pen that is corrected changes nothing else.
        (Act::Identified, Some(held)) => {
            own.changes.clone_from(&difference.identity);
            binds = Binding {
                identification: binds.identification,
                job: binds.job,
                ..held.clone()
            };
        }
        // Whoever goes on with a record signs for nothing else.
        (Act::Adopted, Some(held)) => binds = held.clone(),
        (Act::Adopted, None) => {}
        _ => {
            own.changes.clone_from(&difference.changes);
            own.fell.clone_from(&difference.fell);
            if let Some(now) = &footing.now {
                now.agreed.signable()?;
                own.plan.clone_from(&now.agreed.digest);
            }
        }
    }
    own.binds = Some(Box::new(binds));
    Ok(own)
}

/// A refusal for what somebody may do, with the way out where the folder has people of its own.
fn of_folder(footing: &Footing, no: Problem) -> Problem {
    let what = match no.code {
        _ if footing.workshop.is_none() => return no,
        Code::NoLicence => "licence",
        Code::WrongRole => "role",
        _ => return no,
    };
    let list = crew::of_folder(what);
    no.help(format!("let somebody sign who has the {what}; {list}"))
}

/// Refuses what is done under a body that stands raised, until somebody says how it was let down: no task of the plan does that.
fn down_first(status: &Status<'_>, task: &SignedTask, wish: &Wish) -> Result<(), Problem> {
    if wish.act != Act::Done || wish.said().is_some() || !status.lets_down(task) {
        return Ok(());
    }
    let message = format!(
        "`{}` is done under a body that stands raised by what is signed",
        task.id
    );
    let help = "let it down first, a bolt by hand in every mount, then sign with a `--note` that says who did that";
    Err(Problem::error(Code::ReasonMissing, message).help(help))
}

type About<'g, 't> = (&'g Target<'t>, Option<f64>, &'g Given);

/// The entry for one task, not yet numbered.
fn entry_of(
    footing: &Footing,
    record: &Record,
    (wish, who): (&Wish, &Who),
    (target, km, given): About<'_, '_>,
) -> Result<Entry, Problem> {
    let status = Status::of(&footing.agreed, record);
    let task = target.task;
    let Some(standing) = status.get(&task.id) else {
        let message = format!("the plan has no task `{}`", quoted(&task.id));
        return Err(Problem::error(Code::TaskNotInPlan, message));
    };
    let rows = rows(standing, wish.act, target);
    if let Some(done) = standing.done().last()
        && wish.act == Act::Done
        && wish.once.is_some()
        && standing.is_right()
    {
        let message = format!("{} has signed it as done meanwhile", done.name);
        return Err(Problem::error(Code::NothingSigned, message).help("look at it once more"));
    }
    signed_already(standing, wish)?;
    let role = permit::role((&wish.by, who), wish.act, (standing, &rows));
    let role = role.map_err(|no| of_folder(footing, no))?;
    turn::check(&status, wish.act, (standing, &rows))?;
    down_first(&status, task, wish)?;
    when::behind(&status, wish, (standing, &footing.zone))?;
    let values = evidence::values(&status, (standing, &rows), (wish, given), &footing.zone)?;
    let km = odometer::of_entry(record, wish.act, (km, &values))?;
    if wish.act == Act::Done || (wish.act == Act::Checked && standing.done().is_empty()) {
        let reason = wish.said().is_some();
        odometer::check(&status, standing, (km, role, reason))?;
    }
    let mut own = Entry {
        task: task.id.clone(),
        rows,
        values,
        photos: given.more.clone(),
        odometer: km,
        wrench: wish.wrench.clone(),
        task_digest: task.digest.clone(),
        parts: parts(task, target),
        ..entry(footing, (wish, who), role)
    };
    match wish.act {
        Act::Rejected | Act::Reopened => own.fell = fallen(&status, wish.act, task),
        Act::Corrected => {
            own.entry = Some(corrected(&status, record, (wish, who), &own)?);
            if is_wrong(standing, &own) {
                own.fell = fallen(&status, wish.act, task);
            }
        }
        Act::Withdrawn => {
            let about = (task.id.as_str(), wish.entry, wish.by.as_str());
            own.entry = Some(mend::withdrawn(&status, record, about)?.number);
        }
        _ => {}
    }
    Ok(own)
}

/// Refuses work that its doer has signed as done and that is as it must be: whoever signs twice by a slip keeps one more from checking it. And
/// refuses what is out of its limits, from whoever gives nothing new.
fn signed_already(standing: &Standing<'_>, wish: &Wish) -> Result<(), Problem> {
    let done = standing.done();
    let own = done.iter().find(|entry| entry.person == wish.by);
    let gives = !wish.values.is_empty() || !wish.photos.is_empty() || wish.said().is_some();
    if wish.act == Act::Done
        && !gives
        && !done.is_empty()
        && let Some((asked, _)) = standing.wrong().next()
    {
        let message = format!(
            "`{}` is signed as done, and `{}` is out of its limits",
            standing.task.id, asked.name
        );
        let help = "put it right and sign it with the new `--value`, or say with `--note` what was done to it";
        return Err(Problem::error(Code::OutsideLimits, message).help(help));
    }
    match own {
        Some(own) if wish.act == Act::Done && standing.is_right() && !gives => {
            let message = format!(
                "`{}` signed it as done before, as entry {}",
                wish.by, own.number
            );
            Err(Problem::error(Code::AlreadySigned, message).help("it waits to be checked"))
        }
        _ => Ok(()),
    }
}

/// The rows that an act is about: those named; for a task that was begun row by row, those that are still to be signed so.
fn rows(standing: &Standing<'_>, act: Act, target: &Target<'_>) -> Vec<String> {
    if !target.rows.is_empty() || standing.rows.len() < 2 {
        return target.rows.clone();
    }
    let rest = standing.rows.iter().filter(|row| match act {
        Act::Done => row.done.is_empty(),
        Act::Checked => row.checked.is_none(),
        _ => true,
    });
    let rest: Vec<String> = rest.map(|row| row.row.id.clone()).collect();
    if rest.len() == standing.rows.len() {
        Vec::new()
    } else {
        rest
    }
}

/// The digests of the parts that a signature is for.
fn parts(task: &SignedTask, target: &Target<'_>) -> BTreeMap<String, String> {
    let mut parts = task.parts.clone();
    parts.retain(|name, _| {
        let row = name.strip_prefix("row ");
        row.is_none_or(|row| target.rows.is_empty() || target.rows.iter().any(|own| own == row))
    });
    parts
}

/// Whether a correction puts a value that counts out of its limits: what was done since rested on another.
fn is_wrong(standing: &Standing<'_>, own: &Entry) -> bool {
    let asks = standing.task.asks().map(|(_, asked)| asked);
    let mut asks = asks.filter(|asked| standing.given_by(&asked.name) == own.entry);
    asks.any(|asked| {
        let value = own.values.get(&asked.name);
        value.is_some_and(|value| !value.is_right(asked))
    })
}

/// What falls open with a task of what is signed, each with why.
fn fallen(status: &Status<'_>, act: Act, task: &SignedTask) -> BTreeMap<String, String> {
    let from = match act {
        // What only sets the vehicle up, and is brought about again, was not wrong while others relied on it.
        Act::Reopened => rests::ended(status.agreed, &task.id),
        _ => 0,
    };
    let seeds = BTreeMap::from([(task.id.as_str(), from)]);
    let refused = (act != Act::Reopened).then_some(task.id.as_str());
    let fallen = rests::fallen((status, status.agreed), &seeds, refused).into_iter();
    let fallen = fallen.filter(|(id, _)| !seeds.contains_key(id));
    fallen.map(|(id, why)| (id.to_owned(), why)).sorted_map()
}

/// The entry that a correction is about, once what it puts right is there to be put right.
fn corrected(
    status: &Status<'_>,
    record: &Record,
    (wish, who): (&Wish, &Who),
    own: &Entry,
) -> Result<u64, Problem> {
    let standing = status.get(&own.task);
    // What is worked out follows by itself from what is put right.
    let worked_out = standing.map(|one| square::worked_out(one.task));
    let worked_out = worked_out.unwrap_or_default();
    let names = own.values.keys().map(String::as_str);
    let names: Vec<&str> = names.filter(|name| !worked_out.contains(name)).collect();
    let gave = |name: &&str| standing?.given_by(name);
    let meant = wish.entry.or_else(|| names.iter().find_map(gave));
    let by = (wish.by.as_str(), who.is(Role::Supervisor));
    let about = (own.task.as_str(), own.odometer.is_some(), meant);
    let entry = mend::corrected(status, about, by)?;
    let number = entry.number;
    if let Some(km) = own.odometer {
        odometer::runs_on(record, Some(number), km)?;
    }
    let unknown = names.iter().find(|name| !entry.values.contains_key(**name));
    if let Some(name) = unknown {
        let message = format!("entry {number} gave no `{name}` that could be put right");
        let help = match gave(name) {
            Some(other) => format!(
                "entry {other} gave it: `--entry {other}`; what several entries gave is put right entry by entry"
            ),
            None => "a value that is missing is signed with `--act measured`".to_owned(),
        };
        return Err(Problem::error(Code::BadEvidence, message).help(help));
    }
    let mut given = names.iter().filter_map(|name| Some((name, gave(name)?)));
    if let Some((name, other)) = given.find(|(_, by)| *by != number) {
        let message = format!(
            "what entry {number} gave as `{name}` counts no more: entry {other} gave it anew"
        );
        let help = format!(
            "`--entry {other}` puts that right; a remark on the earlier one is signed with `--act noted`"
        );
        return Err(Problem::error(Code::BadEvidence, message).help(help));
    }
    if own.values.is_empty() && own.odometer.is_none() && own.at.is_none() {
        let message = format!("nothing is given that puts entry {number} right");
        let help = "add `--value name=…`, `--odometer` or `--at`";
        return Err(Problem::error(Code::EvidenceMissing, message).help(help));
    }
    Ok(number)
}
