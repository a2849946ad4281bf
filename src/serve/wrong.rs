//! What is said of a task beside its signature: a remark, that it was not right, that it is done once more, or that a value is another one.
//!
//! Takes what was filled in; signs it as `liftsheet sign` does, or shows the same screen again with every reason why not. Which rows are
//! meant is ticked, none at first: what is opened again by a slip has to be done again.

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::fields;
use super::house::{Board, House};
use super::known::said;
use super::signing::{ANOTHER, Screen, form, seen, sign};
use super::{jobs, look, people};
use crate::desk::open::Desk;
use crate::desk::photo::Taken;
use crate::desk::sign::lots;
use crate::document::url;
use crate::job::Role;
use crate::quantity::Units;
use crate::record::{Act, Asked, Entry, Standing, State, Wish, is_torque, may_correct};
use crate::report::{Code, Problem};

/// `GET` and `POST /job/{job}/task/{number}/wrong`
pub(super) fn page(house: &House, ask: &Ask, board: &Board) -> Answer {
    let desk = match &board.desk {
        Ok(desk) => desk,
        Err(problem) => return Answer::Refused(409, vec![said(problem)]),
    };
    let number: usize = ask.part("number").parse().unwrap_or(0);
    let screen = (board, desk, number);
    if !ask.sent {
        return show(house, ask, screen, &NotSigned::default());
    }
    let Some(person) = ask.person() else {
        return Answer::Go("/sign-in".to_owned());
    };
    match signed(house, ask, screen, person) {
        Ok(told) => {
            ask.tell(house, told);
            Answer::Go(format!("/job/{}/task/{number}", url(&board.id)))
        }
        Err(why) => show(house, ask, screen, &why),
    }
}

/// Why nothing was signed, and whether that is because much would fall open.
#[derive(Default)]
struct NotSigned {
    faults: Vec<String>,
    much: bool,
}

impl NotSigned {
    fn because(sentence: &str) -> Self {
        Self {
            faults: vec![sentence.to_owned()],
            much: false,
        }
    }
}

impl From<Vec<Problem>> for NotSigned {
    fn from(problems: Vec<Problem>) -> Self {
        Self {
            much: problems.iter().any(|one| one.code == Code::MuchFallsOpen),
            faults: problems.iter().map(said).collect(),
        }
    }
}

fn signed(
    house: &House,
    ask: &Ask,
    screen: Screen<'_>,
    person: &str,
) -> Result<Vec<String>, NotSigned> {
    let (board, desk, _) = screen;
    let act = match ask.form.get("act") {
        Some("noted") => Act::Noted,
        Some("rejected") => Act::Rejected,
        Some("reopened") => Act::Reopened,
        Some("corrected") => Act::Corrected,
        _ => return Err(NotSigned::because("The form does not say what is signed.")),
    };
    let (wish, photos) = wish(ask, screen, (act, person))?;
    if act != Act::Noted && ask.form.get("seen") != Some(&seen(desk, screen.2, Act::Checked)) {
        return Err(NotSigned::because(ANOTHER));
    }
    Ok(sign(house, ask, board, (wish, photos))?)
}

/// What a form says, with what it is about.
fn wish(
    ask: &Ask,
    screen: Screen<'_>,
    (act, person): (Act, &str),
) -> Result<(Wish, Vec<Taken>), NotSigned> {
    let (_, desk, number) = screen;
    let status = desk.footing.status(&desk.record);
    let (wish, photos) = form(ask, desk, (act, person)).map_err(|faults| NotSigned {
        faults,
        much: false,
    })?;
    let (tasks, entry) = match act {
        Act::Noted => {
            // A remark stands once, however many pieces are printed under one number.
            let pieces = status.pieces(number);
            let open = pieces.iter().find(|one| one.state() != State::Checked);
            let about = open.or(pieces.first()).map(|one| one.task.id.clone());
            (about.into_iter().collect(), None)
        }
        Act::Corrected => {
            let pieces = status.signed_off_with(number);
            let wrong = value(ask, &pieces);
            let (one, _, entry) = wrong
                .ok_or_else(|| NotSigned::because("That value is not written down any more."))?;
            (vec![one.task.id.clone()], Some(written_by(entry)))
        }
        _ => (rows(ask, &status.signed_off_with(number))?, None),
    };
    let note = ask.form.get("remark").map(ToOwned::to_owned);
    Ok((
        Wish {
            tasks,
            entry,
            note: note.or(wish.note),
            ..wish
        },
        photos,
    ))
}

/// The rows that are ticked.
fn rows(ask: &Ask, pieces: &[&Standing<'_>]) -> Result<Vec<String>, NotSigned> {
    let all = fields::signed(pieces);
    let words = all.iter().filter_map(|row| row["word"].as_str());
    let ticked: Vec<&str> = ask.form.all("row").collect();
    let whole = ask.form.get("all").is_some();
    let meant = words.filter(|word| whole || ticked.contains(word));
    let meant: Vec<String> = meant.map(ToOwned::to_owned).collect();
    if meant.is_empty() {
        return Err(NotSigned::because(
            "Tick which of it is meant, or all of it.",
        ));
    }
    Ok(meant)
}

/// The value that an address names, with its task and the entry that it comes from.
fn value<'s, 'a>(
    ask: &Ask,
    pieces: &[&'s Standing<'a>],
) -> Option<(&'s Standing<'a>, &'a Asked, &'a Entry)> {
    let (task, name) = ask.query.get("value")?.split_once(':')?;
    let one = pieces.iter().find(|one| one.task.id == task)?;
    let (_, asked) = one.task.asks().find(|(_, asked)| asked.name == name)?;
    let (_, entry) = one.values.get(name)?;
    Some((one, asked, entry))
}

/// The number of the entry that a value was given with; what put one right names that.
fn written_by(entry: &Entry) -> u64 {
    entry.entry.unwrap_or(entry.number)
}

fn show(house: &House, ask: &Ask, (board, desk, number): Screen<'_>, why: &NotSigned) -> Answer {
    let status = desk.footing.status(&desk.record);
    let pieces = status.signed_off_with(number);
    let own = status.pieces(number);
    let Some(made) = board.known.made.as_ref().filter(|_| !own.is_empty()) else {
        return Answer::refused(404, "The plan has no such task now.");
    };
    let person = ask.person();
    let who = person.and_then(|id| desk.footing.people.get(id));
    let supervises = who.is_some_and(|who| who.is(Role::Supervisor));
    let wrong = value(ask, &pieces).map(|(one, asked, entry)| {
        let value = one.values.get(asked.name.as_str());
        json!({
            "of": one.task.title.print(Units::Metric),
            "was": value.map(|(value, _)| value.print(Units::Metric)),
            "by": entry.name,
            "field": fields::field(ask, one, asked),
            "wrench": is_torque(asked),
        })
    });
    let rows = if supervises {
        fields::signed(&pieces)
    } else {
        Vec::new()
    };
    let values = json!({
        "title": made.title(number),
        "number": number,
        "job": jobs::head(board),
        "state": super::task::state(&own),
        "faults": why.faults,
        "much": why.much,
        "value": wrong,
        "rows": rows,
        "values": may_be_put_right(desk, &pieces, person),
        "pin": person.is_some_and(|person| people::has_pin(house, person)),
        "seen": seen(desk, number, Act::Checked),
        "once": lots().unwrap_or_default(),
    });
    look::page("wrong.html", (house, ask), values)
}

/// What is written down and may be put right by somebody.
fn may_be_put_right(desk: &Desk, pieces: &[&Standing<'_>], person: Option<&str>) -> Vec<Value> {
    let status = desk.footing.status(&desk.record);
    let may = |line: &Value| {
        let (task, name) = line["key"].as_str()?.split_once(':')?;
        let one = pieces.iter().find(|one| one.task.id == task)?;
        let (_, entry) = one.values.get(name)?;
        let about = (task, written_by(entry));
        may_correct(&status, about, desk.footing.people.get_key_value(person?)?).then_some(())
    };
    let mut lines = fields::written(pieces);
    lines.retain(|line| may(line).is_some());
    lines
}
