//! The survey with a screen in the hand: one connection after the other in walking order, values written into the job file as they are read.
//!
//! Takes what was typed; gives the next screen, or says why it cannot be so. Several people measure one vehicle at the same time: a value
//! that somebody else has written meanwhile is shown, and not written over.

use std::path::Path;

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::house::{Board, House};
use super::known::{Kept, said};
use super::{jobs, look};
use crate::desk::fill::{self, Asked, Done, Outcome};
use crate::desk::load::Loaded;
use crate::document::{Stop, capital};
use crate::fill::Change;
use crate::report::{Problem, numbered};
use crate::source::Source;

/// The name of the screen on which all mounts stand, and that of the vehicle itself.
const MOUNTS: &str = "mounts";
const VEHICLE: &str = "vehicle";

/// `GET /job/{job}/survey`
pub(super) fn list(house: &House, ask: &Ask, board: &Board) -> Answer {
    let Some(made) = &board.known.made else {
        return Answer::Refused(409, board.known.faults());
    };
    let mut areas: Vec<(&str, Vec<Value>)> = Vec::new();
    for screen in screens(made) {
        let Some(stop) = screen.stops.first() else {
            continue;
        };
        let open: usize = screen.stops.iter().map(|stop| open(stop)).sum();
        let says = match (open, screen.id.as_str()) {
            (0, MOUNTS) => "measured".to_owned(),
            (0, _) => stop.verdict.to_owned(),
            (open, _) => format!("{} to be measured", numbered(open, "value")),
        };
        let line = json!({"id": screen.id, "title": screen.title, "says": says});
        match areas.last_mut() {
            Some((area, lines)) if *area == stop.area => lines.push(line),
            _ => areas.push((stop.area, vec![line])),
        }
    }
    let areas = areas
        .into_iter()
        .map(|(name, stops)| json!({"name": capital(name), "stops": stops}));
    let values = json!({
        "title": "Survey",
        "job": jobs::head(board),
        "live": true,        "left": jobs::stands(board),
        "next": next(made, ""),
    "areas": areas.collect::<Vec<Value>>(),
    });
    look::page("survey.html", (house, ask), values)
}

/// What stands on one screen.
struct Screen<'a> {
    id: String,
    title: String,
    stops: Vec<&'a Stop>,
}

/// The screens in walking order; all mounts stand on one, where the first of them is.
fn screens(made: &Kept) -> Vec<Screen<'_>> {
    let mut screens: Vec<Screen<'_>> = Vec::new();
    for stop in &made.stops {
        let mounts = screens
            .iter_mut()
            .find(|screen| stop.mount && screen.id == MOUNTS);
        match mounts {
            Some(screen) => screen.stops.push(stop),
            None => screens.push(Screen {
                id: match (stop.mount, stop.id.as_str()) {
                    (true, _) => MOUNTS.to_owned(),
                    (false, "") => VEHICLE.to_owned(),
                    (false, id) => id.to_owned(),
                },
                title: if stop.mount {
                    "Body mounts".to_owned()
                } else {
                    stop.title.clone()
                },
                stops: vec![stop],
            }),
        }
    }
    screens
}

fn open(stop: &Stop) -> usize {
    stop.readings
        .iter()
        .filter(|reading| reading.value.is_none())
        .count()
}

/// `GET` and `POST /job/{job}/survey/{stop}`
pub(super) fn one(house: &House, ask: &Ask, board: &Board) -> Answer {
    let id = ask.part("stop");
    let Some(made) = &board.known.made else {
        return Answer::Refused(409, board.known.faults());
    };
    if ask.method != axum::http::Method::POST {
        return show(house, ask, (board, made), (id, &[]));
    }
    if ask.person().is_none() {
        return Answer::Go("/sign-in".to_owned());
    }
    match written(house, ask, (board, made), id) {
        Ok(told) => {
            house.tell(ask, told);
            let board = match house.board(&board.id) {
                Ok(board) => board,
                Err(problem) => return Answer::Refused(409, vec![said(&problem)]),
            };
            let next = board.known.made.as_ref().and_then(|made| next(made, id));
            let base = format!("/job/{}/survey", crate::document::url(&board.id));
            Answer::Go(match next {
                Some(next) => format!("{base}/{}", crate::document::url(&next)),
                None => base,
            })
        }
        Err(faults) => show(house, ask, (board, made), (id, &faults)),
    }
}

/// The next screen behind this one on which something is still to be measured.
fn next(made: &Kept, id: &str) -> Option<String> {
    let screens = screens(made);
    let at = screens
        .iter()
        .position(|screen| screen.id == id)
        .map_or(0, |at| at + 1);
    let behind = screens.iter().skip(at).chain(screens.iter().take(at));
    let mut open = behind.filter(|screen| screen.stops.iter().any(|stop| open(stop) > 0));
    open.find(|screen| screen.id != id)
        .map(|screen| screen.id.clone())
}

fn show(
    house: &House,
    ask: &Ask,
    (board, made): (&Board, &Kept),
    (id, faults): (&str, &[String]),
) -> Answer {
    let all = screens(made);
    let Some(screen) = all.iter().find(|screen| screen.id == id) else {
        return Answer::refused(404, "The job has no such connection now.");
    };
    let stops = screen.stops.iter().map(|stop| {
        let readings = stop.readings.iter().map(|reading| {
            let typed = ask.form.get(&format!("v:{}", reading.wanted.place));
            json!({"reading": reading, "typed": typed})
        });
        json!({"title": stop.title, "id": stop.id, "readings": readings.collect::<Vec<Value>>()})
    });
    let stop = screen.stops.first();
    let gone = stop.filter(|stop| stop.link).map(|stop| stop.id.clone()); // Of what is not measured nothing can be drawn.
    let drawable = |stop: &&&Stop| !stop.mount && open(stop) == 0;
    let picture = stop
        .filter(drawable)
        .and_then(|stop| board.known.picture(&stop.id));
    let place = all
        .iter()
        .position(|other| other.id == id)
        .map_or(0, |at| at + 1);
    let verdict = stop.filter(|stop| !stop.mount && !stop.verdict.is_empty() && open(stop) == 0);
    let values = json!({
        "title": screen.title,
        "job": jobs::head(board),
        "where": format!("{place} of {}{}", all.len(), stop.map_or_else(String::new, |stop| format!(", {}", stop.area))),
        "verdict": verdict.map(|stop| format!("{}: {}", stop.verdict, stop.because)),
        "faults": faults,
        "stops": stops.collect::<Vec<Value>>(),
        "next": next(made, id),
        "gone": gone,
        "picture": picture,
    });
    look::page("reading.html", (house, ask), values)
}

/// What was typed and is not there yet, or what stands in the way: a value that somebody else wrote meanwhile.
fn changes(ask: &Ask, (made, id): (&Kept, &str)) -> Result<Vec<Change>, Vec<String>> {
    let screens = screens(made);
    let Some(screen) = screens.iter().find(|screen| screen.id == id) else {
        return Err(vec!["The job has no such connection now.".to_owned()]);
    };
    let (mut changes, mut overtaken) = (Vec::new(), Vec::new());
    let mut before: Option<&Stop> = None;
    for stop in &screen.stops {
        let same = ask.form.get(&format!("same:{}", stop.id)).and(before);
        for reading in &stop.readings {
            let place = &reading.wanted.place;
            let typed = ask.form.get(&format!("v:{place}")).map(ToOwned::to_owned);
            let typed = typed.or_else(|| same.and_then(|before| like(ask, before, place)));
            let Some(typed) = typed.filter(|typed| reading.value.as_ref() != Some(typed)) else {
                continue;
            };
            let seen = ask.form.get(&format!("w:{place}"));
            if let Some(there) = reading
                .value
                .as_deref()
                .filter(|there| seen != Some(*there))
            {
                overtaken.push(format!(
                    "{}: somebody else has written {there} meanwhile, and {typed} was typed here. Ask which is right, and write that.",
                    reading.wanted.what
                ));
            }
            changes.push(Change {
                place: place.clone(),
                value: typed,
                line: None,
            });
        }
        before = Some(stop);
    }
    if overtaken.is_empty() {
        Ok(changes)
    } else {
        Err(overtaken)
    }
}

/// What was typed, or stands, at another mount for the same reading.
fn like(ask: &Ask, stop: &Stop, place: &str) -> Option<String> {
    let name = place.rsplit('.').next()?;
    let mut readings = stop.readings.iter();
    let reading = readings.find(|one| one.wanted.place.rsplit('.').next() == Some(name))?;
    let typed = ask.form.get(&format!("v:{}", reading.wanted.place));
    typed
        .map(ToOwned::to_owned)
        .or_else(|| reading.value.clone())
}

fn written(
    house: &House,
    ask: &Ask,
    (board, made): (&Board, &Kept),
    id: &str,
) -> Result<Vec<String>, Vec<String>> {
    let changes = changes(ask, (made, id))?;
    if changes.is_empty() {
        return Ok(Vec::new());
    }
    let wrote = changes.iter().map(|change| {
        let mut readings = made.stops.iter().flat_map(|stop| &stop.readings);
        let reading = readings.find(|reading| reading.wanted.place == change.place);
        let what = reading.map_or(change.place.as_str(), |reading| &reading.wanted.what);
        format!("{what}: {}", change.value)
    });
    let mut told: Vec<String> = wrote.collect();
    told.extend(enter(
        house,
        &board.path,
        &Asked {
            changes,
            ..Asked::default()
        },
    )?);
    Ok(told)
}

/// Writes into the job file; gives what it came to, or why nothing was written.
fn enter(house: &House, path: &Path, asked: &Asked) -> Result<Vec<String>, Vec<String>> {
    let mut loaded = Loaded::default();
    let entered = fill::enter((path, &house.files, false), asked, &mut loaded);
    match entered {
        Ok((done, before)) => {
            let without = asked
                .without
                .iter()
                .map(|id| format!("{id} is taken out of the job."));
            Ok(without.chain(changed(&done, &before)).collect())
        }
        Err(problems) => Err(sentences(&loaded.report.problems, &problems)),
    }
}

/// The verdicts that are others now.
fn changed(done: &Done, before: &Outcome) -> Vec<String> {
    let after = done.after.verdicts.iter();
    let changed = after.filter(|(id, said)| before.verdicts.get(*id) != Some(said));
    changed.map(|(_, said)| said.clone()).collect()
}

fn sentences(more: &[Problem], problems: &[Problem]) -> Vec<String> {
    more.iter().chain(problems).map(said).collect()
}

/// `POST /job/{job}/without`
pub(super) fn without(house: &House, ask: &Ask, board: &Board) -> Answer {
    if ask.person().is_none() {
        return Answer::Go("/sign-in".to_owned());
    }
    let without = ask.form.get("connection").map(ToOwned::to_owned);
    let asked = Asked {
        without: without.into_iter().collect(),
        ..Asked::default()
    };
    match enter(house, &board.path, &asked) {
        Ok(told) => {
            house.tell(ask, told);
            Answer::Go(format!("/job/{}/survey", crate::document::url(&board.id)))
        }
        Err(faults) => Answer::Refused(409, faults),
    }
}

/// `POST /job/{job}/verdict`: what the typed values would come to; nothing is written.
pub(super) fn verdict(house: &House, ask: &Ask, board: &Board) -> Answer {
    let typed = ask
        .form
        .under("v:")
        .filter(|(place, value)| ask.form.get(&format!("w:{place}")) != Some(value));
    let changes = typed.map(|(place, value)| Change {
        place: place.to_owned(),
        value: value.to_owned(),
        line: None,
    });
    let asked = Asked {
        changes: changes.collect(),
        ..Asked::default()
    };
    let source = Source::from_text(board.known.source.name(), board.known.source.text());
    let before = fill::outcome(&source, &house.files);
    match fill::attempt(&source, &asked, &before, &house.files) {
        Ok(done) => Answer::Json(json!({"said": changed(&done, &before), "faults": []})),
        Err(problems) => Answer::Json(json!({"said": [], "faults": sentences(&[], &problems)})),
    }
}
