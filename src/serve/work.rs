//! Whose turn it is: what the person at this device may do now, what waits for the supervisor, and who waits for whom.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::house::{Board, House};
use super::known::{Kept, said};
use super::{jobs, look, task};
use crate::desk::open::Desk;
use crate::record::{Act, State, Status, Turn, turns};

/// Printed tasks on which the same act is next, by their numbers.
type ByNumber<'s, 'a> = BTreeMap<usize, Vec<&'s Turn<'s, 'a>>>;

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
    let all = turns(&desk.footing, &status, None);
    let own = by_number(&all, act, ask.person());
    let lines: Vec<Value> = own
        .iter()
        .map(|(number, turns)| line(board.known.made.as_ref(), (*number, turns), act))
        .collect();
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
        "waits": waits(desk, &all, (act, ask.person())),
        "stands": status.stands().join("; "),
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

/// The turns of one act by the numbers of their printed tasks: those of one person, where somebody is named.
pub(super) fn by_number<'s, 'a>(
    all: &'s [Turn<'s, 'a>],
    act: Act,
    person: Option<&str>,
) -> ByNumber<'s, 'a> {
    let mut found = ByNumber::new();
    for turn in all.iter().filter(|turn| turn.act == act) {
        if person.is_some_and(|person| turn.people.contains(&person)) {
            found.entry(turn.number).or_default().push(turn);
        }
    }
    found
}

fn line(made: Option<&Kept>, (number, turns): (usize, &[&Turn<'_, '_>]), act: Act) -> Value {
    let asked: usize = turns
        .iter()
        .map(|turn| turn.standing.missing().count())
        .sum();
    let wrong = turns
        .iter()
        .any(|turn| turn.standing.state() == State::OutOfLimits);
    let hold = turns.iter().any(|turn| turn.standing.task.hold.is_some());
    let says = match (act, wrong, hold) {
        (_, true, _) => "a value is out of limits".to_owned(),
        (_, _, true) => "hold point".to_owned(),
        (Act::Checked, ..) => {
            let done = turns.iter().flat_map(|turn| turn.standing.done());
            let names: std::collections::BTreeSet<&str> =
                done.map(|entry| entry.name.as_str()).collect();
            format!(
                "done by {}",
                names.into_iter().collect::<Vec<_>>().join(", ")
            )
        }
        _ if asked > 0 => format!("{asked} to write down"),
        _ => String::new(),
    };
    let title = made.map_or_else(|| number.to_string(), |made| task::title(made, number));
    json!({"number": number, "title": title, "says": says})
}

/// What is the turn of others, a line for each group of people.
fn waits(desk: &Desk, all: &[Turn<'_, '_>], (act, person): (Act, Option<&str>)) -> Vec<String> {
    let mut by_people: BTreeMap<(Vec<&str>, bool), Vec<String>> = BTreeMap::new();
    for turn in all {
        let own = turn.act == act && person.is_some_and(|person| turn.people.contains(&person));
        if own {
            continue;
        }
        let numbers = by_people
            .entry((turn.people.clone(), turn.act == Act::Checked))
            .or_default();
        let number = turn.number.to_string();
        if !numbers.contains(&number) {
            numbers.push(number);
        }
    }
    let name = |id: &&str| {
        desk.footing
            .people
            .get(*id)
            .map_or((*id).to_owned(), |who| who.name.clone())
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

/// How many printed tasks wait for somebody to check them, and how many are somebody's turn to do.
pub(super) fn counts(desk: &Desk, status: &Status<'_>, person: Option<&str>) -> (usize, usize) {
    let all = turns(&desk.footing, status, None);
    (
        by_number(&all, Act::Done, person).len(),
        by_number(&all, Act::Checked, person).len(),
    )
}
