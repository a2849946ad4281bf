//! The procedure → drafts: which whole-vehicle tasks this job has, once for each body and side that they are done for.

use std::collections::{BTreeMap, BTreeSet};

use super::draft::{Draft, Limits, Making, draft};
use super::slots::{Slot, Slots};
use super::states::Courses;
use crate::assess::Assessment;
use crate::cut::{Body, Cut, MOUNT, Pose};
use crate::job::{Job, Mount, Raise, Side, THINGS};
use crate::report::{Code, Problem, Report};
use crate::rules::expression::Scope;
use crate::rules::facts;
use crate::rules::{Area, Moment, Per, ProcedureTask, Rules, Stage, Verdict};

/// What the procedure is filled in from.
pub(super) struct FilledFrom<'a> {
    pub(super) job: &'a Job,
    pub(super) rules: &'a Rules,
    pub(super) cut: &'a Cut,
    slots: &'a Slots,
    courses: &'a Courses<'a>,
    /// The limits of what the mounts' own tasks write down.
    of_mounts: Limits,
    /// Facts of the job, and which classes are pulled apart or worked on.
    scope: Scope,
}

/// The drafts that are always done, those done only when what they make is needed, and the facts that nobody gave.
#[derive(Default)]
pub(super) struct Procedure {
    pub(super) always: Vec<Draft>,
    pub(super) pool: Vec<Draft>,
    pub(super) missing: BTreeSet<&'static str>,
}

impl<'a> FilledFrom<'a> {
    pub(super) fn new(
        (job, rules, cut): (&'a Job, &'a Rules, &'a Cut),
        assessment: &Assessment<'_>,
        facts: &Scope,
        (slots, courses): (&'a Slots, &'a Courses<'a>),
        of_links: &[Draft],
    ) -> Self {
        let mut scope = facts.clone();
        let (before, after) = &job.vehicle.tyres;
        for (name, size) in [("tyres_before", before), ("tyres_after", after)] {
            let size = size.as_deref().unwrap_or("size not given");
            scope.set(name, crate::text::clean(size));
        }
        // Of each class whether it is there, whether it is pulled apart and whether it is worked on.
        let mut classes: BTreeMap<String, (bool, bool, bool)> = BTreeMap::new();
        for class in &rules.known_classes {
            classes.insert(class.replace('-', "_"), Default::default());
        }
        for link in assessment.links.values() {
            let Some(class) = link.class else { continue };
            let of_class = classes.entry(class.id.replace('-', "_"));
            let (has, crosses, works) = of_class.or_default();
            *has = true;
            *crosses |= link.disturbed;
            *works |= !matches!(link.verdict, Verdict::Leave | Verdict::Measure);
        }
        let of = || classes.iter();
        scope.set_fields("has", of().map(|(class, (has, ..))| (class, *has)));
        scope.set_fields(
            "crosses",
            of().map(|(class, (_, crosses, _))| (class, *crosses)),
        );
        scope.set_fields("works", of().map(|(class, (.., works))| (class, *works)));
        let shop = THINGS.iter().map(|thing| {
            let count = job.things.get(thing).copied().unwrap_or(1);
            (thing.replace(' ', "_"), count > 0)
        });
        scope.set_fields("shop", shop);
        Self {
            job,
            rules,
            cut,
            slots,
            courses,
            of_mounts: limits(of_links),
            scope,
        }
    }

    /// Fills in every procedure task.
    pub(super) fn procedure(&self, report: &mut Report) -> Procedure {
        let mut procedure = Procedure::default();
        let mut scopes: BTreeMap<(usize, bool), Scope> = BTreeMap::new();
        for (number, rule) in self.rules.procedure.iter().enumerate() {
            for (slot, raise) in self.occasions(rule) {
                let scope = scopes.entry((slot.number, raise.is_some()));
                let scope = scope.or_insert_with(|| self.occasion_scope(slot, raise));
                if !wanted(rule, scope, &mut procedure, report) {
                    continue;
                }
                let draft = self.draft(rule, number, (slot, scope), report);
                if rule.always {
                    procedure.always.push(draft);
                } else {
                    procedure.pool.push(draft);
                }
            }
        }
        procedure
    }

    /// The slots in which a task is done.
    fn occasions(&self, rule: &ProcedureTask) -> Vec<(&'a Slot, Option<&'a Raise>)> {
        let raises = self.job.lift.raise.iter();
        match rule.per {
            Per::Vehicle => {
                let moment = rule.task.moment();
                let slot = match rule.stage {
                    Stage::Check => self.slots.at(moment.unwrap_or(Moment::Still)),
                    stage => self.slots.find(stage, None, None),
                };
                slot.map(|slot| (slot, None)).into_iter().collect()
            }
            Per::Group => raises
                .filter_map(|raise| {
                    let slot = self.slots.find(rule.stage, Some(&raise.group), None)?;
                    Some((slot, Some(raise)))
                })
                .collect(),
            Per::Side => raises
                .flat_map(|raise| raise.sides().map(|side| (raise, side)))
                .filter_map(|(raise, side)| {
                    let slot = self
                        .slots
                        .find(rule.stage, Some(&raise.group), Some(side))?;
                    Some((slot, Some(raise)))
                })
                .collect(),
        }
    }

    fn draft(
        &self,
        rule: &ProcedureTask,
        number: usize,
        (slot, scope): (&'a Slot, &Scope),
        report: &mut Report,
    ) -> Draft {
        let mounts = self.mounts(slot);
        let making = Making {
            id: occasion_id(&rule.id, rule.per, slot),
            slot,
            area: None,
            links: Vec::new(),
            trade: None,
            scope: &scope.clone().into(),
            courses: self.courses,
            mounts: &mounts,
            of_mounts: &self.of_mounts,
            place: rule.place.clone(),
        };
        let mut draft = draft(&rule.task, &making, report);
        // What is written once for both sides is done on the one that it is for.
        if slot.side == Some(Side::Right) && draft.task.area == Some(Area::LeftUnder) {
            draft.task.area = Some(Area::RightUnder);
        }
        let earliest = rule.earliest.and_then(|(stage, moment)| match moment {
            Some(moment) => self.slots.at(moment),
            None => self.slots.find(stage, None, None),
        });
        draft.earliest = earliest.map(|slot| slot.number);
        draft.opens = rule.opens;
        draft.closes = rule.closes;
        draft.rule = Some(rule.id.clone());
        draft.number = number;
        draft
    }

    /// The mounts of the slot's body and side, or all of them.
    fn mounts(&self, slot: &Slot) -> Vec<(&'a String, &'a Mount)> {
        let of_slot = |mount: &&Mount| {
            let group = slot
                .group
                .as_ref()
                .is_none_or(|group| mount.group == *group);
            let body = self.cut.bodies.get(&mount.group);
            let side = body.map(|body| body.side_of(mount.at[1]));
            group && slot.side.is_none_or(|of| Some(of) == side)
        };
        self.job
            .mounts
            .iter()
            .filter(|(_, mount)| of_slot(mount))
            .collect()
    }

    fn occasion_scope(&self, slot: &Slot, raise: Option<&Raise>) -> Scope {
        let mut scope = self.scope.clone();
        let lift = &self.job.lift;
        let body = raise.and_then(|raise| self.cut.bodies.get(&raise.group));
        let spacer = body.map_or(lift.spacer.value, |body| body.highest);
        scope.set("spacer", spacer);
        scope.set("clearance", lift.clearance);
        scope.set("target", spacer + lift.clearance);
        let group = raise.map_or("body", |raise| self.job.part_title(&raise.group));
        scope.set("group", crate::text::clean(group));
        if let Some(side) = slot.side {
            scope.set("side", side.word());
            scope.set("other_side", side.other().word());
            let first = raise.is_some_and(|raise| raise.sides().first() == Some(&side));
            scope.set("first_side", first);
        }
        let tilt = self.tilt(slot, raise, body);
        scope.set("tilt", tilt);
        let limit = self
            .rules
            .settings
            .get("tilt_limit")
            .map(|setting| setting.value.value);
        scope.set("two_steps", limit.is_some_and(|limit| tilt > limit));
        scope
    }

    /// The angle to which this side's raising tips the body, or the largest of all.
    fn tilt(&self, slot: &Slot, raise: Option<&Raise>, body: Option<&Body>) -> f64 {
        let largest = || {
            self.cut
                .bodies
                .values()
                .map(Body::largest_tilt)
                .fold(0.0, f64::max)
        };
        let (Some(raise), Some(body)) = (raise, body) else {
            return largest();
        };
        match slot.side {
            None => body.largest_tilt(),
            Some(side) if raise.sides().first() == Some(&side) => {
                body.tilt_in(Pose::FirstSideUp(side))
            }
            Some(side) => body.tilt_in(Pose::SecondSideUp(side)),
        }
    }
}

/// What the mounts' own tasks write down as their body is tightened, with its limits.
fn limits(of_links: &[Draft]) -> Limits {
    let tasks = of_links.iter().map(|draft| &draft.task);
    let tasks = tasks.filter(|task| task.stage == Stage::Lower);
    let mut limits = Limits::new();
    for task in tasks {
        for one in &task.evidence {
            // What is asked for a mount by itself does not say so in its name.
            let name = match (&one.item, task.links.as_slice()) {
                (None, [link]) => format!("{}.{}", one.name, link.trim_start_matches(MOUNT)),
                _ => one.name.clone(),
            };
            limits.insert(name, (one.least, one.most));
        }
    }
    limits
}

/// Whether the task's condition holds. One that asks for a fact nobody gave holds: what is not certain to be needless is done.
fn wanted(
    rule: &ProcedureTask,
    scope: &Scope,
    procedure: &mut Procedure,
    report: &mut Report,
) -> bool {
    let Some(when) = &rule.when else {
        return true;
    };
    let unknown = when.names().iter().filter_map(|name| facts::find(name));
    let unknown: Vec<&str> = unknown
        .filter(|fact| !scope.knows(fact.name))
        .map(|fact| fact.name)
        .collect();
    if !unknown.is_empty() {
        procedure.missing.extend(unknown);
        return true;
    }
    when.holds(scope).unwrap_or_else(|error| {
        let problem = Problem::error(Code::BadExpression, error.to_string())
            .at(rule.place.clone())
            .help("correct the rule; `liftsheet check` finds most such mistakes");
        report.push(problem);
        false
    })
}

/// The id of a procedure task on one of its occasions: `stands-set.cab.left`.
fn occasion_id(rule: &str, per: Per, slot: &Slot) -> String {
    let group = slot.group.as_deref().unwrap_or_default();
    match (per, slot.side) {
        (Per::Vehicle, _) => rule.to_owned(),
        (Per::Side, Some(side)) => format!("{rule}.{group}.{}", side.word()),
        (Per::Group | Per::Side, _) => format!("{rule}.{group}"),
    }
}
