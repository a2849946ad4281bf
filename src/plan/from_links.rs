//! Verdicts → drafts: for each link what comes apart, what is corrected, how it is checked, how it goes together again.

use std::collections::BTreeSet;

use super::draft::{Draft, Making, draft};
use super::merge::{self, ForMount};
use super::shared::Shared;
use super::slots::Slots;
use super::task::Slot;
use crate::assess::{Assessed, Assessment, Run};
use crate::cut::{Cut, Origin};
use crate::job::Side;
use crate::report::{Place, Report};
use crate::rules::{Class, Stage, Verdict, written};

/// Every draft that a judged link calls for.
pub(super) fn drafts(
    assessment: &Assessment<'_>,
    cut: &Cut,
    slots: &Slots,
    report: &mut Report,
) -> Vec<Draft> {
    let mut drafts = Vec::new();
    let mut for_mounts = Vec::new();
    let mut shared = Shared::default();
    for (id, assessed) in &assessment.links {
        let Some(class) = assessed.class else {
            continue;
        };
        if matches!(assessed.verdict, Verdict::Measure | Verdict::Stop) {
            continue;
        }
        let raised_with = cut.links.get(id).and_then(|link| link.raised_with.as_ref());
        let mut link = Link {
            assessed,
            class,
            slots,
            raised_with: raised_with.map(|(group, side)| (group.as_str(), *side)),
            drafts: Vec::new(),
        };
        link.all(report);
        for draft in &mut link.drafts {
            shared.share(draft);
        }
        if assessed.origin == Origin::Mount {
            for_mounts.extend(
                link.drafts
                    .into_iter()
                    .map(|draft| for_mount(assessed, draft)),
            );
        } else {
            drafts.extend(link.drafts);
        }
    }
    drafts.extend(merge::merge(for_mounts));
    drafts
}

/// The procedure tasks by which judged links have their work done.
pub(super) fn called<'a>(assessment: &'a Assessment<'_>) -> BTreeSet<&'a str> {
    let links = assessment.links.values();
    let done = links.filter(|link| !matches!(link.verdict, Verdict::Measure | Verdict::Stop));
    let runs = done.flat_map(runs);
    runs.flat_map(|run| &run.branch.calls)
        .map(String::as_str)
        .collect()
}

/// The runs whose work is done, the heaviest first; nothing else is done on what the workshop must not touch.
fn runs<'a, 'r>(link: &'a Assessed<'r>) -> Vec<&'a Run<'r>> {
    let mut runs: Vec<&Run<'r>> = link.runs.iter().collect();
    runs.sort_by_key(|run| std::cmp::Reverse(run.branch.verdict));
    runs.retain(|run| link.verdict != Verdict::Refer || run.branch.verdict == Verdict::Refer);
    runs
}

/// A mount's draft with its name, for merging.
fn for_mount(assessed: &Assessed<'_>, draft: Draft) -> ForMount {
    let name = draft
        .task
        .id
        .strip_prefix(&assessed.id)
        .unwrap_or(&draft.task.id);
    ForMount {
        id: assessed.id.clone(),
        title: assessed.title.clone(),
        name: name.trim_start_matches('.').to_owned(),
        draft,
    }
}

struct Link<'a, 'r> {
    assessed: &'a Assessed<'r>,
    class: &'r Class,
    slots: &'a Slots,
    raised_with: Option<(&'a str, Option<Side>)>,
    drafts: Vec<Draft>,
}

impl<'r> Link<'_, 'r> {
    fn all(&mut self, report: &mut Report) {
        // The heaviest comes first and has the plain ids.
        let runs = self::runs(self.assessed);
        let corrected = self.corrections(&runs, report);
        let refitted = self.release(&corrected, report);
        self.checks(&runs, &corrected, refitted.as_ref(), report);
    }

    /// Taking it apart, and putting it together again once it is corrected.
    fn release(&mut self, corrected: &[String], report: &mut Report) -> Option<String> {
        let release = self
            .class
            .release
            .as_ref()
            .filter(|_| self.assessed.release)?;
        let trade = release.trade.as_ref();
        let id = self.add(
            "release",
            Stage::Release,
            &release.task,
            trade,
            None,
            report,
        )?;
        let refit = release.refit.as_ref()?;
        let needs = self.drafts.last().map(|release| release.needs.clone());
        let refitted = self.add("refit", Stage::Refit, refit, trade, None, report)?;
        let draft = self.drafts.last_mut()?;
        draft.after_tasks.push((id, "a refit follows its removal"));
        // What came apart under an access goes together again before that access is closed.
        draft.needs.extend(needs.into_iter().flatten());
        let corrections = corrected.iter().cloned();
        draft
            .after_tasks
            .extend(corrections.map(|id| (id, "a refit follows the correction")));
        Some(refitted)
    }

    fn corrections(&mut self, runs: &[&Run<'r>], report: &mut Report) -> Vec<String> {
        let mut ids = Vec::new();
        for run in runs {
            let trade = run.branch.trade.as_ref();
            if let Some(task) = &run.branch.task {
                let stage = match task.during.as_deref() {
                    Some("raised") => Stage::Space,
                    _ => Stage::Correct,
                };
                let name = self.name("correct", run);
                ids.extend(self.add(&name, stage, task, trade, Some(run), report));
            }
            for (extra, stage, task) in &run.branch.also {
                ids.extend(self.add(extra, *stage, task, trade, Some(run), report));
            }
        }
        ids
    }

    fn checks(
        &mut self,
        runs: &[&Run<'r>],
        corrected: &[String],
        refitted: Option<&String>,
        report: &mut Report,
    ) {
        for run in runs {
            let untouched = run.branch.verdict == Verdict::Leave && !self.assessed.release;
            let Some(task) = run.branch.check.as_ref().filter(|_| !untouched) else {
                continue;
            };
            let name = self.name("check", run);
            if self
                .add(
                    &name,
                    Stage::Check,
                    task,
                    run.branch.trade.as_ref(),
                    Some(run),
                    report,
                )
                .is_none()
            {
                continue;
            }
            if let Some(draft) = self.drafts.last_mut() {
                let before = corrected.iter().chain(refitted).cloned();
                let why = "a check follows what it checks";
                draft.after_tasks.extend(before.map(|id| (id, why)));
            }
        }
    }

    /// `correct` for the first task of its kind, `correct.<check>` for the next.
    fn name(&self, kind: &str, run: &Run<'_>) -> String {
        let plain = format!("{}.{kind}", self.assessed.id);
        if self.drafts.iter().any(|draft| draft.task.id == plain) {
            format!("{kind}.{}", run.check.id)
        } else {
            kind.to_owned()
        }
    }

    /// Adds a task, unless the link already has one that says the same; gives its id.
    fn add(
        &mut self,
        name: &str,
        stage: Stage,
        task: &written::Task,
        trade: Option<&String>,
        run: Option<&Run<'r>>,
        report: &mut Report,
    ) -> Option<String> {
        let slot: &Slot = match self.raised_with {
            Some((group, side)) => {
                self.slots
                    .find(stage, slot_group(stage, group), slot_side(stage, side))
            }
            None => self.slots.find(stage, None, None),
        }?;
        let mut scope = run.map_or(&self.assessed.scope, |run| &run.scopes).clone();
        if self.assessed.origin == Origin::Mount {
            scope.set("link", merge::PLACEHOLDER.to_string());
        }
        let making = Making {
            id: format!("{}.{name}", self.assessed.id),
            slot,
            area: Some(self.assessed.area),
            links: vec![self.assessed.id.clone()],
            trade,
            scope: &scope,
            mounts: &[],
            place: self.place(run),
        };
        let draft = draft(task, making, report);
        let same = |other: &Draft| {
            other.task.title == draft.task.title
                && other.task.slot == draft.task.slot
                && other.task.steps == draft.task.steps
        };
        if self.drafts.iter().any(same) {
            return None;
        }
        let id = draft.task.id.clone();
        self.drafts.push(draft);
        Some(id)
    }

    fn place(&self, run: Option<&Run<'_>>) -> Place {
        match run {
            Some(run) => self.class.place(&run.branch.path),
            None => self
                .class
                .place(&crate::report::Path::root().key("release")),
        }
    }
}

/// Only the raising stages are done body by body.
fn slot_group(stage: Stage, group: &str) -> Option<&str> {
    matches!(stage, Stage::Raise | Stage::Space | Stage::Lower).then_some(group)
}

/// Only blocks go in side by side; bolts are torqued when both sides are down.
fn slot_side(stage: Stage, side: Option<Side>) -> Option<Side> {
    side.filter(|_| stage == Stage::Space)
}
