//! Whose turn it is: what the person at this device may do now, what waits for the supervisor, and who waits for whom.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::house::{Board, House, Next};
use super::known::{MadeOfJob, said};
use super::{jobs, look};
use crate::desk::open::Desk;
use crate::document;
use crate::record::{Act, Standing, State, Status};
use crate::sorted::Sorted as _;

/// `GET /job/{job}/work`
pub(super) fn mine(house: &House, ask: &Ask, board: &Board) -> Answer {
    list(house, ask, board, Act::Done)
}

/// `GET /job/{job}/check`
pub(super) fn to_check(house: &House, ask: &Ask, board: &Board) -> Answer {
    list(house, ask, board, Act::Checked)
}

fn list(house: &House, ask: &Ask, board: &Board, act: Act) -> Answer {
    let desk = match &board.desk {
        Ok(desk) => desk,
        Err(problem) => return Answer::Refused(409, vec![said(problem)]),
    };
    let status = desk.footing.status(&desk.record);
    let lines = by_number(board, act, ask.person()).into_iter();
    let lines = lines.map(|(number, turns)| {
        let standings: Vec<&Standing<'_>> = if act == Act::Checked && turns.len() > 1 {
            status.signed_off_with(number)
        } else {
            let standings = turns.iter().filter_map(|turn| status.get(&turn.task));
            standings.collect()
        };
        line(board.known.made.as_ref(), (number, &standings), act)
    });
    let lines: Vec<Value> = lines.collect();
    let (title, nothing) = match act {
        Act::Checked => ("To check", "Nothing waits to be checked by you."),
        _ => ("My work", "Nothing is your turn now."),
    };
    let values = json!({
        "title": title,
        "job": jobs::head(board),
        "live": true,
        "why": why_not(desk),
        "turns": lines,
        "nothing": if ask.person().is_none() { "Sign in to see what is your turn." } else { nothing },
        "remarks": remarks(board.known.made.as_ref(), &status),
        "waits": waits(desk, board.turns(), (act, ask.person())),
        "times": if act == Act::Checked {
            document::times(&desk.footing, (&status, &desk.record))
        } else {
            Vec::new()
        },
        "stands": desk.footing.stands(&status).join("; "),
    });
    look::page("work.html", (house, ask), values)
}

/// Why nothing can be signed on this plan.
pub(super) fn why_not(desk: &Desk) -> Option<String> {
    desk.footing
        .agreed
        .signable()
        .err()
        .map(|problem| said(&problem))
}

/// What is next of one act, by the numbers of the printed tasks: what is the turn of one person. Once all is done that one check signs off, it
/// is checked under the number of that check.
pub(super) fn by_number<'b>(
    board: &'b Board,
    act: Act,
    person: Option<&str>,
) -> BTreeMap<usize, Vec<&'b Next>> {
    let mut found = BTreeMap::<usize, Vec<&Next>>::new();
    for turn in board.turns().iter().filter(|turn| turn.act == act) {
        if let Some(person) = person.filter(|person| turn.people.iter().any(|own| own == person)) {
            let all = turn
                .together
                .as_ref()
                .filter(|(_, people)| people.iter().any(|own| own == person));
            let number = all.map_or(turn.number, |(number, _)| *number);
            found.entry(number).or_default().push(turn);
        }
    }
    found
}

fn line(made: Option<&MadeOfJob>, (number, turns): (usize, &[&Standing<'_>]), act: Act) -> Value {
    let asked: usize = turns.iter().map(|one| one.missing().count()).sum();
    let wrong = turns.iter().any(|one| one.state() == State::OutOfLimits);
    let hold = turns.iter().any(|one| one.task.hold.is_some());
    let says = match (act, wrong, hold) {
        (_, true, _) => "a value is out of limits".to_owned(),
        (_, _, true) => "hold point".to_owned(),
        (Act::Checked, ..) => {
            let done = turns.iter().flat_map(|one| one.done());
            let names = done.map(|entry| entry.name.as_str()).sorted_set();
            format!(
                "done by {}",
                names.into_iter().collect::<Vec<_>>().join(", ")
            )
        }
        _ if asked > 0 => format!("{asked} to write down"),
        _ => String::new(),
    };
    let title = made.map_or_else(|| number.to_string(), |made| made.title(number));
    let remarks = turns.iter().filter_map(|one| one.remark()?.note.clone());
    let says = [says]
        .into_iter()
        .chain(remarks)
        .filter(|one| !one.is_empty());
    let says: Vec<String> = says.collect();
    json!({"number": number, "title": title, "says": says.join("; ")})
}

/// What somebody has said of work that is still open: why nobody goes on with it.
fn remarks(made: Option<&MadeOfJob>, status: &Status<'_>) -> Vec<Value> {
    let remarks = status
        .tasks
        .iter()
        .filter_map(|one| Some((one, one.remark()?)));
    let lines = remarks.map(|(one, entry)| {
        let number = one.task.number;
        let note = entry.note.as_deref().unwrap_or_default();
        json!({
            "number": number,
            "title": made.map_or_else(|| number.to_string(), |made| made.title(number)),
            "says": format!("{note} ({})", entry.name),
        })
    });
    lines.collect()
}

/// What is the turn of others, a line for each group of people.
fn waits(desk: &Desk, all: &[Next], (act, person): (Act, Option<&str>)) -> Vec<String> {
    let mut by_people: BTreeMap<(&[String], bool), Vec<String>> = BTreeMap::new();
    for turn in all {
        let own = turn.act == act
            && person.is_some_and(|person| turn.people.iter().any(|own| own == person));
        if own {
            continue;
        }
        let numbers = by_people
            .entry((turn.people.as_slice(), turn.act == Act::Checked))
            .or_default();
        let all = turn.together.as_ref();
        let all = all.filter(|(_, people)| *people == turn.people);
        let number = all.map_or(turn.number, |(number, _)| *number);
        let number = number.to_string();
        if !numbers.contains(&number) {
            numbers.push(number);
        }
    }
    let name = |id: &String| {
        desk.footing
            .people
            .get(id)
            .map_or_else(|| id.clone(), |who| who.name.clone())
    };
    by_people
        .into_iter()
        .map(|((people, checks), numbers)| {
            let what = if checks { "check" } else { "do" };
            let names: Vec<String> = people.iter().map(name).collect();
            let who = if names.is_empty() {
                "Nobody of this job".to_owned()
            } else {
                names.join(" or ")
            };
            format!("{who} may {what} {}", numbers.join(", "))
        })
        .collect()
}

/// How many printed tasks are somebody's turn to do, and to check.
pub(super) fn counts(board: &Board, person: Option<&str>) -> (usize, usize) {
    let count = |act| by_number(board, act, person).len();
    (count(Act::Done), count(Act::Checked))
}
