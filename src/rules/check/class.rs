//! A connection class: its checks compiled, its calculations found, its branches in order.

use std::sync::OnceLock;

use super::fields::Fields;
use super::{measurement, setting};
use crate::calc::{self, Calculation};
use crate::report::{Code, Notes, Path, Report};
use crate::rules::model::{Answer, Branch, Check, Class, ClassText, Release};
use crate::rules::words::{Stage, Verdict};
use crate::rules::written;
use strum::VariantNames;

/// Checks one class file; gives nothing when it has an error.
pub(in crate::rules) fn class(
    id: &str,
    written: written::Class,
    (file, trusted): (&str, bool),
    report: &mut Report,
) -> Option<Class> {
    let mut own = Report::new();
    let mut fields = Fields::new(file, trusted, &mut own);
    let root = Path::root();
    let area = fields.choice(&written.area, &|| root.key("area"));
    let only_when = fields.optional(written.only_when.as_ref(), &|| root.key("only_when"));
    let settings = setting::settings(written.settings, &root.key("settings"), &mut fields);
    let at = root.key("measurements");
    let mut measurements = measurement::measurements(written.measurements, &at, &mut fields);
    measurement::turns(&mut measurements, &written.read_first, &mut fields);
    let list = root.key("checks");
    let checks = written.checks.into_iter().enumerate();
    let checks: Vec<Check> = checks
        .filter_map(|(index, check)| one_check(check, list.index(index), &mut fields))
        .collect();
    let hurts = written.always_checked
        || written
            .customer
            .as_ref()
            .is_some_and(|customer| HURTS.contains(&customer.group.as_str()));
    failed_before(&checks, hurts, &mut fields);
    let release = written
        .release
        .map(|release| self::release(release, &mut fields));
    if own.has_errors() {
        report.extend(own.problems);
        return None;
    }
    let class = Class {
        id: id.to_owned(),
        file: file.to_owned(),
        text: ClassText {
            title: written.title,
            whereabouts: written.whereabouts,
            why: written.why,
            if_missed: written.if_missed,
            left_alone: written.left_alone,
        },
        customer: written.customer,
        area: area?,
        only_when,
        bridges: written.bridges,
        always_checked: written.always_checked,
        source: written.source,
        settings,
        measurements,
        names: OnceLock::new(),
        checks,
        release,
        never_released: written.never_released,
        taller_may_be_lighter: written.taller_may_be_lighter,
    };
    if !trusted {
        too_many_readings(&class, &mut Notes::of(file, &mut own));
    }
    let broken = own.has_errors();
    report.extend(own.problems);
    (!broken).then_some(class)
}

/// Readings over whose tolerances one check or the release is judged; beyond it the corners of their box become too many.
const MOST_READINGS: usize = 12;

/// Whatever goes by more readings than can be judged together, by itself or through the checks that it reads.
fn too_many_readings(class: &Class, notes: &mut Notes<'_>) {
    let checks = class.checks.iter().map(|check| {
        let of = |key| class.reads(check, key);
        let read = match &check.each {
            Some(list) => class.keys(list).first().map(|key| of(Some(key))),
            None => Some(of(None)),
        };
        (&check.path, read)
    });
    let release = Path::root().key("release");
    let when = class.release.as_ref().and_then(|it| it.when.as_ref());
    let releases = when.map(|when| (&release, Some(class.release_reads(when))));
    for (path, read) in checks.chain(releases) {
        let numbers = read.into_iter().flat_map(|read| &read.values);
        let numbers = numbers.filter(|address| {
            let measurement = class.measurement(address);
            measurement.is_some_and(|it| matches!(it.kind, Answer::Number { .. }))
        });
        let count = numbers.count();
        if count > MOST_READINGS {
            let message =
                format!("it goes by {count} readings, itself and through the checks that it reads");
            let help = format!(
                "at most {MOST_READINGS} can be judged together over their tolerances; divide them among checks that do not read each other, or take one reading over several parts"
            );
            notes.error(Code::TooMany, path, message, help);
        }
    }
}

/// Where a part that had failed before the lift is put right all the same, by the customer's groups.
const HURTS: [&str; 4] = ["body mounts", "steering", "brakes", "fuel and exhaust"];

/// What had failed before the lift and hurts nobody is the customer's to order; whatever failed is told to the customer.
fn failed_before(checks: &[Check], hurts: bool, fields: &mut Fields<'_>) {
    let mut error = |path: &Path, message: &str, help: &str| {
        fields.notes.error(Code::BadVerdicts, path, message, help);
    };
    let branches = checks.iter().flat_map(|check| &check.branches);
    for branch in branches.filter(|branch| branch.failed_before) {
        if !hurts && !matches!(branch.verdict, Verdict::Leave | Verdict::Stop) {
            error(
                &branch.path.key("verdict"),
                "what had failed before the lift and hurts nobody orders no work",
                "write `verdict: leave`, and tell the customer under `told`",
            );
        }
        if branch.told.is_none() {
            error(
                &branch.path,
                "the customer is not told of what had failed before the lift",
                "say it under `told`, in plain words",
            );
        }
    }
}

fn one_check(written: written::Check, path: Path, fields: &mut Fields<'_>) -> Option<Check> {
    let calc = match &written.calc {
        None => None,
        Some(name) => Some(calculation(name, &path, fields)?),
    };
    let mut with = Vec::new();
    for (input, expression) in written.with {
        let at = || path.key("with").key(input.as_str());
        if let Some(expression) = fields.expression(expression.as_str(), &at) {
            let own = calc.and_then(|calc| calc.input(&input));
            with.push((
                own.map_or(input.into(), |spec| spec.name.into()),
                expression,
            ));
        }
    }
    let applies = fields.optional(written.applies.as_ref(), &|| path.key("applies"));
    let list = path.key("verdicts");
    let branches = written.verdicts.into_iter().enumerate();
    let branches = branches
        .filter_map(|(index, branch)| self::branch(branch, list.index(index), fields))
        .collect();
    Some(Check {
        id: written.id,
        calc,
        applies,
        even_referred: written.even_referred,
        each: written.each,
        with,
        branches,
        reads: OnceLock::new(),
        slots: OnceLock::new(),
        path,
    })
}

fn calculation(name: &str, path: &Path, fields: &mut Fields<'_>) -> Option<&'static Calculation> {
    let known: Vec<&str> = calc::all().iter().map(|calc| calc.name).collect();
    fields.word(name, &|| path.key("calc"), &known, calc::find)
}

fn branch(written: written::VerdictRule, path: Path, fields: &mut Fields<'_>) -> Option<Branch> {
    let when = fields.optional(written.when.as_ref(), &|| path.key("when"));
    // `measure` is never a rule's to give.
    let find = |word: &str| word.parse().ok().filter(|one| *one != Verdict::Measure);
    let at = || path.key("verdict");
    let verdict = fields.word(&written.verdict, &at, &written::verdicts(), find)?;
    let also = written.also.into_iter().enumerate();
    let also = also
        .filter_map(|(index, extra)| {
            let at = path.key("also").index(index).key("stage");
            let stage = stage(&extra.stage, &at, fields)?;
            Some((extra.id, stage, extra.task))
        })
        .collect();
    if written.when.is_some() && when.is_none() {
        return None;
    }
    Some(Branch {
        when,
        verdict,
        because: if written.failed_before {
            format!("failed before the lift: {}", written.because)
        } else {
            written.because
        },
        told: written.told,
        failed_before: written.failed_before,
        trade: written.trade,
        task: written.task,
        also,
        leaves: written.leaves,
        check: written.check,
        path,
    })
}

/// A stage that rules may name; `measure` is filled by the survey alone.
pub(super) fn stage(word: &str, path: &Path, fields: &mut Fields<'_>) -> Option<Stage> {
    let known = Stage::VARIANTS.get(1..).unwrap_or_default();
    let found = fields.word(word, &|| path.clone(), known, |word| word.parse().ok())?;
    if found == Stage::Measure {
        let message = "measuring tasks come from what is still missing";
        fields
            .notes
            .error(Code::BadRule, path, message, "name another stage");
        return None;
    }
    Some(found)
}

fn release(written: written::Release, fields: &mut Fields<'_>) -> Release {
    let at = || Path::root().key("release").key("when");
    Release {
        when: fields.optional(written.when.as_ref(), &at),
        reads: OnceLock::new(),
        trade: written.trade,
        task: written.task,
        refit: written.refit,
    }
}
