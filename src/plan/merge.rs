//! The same work on several mounts → one task for all of them, with what is written down once for each.
//!
//! Takes drafts whose texts name their mount by [`PLACEHOLDER`]; gives drafts in which those that say the same are one. A fitter
//! puts the blocks of a side in at one go, and a sheet with the same page for each of twelve bolts is not read.

use super::draft::Draft;
use super::states::Steps;
use super::task::Evidence;
use crate::cut::MOUNT;
use crate::quantity::Unit;
use crate::report::listed;
use crate::text::{Text, clean};

/// Stands for the mount's title in a text until it is known which mounts share the task.
pub(super) const PLACEHOLDER: char = '\u{E002}';

/// A draft for one mount: its id, its title on the pages, and the name of the task.
pub(super) struct ForMount {
    pub(super) id: String,
    pub(super) title: String,
    pub(super) name: String,
    pub(super) draft: Draft,
}

/// Merges the drafts that say the same in the same slot.
pub(super) fn merge(all: Vec<ForMount>) -> Vec<Draft> {
    let mut groups: Vec<Vec<ForMount>> = Vec::new();
    for one in all {
        let like =
            |group: &&mut Vec<ForMount>| group.first().is_some_and(|first| same(first, &one));
        match groups.iter_mut().find(like) {
            Some(group) => group.push(one),
            None => groups.push(vec![one]),
        }
    }
    let merged = groups.into_iter().filter_map(join);
    merged.collect()
}

/// Whether two drafts say the same of their mounts.
fn same(a: &ForMount, b: &ForMount) -> bool {
    let (x, y) = (&a.draft.task, &b.draft.task);
    a.name == b.name
        && x.slot == y.slot
        && x.title == y.title
        && x.steps == y.steps
        && x.tools == y.tools
        && x.parts == y.parts
        && x.evidence
            .iter()
            .map(asked)
            .eq(y.evidence.iter().map(asked))
        && x.cautions == y.cautions
        && x.trade == y.trade
        && of_vehicle(a).eq(of_vehicle(b))
}

/// What holds of the vehicle while it is done, whatever each mount's own course.
fn of_vehicle(one: &ForMount) -> impl Iterator<Item = &Steps> {
    let steps = one.draft.during.iter();
    steps.filter(|steps| !steps.instance.ends_with(bare(&one.id)))
}

/// The mount's own id.
fn bare(id: &str) -> &str {
    id.trim_start_matches(MOUNT)
}

/// What is written down, whatever its limits: those may differ from mount to mount.
fn asked(evidence: &Evidence) -> (&str, &Text, &str, Option<Unit>) {
    (&evidence.name, &evidence.ask, &evidence.kind, evidence.unit)
}

/// `mount-C1L.correct`, or `mounts-C1L-to-C3L.correct` for several.
fn merged_id(group: &[ForMount]) -> String {
    match group {
        [] => String::new(),
        [one] => one.draft.task.id.clone(),
        [first, .., last] => {
            format!(
                "mounts-{}-to-{}.{}",
                bare(&first.id),
                bare(&last.id),
                first.name
            )
        }
    }
}

fn join(group: Vec<ForMount>) -> Option<Draft> {
    let id = merged_id(&group);
    let titles: Vec<String> = group.iter().map(|one| clean(&one.title)).collect();
    let title = joined_title(&titles);
    let mut members = group.into_iter();
    let first = members.next()?;
    let mut draft = first.draft;
    let mut evidence = for_one(&draft.task.evidence, &first.id, titles.first());
    let mut count: u32 = 1;
    for (one, title) in members.zip(titles.iter().skip(1)) {
        evidence.extend(for_one(&one.draft.task.evidence, &one.id, Some(title)));
        count = count.saturating_add(1);
        draft.task.stand_also_at(one.draft.task.also_at);
        draft.task.links.extend(one.draft.task.links);
        draft.task.minutes = draft.task.minutes.plus(one.draft.task.minutes);
        draft.makes.extend(one.draft.makes);
        draft.during.extend(one.draft.during);
    }
    for steps in [&mut draft.makes, &mut draft.during] {
        steps.sort_unstable();
        steps.dedup();
    }
    if count > 1 {
        draft.task.evidence = evidence;
    }
    fill(&mut draft, &title);
    for part in draft.task.parts.iter_mut().filter(|part| !part.shared) {
        part.count = part.count.saturating_mul(count);
    }
    draft.task.id = id;
    Some(draft)
}

/// `mounts C1L, C2L and C3L` from `mount C1L`, `mount C2L`, `mount C3L`.
fn joined_title(titles: &[String]) -> String {
    let bare: Vec<&str> = titles
        .iter()
        .map(|title| title.trim_start_matches("mount "))
        .collect();
    match titles {
        [one] => one.clone(),
        _ => format!("mounts {}", listed(&bare, "and")),
    }
}

fn fill(draft: &mut Draft, title: &str) {
    let task = &mut draft.task;
    let put = |text: &mut Text| *text = text.replaced(PLACEHOLDER, title);
    put(&mut task.title);
    task.steps
        .iter_mut()
        .chain(&mut task.tools)
        .chain(&mut task.cautions)
        .for_each(put);
    task.parts.iter_mut().for_each(|part| put(&mut part.what));
    task.evidence
        .iter_mut()
        .for_each(|evidence| put(&mut evidence.ask));
}

/// What is written down for one mount of several.
fn for_one(evidence: &[Evidence], id: &str, title: Option<&String>) -> Vec<Evidence> {
    let bare = bare(id);
    let own = evidence.iter().map(|one| Evidence {
        name: format!("{}.{bare}", one.name),
        item: title.cloned(),
        ..Evidence::clone(one)
    });
    own.collect()
}
