//! Tasks: every word known, every number possible, everything written down in a form that can be checked.

use std::collections::BTreeSet;

use super::{Notes, rule_texts};
use crate::quantity::{Unit, Written};
use crate::report::{Code, Path, unknown_help};
use crate::rules::written::{BenchPart, Due, Evidence, OR_MARK, Task, WORKED_OUT};
use crate::rules::{
    Area, COUNTED, Class, Moment, PartKind, ProcedureTask, Size, Spot, Stage, TRADES, WORKSHOP,
};
use strum::VariantNames;

/// Things that serve one task at a time.
const USES: [&str; 4] = crate::job::THINGS;
/// Kinds of evidence.
const EVIDENCE: [&str; 11] = [
    "number", "yes", "text", "paper", "date", "until", "time", "person", "photo", WORKED_OUT,
    OR_MARK,
];

/// Checks the tasks of a class.
pub(super) fn class(class: &Class, notes: &mut Notes<'_>) {
    for (task, path, stage) in rule_texts::staged(class) {
        lint_task(task, &path, notes);
        per_mount(task, &path, notes);
        if task.hold.is_some() && stage >= Stage::Release && stage != Stage::Check {
            let message = "what is done to a connection is signed by who does it, and a hold only by who looks";
            let help = "put `hold` on its check; the hold points of the procedure look at all work";
            notes.error(Code::BadLevel, &path.key("hold"), message, help);
        }
    }
}

pub(super) fn procedure_task(rule: &ProcedureTask, notes: &mut Notes<'_>) {
    let path = rule.place.path.key("task");
    lint_task(&rule.task, &path, notes);
}

fn lint_task(task: &Task, path: &Path, notes: &mut Notes<'_>) {
    if task.title.trim().is_empty() {
        let message = "a task without a title cannot be found on the sheet";
        let help = "say in one line what is done";
        notes.error(Code::BadTask, &path.key("title"), message, help);
    }
    words(task, path, notes);
    minutes(task.minutes, path, notes);
    let people = task.people.as_ref().map(Written::as_str);
    let wrong = |people: &&str| {
        let number = people.parse::<f64>();
        number.is_ok_and(|number| number < 1.0 || number.fract() != 0.0)
    };
    if let Some(people) = people.filter(wrong) {
        let message = format!("`{people}` people cannot do a task");
        let help = "give a whole number from 1 up; leave it out for one person";
        notes.error(Code::BadTask, &path.key("people"), message, help);
    }
    if let Some(given) = &task.due {
        due(given, &path.key("due"), notes);
    }
    let mut names = BTreeSet::new();
    for (index, evidence) in task.evidence.iter().enumerate() {
        let at = path.key("evidence").index(index);
        if !names.insert(evidence.name.as_str()) {
            let message = format!("`{}` is written down twice in this task", evidence.name);
            let help = "give it another name";
            notes.error(Code::BadTask, &at.key("name"), message, help);
        }
        self::evidence(evidence, &at, notes);
    }
}

fn words(task: &Task, path: &Path, notes: &mut Notes<'_>) {
    let trade = task.trade.as_deref().filter(|trade| *trade != WORKSHOP);
    word(trade, &TRADES, || path.key("trade"), notes);
    let each: [(&str, &Option<String>, &[&str]); 4] = [
        ("area", &task.area, Area::VARIANTS),
        ("hold", &task.hold, &["supervisor"]),
        ("place", &task.place, Spot::VARIANTS),
        ("moment", &task.moment, Moment::VARIANTS),
    ];
    for (key, given, known) in each {
        word(given.as_deref(), known, || path.key(key), notes);
    }
    let plain = task.also_at.iter().filter(|place| !place.contains('{'));
    let plain: Vec<String> = plain.cloned().collect();
    let lists: [(&str, &[String], &[&str]); 3] = [
        ("also_at", &plain, Spot::VARIANTS),
        ("shuts_out", &task.shuts_out, Spot::VARIANTS),
        ("uses", &task.uses, &USES),
    ];
    for (key, given, known) in lists {
        for (index, given) in given.iter().enumerate() {
            let at = || path.key(key).index(index);
            word(Some(given), known, at, notes);
        }
    }
    for (index, part) in task.parts.iter().enumerate() {
        self::part(part, &path.key("parts").index(index), notes);
    }
}

fn part(part: &BenchPart, path: &Path, notes: &mut Notes<'_>) {
    let kind = || path.key("kind");
    word(Some(&part.kind), PartKind::VARIANTS, kind, notes);
    let counted = COUNTED.map(|(one, _)| one);
    word(part.counted.as_deref(), &counted, || path.key("in"), notes);
    for name in part.size.keys() {
        let at = || path.key("size").key_of(name.as_str());
        word(Some(name), Size::VARIANTS, at, notes);
    }
    if part.count == Some(0) {
        let message = "none of this part is needed";
        let help = "give at least 1, or leave the part out";
        notes.error(Code::BadTask, &path.key("count"), message, help);
    }
    if part.kind == PartKind::Fluid.word() && part.counted.is_none() {
        let message = "nobody can tell how much of this fluid is needed";
        let help = "add what it is counted in, such as `in: litre` or `in: tin`";
        notes.error(Code::BadTask, path, message, help);
    }
}

/// A word, where there is one, must be one of those known.
pub(super) fn word(
    given: Option<&str>,
    known: &[&str],
    path: impl FnOnce() -> Path,
    notes: &mut Notes<'_>,
) {
    if let Some(given) = given.filter(|given| !known.contains(given)) {
        let message = format!("`{given}` is not known here");
        let help = unknown_help(given, known.iter().copied());
        notes.error(Code::UnknownChoice, &path(), message, help);
    }
}

fn minutes([low, likely, high]: [f64; 3], path: &Path, notes: &mut Notes<'_>) {
    let sound = low >= 0.0 && low <= likely && likely <= high && high.is_finite();
    if !sound {
        let message = format!("minutes {low}, {likely}, {high} are not low, likely, high");
        let help = "write three numbers from 0 up, each at least the one before";
        notes.error(Code::BadTask, &path.key("minutes"), message, help);
    }
}

fn due(given: &Due, path: &Path, notes: &mut Notes<'_>) {
    let problem = match (given.km, given.every.as_deref()) {
        (None, None) | (Some(_), Some(_)) => {
            Some("this is due neither at one distance nor at one occasion")
        }
        (Some(km), None) if km <= 0.0 || !km.is_finite() => {
            Some("a distance still to be driven is above 0")
        }
        (None, Some(every)) if every.trim().is_empty() => Some("the occasion has no name"),
        _ => None,
    };
    if let Some(problem) = problem {
        let help = "write `{km: 100}` or `{every: each service}`";
        notes.error(Code::BadTask, path, problem, help);
    }
}

fn evidence(evidence: &Evidence, path: &Path, notes: &mut Notes<'_>) {
    word(Some(&evidence.kind), &EVIDENCE, || path.key("kind"), notes);
    word(
        evidence.per.as_deref(),
        &["mount"],
        || path.key("per"),
        notes,
    );
    let at = || path.key("unit");
    word(evidence.unit.as_deref(), Unit::VARIANTS, at, notes);
    let at = || path.key("moment");
    word(evidence.moment.as_deref(), Moment::VARIANTS, at, notes);
    let number = ["number", WORKED_OUT, OR_MARK].contains(&evidence.kind.as_str());
    if number && evidence.unit.is_none() {
        let message = format!("the number `{}` has no unit", evidence.name);
        let help = "add `unit`; a pure number is in `\"1\"`";
        notes.error(Code::BadTask, path, message, help);
    }
    let given = [
        ("unit", evidence.unit.is_some()),
        ("least", evidence.least.is_some()),
        ("most", evidence.most.is_some()),
        ("limits_of", evidence.limits_of.is_some()),
    ];
    for (key, _) in given.iter().filter(|(_, given)| *given && !number) {
        let message = format!("`{}` is no number, so it has no `{key}`", evidence.name);
        let help = "leave it out, or write `kind: number`";
        notes.error(Code::BadTask, &path.key(*key), message, help);
    }
    let own = evidence.least.is_some() || evidence.most.is_some();
    if evidence.limits_of.is_some() && (own || evidence.per.is_none()) {
        let message = format!(
            "`{}` cannot have the limits of another value of its mount",
            evidence.name
        );
        let help = "`limits_of` stands with `per: mount`, instead of `least` and `most`";
        notes.error(Code::BadTask, &path.key("limits_of"), message, help);
    }
}

/// Only the procedure's tasks have mounts to write something down for.
fn per_mount(task: &Task, path: &Path, notes: &mut Notes<'_>) {
    for (index, evidence) in task.evidence.iter().enumerate() {
        if evidence.per.is_some() {
            let at = path.key("evidence").index(index).key("per");
            let message = format!(
                "`{}` is asked for each mount, and this task is for none",
                evidence.name
            );
            let help = "ask so in a task of the procedure";
            notes.error(Code::BadLevel, &at, message, help);
        }
    }
}
