//! Tasks as they stand on the job sheet, under one heading for each stretch of the work.
//!
//! Takes the plan; gives plain views for templates, and the pictures that stand among them. A task's number is its place in the order of work.
//! Tasks are written one at a time: the views of ten thousand together would take many times the memory of the page.

use std::collections::BTreeMap;

use minijinja::Value;
use serde::Serialize;

use super::grid::{Grid, grid};
use super::sheet::Shown;
use super::{DocumentError, Look, Made, Picture, engine, words};
use crate::picture::vehicle;
use crate::plan::{Evidence, Minutes, Task};
use crate::quantity::Units;
use crate::report::numbered;
use crate::rules::Stage;
use crate::text::Text;

/// A stretch of the work.
#[derive(Debug, Serialize)]
pub(super) struct Section {
    heading: String,
    time: String,
    /// The pictures that stand before its tasks.
    pictures: Vec<Shown>,
    /// What several of its tasks have to be careful of, said once before them.
    cautions: Vec<Shared>,
    /// Its tasks as `task.md` writes them.
    tasks: Value,
}

/// A caution of several tasks under one heading.
#[derive(Debug, Serialize)]
struct Shared {
    letter: String,
    tasks: String,
    caution: String,
}

/// What `task.md` is filled in with.
#[derive(Debug, Serialize)]
struct One {
    task: TaskView,
}

/// One task.
#[derive(Debug, Serialize)]
struct TaskView {
    number: usize,
    id: String,
    title: String,
    /// Who, how long, after what: short phrases.
    facts: Vec<String>,
    hold: Option<String>,
    due: Option<String>,
    /// The number of an earlier task under the same heading with the same cautions, tools, parts and steps.
    alike: Option<usize>,
    /// Tools, then parts: a phrase each, where there are any.
    kit: Vec<String>,
    cautions: Vec<String>,
    /// The letters of its cautions that stand under the heading.
    shared: Option<String>,
    steps: Vec<String>,
    evidence: Vec<EvidenceView>,
    /// What is written down once for each of several mounts.
    grid: Option<Grid>,
}

/// One thing that is written down.
#[derive(Debug, Serialize)]
struct EvidenceView {
    /// What it is called when it is signed; a yes needs none.
    name: Option<String>,
    ask: String,
    kind: String,
    unit: Option<&'static str>,
    limits: Option<String>,
}

/// The numbers of the tasks by their ids.
pub(super) fn numbers<'a>(made: &Made<'a>) -> BTreeMap<&'a str, usize> {
    let tasks = made.plan.tasks.iter().zip(1..);
    tasks
        .map(|(task, number)| (task.id.as_str(), number))
        .collect()
}

/// The tasks under their headings, in the order of work, and the pictures that stand there.
pub(super) fn sections(
    made: &Made<'_>,
    look: Look,
) -> Result<(Vec<Section>, Vec<Picture>), DocumentError> {
    let numbers = numbers(made);
    let tasks = made.plan.tasks.as_slice();
    let mut pictures: Vec<Picture> = Vec::new();
    let mut sections = Vec::new();
    for tasks in tasks.chunk_by(|one, next| one.slot == next.slot) {
        let Some(first) = tasks.first() else {
            continue;
        };
        let total = tasks
            .iter()
            .fold(Minutes::default(), |sum, task| sum.plus(task.minutes));
        let mut views = views(tasks, &numbers, look);
        let cautions = share(&mut views);
        let mut own = section_pictures(made, first, look.units, &pictures);
        own.retain(|picture| !pictures.iter().any(|other| other.name == picture.name));
        sections.push(Section {
            heading: words::slot_heading(made.job, first),
            time: format!(
                "{}, {}",
                numbered(tasks.len(), "task"),
                words::minutes(total)
            ),
            pictures: own.iter().map(Shown::of).collect(),
            cautions,
            tasks: written(tasks, views, look)?,
        });
        pictures.append(&mut own);
    }
    Ok((sections, pictures))
}

/// The tasks of a section on the page, with what is written down for each.
fn written(tasks: &[Task], views: Vec<TaskView>, look: Look) -> Result<Value, DocumentError> {
    let mut text = String::new();
    for (task, mut view) in tasks.iter().zip(views) {
        let own = task.evidence.iter().filter(|one| one.item.is_none());
        view.evidence = own.map(|one| evidence_view(one, look.units)).collect();
        view.grid = grid(&task.evidence, look.units);
        engine::append(&mut text, "task.md", One { task: view })?;
    }
    Ok(engine::made(text))
}

/// The pictures of one stretch of the work: the tipped body where it is raised, the mounts where blocks first go in.
/// The mounts are the same wherever blocks go in, and are not drawn again.
fn section_pictures(made: &Made<'_>, task: &Task, units: Units, drawn: &[Picture]) -> Vec<Picture> {
    let is_drawn = |name: &str| drawn.iter().any(|picture| picture.name == name);
    let picture = match (task.stage, task.group.as_deref(), task.side) {
        (Stage::Raise, Some(group), Some(side)) => vehicle::tipped(made, units, (group, side)),
        (Stage::Space, ..) if !is_drawn(vehicle::MOUNTS) => vehicle::mounts(made, units),
        _ => None,
    };
    picture.into_iter().collect()
}

/// The tasks under one heading, before anything is written down. How tasks are done alike is said only once; a hold point is always
/// written out.
fn views(tasks: &[Task], numbers: &BTreeMap<&str, usize>, look: Look) -> Vec<TaskView> {
    let mut told = BTreeMap::new();
    let views = tasks.iter().map(|task| {
        let number = numbers.get(task.id.as_str()).copied().unwrap_or_default();
        let view = view(task, number, numbers, look);
        if task.hold.is_some() || task.steps.is_empty() {
            return view.with_how(task, look.units);
        }
        let parts: Vec<String> = parts(task, look.units);
        let how = (&task.cautions, &task.tools, parts, &task.steps);
        match *told.entry(how).or_insert(number) {
            first if first == number => view.with_how(task, look.units),
            first => TaskView {
                alike: Some(first),
                ..view
            },
        }
    });
    views.collect()
}

/// Takes what several tasks have to be careful of out of them, to be said once under their heading; a hold point keeps its own.
fn share(tasks: &mut [TaskView]) -> Vec<Shared> {
    let written_out = |task: &&mut TaskView| task.hold.is_none() && task.alike.is_none();
    let mut told: Vec<(String, Vec<usize>)> = Vec::new();
    for task in tasks.iter_mut().filter(written_out) {
        for caution in &task.cautions {
            match told.iter_mut().find(|(known, _)| known == caution) {
                Some((_, numbers)) => numbers.push(task.number),
                None => told.push((caution.clone(), vec![task.number])),
            }
        }
    }
    told.retain(|(_, numbers)| numbers.len() > 1);
    // After the alphabet, letters would say nothing; what is beyond stays with its task.
    told.truncate(26);
    for task in tasks.iter_mut().filter(written_out) {
        let place = |caution: &String| told.iter().position(|(known, _)| known == caution);
        let mut letters: Vec<String> = Vec::new();
        task.cautions.retain(|caution| {
            let place = place(caution);
            letters.extend(place.map(letter));
            place.is_none()
        });
        letters.sort();
        task.shared = Some(letters.join(", ")).filter(|letters| !letters.is_empty());
    }
    let shared = told.into_iter().enumerate();
    let shared = shared.map(|(place, (caution, numbers))| Shared {
        letter: letter(place),
        tasks: words::numbers(numbers),
        caution,
    });
    shared.collect()
}

fn letter(place: usize) -> String {
    ('A'..='Z')
        .nth(place)
        .map_or_else(String::new, String::from)
}

impl TaskView {
    /// The task with how it is done.
    fn with_how(self, task: &Task, units: Units) -> Self {
        Self {
            kit: kit(task, units),
            cautions: printed(&task.cautions, units),
            steps: printed(&task.steps, units),
            ..self
        }
    }
}

fn printed(texts: &[Text], units: Units) -> Vec<String> {
    texts.iter().map(|text| text.print(units)).collect()
}

/// The task without how it is done and what is written down.
fn view(task: &Task, number: usize, numbers: &BTreeMap<&str, usize>, look: Look) -> TaskView {
    let title = task.title.print(look.units);
    TaskView {
        number,
        id: task.id.clone(),
        title: if title.trim().is_empty() {
            task.id.clone()
        } else {
            title
        },
        facts: facts(task, numbers),
        hold: task.hold.clone(),
        due: task.due.as_ref().map(|due| words::due(due, look.units)),
        alike: None,
        kit: Vec::new(),
        cautions: Vec::new(),
        shared: None,
        steps: Vec::new(),
        evidence: Vec::new(),
        grid: None,
    }
}

/// Where, who, how long, after what.
fn facts(task: &Task, numbers: &BTreeMap<&str, usize>) -> Vec<String> {
    let mut facts = Vec::new();
    if let Some(area) = task.area {
        facts.push(area.word().to_owned());
    }
    if let Some(trade) = &task.trade {
        facts.push(format!("trade: {trade}"));
    }
    let people = if task.people == 1 { "person" } else { "people" };
    let watch = if task.watch {
        ", one of them only watches"
    } else {
        ""
    };
    facts.push(format!("{} {people}{watch}", task.people));
    if !task.apprentice {
        facts.push("not for an apprentice".to_owned());
    }
    facts.push(words::minutes(task.minutes));
    for wait in &task.waits {
        let number = numbers.get(wait.task.as_str()).copied();
        let time = words::duration(wait.hours * 60.0);
        facts.extend(number.map(|number| format!("not within {time} of {number}")));
    }
    if !task.uses.is_empty() {
        facts.push(format!("uses the {}", task.uses.join(" and the ")));
    }
    let before = task.after.iter().filter_map(|id| numbers.get(id.as_str()));
    let before = words::numbers(before.copied().collect());
    if !before.is_empty() {
        facts.push(format!("after {before}"));
    }
    facts
}

fn parts(task: &Task, units: Units) -> Vec<String> {
    let parts = task.parts.iter();
    parts.map(|part| words::part(part, units)).collect()
}

fn kit(task: &Task, units: Units) -> Vec<String> {
    let (tools, parts) = (printed(&task.tools, units), parts(task, units));
    let mut kit = Vec::new();
    if !tools.is_empty() {
        kit.push(format!("Tools: {}", tools.join(", ")));
    }
    if !parts.is_empty() {
        kit.push(format!("Parts: {}", parts.join("; ")));
    }
    kit
}

fn evidence_view(evidence: &Evidence, units: Units) -> EvidenceView {
    let unit = evidence.unit.map(|unit| units.suffix(unit));
    EvidenceView {
        name: (evidence.kind != "yes").then(|| evidence.name.clone()),
        ask: evidence.ask.print(units),
        kind: evidence.kind.clone(),
        unit: unit.filter(|unit| !unit.is_empty()),
        limits: words::limits(evidence, units),
    }
}
