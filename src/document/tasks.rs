//! Tasks as they stand on the job sheet, under one heading for each stretch of the work.
//!
//! Takes the plan; gives plain views for templates, and the pictures that stand among them. A printed task is one piece of work, or several
//! that stand together; its number is its place among the printed tasks.
//! Tasks are written one at a time: the views of ten thousand together would take many times the memory of the page.

use std::collections::{BTreeMap, BTreeSet};

use minijinja::Value;
use serde::Serialize;

use super::grid::{Grid, grid};
use super::sheet::Shown;
use super::{DocumentError, Look, Made, Picture, engine, words};
use crate::picture::vehicle;
use crate::plan::{Entry, Evidence, Minutes, Sign, Task};
use crate::quantity::Units;
use crate::report::numbered;
use crate::rules::{Spot, Stage};
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
    task: EntryView,
}

/// One printed task.
#[derive(Debug, Serialize)]
struct EntryView {
    number: usize,
    title: String,
    /// Who, how long, after what: short phrases.
    facts: Vec<String>,
    due: Option<String>,
    pieces: Vec<PieceView>,
    /// For a walk-round: a row for each thing that is looked at.
    rows: Vec<RowView>,
    signing: Signing,
}

/// Who signs a printed task.
#[derive(Debug, Serialize)]
struct Signing {
    hold: bool,
    sign: Sign,
    /// The printed tasks that its check signs off, too.
    signs_off: Option<String>,
    /// The printed task whose check signs it off.
    with: usize,
}

/// One piece of a printed task.
#[derive(Debug, Default, Serialize)]
struct PieceView {
    number: usize,
    id: String,
    /// Its title and its minutes; none where the printed task is this piece alone.
    title: Option<String>,
    /// Whether there is more to say of it than its rows say.
    tells: bool,
    /// Where the same cautions, tools, parts and steps are written out.
    alike: Option<String>,
    /// A hold point keeps its own cautions.
    hold: bool,
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

/// One row of a walk-round.
#[derive(Debug, Serialize)]
struct RowView {
    what: String,
    id: String,
    asked: Option<EvidenceView>,
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
    let tasks = made.plan.tasks.iter();
    tasks.map(|task| (task.id.as_str(), task.number)).collect()
}

/// The tasks under their headings, in the order of work, and the pictures that stand there.
pub(super) fn sections(
    made: &Made<'_>,
    look: Look,
) -> Result<(Vec<Section>, Vec<Picture>), DocumentError> {
    let numbers = numbers(made);
    let mut pictures: Vec<Picture> = Vec::new();
    let mut sections = Vec::new();
    let slot = |entry: &Entry| made.plan.tasks.get(entry.tasks.start).map(|task| task.slot);
    for entries in made
        .plan
        .entries
        .chunk_by(|one, next| slot(one) == slot(next))
    {
        let tasks = entries.iter().flat_map(|entry| pieces(made, entry));
        let tasks: Vec<&Task> = tasks.collect();
        let Some(first) = tasks.first() else {
            continue;
        };
        let total = tasks
            .iter()
            .fold(Minutes::default(), |sum, task| sum.plus(task.minutes));
        let mut views = views(&tasks, look);
        let cautions = share(&mut views);
        let mut own = section_pictures(made, first, look.units, &pictures);
        own.retain(|picture| !pictures.iter().any(|other| other.name == picture.name));
        sections.push(Section {
            heading: words::slot_heading(made.job, first),
            time: format!(
                "{}, {}",
                numbered(entries.len(), "task"),
                words::minutes(total)
            ),
            pictures: own.iter().map(Shown::of).collect(),
            cautions,
            tasks: written(made, entries, (views, &numbers), look)?,
        });
        pictures.append(&mut own);
    }
    Ok((sections, pictures))
}

/// The pieces of a printed task.
fn pieces<'a>(made: &Made<'a>, entry: &Entry) -> &'a [Task] {
    made.plan.tasks.get(entry.tasks.clone()).unwrap_or_default()
}

/// The printed tasks of a section on the page, with what is written down for each.
fn written(
    made: &Made<'_>,
    entries: &[Entry],
    (views, numbers): (Vec<PieceView>, &BTreeMap<&str, usize>),
    look: Look,
) -> Result<Value, DocumentError> {
    let mut text = String::new();
    let mut views = views.into_iter();
    for entry in entries {
        let tasks = pieces(made, entry);
        let mut rows = Vec::new();
        let mut own: Vec<PieceView> = Vec::new();
        for (task, mut view) in tasks.iter().zip(views.by_ref()) {
            let asks = task.evidence.iter().filter(|one| one.item.is_none());
            let asks: Vec<EvidenceView> = asks.map(|one| evidence_view(one, look.units)).collect();
            if entry.looks {
                rows.extend(row_views(made, task, asks, look.units));
            } else {
                view.evidence = asks;
            }
            view.grid = grid(&task.evidence, look.units);
            view.title = (tasks.len() > 1).then(|| titled(task, look.units));
            let how =
                view.alike.is_none() && view.steps.len() + view.kit.len() + view.cautions.len() > 0;
            view.tells = how || view.grid.is_some();
            own.push(view);
        }
        let title = entry.title.print(look.units);
        let task = EntryView {
            number: entry.number,
            title: words::capital(if title.trim().is_empty() {
                tasks.first().map_or("", |task| task.id.as_str())
            } else {
                &title
            }),
            facts: facts(tasks, entry.number, numbers),
            due: tasks
                .iter()
                .find_map(|task| task.due.as_ref())
                .map(|due| words::due(due, look.units)),
            pieces: own,
            rows,
            signing: Signing {
                hold: entry.hold,
                sign: entry.sign,
                signs_off: Some(words::tasks(entry.signs_off.clone()))
                    .filter(|_| !entry.signs_off.is_empty()),
                with: tasks.first().map_or(entry.number, |task| task.signed_with),
            },
        };
        engine::append(&mut text, "task.md", One { task })?;
    }
    Ok(engine::made(text))
}

/// A piece by its title and its minutes.
fn titled(task: &Task, units: Units) -> String {
    let title = task.title.print(units);
    format!(
        "{}, {}",
        words::capital(&title),
        words::duration(task.minutes.likely)
    )
}

/// The rows of a walk-round that one of its pieces has: one for each thing that is written down, at least one.
fn row_views(made: &Made<'_>, task: &Task, asks: Vec<EvidenceView>, units: Units) -> Vec<RowView> {
    let links = task
        .links
        .iter()
        .filter_map(|id| made.assessment.links.get(id));
    let mut links: Vec<&str> = links.map(|link| link.title.as_str()).collect();
    links.dedup();
    let what = match links.as_slice() {
        [one] => (*one).to_owned(),
        _ => task.title.print(units),
    };
    let row = |asked| RowView {
        what: what.clone(),
        id: task.id.clone(),
        asked,
    };
    if asks.is_empty() {
        return if task.evidence.is_empty() {
            vec![row(None)]
        } else {
            Vec::new()
        };
    }
    asks.into_iter().map(|asked| row(Some(asked))).collect()
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

/// The pieces under one heading, before anything is written down. How tasks are done alike is said only once; a hold point is always
/// written out.
fn views(tasks: &[&Task], look: Look) -> Vec<PieceView> {
    let mut told: BTreeMap<_, &Task> = BTreeMap::new();
    let views = tasks.iter().map(|task| {
        let view = PieceView {
            number: task.number,
            id: task.id.clone(),
            hold: task.hold.is_some(),
            ..PieceView::default()
        };
        if view.hold || task.steps.is_empty() {
            return view.with_how(task, look.units);
        }
        let parts: Vec<String> = parts(task, look.units);
        let how = (&task.cautions, &task.tools, parts, &task.steps);
        match *told.entry(how).or_insert(task) {
            first if first.id == task.id => view.with_how(task, look.units),
            first => PieceView {
                alike: Some(if first.number == task.number {
                    format!("{} above", first.title.print(look.units))
                } else {
                    format!("task {}", first.number)
                }),
                ..view
            },
        }
    });
    views.collect()
}

/// Takes what several tasks have to be careful of out of them, to be said once under their heading; a hold point keeps its own.
fn share(tasks: &mut [PieceView]) -> Vec<Shared> {
    let written_out = |task: &&mut PieceView| !task.hold && task.alike.is_none();
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
        tasks: words::tasks(numbers),
        caution,
    });
    shared.collect()
}

fn letter(place: usize) -> String {
    ('A'..='Z')
        .nth(place)
        .map_or_else(String::new, String::from)
}

impl PieceView {
    /// The piece with how it is done.
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

/// Where, who, how long, after what.
fn facts(tasks: &[Task], own: usize, numbers: &BTreeMap<&str, usize>) -> Vec<String> {
    let mut facts = Vec::new();
    facts.extend(tasks.first().map(|task| task.place.word().to_owned()));
    let trades: BTreeSet<&String> = tasks
        .iter()
        .filter_map(|task| task.trade.as_ref())
        .collect();
    facts.extend(trades.iter().map(|trade| format!("trade: {trade}")));
    let count = tasks.iter().map(|task| task.people).max().unwrap_or(1);
    let people = if count == 1 { "person" } else { "people" };
    let watch = if tasks.iter().any(|task| task.watch) {
        ", one of them only watches"
    } else {
        ""
    };
    facts.push(format!("{count} {people}{watch}"));
    if tasks.iter().any(|task| !task.apprentice) {
        facts.push("not for an apprentice".to_owned());
    }
    let total = tasks
        .iter()
        .fold(Minutes::default(), |sum, task| sum.plus(task.minutes));
    facts.push(words::minutes(total));
    let uses: BTreeSet<&str> = tasks
        .iter()
        .flat_map(|task| &task.uses)
        .map(String::as_str)
        .collect();
    if !uses.is_empty() {
        let uses: Vec<&str> = uses.into_iter().collect();
        facts.push(format!("uses the {}", uses.join(" and the ")));
    }
    let before = tasks.iter().flat_map(|task| &task.after);
    let before = before.filter_map(|id| numbers.get(id.as_str()).copied());
    let before = words::numbers(before.filter(|number| *number != own).collect());
    if !before.is_empty() {
        facts.push(format!("after {before}"));
    }
    facts.extend(shut_out(tasks));
    facts
}

/// Who must be elsewhere while it is done: `nobody else inside or under`.
fn shut_out(tasks: &[Task]) -> Option<String> {
    let places: BTreeSet<&str> = tasks
        .iter()
        .flat_map(|task| &task.shuts_out)
        .map(|place| place.word())
        .collect();
    if places.len() == Spot::ALL.len() {
        return Some("nobody else at the vehicle".to_owned());
    }
    let places: Vec<&str> = places.into_iter().collect();
    (!places.is_empty()).then(|| format!("nobody else {}", places.join(" or ")))
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
