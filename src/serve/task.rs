//! One printed task on one screen: what to do, what to write down, and the signature.
//!
//! Takes what was filled in; signs in the record's own way, or shows the same screen again with every reason why not. Nothing is said to
//! be signed before it is on the disk.

use serde_json::json;

use super::answer::Answer;
use super::ask::Ask;
use super::house::{Board, House};
use super::known::{MadeOfJob, said};
use super::signing::{ANOTHER, Screen, form, seen, sign};
use super::{fields, jobs, look, people, survey, work};
use crate::desk::open::Desk;
use crate::desk::sign::lots;
use crate::document::url;
use crate::record::{Act, Standing, State, Status, Wish, asks_odometer};
use crate::report::number_runs;

/// `GET` and `POST /job/{job}/task/{number}`
pub(super) fn page(house: &House, ask: &Ask, board: &Board) -> Answer {
    let desk = match &board.desk {
        Ok(desk) => desk,
        Err(problem) => return Answer::Refused(409, vec![said(problem)]),
    };
    let number: usize = ask.part("number").parse().unwrap_or(0);
    if !ask.sent {
        return show(house, ask, (board, desk, number), &[]);
    }
    let Some(person) = ask.person() else {
        return Answer::Go("/sign-in".to_owned());
    };
    match signed(house, ask, (board, desk, number), person) {
        Ok((act, told)) => {
            ask.tell(house, told);
            let list = if act == Act::Done { "work" } else { "check" };
            Answer::Go(format!("/job/{}/{list}", url(&board.id)))
        }
        Err(mut faults) => {
            if !ask.photos.is_empty() {
                faults.push("Choose the photograph once more; a form does not keep it.".to_owned());
            }
            show(house, ask, (board, desk, number), &faults)
        }
    }
}

/// What is said at a hold point.
const GUARDS: &str =
    "The work goes on only when somebody who did not do it has looked, and signed.";

fn signed(
    house: &House,
    ask: &Ask,
    (board, desk, number): Screen<'_>,
    person: &str,
) -> Result<(Act, Vec<String>), Vec<String>> {
    let no = |sentence: &str| vec![sentence.to_owned()];
    let act = match ask.form.get("act") {
        Some("done") => Act::Done,
        Some("checked") => Act::Checked,
        _ => return Err(no("The form does not say what is signed.")),
    };
    if ask.form.get("seen") != Some(seen(desk, number, act).as_str()) {
        return Err(no(ANOTHER));
    }
    let (mut wish, photos) = form(ask, desk, (act, person))?;
    about(ask, desk, number, &mut wish)?;
    let told = sign(house, ask, board, (wish, photos));
    told.map(|told| (act, told))
        .map_err(|problems| problems.iter().map(said).collect())
}

/// Names what is signed: the number, or of work what of it the person may do. Adds a yes to all that is not answered, where that is ticked;
/// work is not done before each is answered.
fn about(ask: &Ask, desk: &Desk, number: usize, wish: &mut Wish) -> Result<(), Vec<String>> {
    let status = desk.footing.status(&desk.record);
    let pieces = status.pieces(number);
    let own = fields::own(&desk.footing, &pieces, Some(&wish.by));
    let own = if wish.act == Act::Checked {
        status.signed_off_with(number)
    } else {
        own
    };
    wish.tasks = if wish.act == Act::Checked || own.is_empty() || own.len() == pieces.len() {
        vec![number.to_string()]
    } else {
        own.iter().map(|one| one.task.id.clone()).collect()
    };
    let mut open = fields::yeses(&own);
    open.retain(|name| !wish.values.iter().any(|(own, _)| own == name));
    // What was answered no stands until it is answered by itself.
    wish.ticks = ask.form.get("ticks").is_some();
    if !wish.ticks && wish.act == Act::Done && !open.is_empty() {
        return Err(vec![format!(
            "{} not answered: tap yes or no, or tick that all of them are yes.",
            match open.len() {
                1 => "1 question is".to_owned(),
                more => format!("{more} questions are"),
            }
        )]);
    }
    Ok(())
}

fn show(house: &House, ask: &Ask, (board, desk, number): Screen<'_>, faults: &[String]) -> Answer {
    let status = desk.footing.status(&desk.record);
    let pieces = status.pieces(number);
    let Some(made) = board.known.made.as_ref().filter(|_| !pieces.is_empty()) else {
        return Answer::refused(404, "The plan has no such task now.");
    };
    let person = ask.person();
    let does = work::by_number(board, Act::Done, person).contains_key(&number);
    let checks = work::by_number(board, Act::Checked, person).contains_key(&number);
    // What was signed off before stands on its own screen.
    let mut all = status.signed_off_with(number);
    all.retain(|one| one.state() != State::Checked);
    let shown = if checks && also(&all, number).is_some() {
        &all
    } else {
        &pieces
    };
    let own = fields::own(&desk.footing, &pieces, person.filter(|_| does));
    let asked = if does { &own } else { shown };
    let hold = pieces.iter().any(|one| one.task.hold.is_some());
    let name = &ask.session.name;
    let sign = json!({
        "does": does.then(|| format!("Done, as {name}")),
        "checks": checks.then(|| match also(shown, number) {
            Some(others) => format!("Sign {number} with {others} as {name}"),
            None => format!("Sign as {name}"),
        }),
        "first": pieces.iter().any(|one| status.lets_down(one.task)),
        "guards": hold.then_some(GUARDS),
        "asks": fields::asks(ask, (shown, asked)),
        "yeses": fields::yeses(asked).len(),
        "others": fields::others(&desk.footing, &pieces, &own),
        "pin": person.is_some_and(|person| people::has_pin(house, person)),
        "seen": seen(desk, number, Act::Done),
        "read": seen(desk, number, Act::Checked),
        "clock": desk.footing.zone.print(ask.now),
        "once": lots().unwrap_or_default(),
        "wrench": fields::wrench(asked),
        "odometer": pieces.iter().any(|one| asks_odometer(&status, one.task)),
    });
    let why_not = || not_now(&status, &pieces, (does, checks, person));
    let values = json!({
        "title": made.title(number),
        "number": number,
        "job": jobs::head(board),
        "stage": made.stage(number),
        "state": state(&pieces),
        "faults": faults,
        "text": made.tasks.get(&number).map(|(_, text)| text),
        "rows": fields::written(shown),
        "ticked": fields::ticked(shown),
        "history": history(desk, shown),
        "measure": measured_on(made, &pieces),
        "together": together(board, person, &pieces),
        "why_not": work::why_not(desk).or_else(why_not),
        "sign": sign,
    });
    look::page("task.html", (house, ask), values)
}

/// The screen of the survey on which a task is measured that is nothing but that.
fn measured_on(made: &MadeOfJob, pieces: &[&Standing<'_>]) -> Option<String> {
    let ids = pieces
        .iter()
        .map(|one| one.task.id.strip_suffix(".measure"));
    let ids: Vec<&str> = ids.flatten().collect();
    let screens = survey::screens(made).into_iter();
    let own = |id: &str| ids.contains(&id);
    let mut screens = screens.filter(|screen| screen.stops.iter().any(|stop| own(&stop.id)));
    screens.next().map(|screen| screen.id)
}

/// The other numbers that are signed off with one, in words.
fn also(shown: &[&Standing<'_>], number: usize) -> Option<String> {
    let others = shown.iter().map(|one| one.task.number);
    let others: Vec<usize> = others.filter(|other| *other != number).collect();
    (!others.is_empty()).then(|| number_runs(others))
}

/// The number under which somebody checks a task, where that is another one.
fn together(board: &Board, person: Option<&str>, pieces: &[&Standing<'_>]) -> Option<usize> {
    let own = pieces.first().map(|one| one.task.number);
    let with = pieces.iter().map(|one| one.task.signed_with).max();
    let checks = work::by_number(board, Act::Checked, person);
    with.filter(|with| Some(*with) != own && checks.contains_key(with))
}

/// How far the task is: as far as the piece that is least far.
pub(super) fn state(pieces: &[&Standing<'_>]) -> &'static str {
    let state = pieces.iter().map(|one| one.state()).min();
    state.map_or("", State::word)
}

/// Who did what of it, the last first.
fn history(desk: &Desk, pieces: &[&Standing<'_>]) -> Vec<String> {
    let mut entries: Vec<_> = pieces.iter().flat_map(|one| one.history.iter()).collect();
    entries.sort_by_key(|entry| std::cmp::Reverse(entry.number));
    let said = entries.into_iter().map(|entry| {
        let note = entry
            .note
            .as_ref()
            .map_or_else(String::new, |note| format!(": {note}"));
        let time = desk.footing.zone.print(entry.time);
        format!("{} {} by {}{note}", time, entry.act.word(), entry.name)
    });
    let mut said: Vec<String> = said.collect();
    // What was said of several rows at once is read once.
    said.dedup();
    said.truncate(6);
    said
}

/// Why the person at this device signs nothing of it now.
fn not_now(
    status: &Status<'_>,
    pieces: &[&Standing<'_>],
    (does, checks, person): (bool, bool, Option<&str>),
) -> Option<String> {
    if does || checks || person.is_none() {
        return None;
    }
    if pieces.iter().all(|one| one.state() == State::Checked) {
        return Some("It is signed off.".to_owned());
    }
    let after = pieces.iter().flat_map(|one| &one.task.after);
    let open = after
        .filter_map(|id| status.get(id))
        .filter(|one| one.state() != State::Checked);
    let own = pieces.iter().map(|one| one.task.number).next();
    let numbers: Vec<usize> = open
        .map(|one| one.task.number)
        .filter(|number| Some(*number) != own)
        .collect();
    Some(if numbers.is_empty() {
        "It is not your turn: somebody else has to sign it.".to_owned()
    } else {
        let come = if numbers.len() == 1 { "comes" } else { "come" };
        format!(
            "It is not its turn yet: {} {come} first.",
            number_runs(numbers)
        )
    })
}
