//! A new job: from a pattern, or like one that was done before. What is chosen here is what `new` takes on the command line.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::house::House;
use super::known::said;
use super::{jobs, look};
use crate::desk::begin::{From, Wish, begin, file_name, patterns};
use crate::desk::file;
use crate::desk::load::Loaded;
use crate::document::url;
use crate::rules::pattern::{self, Pattern};
use crate::sorted::Sorted as _;

/// `GET` and `POST /new`
pub(super) fn page(house: &House, ask: &Ask) -> Answer {
    if !house.place.is_dir() {
        return Answer::refused(
            409,
            "The page was opened for one job; open it for a folder to begin others.",
        );
    }
    if ask.person().is_none() {
        return Answer::Go("/sign-in".to_owned());
    }
    let mut faults = Vec::new();
    if ask.sent {
        match made(house, ask) {
            Ok(job) => return Answer::Go(format!("/job/{}", url(&job))),
            Err(found) => faults = found,
        }
    }
    let field = |name: &str| ask.form.get(name).or_else(|| ask.query.get(name));
    let mut loaded = Loaded::default();
    let chosen =
        field("pattern").and_then(|id| pattern::load(&house.files, id, &mut loaded.report));
    let like = field("like").filter(|id| house.jobs().contains_key(*id));
    let patterns = patterns("", &house.files, &mut loaded).into_iter();
    let patterns = patterns.map(|one| json!({"id": one.id, "title": one.title, "what": one.what}));
    let before = house.jobs().into_keys().filter_map(|id| {
        let board = house.board(&id).ok()?;
        Some(json!({"id": id, "title": jobs::title(&board)}))
    });
    let values = json!({
        "title": "Begin a job",
        "faults": faults,
        "patterns": patterns.collect::<Vec<Value>>(),
        "before": before.collect::<Vec<Value>>(),
        "pattern": chosen.as_ref().map(|pattern| options(ask, pattern)),
        "like": like,
    });
    look::page("new.html", (house, ask), values)
}

/// What may be chosen of a pattern, and what is.
fn options(ask: &Ask, pattern: &Pattern) -> Value {
    let options = pattern.options.iter().map(|(name, choice)| {
        let chosen = ask.form.get(&format!("o:{name}"));
        json!({
            "name": name,
            "label": choice.label,
            "choices": choice.choices,
            "chosen": chosen.unwrap_or(&choice.default),
        })
    });
    json!({"id": pattern.id, "options": options.collect::<Vec<Value>>()})
}

/// Writes the job file; gives its name in addresses.
fn made(house: &House, ask: &Ask) -> Result<String, Vec<String>> {
    let name = ask.form.get("name").unwrap_or_default();
    let from = match (ask.form.get("like"), ask.form.get("pattern")) {
        (Some(like), _) => match house.jobs().remove(like) {
            Some(path) => From::Job(path),
            None => return Err(vec!["There is no such job here.".to_owned()]),
        },
        (None, Some(pattern)) => From::Pattern(pattern.to_owned()),
        (None, None) => return Err(vec!["Choose a vehicle first.".to_owned()]),
    };
    let options = ask
        .form
        .under("o:")
        .map(|(name, word)| format!("{name}={word}"));
    let values = [
        ("identification", "vehicle.identification"),
        ("spacer", "spacer"),
    ];
    let values = values
        .into_iter()
        .filter_map(|(field, place)| Some(format!("{place}={}", ask.form.get(field)?)));
    let wish = Wish {
        name: name.to_owned(),
        from,
        words: options.chain(values).collect(),
        add: Vec::new(),
        without: Vec::new(),
    };
    let mut loaded = Loaded::default();
    let text = begin(&wish, &house.files, &mut loaded).map_err(|faults| {
        let reported: BTreeSet<String> = loaded.report.problems.iter().map(said).sorted_set();
        if faults.is_empty() {
            reported.into_iter().collect()
        } else {
            faults
        }
    })?;
    let one = |fault: String| vec![fault];
    let path = house.place.join(file_name(name).map_err(one)?);
    file::create(&path, &text, false).map_err(|error| {
        vec![format!(
            "A job of that name is there already, or cannot be written: {error}."
        )]
    })?;
    Ok(path
        .file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned())
}
