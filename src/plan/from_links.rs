//! Verdicts → drafts: for each link what comes apart, what is corrected, how it is checked, how it goes together again.

use std::borrow::Cow;
use std::collections::BTreeMap;

use super::draft::{Draft, Limits, Making, draft};
use super::merge::{self, ForMount};
use super::slots::{Slot, Slots};
use super::states::{Courses, OfLink, Steps, Whom, of_link};
use super::task::Sign;
use crate::assess::{Assessed, Assessment, Run};
use crate::cut::{Cut, Origin};
use crate::job::{PartId, Side};
use crate::report::{Path, Place, Report};
use crate::rules::{Class, Moment, Spot, Stage, Verdict, written};

/// Every draft that a judged link calls for.
pub(super) fn drafts(
    assessment: &Assessment<'_>,
    cut: &Cut,
    (slots, courses): (&Slots, &Courses<'_>),
    report: &mut Report,
) -> Vec<Draft> {
    let mut drafts = Vec::new();
    let mut for_mounts = Vec::new();
    for (id, assessed) in &assessment.links {
        let Some(class) = assessed.class else {
            continue;
        };
        if matches!(assessed.verdict, Verdict::Measure | Verdict::Stop) {
            continue;
        }
        let cut_link = cut.links.get(id);
        let raised_with = cut_link.and_then(|link| link.raised_with.as_ref());
        let mut link = LinkWork {
            assessed,
            class,
            slots,
            courses,
            raised_with: raised_with.map(|(group, side)| (group.as_str(), *side)),
            along: (cut, assessment),
            drafts: Vec::new(),
        };
        link.all(report);
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

/// What the verdicts on judged links leave to be done.
pub(super) fn left(
    assessment: &Assessment<'_>,
    courses: &Courses<'_>,
    report: &mut Report,
) -> Vec<Steps> {
    let links = assessment.links.values();
    let done = links.filter(|link| !matches!(link.verdict, Verdict::Measure | Verdict::Stop));
    let mut left = Vec::new();
    for (link, class) in done.filter_map(|link| Some((link, link.class?))) {
        for run in runs(link) {
            let place = class.place(&run.branch.path);
            let whom = Whom {
                links: std::slice::from_ref(&link.id),
                ..Whom::default()
            };
            left.extend(courses.steps(&run.branch.leaves, whom, &place, report));
        }
    }
    left
}

/// The runs whose work is done, the heaviest first; nothing else is done on what the workshop must not touch.
fn runs<'a, 'r>(link: &'a Assessed<'r>) -> Vec<&'a Run<'r>> {
    let mut runs: Vec<&Run<'r>> = link.runs.iter().collect();
    runs.sort_by_key(|run| std::cmp::Reverse(run.branch.verdict));
    // Where an engineer or a trade decides, nothing else is done to it.
    let referred = |run: &&Run<'_>| run.branch.verdict == Verdict::Refer;
    runs.retain(|run| link.verdict != Verdict::Refer || referred(run) || run.check.even_referred);
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

/// One of a link's tasks: who does it, and which step of the link's course it makes; one that makes none is done at
/// any time between its release and its check, or before both where its stage is.
#[derive(Clone, Copy)]
struct Work<'a> {
    task: &'a written::Task,
    trade: Option<&'a String>,
    makes: Option<OfLink>,
}

struct LinkWork<'a, 'r> {
    assessed: &'a Assessed<'r>,
    class: &'r Class,
    slots: &'a Slots,
    courses: &'a Courses<'a>,
    raised_with: Option<(&'a str, Option<Side>)>,
    /// Where it is found what a correction moves along.
    along: (&'a Cut, &'a Assessment<'r>),
    drafts: Vec<Draft>,
}

impl<'r> LinkWork<'_, 'r> {
    fn all(&mut self, report: &mut Report) {
        // The heaviest comes first and has the plain ids.
        let runs = self::runs(self.assessed);
        self.corrections(&runs, report);
        self.release(report);
        self.checks(&runs, report);
    }

    /// Taking it apart, and putting it together again once it is corrected.
    fn release(&mut self, report: &mut Report) {
        let release = self.class.release.as_ref();
        let Some(release) = release.filter(|_| self.assessed.release) else {
            return;
        };
        let trade = release.trade.as_ref();
        let work = Work {
            task: &release.task,
            trade,
            makes: Some(OfLink::Released),
        };
        self.add("release", Stage::Release, work, None, report);
        if let Some(task) = &release.refit {
            // What came apart under an access goes together again before that access is closed.
            let mut task = task.clone();
            if task.during.is_empty() {
                task.during.clone_from(&release.task.during);
            }
            let work = Work {
                task: &task,
                trade,
                makes: Some(OfLink::Closed),
            };
            self.add("refit", Stage::Refit, work, None, report);
        }
    }

    fn corrections(&mut self, runs: &[&Run<'r>], report: &mut Report) {
        for run in runs {
            let trade = run.branch.trade.as_ref();
            if let Some(task) = &run.branch.task {
                let stage = if task.raised {
                    Stage::Space
                } else {
                    Stage::Correct
                };
                let name = self.name("correct", run);
                let makes = Some(OfLink::Corrected);
                self.add(&name, stage, Work { task, trade, makes }, Some(run), report);
            }
            for (extra, stage, task) in &run.branch.also {
                if task.moved_along {
                    self.look_along((extra, *stage, task), run, report);
                    continue;
                }
                let makes = None;
                self.add(
                    extra,
                    *stage,
                    Work { task, trade, makes },
                    Some(run),
                    report,
                );
            }
        }
    }

    /// A look at every other connection that hangs on the part of the body which its correction moves, be it left alone or not.
    fn look_along(
        &mut self,
        (name, stage, task): (&str, Stage, &written::Task),
        run: &Run<'r>,
        report: &mut Report,
    ) {
        let (cut, assessment) = self.along;
        let moment = task.moment();
        let mut during = self.courses.at(moment.unwrap_or(Moment::Still));
        during.extend(task.during.clone());
        let task = written::Task {
            moment: Some(moment.unwrap_or(Moment::Still).word().to_owned()),
            during,
            ..task.clone()
        };
        for (id, neighbour) in moved_along(&self.assessed.id, cut, assessment) {
            let Some(slot) = self.slot(stage, &task) else {
                return;
            };
            let mut scope = run.scopes.clone();
            scope.each(|names| names.set("link", neighbour.title.as_str()));
            let making = Making {
                id: format!("{id}.{name}.{}", self.assessed.id),
                slot,
                area: Some(neighbour.area),
                links: vec![id.to_owned()],
                trade: None,
                scope: &scope,
                courses: self.courses,
                mounts: &[],
                of_mounts: &Limits::new(),
                place: self.place(Some(run)),
            };
            let mut draft = draft(&task, &making, report);
            draft.task.looks = true;
            draft.task.sign = Sign::Checked;
            draft
                .makes
                .push(of_link(id, OfLink::Checked, OfLink::Checked));
            self.drafts.push(draft);
        }
    }

    fn checks(&mut self, runs: &[&Run<'r>], report: &mut Report) {
        let before = self.drafts.len();
        for run in runs {
            let untouched = run.branch.verdict == Verdict::Leave && !self.assessed.release;
            if let Some(task) = run.branch.check.as_ref().filter(|_| !untouched) {
                self.check(run, task, report);
            }
        }
        // What can hurt people is looked at whenever it moved, whether there was work on it or not.
        if self.drafts.len() == before && self.assessed.disturbed && self.class.always_checked {
            let own = |run: &&&Run<'r>| run.branch.check.is_some();
            let run = runs.iter().find(own).or(runs.first());
            let mut branches = self.class.checks.iter().flat_map(|check| &check.branches);
            let of_class = branches.find_map(|branch| branch.check.as_ref());
            let task = run.and_then(|run| run.branch.check.as_ref()).or(of_class);
            if let (Some(run), Some(task)) = (run, task) {
                self.check(run, task, report);
            }
        }
    }

    /// One check, in pieces: what it writes down at one moment of the check is one task. Its own steps stand with the first, its tools with the
    /// last (what is only looked at comes before what is measured under current or heat), and how something is found out with that. Nobody helps from a seat at a moment at which the cab is empty.
    fn check(&mut self, run: &Run<'r>, task: &written::Task, report: &mut Report) {
        let name = self.name("check", run);
        let mut moments: BTreeMap<Moment, Vec<written::Evidence>> = BTreeMap::new();
        for evidence in &task.evidence {
            let moment = evidence.moment.as_ref().or(task.moment.as_ref());
            let moment = moment.and_then(|word| word.parse().ok());
            let of = moments.entry(moment.unwrap_or(Moment::Still)).or_default();
            of.push(evidence.clone());
        }
        let first = moments.keys().next().copied();
        let last = moments.keys().next_back().copied();
        for (moment, evidence) in &moments {
            let later = Some(*moment) != first;
            let share = share(evidence.len(), task.evidence.len());
            let piece = written::Task {
                evidence: evidence.clone(),
                moment: Some(moment.word().to_owned()),
                minutes: task.minutes.map(|minutes| minutes * share),
                people: task
                    .people
                    .clone()
                    .filter(|_| !self.courses.shuts_out(*moment, Spot::Inside)),
                steps: if later {
                    Vec::new()
                } else {
                    task.steps.clone()
                },
                tools: task
                    .tools
                    .iter()
                    .filter(|_| Some(*moment) == last)
                    .cloned()
                    .collect(),
                during: self.open_while(*moment, task),
                ..task.clone()
            };
            let name = if later {
                format!("{name}.{}", moment.id())
            } else {
                name.clone()
            };
            let work = Work {
                task: &piece,
                // The look is the workshop's own, whoever did the work; a rule names who else may look.
                trade: None,
                makes: Some(OfLink::Checked),
            };
            self.add(&name, Stage::Check, work, Some(run), report);
        }
    }

    /// What is looked at needs what its moment needs; before it is closed up it is looked at under the accesses of its release and correction.
    fn open_while(&self, moment: Moment, task: &written::Task) -> BTreeMap<String, String> {
        let mut during = self.courses.at(moment);
        during.extend(task.during.clone());
        if moment == Moment::Open {
            let release = self.class.release.iter().map(|release| &release.task);
            let runs = self::runs(self.assessed).into_iter();
            let tasks = runs
                .filter_map(|run| run.branch.task.as_ref())
                .chain(release);
            for written in tasks.flat_map(|task| &task.during) {
                during
                    .entry(written.0.clone())
                    .or_insert_with(|| written.1.clone());
            }
        }
        during
    }

    /// `correct` for the first task of its kind, `correct.<check>` for the next, `correct.<key>` for another key of a list.
    fn name(&self, kind: &str, run: &Run<'_>) -> String {
        let plain = format!("{}.{kind}", self.assessed.id);
        if self.drafts.iter().any(|draft| draft.task.id == plain) {
            format!("{kind}.{}", run.key.as_ref().unwrap_or(&run.check.id))
        } else {
            kind.to_owned()
        }
    }

    /// Adds a task, unless the link already has one that says the same.
    fn add(
        &mut self,
        name: &str,
        stage: Stage,
        work: Work<'_>,
        run: Option<&Run<'r>>,
        report: &mut Report,
    ) {
        let Some(slot) = self.slot(stage, work.task) else {
            return;
        };
        let scope = run.map_or(&self.assessed.scope, |run| &run.scopes);
        let mut scope = Cow::Borrowed(scope);
        if self.assessed.origin == Origin::Mount {
            let scope = scope.to_mut();
            scope.each(|names| names.set("link", merge::PLACEHOLDER.to_string()));
        }
        let making = Making {
            id: format!("{}.{name}", self.assessed.id),
            slot,
            area: Some(self.assessed.area),
            links: vec![self.assessed.id.clone()],
            trade: work.trade,
            scope: &scope,
            courses: self.courses,
            mounts: &[],
            of_mounts: &Limits::new(),
            place: self.place(run),
        };
        let mut draft = draft(work.task, &making, report);
        let same = |other: &Draft| {
            other.task.title == draft.task.title
                && other.task.slot == draft.task.slot
                && other.task.steps == draft.task.steps
        };
        if self.drafts.iter().any(same) {
            return;
        }
        let task = &mut draft.task;
        task.failed_before = run.is_some_and(|run| run.branch.failed_before);
        let mount = self.assessed.origin == Origin::Mount;
        task.looks = stage == Stage::Check && task.due.is_none();
        if task.looks || (mount && stage == Stage::Lower) {
            task.sign = Sign::Checked;
        }
        if let Some(place) = self.courses.done_from(task) {
            task.place = place;
        }
        let steps = |from, to| of_link(&self.assessed.id, from, to);
        match work.makes {
            Some(step) => draft.makes.push(steps(step, step)),
            // What is asked before anything comes apart does not wait for that.
            None if stage < Stage::Release => {}
            None => draft.during.push(steps(OfLink::Released, OfLink::Checked)),
        }
        self.drafts.push(draft);
    }

    fn slot(&self, stage: Stage, task: &written::Task) -> Option<&'_ Slot> {
        let moment = task.moment();
        match self.raised_with {
            _ if stage == Stage::Check => self.slots.at(moment.unwrap_or(Moment::Still)),
            Some((group, side)) => {
                // Only the raising stages are done body by body, and only blocks go in side by side: bolts are torqued when both sides are down.
                let raising = matches!(stage, Stage::Raise | Stage::Space | Stage::Lower);
                let side = side.filter(|_| stage == Stage::Space);
                self.slots.find(stage, raising.then_some(group), side)
            }
            None => self.slots.find(stage, None, None),
        }
    }

    fn place(&self, run: Option<&Run<'_>>) -> Place {
        let release = || Path::root().key("release");
        let path = run.map_or_else(release, |run| run.branch.path.clone());
        self.class.place(&path)
    }
}

/// The other connections that hang on the part of a body which a link's own end there is, or on what is bolted to it.
fn moved_along<'a, 'r>(
    id: &str,
    cut: &'a Cut,
    assessment: &'a Assessment<'r>,
) -> Vec<(&'a str, &'a Assessed<'r>)> {
    let hung = |part: &PartId| cut.parts.get(part);
    let own = cut.links.get(id);
    let moved: Vec<&PartId> = own
        .iter()
        .flat_map(|link| link.parts())
        .filter(|part| !cut.groups.contains(part))
        .filter(|part| {
            let groups = hung(part).map(|hung| &hung.groups);
            groups.is_some_and(|groups| groups.iter().any(|group| cut.bodies.contains_key(group)))
        })
        .collect();
    let goes = |part: &PartId| {
        let chain = hung(part).map(|hung| &hung.chain);
        chain.is_some_and(|chain| moved.iter().any(|part| chain.contains(part)))
    };
    let others = cut.links.iter().filter(|(other, link)| {
        other.as_str() != id
            && link.origin == Origin::Link
            && link.parts().any(goes)
            && !link.parts().all(goes)
    });
    others
        .filter_map(|(id, _)| Some((id.as_str(), assessment.links.get(id)?)))
        .collect()
}

/// The share of a check's minutes that so many of its rows take.
// A check has a handful of rows, so the counts are exact as floats.
#[allow(clippy::cast_precision_loss)]
fn share(rows: usize, of: usize) -> f64 {
    rows as f64 / of.max(1) as f64
}
