//! Links as rows of a page: what they join, what they need and why, what was assumed, what to measure again.
//!
//! Takes the assessment and the cut; gives plain views for templates, in the order of the page.

use std::collections::BTreeMap;

use serde::{Serialize, Serializer};

use super::marks::{self, Marks};
use super::{Look, Made, anchors, words};
use crate::assess::Assessed;
use crate::cut::{CutLink, Origin};
use crate::quantity::Round;
use crate::report::number_runs;
use crate::rules::Verdict;

/// One link of a table.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(super) struct LinkRow {
    /// The links with their numbers, titles and ids, until the rows are drawn together.
    #[serde(skip)]
    links: Vec<(usize, String, String)>,
    /// Their places on the page.
    places: Vec<String>,
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

/// A reading that could lighten a verdict.
#[derive(Debug, Serialize)]
pub(super) struct Again {
    link: String,
    what: String,
    limit: String,
    verdict: &'static str,
}

/// The links that are worked on, from the heaviest verdict to the lightest, each in walking order; then those left alone.
/// With the limits behind the verdicts on those that are worked on, where such a limit was only remembered: whoever works by it asks first.
pub(super) fn rows(
    made: &Made<'_>,
    look: Look,
) -> (Vec<LinkRow>, Vec<LinkRow>, Vec<marks::Origin>) {
    let mut links = walking(made);
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

/// The places of rows.
pub(super) fn places(rows: Vec<LinkRow>) -> Vec<String> {
    rows.into_iter().flat_map(|row| row.places).collect()
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
    let numbers = made.assessment.numbers();
    let rows = links.into_iter().map(|link| {
        let number = numbers.get(link.id.as_str()).copied().unwrap_or_default();
        let mut row = row(made, (number, link), look, marks);
        if joins {
            row.joins = self::joins(made, &link.id);
        }
        row
    });
    let mut rows = drawn_together(rows, |row| &mut row.links);
    rows.iter_mut().for_each(name);
    rows
}

/// Writes a row's links as one number and one title.
fn name(row: &mut LinkRow) {
    let mut numbers = Vec::new();
    let mut titles = Vec::new();
    for (number, title, id) in std::mem::take(&mut row.links) {
        numbers.push(number);
        titles.push(title);
        row.places.push(anchors::connection(&id));
    }
    row.number = number_runs(numbers);
    row.title = phrase(&titles);
}

fn row(
    made: &Made<'_>,
    (number, link): (usize, &Assessed<'_>),
    look: Look,
    marks: &mut Marks,
) -> LinkRow {
    LinkRow {
        links: vec![(number, link.title.clone(), link.id.clone())],
        places: Vec::new(),
        task: None,
        number: String::new(),
        title: String::new(),
        joins: String::new(),
        verdict: words::verdict(link),
        because: link.because.print(look.units),
        limits: marks.remembered(made, link),
        trade: link.trade.clone(),
        release: link.release,
    }
}

/// Rows that say the same of several links, as one row that names them all; the first keeps its place.
pub(super) fn drawn_together<T: Ord + Clone, U>(
    rows: impl Iterator<Item = T>,
    titles: fn(&mut T) -> &mut Vec<U>,
) -> Vec<T> {
    let mut kept: Vec<T> = Vec::new();
    let mut places: BTreeMap<T, usize> = BTreeMap::new();
    for mut row in rows {
        let own = std::mem::take(titles(&mut row));
        let place = *places.entry(row.clone()).or_insert(kept.len());
        if let Some(first) = kept.get_mut(place) {
            titles(first).extend(own);
        } else {
            *titles(&mut row) = own;
            kept.push(row);
        }
    }
    kept
}

/// Titles as one phrase: `Mounts C1L, C1R`.
pub(super) fn named<S: Serializer>(titles: &[String], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(&phrase(titles))
}

pub(super) fn phrase(titles: &[String]) -> String {
    let mounts: Option<Vec<&str>> = titles
        .iter()
        .map(|title| title.strip_prefix("mount "))
        .collect();
    match mounts {
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

/// The readings that could lighten a verdict, in walking order.
pub(super) fn again(made: &Made<'_>, look: Look) -> Vec<Again> {
    let of_link = |link: &Assessed<'_>| {
        let again = link.again.as_ref()?;
        let (round, side) = if again.or_more {
            (Round::Up, "more")
        } else {
            (Round::Down, "less")
        };
        Some(Again {
            link: words::capital(&link.title),
            what: again.label.clone(),
            limit: format!("{} or {side}", again.limit.print_limit(round, look.units)),
            verdict: again.verdict.word(),
        })
    };
    walking(made).into_iter().filter_map(of_link).collect()
}

/// Every link in walking order.
pub(super) fn walking<'a>(made: &Made<'a>) -> Vec<&'a Assessed<'a>> {
    made.assessment.walking()
}
