//! What questions are made from: the links and tasks that may be asked about, and how the page names them.
//!
//! A link with anything still to be measured is never asked about: its answer could turn.

use std::collections::{BTreeMap, BTreeSet};

use super::lessons::Lesson;
use super::words::typed;
use crate::assess::{Assessed, Run};
use crate::cut::CutLink;
use crate::pipeline::Made;
use crate::plan::{self, Task};
use crate::rules::{Class, Verdict};
use crate::sorted::Sorted as _;

/// What questions are made from.
pub(super) struct Material<'a> {
    pub(super) made: Made<'a>,
    /// The classes wanted; none for all.
    wanted: BTreeSet<String>,
    pub(super) classes: Vec<&'a Class>,
    /// For each task, by its number, whether each one before it must come before it.
    before: Vec<Vec<bool>>,
    /// How many tasks have a title.
    titles: BTreeMap<&'a str, usize>,
}

impl<'a> Material<'a> {
    pub(super) fn new(made: &Made<'a>, lessons: &[Lesson<'a>], wanted: &BTreeSet<String>) -> Self {
        let mut titles = BTreeMap::new();
        for task in &made.plan.tasks {
            *titles.entry(task.title.marked()).or_default() += 1;
        }
        Self {
            titles,
            made: *made,
            wanted: wanted.clone(),
            classes: lessons.iter().map(|lesson| lesson.class).collect(),
            before: before(&made.plan.tasks),
        }
    }

    /// Whether only some classes are asked about.
    pub(super) fn narrowed(&self) -> bool {
        !self.wanted.is_empty()
    }

    /// Whether a link is of a wanted class.
    pub(super) fn wants(&self, link: &Assessed<'_>) -> bool {
        let class = link.class.map(|class| &class.id);
        self.wanted.is_empty() || class.is_some_and(|class| self.wanted.contains(class))
    }

    /// Every link whose verdict can no longer turn.
    pub(super) fn settled(&self) -> impl Iterator<Item = &'a Assessed<'a>> {
        let assessment = self.made.assessment;
        assessment
            .links
            .values()
            .filter(|link| link.verdict != Verdict::Measure && link.missing.is_empty())
    }

    /// The settled links that are asked about.
    pub(super) fn links(&self) -> impl Iterator<Item = &'a Assessed<'a>> {
        self.settled().filter(|link| self.wants(link))
    }

    pub(super) fn cut(&self, id: &str) -> Option<&'a CutLink> {
        self.made.cut.links.get(id)
    }

    /// The tasks that are asked about, with their numbers: all, or those for wanted links.
    pub(super) fn tasks(&self) -> impl Iterator<Item = (usize, &'a Task)> {
        let plan = self.made.plan;
        let tasks = plan.tasks.iter().enumerate();
        tasks.filter(|(_, task)| !self.narrowed() || self.is_for_wanted(task))
    }

    pub(super) fn is_for_wanted(&self, task: &Task) -> bool {
        let links = task.links.iter();
        let mut links = links.filter_map(|id| self.made.assessment.links.get(id));
        links.any(|link| self.wants(link))
    }

    /// Whether a task can be told by its title: the pieces of a check that is made at several moments are called alike.
    pub(super) fn is_named_once(&self, task: &Task) -> bool {
        self.titles.get(task.title.marked()) == Some(&1)
    }

    /// Whether one task must come before another, however many lie between them.
    pub(super) fn comes_before(&self, first: usize, then: usize) -> bool {
        let before = self.before.get(then).and_then(|before| before.get(first));
        before.is_some_and(|before| *before)
    }

    /// A part's title.
    pub(super) fn part(&self, id: &str) -> String {
        typed(self.made.job.part_title(id))
    }

    /// What a part rides with: `the cab`, or `the cab and the chassis` for one that is bolted to both.
    pub(super) fn rides_with(&self, groups: &BTreeSet<String>) -> String {
        let titles: Vec<String> = groups
            .iter()
            .map(|group| format!("the {}", self.part(group)))
            .collect();
        titles.join(" and ")
    }

    /// A link with what it joins: `Fuel filler hose (filler neck → fuel tank)`.
    pub(super) fn with_joins(&self, link: &Assessed<'_>) -> String {
        let parts = self.cut(&link.id).into_iter().flat_map(CutLink::parts);
        let parts: Vec<String> = parts.map(|part| self.part(part)).collect();
        format!("{} ({})", typed(&link.title), parts.join(" → "))
    }

    /// Why the lift disturbs a link, or leaves it alone: where it is pulled apart, or what it rides with.
    pub(super) fn reason(&self, link: &Assessed<'_>) -> String {
        let title = typed(&link.title);
        let Some(cut) = self.cut(&link.id) else {
            return title;
        };
        let first = cut.disturbed_spans().next();
        if let Some((_, span)) = first {
            return format!(
                "{title} is pulled apart between {} (rides with {}) and {} (rides with {})",
                self.part(&span.from),
                self.rides_with(&span.groups.0),
                self.part(&span.to),
                self.rides_with(&span.groups.1),
            );
        }
        let groups: BTreeSet<String> = cut
            .spans
            .iter()
            .flat_map(|span| span.groups.0.union(&span.groups.1))
            .cloned()
            .sorted_set();
        format!(
            "every fixing of {title} rides with {}",
            self.rides_with(&groups)
        )
    }
}

/// The run that decides a link's verdict.
pub(super) fn deciding<'a>(link: &'a Assessed<'_>) -> Option<&'a Run<'a>> {
    let (check, _) = link.decided_by.split_once([':', '['])?;
    link.runs.iter().find(|run| run.check.id == check)
}

/// For each task whether each one before it must come before it.
fn before(tasks: &[Task]) -> Vec<Vec<bool>> {
    let ids = tasks.iter().map(|task| task.id.as_str());
    let numbers: BTreeMap<&str, usize> = ids.zip(0..).sorted_map();
    plan::all_before(tasks.iter().map(|task| {
        let after = task.after.iter();
        after.filter_map(|id| numbers.get(id.as_str()).copied())
    }))
}

/// One of each list after the other, until all are used up.
pub(super) fn in_turn<T>(lists: Vec<Vec<T>>) -> Vec<T> {
    let mut lists: Vec<_> = lists.into_iter().map(Vec::into_iter).collect();
    let mut all = Vec::new();
    loop {
        let before = all.len();
        for list in &mut lists {
            all.extend(list.next());
        }
        if all.len() == before {
            return all;
        }
    }
}
