//! The jobs of the folder, each with where it stands in words, and a new one from a pattern.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::house::{Board, House};
use super::known::{MadeOfJob, said};
use super::look;
use crate::document::Stop;
use crate::record::{State, Status};
use crate::report::numbered;
use crate::rules::Verdict;

/// `GET /`
pub(super) fn list(house: &House, ask: &Ask) -> Answer {
    let jobs = if ask.is_strange(house) {
        BTreeMap::new()
    } else {
        house.jobs()
    };
    let jobs = jobs.into_keys().map(|id| line(house, &id));
    let jobs: Vec<Value> = jobs.collect();
    let values = json!({
        "title": "Jobs",
        "jobs": jobs,
        "strange": ask.is_strange(house),
        "may_begin": house.place.is_dir(),
        "qr": house.secure.then(|| drawn(&house.opened.address)).flatten(),
        "address": house.opened.address,
        "fingerprint": house.opened.fingerprint,
    });
    look::page("jobs.html", (house, ask), values)
}

/// `GET /certificate`: what a device is given, to trust this machine.
pub(super) fn certificate(house: &House, _: &Ask) -> Answer {
    match &house.opened.certificate {
        Some(pem) => Answer::File("application/x-pem-file", pem.clone().into_bytes()),
        None => Answer::refused(404, "On this machine alone no certificate is needed."),
    }
}

/// The address as a code for a camera.
fn drawn(address: &str) -> Option<String> {
    let code = qrcode::QrCode::new(address).ok()?;
    let svg = code.render::<qrcode::render::svg::Color<'_>>().build();
    svg.find("<svg")
        .and_then(|at| svg.get(at..))
        .map(ToOwned::to_owned)
}

fn line(house: &House, id: &str) -> Value {
    match house.board(id) {
        Ok(board) => {
            let made = board.known.made.as_ref();
            json!({
                "id": id,
                "title": title(&board),
                "vehicle": made.map_or("", |made| made.identification.as_str()),
                "stands": stands(&board),
            })
        }
        Err(problem) => json!({"id": id, "title": id, "vehicle": "", "stands": said(&problem)}),
    }
}

/// What the workshop calls a job.
pub(super) fn title(board: &Board) -> String {
    let made = board.known.made.as_ref();
    made.map_or_else(|| board.id.clone(), |made| made.title.clone())
}

/// What every page of a job is headed with.
pub(super) fn head(board: &Board) -> Value {
    json!({"id": board.id, "title": title(board)})
}

/// Where a job stands, in words.
pub(super) fn stands(board: &Board) -> String {
    let Some(made) = &board.known.made else {
        let count = board.known.faults().len();
        return format!("The job file has {}", numbered(count, "mistake"));
    };
    if made.now.agreed.stops {
        let stop = |stop: &&Stop| stop.verdict == Verdict::Stop.word();
        let mut why = made
            .stops
            .iter()
            .filter(stop)
            .map(|stop| stop.title.as_str());
        // A limit of the law stands on the sheet alone.
        let why = match (why.next(), why.count()) {
            (None, _) => String::new(),
            (Some(first), 0) => format!(": {first}"),
            (Some(first), more) => format!(": {first}, and {more} more"),
        };
        return format!("The lift must not be done so{why}");
    }
    if made.to_measure > 0 {
        return format!("{} to be measured", numbered(made.to_measure, "value"));
    }
    match &board.desk {
        // A full stop comes behind it.
        Err(problem) => said(problem).trim_end_matches('.').to_owned(),
        Ok(desk) if desk.record.entries.is_empty() => "Ready to begin".to_owned(),
        Ok(desk) => {
            let status = desk.footing.status(&desk.record);
            if desk.footing.released(&status) {
                "Released".to_owned()
            } else {
                format!("At work: {}", stage(made, &status))
            }
        }
    }
}

/// The stage of the first task that is not signed off.
fn stage(made: &MadeOfJob, status: &Status<'_>) -> String {
    let mut open = status.tasks.iter();
    let open = open.find(|one| one.state() != State::Checked);
    made.stage(open.map_or(0, |one| one.task.number))
}
