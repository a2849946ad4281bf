//! One screen of the survey: the values of a connection, or of all mounts, written into the job file as they are read.
//!
//! Takes what was typed; gives the next screen, or says why it cannot be so. Several people measure one vehicle at the same time: a value
//! that somebody else has written meanwhile is shown, and not written over. What a value opens again of what is signed is shown before it
//! is written, and what was written last can be taken back.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::house::{Board, House};
use super::known::{MadeOfJob, said};
use super::survey::{Screen, next, open, screens};
use super::{jobs, look};
use crate::desk::fill;
use crate::desk::load::Loaded;
use crate::desk::open::Desk;
use crate::document::{Stop, url};
use crate::fill::{ToFill, ToWrite};
use crate::record;
use crate::report::{Problem, unless};
use crate::source::Source;

/// What is said to whoever sends a screen that is not there any more.
const GONE: &str = "Nothing was written: somebody else has measured all of it meanwhile, or the job has no such connection now.";

/// `GET` and `POST /job/{job}/survey/{stop}`
pub(super) fn page(house: &House, ask: &Ask, board: &Board) -> Answer {
    let id = ask.part("stop");
    let Some(made) = &board.known.made else {
        return Answer::Refused(409, board.known.faults());
    };
    if !ask.sent {
        return show(house, ask, (board, made), (id, &Why::default()));
    }
    if ask.person().is_none() {
        return Answer::Go("/sign-in".to_owned());
    }
    let all = screens(made);
    let Some(screen) = all.iter().find(|screen| screen.id == id) else {
        return gone(house, ask, board);
    };
    let asked = match changes(ask, screen) {
        Ok(changes) => ToFill::of(changes),
        Err(faults) => return show(house, ask, (board, made), (id, &Why::faults(faults))),
    };
    if asked.changes.is_empty() {
        let nothing = "Nothing was typed, so nothing is written; it is asked for again.";
        ask.tell(house, vec![nothing.to_owned()]);
        return Answer::Go(behind(house, board, id));
    }
    let wrote = asked.changes.iter().map(|change| {
        let mut stops = screen.stops.iter();
        let what = stops.find_map(|stop| what_of(stop, &change.place));
        let what = what.unwrap_or_else(|| change.place.clone());
        format!("{what}: {}", change.value)
    });
    match enter(house, ask, board, (&asked, wrote.collect())) {
        Ok(()) => Answer::Go(behind(house, board, id)),
        Err(why) => show(house, ask, (board, made), (id, &why)),
    }
}

/// What a place is called: of the mounts, which stand on one screen, with the mount's name.
fn what_of(stop: &Stop, place: &str) -> Option<String> {
    let mut readings = stop.readings.iter();
    let reading = readings.find(|reading| reading.wanted.place == place)?;
    let what = &reading.wanted.what;
    Some(if stop.mount {
        format!("{} · {what}", stop.title)
    } else {
        what.clone()
    })
}

/// The list, in the place of a screen of which somebody else has measured the last, or taken the connection out, since a page led here.
fn gone(house: &House, ask: &Ask, board: &Board) -> Answer {
    if ask.sent {
        ask.tell(house, vec![GONE.to_owned()]);
    }
    Answer::Go(format!("/job/{}/survey", url(&board.id)))
}

/// The address of the next screen on which something is still to be measured, as the file is now.
fn behind(house: &House, board: &Board, id: &str) -> String {
    let base = format!("/job/{}/survey", url(&board.id));
    let now = house.board(&board.id).ok();
    let made = now.as_ref().and_then(|board| board.known.made.as_ref());
    match made.and_then(|made| next(made, id)) {
        Some(next) => format!("{base}/{}", url(&next)),
        None => base,
    }
}

/// Why nothing was written: what is wrong with it, or what it would open again.
#[derive(Default)]
pub(super) struct Why {
    pub(super) faults: Vec<String>,
    pub(super) opens: Option<Vec<String>>,
    /// Whether the whole connection was to be taken out.
    going: bool,
}

impl Why {
    pub(super) fn faults(faults: Vec<String>) -> Self {
        Self {
            faults,
            ..Self::default()
        }
    }
}

fn show(
    house: &House,
    ask: &Ask,
    (board, made): (&Board, &MadeOfJob),
    (id, why): (&str, &Why),
) -> Answer {
    let all = screens(made);
    let Some(screen) = all.iter().find(|screen| screen.id == id) else {
        return gone(house, ask, board);
    };
    let stops = screen.stops.iter().map(|stop| {
        let readings = stop
            .readings
            .iter()
            .map(|reading| json!({"reading": reading, "typed": typed(ask, &reading.wanted.place)}));
        json!({"title": stop.title, "id": stop.id, "readings": readings.collect::<Vec<Value>>()})
    });
    let stop = screen.stops.first();
    let gone = stop.filter(|stop| stop.link).map(|stop| stop.id.clone());
    let picture = stop
        .filter(|stop| !stop.mount)
        .and_then(|stop| board.known.picture(&stop.id, open(stop) == 0));
    let place = all
        .iter()
        .position(|other| other.id == id)
        .map_or(0, |at| at + 1);
    let verdict = stop.filter(|stop| !stop.mount && !stop.verdict.is_empty() && open(stop) == 0);
    let values = json!({
        "title": screen.title,
        "screen": id,
        "job": jobs::head(board),
        "where": format!("{place} of {}{}", all.len(), stop.map_or_else(String::new, |stop| format!(", {}", stop.area))),
        "verdict": verdict.map(|stop| format!("{}: {}", stop.verdict, stop.because)),
        "faults": why.faults,
        "opens": why.opens,
        "sure": why.opens.as_deref().map_or_else(String::new, sure),
        "going": why.going,
        "stops": stops.collect::<Vec<Value>>(),
        "next": next(made, id),
        "gone": gone,
        "picture": picture,
    });
    look::page("reading.html", (house, ask), values)
}

/// What was typed for a place; what holds a connection is ticked one by one.
fn typed(ask: &Ask, place: &str) -> Option<String> {
    let field = format!("v:{place}");
    let all: Vec<&str> = ask.form.all(&field).collect();
    (!all.is_empty()).then(|| all.join(", "))
}

/// What was typed and is not there yet, or what stands in the way: a value that somebody else wrote meanwhile.
fn changes(ask: &Ask, screen: &Screen<'_>) -> Result<Vec<ToWrite>, Vec<String>> {
    let (mut changes, mut overtaken) = (Vec::new(), Vec::new());
    let mut before: BTreeMap<&str, String> = BTreeMap::new();
    for stop in &screen.stops {
        let same = ask.form.get(&format!("same:{}", stop.id)).is_some();
        let mut own = BTreeMap::new();
        for reading in &stop.readings {
            let place = &reading.wanted.place;
            let name = reading.name();
            let typed = typed(ask, place);
            let over = before.get(name).filter(|_| same && !reading.each);
            let typed = typed.or_else(|| over.cloned());
            own.extend(
                typed
                    .iter()
                    .chain(&reading.value)
                    .next()
                    .map(|now| (name, now.clone())),
            );
            let seen = ask.form.get(&format!("w:{place}"));
            // What was left as it stood on the screen changes nothing, whatever somebody else has written since.
            let typed = typed.filter(|typed| seen != Some(typed));
            let Some(typed) = typed.filter(|typed| reading.value.as_ref() != Some(typed)) else {
                continue;
            };
            if let Some(there) = reading
                .value
                .as_deref()
                .filter(|there| seen != Some(*there))
            {
                overtaken.push(format!(
                    "{}: somebody else has written “{there}” meanwhile, and “{typed}” was typed here. Ask which is right, and write that.",
                    what_of(stop, place).unwrap_or_default()
                ));
            }
            changes.push(ToWrite::new(place, &typed));
        }
        before = own;
    }
    unless(overtaken, changes)
}

/// Writes into the job file, unless that would open again what is signed and nobody has seen it; the next page says what was written, and
/// what it came to.
pub(super) fn enter(
    house: &House,
    ask: &Ask,
    board: &Board,
    (asked, mut told): (&ToFill, Vec<String>),
) -> Result<(), Why> {
    if let (Err(broken), Some(_)) = (&board.desk, &board.known.made) {
        // What is signed cannot be told, nor what of it would open again.
        let told = format!(
            "Nothing is written beside a broken record. {}",
            said(broken)
        );
        return Err(Why::faults(vec![told]));
    }
    let (opens, refused) = opens(house, board, asked).unzip();
    if let Some(problem) = refused.flatten() {
        return Err(Why::faults(vec![format!(
            "Nothing is written: {}",
            said(&problem)
        )]));
    }
    if let (Some(_), Ok(desk), Some(person)) = (&opens, &board.desk, ask.person()) {
        let may = record::may_change(&desk.footing, &desk.record, person);
        may.map_err(|no| Why::faults(vec![format!("Nothing is written: {}", said(&no))]))?;
    }
    let seen = |opens: &Vec<String>| ask.form.get("sure") == Some(&sure(opens));
    if opens.as_ref().is_some_and(|opens| !seen(opens)) {
        return Err(Why {
            opens,
            going: !asked.without.is_empty(),
            ..Why::default()
        });
    }
    let mut loaded = Loaded::default();
    let entered = fill::enter((&board.path, &house.files, false), asked, &mut loaded);
    let done =
        entered.map_err(|problems| Why::faults(sentences(&loaded.report.problems, &problems)))?;
    told.extend(done.verdicts);
    told.extend(done.doubts.iter().map(said));
    ask.tell_written(house, told, (board.id.clone(), Arc::new(done.filled)));
    Ok(())
}

/// What of the signed work a change would open again; nothing where that has not to be signed for.
fn opens(house: &House, board: &Board, asked: &ToFill) -> Option<(Vec<String>, Option<Problem>)> {
    let signed = |desk: &&Desk| !desk.record.entries.is_empty();
    let desk = board.desk.as_ref().ok().filter(signed)?;
    let source = &board.known.source;
    let before = fill::outcome(source, &house.files);
    // What is wrong with it is said when it is written.
    let done = fill::attempt(source, asked, &before, &house.files).ok()?;
    let then = Source::from_text(source.name(), done.filled.text);
    desk.would_open(&then, &house.files)
}

/// What a form says back of that, so that whoever sends it has seen it.
pub(super) fn sure(opens: &[String]) -> String {
    record::sha256(opens.join("\n").as_bytes())
}

fn sentences(more: &[Problem], problems: &[Problem]) -> Vec<String> {
    more.iter().chain(problems).map(said).collect()
}

/// `POST /job/{job}/without`
pub(super) fn without(house: &House, ask: &Ask, board: &Board) -> Answer {
    let Some(made) = &board.known.made else {
        return Answer::Refused(409, board.known.faults());
    };
    if ask.person().is_none() {
        return Answer::Go("/sign-in".to_owned());
    }
    let id = ask.form.get("connection").unwrap_or_default();
    let all = screens(made);
    let Some(screen) = all.iter().find(|screen| screen.id == id) else {
        return gone(house, ask, board);
    };
    let asked = ToFill {
        without: vec![id.to_owned()],
        ..ToFill::default()
    };
    let told = vec![format!("{} is taken out of the job.", screen.title)];
    match enter(house, ask, board, (&asked, told)) {
        Ok(()) => Answer::Go(format!("/job/{}/survey", url(&board.id))),
        Err(why) if why.opens.is_none() => Answer::Refused(409, why.faults),
        Err(why) => show(house, ask, (board, made), (id, &why)),
    }
}

/// `POST /job/{job}/back`: what was written last at this device is taken back, as long as nothing else has been written since.
pub(super) fn back(house: &House, ask: &Ask, board: &Board) -> Answer {
    if ask.person().is_none() {
        return Answer::Go("/sign-in".to_owned());
    }
    let wrote = ask.session.wrote.as_ref();
    let wrote = wrote.filter(|(job, _)| *job == board.id);
    let back = wrote.map(|(_, written)| fill::put_back(&board.path, written));
    let told = match back {
        Some(Ok(true)) => vec!["Taken back: the job file is as it was before.".to_owned()],
        Some(Err(problems)) => sentences(&[], &problems),
        _ => vec![
            "The job file has been changed since, so nothing is taken back. Put the value right in its field."
                .to_owned(),
        ],
    };
    ask.tell(house, told);
    Answer::Go(format!("/job/{}/survey", url(&board.id)))
}

/// `POST /job/{job}/verdict`: what the typed values would come to; nothing is written.
pub(super) fn verdict(house: &House, ask: &Ask, board: &Board) -> Answer {
    let typed = ask
        .form
        .under("v:")
        .filter(|(place, value)| ask.form.get(&format!("w:{place}")) != Some(value));
    let changes = typed.map(|(place, value)| ToWrite::new(place, value));
    let asked = ToFill::of(changes.collect());
    let source = &board.known.source;
    let before = fill::outcome(source, &house.files);
    match fill::attempt(source, &asked, &before, &house.files) {
        Ok(done) => Answer::Json(json!({"said": done.verdicts, "faults": []})),
        Err(problems) => Answer::Json(json!({"said": [], "faults": sentences(&[], &problems)})),
    }
}
