//! Links as rows of a page: what they join, what they need and why, what was assumed, what to measure again.
//!
//! Takes the assessment and the cut; gives plain views for templates, in the order of the page.

use std::collections::BTreeMap;

use minijinja::Value;
use serde::Serialize;

use super::marks::Marks;
use super::{Look, Made, anchors, words};
use crate::assess::Assessed;
use crate::cut::{CutLink, Origin};
use crate::rules::Verdict;

/// One link of a table, or several of which it says the same.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(super) struct LinkRow {
    pub(super) places: Vec<String>,
    /// The place of the first task on one of them.
    task: Option<String>,
    /// Their numbers, by which the pictures name them: `3 to 5`.
    number: String,
    title: String,
    /// What it joins, where the page tells it: `airbox → inner guard → cab`.
    joins: String,
    verdict: &'static str,
    because: String,
    /// The letters of the limits behind the verdict that are only remembered.
    limits: String,
    trade: Option<String>,
    release: bool,
}

/// The links that are worked on, from the heaviest verdict to the lightest, each in walking order; then those left alone.
/// With the limits behind the verdicts on those that are worked on, where such a limit was only remembered: whoever works by it asks first.
pub(super) fn rows(made: &Made<'_>, look: Look) -> (Vec<LinkRow>, Vec<LinkRow>, Value) {
    let mut links = made.assessment.walking();
    links.sort_by_key(|link| std::cmp::Reverse(link.verdict));
    let (left, worked): (Vec<_>, Vec<_>) = links
        .into_iter()
        .partition(|link| link.verdict == Verdict::Leave && !link.release);
    let mut marks = Marks::new(look.units);
    let mut worked = table(made, worked, look, (&mut marks, false));
    link(made, &mut worked);
    // Of those left alone the page prints numbers only, so their limits have no letter on it.
    let left = table(made, left, look, (&mut Marks::new(look.units), false));
    (worked, left, marks.list())
}

/// The connections that are left alone, without what the lift brings about beside them.
pub(super) fn left_alone(made: &Made<'_>, look: Look) -> Vec<LinkRow> {
    let links = made.assessment.walking().into_iter();
    let left = links.filter(|link| {
        let alone = link.verdict == Verdict::Leave && !link.release;
        alone && link.origin != Origin::Consequence
    });
    table(made, left, look, (&mut Marks::new(look.units), false))
}

/// Says where the first task on one of a row's connections stands.
fn link(made: &Made<'_>, rows: &mut [LinkRow]) {
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    for task in &made.plan.tasks {
        for id in &task.links {
            let place = anchors::connection(id);
            first.entry(place).or_insert(task.number);
        }
    }
    for row in rows {
        let numbers = row.places.iter().filter_map(|place| first.get(place));
        row.task = numbers.min().map(|number| anchors::task(*number));
    }
}

/// The numbers of rows, as they stand in the pictures: `1, 5 to 7, 9`.
pub(super) fn numbers(rows: &[LinkRow]) -> String {
    let numbers: Vec<&str> = rows.iter().map(|row| row.number.as_str()).collect();
    numbers.join(", ")
}

/// The rows of some links, those that say the same drawn together; with what each joins, where `joins` says so.
pub(super) fn table<'a, 'r: 'a>(
    made: &Made<'_>,
    links: impl IntoIterator<Item = &'a Assessed<'r>>,
    look: Look,
    (marks, joins): (&mut Marks, bool),
) -> Vec<LinkRow> {
    let rows = links.into_iter().map(|link| {
        let row = LinkRow {
            joins: if joins {
                self::joins(made, &link.id)
            } else {
                String::new()
            },
            verdict: link.word(),
            because: link.because.print(look.units),
            limits: marks.remembered(made, link),
            trade: link.trade.clone(),
            release: link.release,
            ..LinkRow::default()
        };
        (row, link)
    });
    let numbers = made.assessment.numbers();
    let number = |link: &&Assessed<'_>| numbers.get(link.id.as_str()).copied();
    let rows = words::drawn_together(rows).into_iter();
    rows.map(|(row, links)| LinkRow {
        number: words::numbers(links.iter().filter_map(number).collect()),
        title: phrase(&links),
        places: places(&links),
        ..row
    })
    .collect()
}

pub(super) fn places(links: &[&Assessed<'_>]) -> Vec<String> {
    let links = links.iter();
    links.map(|link| anchors::connection(&link.id)).collect()
}

/// The titles of links as one phrase: `Mounts C1L, C1R`.
pub(super) fn phrase(links: &[&Assessed<'_>]) -> String {
    let titles: Vec<&str> = links.iter().map(|link| link.title.as_str()).collect();
    let mounts = titles.iter().map(|title| title.strip_prefix("mount "));
    match mounts.collect::<Option<Vec<&str>>>() {
        Some(ids) if ids.len() > 1 => format!("Mounts {}", ids.join(", ")),
        _ => words::capital(&titles.join(", ")),
    }
}

/// The parts of a link in order.
pub(super) fn joins(made: &Made<'_>, id: &str) -> String {
    let link = made.cut.links.get(id);
    if link.is_some_and(|link| link.origin == Origin::Consequence) {
        return "the whole vehicle".to_owned();
    }
    let parts = link.into_iter().flat_map(CutLink::parts);
    let titles: Vec<&str> = parts.map(|part| made.job.part_title(part)).collect();
    titles.join(" → ")
}
