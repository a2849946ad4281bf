//! The survey with a screen in the hand: the connections in walking order, and what is still to be measured of each.
//!
//! Takes what was made of a job; gives the list of its screens. One of them, and what is typed there, is left to `reading`.

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::house::{Board, House};
use super::known::MadeOfJob;
use super::{jobs, look};
use crate::document::{Stop, capital};
use crate::report::numbered;

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
        "live": true,
        "left": jobs::stands(board),
        "next": next(made, ""),
        "areas": areas.collect::<Vec<Value>>(),
    });
    look::page("survey.html", (house, ask), values)
}

/// What stands on one screen.
pub(super) struct Screen<'a> {
    pub(super) id: String,
    pub(super) title: String,
    pub(super) stops: Vec<&'a Stop>,
}

/// The screens in walking order; all mounts stand on one, where the first of them is.
pub(super) fn screens(made: &MadeOfJob) -> Vec<Screen<'_>> {
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

/// How much is still to be measured.
pub(super) fn open(stop: &Stop) -> usize {
    stop.readings
        .iter()
        .filter(|reading| reading.value.is_none())
        .count()
}

/// The next screen behind this one on which something is still to be measured.
pub(super) fn next(made: &MadeOfJob, id: &str) -> Option<String> {
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
