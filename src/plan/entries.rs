//! The printed tasks: neighbours in the order of work that stand together are one, with a number, a name and one signature.
//!
//! Takes the tasks in order; gives the [`PrintedTask`]s. The pieces keep their ids, digests and edges, so that one added connection renames
//! nothing. What is looked at for connections in one moment and one place is one walk-round; work is put together where the trade
//! is the same and it takes no more than an hour and a half. Hold points and what comes due stand alone.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use super::task::{Sign, Task, places_in_words};
use crate::job::Job;
use crate::report::{Code, Path, Place, Problem, Report};
use crate::rules::expression::{self, Scope};
use crate::rules::{Rules, Spot};
use crate::sorted::{Sorted as _, each_once};
use crate::text::{Text, clean};

/// Likely minutes of a printed task of several pieces (common practice: what one does at a stretch).
const MOST_MINUTES: f64 = 90.0;
/// What the rules call several checks that are printed as one.
const WALK_ROUND: &str = "walk-round";

/// A printed task.
#[derive(Debug, Clone)]
pub struct PrintedTask {
    /// Whether a supervisor must sign before the work goes on.
    pub hold: bool,
    /// Whether it is a walk-round: a row for each connection.
    pub looks: bool,
    /// Its number: 1, 2, 3 in the order of work.
    pub number: usize,
    /// How it is signed: as the piece that asks for most.
    pub sign: Sign,
    /// The numbers of the printed tasks before it that its check signs off, too.
    pub signs_off: Vec<usize>,
    /// Its pieces, as places among the plan's tasks.
    pub tasks: Range<usize>,
    /// One line.
    pub title: Text,
}

/// What tasks that may stand together have in common.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct InCommon<'a> {
    pub(super) slot: usize,
    looks: bool,
    place: Spot,
    trade: Option<&'a str>,
    /// The id of what stands alone.
    alone: Option<&'a str>,
}

/// The kind of a task.
pub(super) fn kind(task: &Task) -> InCommon<'_> {
    let looks = task.looks;
    let alone = !looks && (task.hold.is_some() || task.due.is_some());
    InCommon {
        slot: task.slot,
        looks,
        place: task.place,
        trade: task.trade.as_deref(),
        alone: alone.then_some(task.id.as_str()),
    }
}

/// Groups the tasks, numbers them, and says with which check each is signed off.
pub(super) fn entries(
    tasks: &mut [Task],
    (job, rules): (&Job, &Rules),
    report: &mut Report,
) -> Vec<PrintedTask> {
    let mut entries: Vec<PrintedTask> = Vec::new();
    for range in ranges(tasks) {
        let number = entries.len() + 1;
        let pieces = tasks.get_mut(range.clone()).unwrap_or_default();
        for piece in pieces.iter_mut() {
            piece.number = number;
        }
        entries.push(PrintedTask {
            hold: pieces.iter().any(|piece| piece.hold.is_some()),
            looks: pieces.iter().any(|piece| piece.looks),
            number,
            sign: pieces
                .iter()
                .map(|piece| piece.sign)
                .max()
                .unwrap_or(Sign::Tick),
            signs_off: Vec::new(),
            title: title(pieces, (job, rules), report),
            tasks: range,
        });
    }
    sign_off(&mut entries, tasks);
    entries
}

/// The stretches of tasks that are printed as one.
fn ranges(tasks: &[Task]) -> Vec<Range<usize>> {
    let mut ranges: Vec<Range<usize>> = Vec::new();
    let mut minutes = 0.0;
    for (place, task) in tasks.iter().enumerate() {
        let like = |last: &Range<usize>| tasks.get(last.start).map(kind) == Some(kind(task));
        let fits = minutes + task.minutes.likely <= MOST_MINUTES;
        if let Some(last) = ranges.last_mut().filter(|last| fits && like(last)) {
            last.end = place + 1;
            minutes += task.minutes.likely;
        } else {
            ranges.push(place..place + 1);
            minutes = task.minutes.likely;
        }
    }
    ranges
}

/// What is ticked or signed as done is signed off with the next check: a hold point or a checked walk-round. What no check comes after has
/// its own; so has what comes due.
fn sign_off(entries: &mut [PrintedTask], tasks: &mut [Task]) {
    let is_due = |entry: &PrintedTask, tasks: &[Task]| {
        let pieces = tasks.get(entry.tasks.clone()).unwrap_or_default();
        pieces.iter().any(|piece| piece.due.is_some())
    };
    let mut open: Vec<usize> = Vec::new();
    let last = entries.iter().rposition(|entry| !is_due(entry, tasks));
    let mut with: BTreeMap<usize, usize> = BTreeMap::new();
    for (place, entry) in entries.iter_mut().enumerate() {
        let due = is_due(entry, tasks);
        if due || Some(place) == last {
            entry.sign = Sign::Checked;
        }
        if entry.sign != Sign::Checked {
            open.push(entry.number);
            continue;
        }
        if !due {
            entry.signs_off = std::mem::take(&mut open);
        }
        let own = entry.signs_off.iter().chain([&entry.number]);
        with.extend(own.map(|number| (*number, entry.number)));
    }
    for task in tasks {
        task.signed_with = with.get(&task.number).copied().unwrap_or(task.number);
    }
}

/// What a printed task is called: one piece by its own title, several by the words that the rules have for them.
fn title(pieces: &[Task], (job, rules): (&Job, &Rules), report: &mut Report) -> Text {
    let titles = each_once(pieces.iter().map(|piece| &piece.title));
    let (Some(first), Some(task)) = (titles.first(), pieces.first()) else {
        return Text::default();
    };
    let word = if task.looks {
        WALK_ROUND
    } else {
        task.stage.word()
    };
    let words = rules.together.get(word);
    match (titles.as_slice(), words) {
        ([one], _) => (*one).clone(),
        ([_, more @ ..], None) => {
            Text::rendered(format!("{} and {} more", first.marked(), more.len()))
        }
        (_, None) => (*first).clone(),
        (_, Some(words)) => {
            let rendered = expression::render(words, &scope(pieces, task, job));
            rendered.unwrap_or_else(|error| {
                let path = Path::root().key("together").key(word);
                let problem = Problem::error(Code::BadExpression, error.to_string())
                    .at(Place::new("states.yaml", path))
                    .help("correct the rule; it may read `stage`, `moment`, `place`, `group`, `side` and `count`");
                report.push(problem);
                (*first).clone()
            })
        }
    }
}

fn scope(pieces: &[Task], task: &Task, job: &Job) -> Scope {
    let mut scope = Scope::default();
    let group = task
        .group
        .as_ref()
        .map(|group| clean(job.part_title(group)));
    let links: BTreeSet<&String> = pieces.iter().flat_map(|piece| &piece.links).sorted_set();
    scope.set("stage", task.stage.word());
    scope.set("moment", task.moment.map_or("", crate::rules::Moment::word));
    scope.set("place", places_in_words(pieces));
    scope.set("group", group.unwrap_or_default());
    scope.set("side", task.side.map_or("", crate::job::Side::word));
    let count = u32::try_from(links.len().max(pieces.len()));
    scope.set("count", count.unwrap_or(u32::MAX));
    scope
}
