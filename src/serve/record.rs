//! The record as a screen shows it: every entry, the last first; and the photographs that it names.

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::house::{Board, House};
use super::known::said;
use super::{jobs, look};
use crate::desk::open::Desk;
use crate::desk::photo;
use crate::document::capital;
use crate::quantity::Units;
use crate::record::Entry;

/// `GET /job/{job}/record`
pub(super) fn list(house: &House, ask: &Ask, board: &Board) -> Answer {
    let desk = match &board.desk {
        Ok(desk) => desk,
        Err(problem) => return Answer::Refused(409, vec![said(problem)]),
    };
    let entries = desk.record.entries.iter().rev();
    let says = match desk.record.entries.last() {
        None => "Nothing is signed yet.".to_owned(),
        Some(last) => format!(
            "{} entries. The last has the digest {}.",
            last.number,
            desk.record.last_digest()
        ),
    };
    let lost = photo::lost(desk);
    let photos = lost.iter().map(|(_, problem)| problem);
    let values = json!({
        "title": "Record",
        "job": jobs::head(board),
        "faults": desk.lost.iter().chain(photos).map(said).collect::<Vec<_>>(),
        "says": says,
        "entries": entries.map(|entry| line(desk, entry)).collect::<Vec<Value>>(),
    });
    look::page("record.html", (house, ask), values)
}

fn line(desk: &Desk, entry: &Entry) -> Value {
    let task = desk.footing.agreed.find(&entry.task);
    let task = task.map(|task| format!("{} {}", task.number, task.title.print(Units::Metric)));
    let rows = Some(entry.rows.join(", ")).filter(|rows| !rows.is_empty());
    let values = entry
        .values
        .iter()
        .map(|(name, value)| format!("{name} {}", value.print(Units::Metric)));
    let values = Some(values.collect::<Vec<_>>().join(", ")).filter(|values| !values.is_empty());
    let parts = [
        Some(capital(entry.act.word())),
        task,
        rows,
        values,
        entry.note.clone(),
    ];
    let how = entry.how.as_deref().unwrap_or(crate::people::SAID);
    json!({
        "number": entry.number,
        "time": desk.footing.zone.print(entry.time),
        "who": format!("{}, {} ({how})", entry.name, entry.role),
        "what": parts.into_iter().flatten().collect::<Vec<_>>().join(" · "),
    })
}

/// `GET /job/{job}/photo/{digest}`: a photograph that the record names, and no other file.
pub(super) fn photograph(_: &House, ask: &Ask, board: &Board) -> Answer {
    let missing = || Answer::refused(404, "There is no such photograph.");
    let Ok(desk) = &board.desk else {
        return missing();
    };
    let digest = ask.part("digest");
    let mut photos = photo::of_record(&desk.record);
    let Some(photo) = photos.find(|photo| photo.sha256 == digest) else {
        return missing();
    };
    match desk.folder.read(&photo.sha256, &photo.kind) {
        Ok(bytes) if photo.kind == "png" => Answer::File("image/png", bytes),
        Ok(bytes) => Answer::File("image/jpeg", bytes),
        Err(lost) => Answer::refused(404, &lost.to_string()),
    }
}
