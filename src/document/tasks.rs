//! Tasks as they stand on the job sheet, under one heading for each stretch of the work.
//!
//! Takes the plan; gives plain views for templates, and the pictures that stand among them. A printed task is one piece of work, or several
//! that stand together; its number is its place among the printed tasks. How a body tips is drawn among the reasons.
//! Tasks are written one at a time: the views of ten thousand together would take many times the memory of the page.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use minijinja::value::Serde;
use minijinja::{Value, context};
use serde::Serialize;
use strum::VariantNames;

use super::evidence::{self, GridLine};
use super::extract::Extract;
use super::{DocumentError, Look, Made, Picture, anchors, engine, escape, words};
use crate::picture::vehicle;
use crate::plan::{self, BenchPart, Making, Minutes, PrintedTask, Stands, Task};
use crate::quantity::Units;
use crate::rules::{Spot, Stage};
use crate::sorted::{Sorted as _, each_once};
use crate::text::Text;

/// One piece of a printed task.
#[derive(Default, Serialize)]
struct PieceView {
    /// Its title, which leads to its connection where that stands on the page; none where the printed task is this piece alone.
    title: Option<Value>,
    /// Its connection, where its title says nothing else that the title of the piece that it is like does not say.
    #[serde(skip)]
    short: Option<String>,
    /// Whether there is more to say of it than its title and its lines say.
    says: bool,
    /// Where the same cautions, tools, parts and steps are written out.
    alike: Option<String>,
    /// Whether a value is written down once.
    values: bool,
    /// Whether each of its steps is a line of its own, because work stops between them.
    numbered: bool,
    cautions: Vec<String>,
    /// The letters of its cautions that stand under the heading.
    shared: Option<String>,
    steps: Vec<String>,
    /// What is written down once, each with its blank.
    evidence: Vec<Value>,
    /// What is written down once for each of several mounts.
    lines: Vec<GridLine>,
}

/// The numbers of the tasks by their ids.
fn numbers<'a>(made: &Made<'a>) -> BTreeMap<&'a str, usize> {
    let tasks = made.plan.tasks.iter();
    tasks
        .map(|task| (task.id.as_str(), task.number))
        .sorted_map()
}

/// The stages in the order of work: their headings and their printed tasks.
pub(super) fn stages<'a>(made: &Made<'a>) -> impl Iterator<Item = (String, &'a [PrintedTask])> {
    let plan = made.plan;
    let job = made.job;
    let first = |entry: &PrintedTask| plan.tasks.get(entry.tasks.start);
    let slot = move |entry: &PrintedTask| first(entry).map(|task| task.slot);
    let stages = plan
        .entries
        .chunk_by(move |one, next| slot(one) == slot(next));
    stages.filter_map(move |entries| {
        let first = entries.first().and_then(first)?;
        Some((words::slot_heading(job, first), entries))
    })
}

pub(super) fn numbers_of(entries: &[PrintedTask]) -> Vec<usize> {
    entries.iter().map(|entry| entry.number).collect()
}

/// What a printed task is called.
#[cfg(feature = "serve")]
pub(super) fn title(made: &Made<'_>, number: usize, units: Units) -> Option<String> {
    let entry = made
        .plan
        .entries
        .iter()
        .find(|entry| entry.number == number)?;
    Some(heading(entry, pieces(made, entry), units))
}

/// The tasks under their headings, in the order of work, and the picture of the mounts that stands there.
pub(super) fn sections(
    made: &Made<'_>,
    look: Look,
    part: Option<&Extract>,
) -> Result<(Vec<Value>, Option<Picture>), DocumentError> {
    let numbers = numbers(made);
    let mut drawn: Option<Picture> = None;
    let mut sections = Vec::new();
    let mut told = BTreeMap::new();
    let mut stood = part.is_none().then(Vec::new);
    let all_stands = Stands::of(made.plan.tasks.iter().map(|task| Making {
        makes: &task.makes,
        hold: task.hold.is_some(),
        turn: task.slot,
    }));
    // The verdicts stand on the whole sheet alone.
    let linked = part.is_none() && !look.short;
    // On a screen there are fields for it.
    let blanks = !matches!(part, Some(Extract::Task(_)));
    for (heading, all) in stages(made) {
        let of_stage = numbers_of(all);
        let printed = all
            .iter()
            .filter(|entry| part.is_none_or(|part| part.has((&heading, &of_stage), entry.number)));
        // In short what comes due after the lift is named alone: the hand-over's page has it in full.
        let is_later = |entry: &&PrintedTask| {
            let tasks = pieces(made, entry);
            look.short && part.is_none() && tasks.iter().all(|task| task.due.is_some())
        };
        let (later, entries): (Vec<&PrintedTask>, Vec<&PrintedTask>) = printed.partition(is_later);
        let later = later.iter().map(|entry| {
            let title = entry.title.print(look.units);
            format!("{title} ({})", entry.number)
        });
        let later: Value = later.collect();
        let tasks = entries.iter().flat_map(|entry| pieces(made, entry));
        let tasks: Vec<&Task> = tasks.collect();
        let Some(first) = tasks.first() else {
            continue;
        };
        let total = tasks
            .iter()
            .fold(Minutes::default(), |sum, task| sum.plus(task.minutes));
        let total = words::duration(total.likely);
        let mut views = views(made, &tasks, (&mut told, look));
        let cautions = share(&mut views);
        // Before the first block goes in: they are the same at every stage.
        let first_block = first.stage == Stage::Space && drawn.is_none();
        let mounts = first_block
            .then(|| vehicle::mounts(made, look.units))
            .flatten();
        sections.push(context! {
            heading,
            time => match entries.as_slice() {
                // It says so itself.
                [_] => String::new(),
                _ => format!("{} tasks, {total}.", entries.len()),
            },
            // The pictures that stand before its tasks.
            pictures => Serde(mounts.as_slice()),
            // The tools and the parts of all its tasks.
            tools => tools(&tasks, look.units),
            parts => parts(made, &tasks, look.units),
            // How the vehicle stands when it begins.
            stands => stands(made, first, (&all_stands, stood.as_mut())),
            // What several of its tasks have to be careful of, said once before them.
            cautions,
            // Its tasks as `task.md` writes them.
            tasks => written(made, &entries, (views, &numbers), (look, linked, blanks))?,
            // In short, what comes due after the lift.
            later,
        });
        drawn = drawn.or(mounts);
    }
    Ok((sections, drawn))
}

/// How the vehicle stands when a stretch of the work begins, as far as it did not stand so at the one before (`stood`); where a side is raised,
/// how the bodies do. What goes on under a raised side begins as its page said.
fn stands(
    made: &Made<'_>,
    first: &Task,
    (all, stood): (&Stands<'_>, Option<&mut Vec<String>>),
) -> Vec<String> {
    if matches!(first.stage, Stage::Space | Stage::Lower) && first.side.is_some() {
        return Vec::new();
    }
    let states = made.plan.states.values();
    let of_bodies = states.filter(|state| !matches!(state.of, "vehicle" | "link"));
    let of_bodies: BTreeSet<&String> = of_bodies.flat_map(|state| &state.instances).sorted_set();
    if matches!(first.stage, Stage::Raise | Stage::Lower) {
        return all.before(first.slot, |name| of_bodies.contains(name));
    }
    let all = all.before(first.slot, |_| true);
    let Some(stood) = stood else { return all };
    let before = std::mem::replace(stood, all.clone());
    all.into_iter()
        .filter(|one| !before.contains(one))
        .collect()
}

fn pieces<'a>(made: &Made<'a>, entry: &PrintedTask) -> &'a [Task] {
    made.plan.tasks.get(entry.tasks.clone()).unwrap_or_default()
}

/// The printed tasks of a section on the page, with what is written down for each.
fn written(
    made: &Made<'_>,
    entries: &[&PrintedTask],
    (views, numbers): (Vec<PieceView>, &BTreeMap<&str, usize>),
    (look, linked, blanks): (Look, bool, bool),
) -> Result<Value, DocumentError> {
    let mut text = String::new();
    let of_stage = entries.first().map_or(0, |entry| entry.number);
    let mut views = views.into_iter();
    for entry in entries {
        let tasks = pieces(made, entry);
        let short = look.short && in_a_line(entry);
        let named = |title: &str, tasks: &[Task]| {
            let place = Some(tasks).filter(|_| linked).and_then(anchor);
            let title = escape::markdown(title);
            engine::made(
                place.map_or_else(|| title.to_string(), |place| anchors::to(&title, &place)),
            )
        };
        let mut own: Vec<PieceView> = Vec::new();
        for (task, mut view) in tasks.iter().zip(views.by_ref()) {
            let title = (tasks.len() > 1 || entry.looks).then(|| {
                let short = view.short.take();
                short.unwrap_or_else(|| titled(made, (entry, task), look.units))
            });
            if blanks {
                let of = title.as_deref().filter(|_| short);
                view.evidence = evidence::asked(task, tasks, (short, of), look.units);
                view.lines = evidence::lines(&task.evidence, look.units);
                view.values = evidence::has_values(task);
            }
            view.title = title.map(|title| named(&title, std::slice::from_ref(task)));
            view.numbered = entry.hold || task.stage == Stage::Raise;
            view.says = view.title.is_some()
                || view.alike.is_some()
                || view.steps.len() + view.cautions.len() + view.evidence.len() > 0;
            own.push(view);
        }
        let task = context! {
            number => entry.number,
            title => named(&heading(entry, tasks, look.units), tasks),
            // Who, how long, after what: short phrases.
            facts => facts(entry, tasks, (numbers, of_stage), look),
            // The letters of the cautions of its pieces, where each of their steps is a line of its own.
            shared => shared(&own),
            pieces => Serde(own),
            // Whether it is a walk-round: a row for each piece.
            looks => entry.looks,
            signing => signing(entry),
        };
        // In short a task is a line, with its values.
        text.push_str(&engine::render("task.md", context! { task, short })?);
        text.push('\n');
    }
    Ok(engine::made(text))
}

/// Who signs a printed task, and the printed tasks that its check signs off, too.
fn signing(entry: &PrintedTask) -> Value {
    let signs_off = entry.signs_off.clone();
    let signs_off = (!signs_off.is_empty()).then(|| words::tasks(signs_off));
    context! { hold => entry.hold, sign => Serde(entry.sign), signs_off }
}

/// The place of the connection that one task alone is for; none where it is for several.
fn anchor(tasks: &[Task]) -> Option<String> {
    match tasks {
        [task] => match task.links.as_slice() {
            [one] => Some(anchors::connection(one)),
            _ => None,
        },
        _ => None,
    }
}

/// Whether a printed task is a line for who knows the job; a hold point stands in full.
fn in_a_line(entry: &PrintedTask) -> bool {
    !entry.hold || entry.looks
}

/// What a printed task is called; one without words by the id of its first piece.
fn heading(entry: &PrintedTask, tasks: &[Task], units: Units) -> String {
    let title = entry.title.print(units);
    let id = tasks.first().map_or("", |task| task.id.as_str());
    words::capital(if title.trim().is_empty() { id } else { &title })
}

/// A piece by its title; on a walk-round by what is looked at.
fn titled(made: &Made<'_>, (entry, task): (&PrintedTask, &Task), units: Units) -> String {
    let links = task
        .links
        .iter()
        .filter_map(|id| made.assessment.links.get(id));
    let mut links: Vec<&str> = links.map(|link| link.title.as_str()).collect();
    links.dedup();
    let title = task.title.print(units);
    let whole = entry.title.print(units);
    // `Cab, left: ` stands in the name of them all.
    let of = whole.split_once(": ").map_or("", |(of, _)| of);
    let own = title
        .strip_prefix(of)
        .and_then(|own| own.strip_prefix(": "));
    match links.as_slice() {
        [one] if entry.looks => words::capital(one),
        _ => words::capital(own.unwrap_or(&title)),
    }
}

/// The letters of what the pieces of a printed task have to be careful of, each once.
fn shared(pieces: &[PieceView]) -> Option<String> {
    let pieces = pieces.iter().filter(|piece| piece.numbered);
    let letters = pieces.filter_map(|piece| piece.shared.as_deref());
    let letters: BTreeSet<&str> = letters.flat_map(|letters| letters.split(", ")).sorted_set();
    let letters: Vec<&str> = letters.into_iter().collect();
    (!letters.is_empty()).then(|| letters.join(", "))
}

/// The tasks whose steps are written out already, by those steps.
type Told<'t> = BTreeMap<&'t [Text], &'t Task>;

/// Steps shorter than this, in letters, are written out again: a number to look up, of a task that is called otherwise, saves nothing.
const BRIEF: usize = 60;

/// The pieces under one heading, before anything is written down. The same steps are said only once; those of a hold point, those by
/// which a body is raised and what is said in a few words are always written out.
fn views<'t>(
    made: &Made<'_>,
    tasks: &[&'t Task],
    (told, look): (&mut Told<'t>, Look),
) -> Vec<PieceView> {
    let views = tasks.iter().map(|task| {
        let view = PieceView {
            cautions: printed(&task.cautions, look.units),
            steps: printed(&task.steps, look.units),
            ..PieceView::default()
        };
        if task.hold.is_some() || task.steps.is_empty() || task.stage == Stage::Raise {
            return view;
        }
        let letters = view.steps.iter().map(|step| step.chars().count());
        let brief = letters.sum::<usize>() < BRIEF;
        let first = *told.entry(task.steps.as_slice()).or_insert(task);
        let beside = (first.number == task.number).then_some(first);
        let short = beside.and_then(|first| named_alike(made, (first, task), look.units));
        match beside {
            _ if first.id == task.id || (brief && short.is_none()) => view,
            Some(first) => PieceView {
                alike: Some(format!("{} above", known_by(made, first, look.units))),
                short,
                steps: Vec::new(),
                ..view
            },
            None => PieceView {
                alike: Some(format!("task {}", first.number)),
                steps: Vec::new(),
                ..view
            },
        }
    });
    views.collect()
}

/// What a piece is about in short: its connection, or its title.
fn known_by(made: &Made<'_>, task: &Task, units: Units) -> String {
    let link = match task.links.as_slice() {
        [one] => made.assessment.links.get(one),
        _ => None,
    };
    link.map_or_else(
        || format!("“{}”", task.title.print(units)),
        |link| link.title.clone(),
    )
}

/// The connection of a task whose title is another's but for the connection.
fn named_alike(made: &Made<'_>, (first, task): (&Task, &Task), units: Units) -> Option<String> {
    let rest = |task: &Task| {
        let [id] = task.links.as_slice() else {
            return None;
        };
        let link = &made.assessment.links.get(id)?.title;
        let title = task.title.print(units);
        // Within a title it has no capital.
        let mut tail = link.chars();
        let capital = tail.next()?.to_string();
        let (before, after) = title.split_once(tail.as_str())?;
        let before = before.get(..before.len().checked_sub(capital.len())?)?;
        Some((link, format!("{before}…{after}")))
    };
    let ((_, first), (link, own)) = (rest(first)?, rest(task)?);
    (first == own).then(|| words::capital(link))
}

/// Takes what several tasks have to be careful of out of them, to be said once under their heading.
fn share(tasks: &mut [PieceView]) -> Value {
    let all = tasks.iter().flat_map(|task| &task.cautions);
    let told = words::drawn_together(all.map(|caution| (caution, ()))).into_iter();
    let told = told.filter(|(_, times)| times.len() > 1);
    // After the alphabet, letters would say nothing; what is beyond stays with its task.
    let told: Vec<String> = told.take(26).map(|(caution, _)| caution.clone()).collect();
    for task in tasks.iter_mut() {
        let place = |caution: &String| told.iter().position(|known| known == caution);
        let mut letters: Vec<String> = Vec::new();
        task.cautions.retain(|caution| {
            let place = place(caution);
            letters.extend(place.map(words::letter));
            place.is_none()
        });
        letters.sort();
        task.shared = Some(letters.join(", ")).filter(|letters| !letters.is_empty());
    }
    let shared = told.into_iter().enumerate();
    let shared = shared.map(|(place, caution)| {
        context! { letter => words::letter(place), caution }
    });
    shared.collect()
}

fn printed(texts: &[Text], units: Units) -> Vec<String> {
    texts.iter().map(|text| text.print(units)).collect()
}

/// Where, who, how long, after what.
fn facts(
    entry: &PrintedTask,
    tasks: &[Task],
    (numbers, of_stage): (&BTreeMap<&str, usize>, usize),
    look: Look,
) -> Vec<String> {
    let due = due(tasks, &heading(entry, tasks, look.units), look.units);
    if look.short && in_a_line(entry) {
        return due.into_iter().collect();
    }
    let mut facts: Vec<String> = due.into_iter().collect();
    let places = plan::places_in_words(tasks);
    // The name of several pieces together says it already.
    if !entry.title.marked().ends_with(&places) {
        facts.push(places);
    }
    let trades: BTreeSet<&String> = tasks
        .iter()
        .filter_map(|task| task.trade.as_ref())
        .sorted_set();
    facts.extend(trades.iter().map(|trade| format!("trade: {trade}")));
    let count = tasks.iter().map(|task| task.people).max().unwrap_or(1);
    let watch = if tasks.iter().any(|task| task.watch) {
        ", one only watches"
    } else {
        ""
    };
    if count > 1 {
        facts.push(format!("{count} people{watch}"));
    }
    // A trade's people are none.
    if trades.is_empty() && tasks.iter().any(|task| !task.apprentice) {
        facts.push("no apprentice".to_owned());
    }
    let total = tasks
        .iter()
        .fold(Minutes::default(), |sum, task| sum.plus(task.minutes));
    facts.push(words::duration(total.likely));
    let uses: BTreeSet<&str> = tasks
        .iter()
        .flat_map(|task| &task.uses)
        .map(String::as_str)
        .sorted_set();
    if !uses.is_empty() {
        let uses: Vec<&str> = uses.into_iter().collect();
        facts.push(format!("uses the {}", uses.join(" and the ")));
    }
    // Tasks that begin a slot share what they wait for.
    let mut slots: Vec<_> = tasks.iter().map(|task| task.after.slot()).collect();
    slots.dedup_by(|one, other| Arc::ptr_eq(one, other));
    let slots = slots.into_iter().flat_map(|slot| slot.iter());
    let alone = tasks.iter().flat_map(|task| task.after.own());
    let before = alone.chain(slots);
    let before = before.filter_map(|id| numbers.get(id.as_str()).copied());
    let before: Vec<usize> = before.filter(|number| *number != entry.number).collect();
    // What stands right above it, or in the stages above, is done before it anyway; what is due later, after all of them.
    if tasks.iter().all(|task| task.due.is_none())
        && before.iter().any(|number| *number >= of_stage)
        && !before.contains(&entry.number.saturating_sub(1))
    {
        facts.push(format!("after {}", words::numbers(before)));
    }
    facts.extend(shut_out(tasks));
    facts
}

/// When it is done again. Mostly its title says how far (`at 100 km`), and then only from where that counts is told.
fn due(tasks: &[Task], title: &str, units: Units) -> Option<String> {
    let due = words::due(tasks.iter().find_map(|task| task.due.as_ref())?, units);
    match due.split_once(" after ") {
        _ if title.ends_with(&due) => None,
        Some((far, of)) if title.ends_with(far) => Some(format!("from {of}")),
        _ => Some(due),
    }
}

/// Who must be elsewhere while it is done: `no others inside or under`.
fn shut_out(tasks: &[Task]) -> Option<String> {
    let places: BTreeSet<&str> = tasks
        .iter()
        .flat_map(|task| &task.shuts_out)
        .map(|place| place.word())
        .sorted_set();
    if places.len() == Spot::VARIANTS.len() {
        return Some("no others near it".to_owned());
    }
    let places: Vec<&str> = places.into_iter().collect();
    (!places.is_empty()).then(|| format!("no others {}", places.join(" or ")))
}

/// The parts of tasks, those that are the same together.
fn parts(made: &Made<'_>, tasks: &[&Task], units: Units) -> Vec<String> {
    let lines = crate::parts::lines(tasks.iter().copied(), &made.job.lift.block);
    let parts = lines.into_iter().map(|line| BenchPart {
        count: line.count,
        ..line.part.clone()
    });
    parts.map(|part| words::part(&part, units)).collect()
}

/// The tools of tasks, each once, in the order in which they are first taken up.
/// Those of raising stand in its steps, and its page has no room to say them twice.
fn tools(tasks: &[&Task], units: Units) -> Vec<String> {
    let named = tasks.iter().filter(|task| task.stage != Stage::Raise);
    each_once(named.flat_map(|task| printed(&task.tools, units)))
}
