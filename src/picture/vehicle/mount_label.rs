//! What is written beside a mount: its block, its bolt, its torque, and what was found on it.
//!
//! Takes a mount and its judged checks; gives short lines of plain text. The numbers are those of the job sheet: the bolt and the
//! torque come from the checks that decide, never from a calculation of their own.

use super::super::layout::length;
use crate::assess::{Assessed, Run};
use crate::calc::{Outcome, Value};
use crate::job::{Measured, Mount};
use crate::quantity::{Quantity, Round, Unit, Units};
use crate::rules::Verdict;

/// What is known of one mount.
pub(super) struct Label {
    /// `block 40 mm`.
    pub(super) block: String,
    /// `M12x1.25 × 110 mm, class 10.9`.
    pub(super) bolt: String,
    /// `at most 132 N·m`.
    pub(super) torque: String,
    /// What makes it different from a plain mount: `captive nut`.
    pub(super) findings: Vec<String>,
}

/// What makes a mount different, by what was measured on it.
const FINDINGS: [(&str, &str, &str); 6] = [
    ("joint", "captive", "captive nut"),
    ("rubber", "torn", "torn rubber, replaced first"),
    ("captive_nut", "spins", "captive nut spins"),
    ("captive_nut", "stripped", "captive nut stripped"),
    ("rust", "scaled", "scaled with rust"),
    ("rust", "holed", "rusted through"),
];

/// The label of a mount; the checks are absent for a mount whose class has no rule.
pub(super) fn label(mount: &Mount, judged: Option<&Assessed<'_>>, units: Units) -> Label {
    Label {
        block: format!("block {}", length(mount.spacer, units)),
        bolt: judged
            .and_then(|judged| bolt(judged, units))
            .unwrap_or_else(|| "bolt not yet known".to_owned()),
        torque: torque(mount, judged, units).unwrap_or_else(|| "torque not yet known".to_owned()),
        findings: findings(mount, judged),
    }
}

fn measured<'a>(mount: &'a Mount, name: &str) -> Option<&'a str> {
    match mount.measured.get(name) {
        Some((Measured::One(written), _)) => Some(written.as_str().trim()),
        _ => None,
    }
}

fn run<'a>(judged: &'a Assessed<'_>, calc: &str) -> Option<&'a Run<'a>> {
    let made_by = |run: &&Run<'_>| run.check.calc.is_some_and(|made| made.name == calc);
    judged.runs.iter().find(made_by)
}

fn result<'a>(judged: &'a Assessed<'_>, calc: &str, name: &str) -> Option<&'a Outcome> {
    let check = &run(judged, calc)?.check.id;
    judged.results.get(&format!("{check}.{name}"))
}

fn number(judged: &Assessed<'_>, calc: &str, name: &str) -> Option<f64> {
    match result(judged, calc, name)?.value {
        Value::Number(number) => Some(number),
        _ => None,
    }
}

fn holds(judged: &Assessed<'_>, name: &str) -> bool {
    result(judged, "stack", name).is_some_and(|outcome| outcome.value == Value::Flag(true))
}

fn word(judged: &Assessed<'_>, calc: &str, name: &str) -> Option<String> {
    match &run(judged, calc)?.inputs.get(name)?.value {
        Value::Word(word) => Some(word.clone()),
        _ => None,
    }
}

/// Thread, length to order and class; the shorter bolt where the longer would bottom out.
fn bolt(judged: &Assessed<'_>, units: Units) -> Option<String> {
    let shorter = holds(judged, "bottoms_out") && holds(judged, "shorter_allowed");
    let length = if shorter {
        number(judged, "stack", "order_shorter")?
    } else {
        number(judged, "stack", "order_length")?
    };
    let thread = word(judged, "stack", "thread")?;
    let class = word(judged, "bolt", "class");
    let class = class.map_or(String::new(), |class| match class.strip_prefix("grade") {
        Some(_) => format!(", {class}"),
        None => format!(", class {class}"),
    });
    Some(format!("{thread} × {}{class}", self::length(length, units)))
}

/// The vehicle maker's torque, or the ceiling that the bolt allows.
fn torque(mount: &Mount, judged: Option<&Assessed<'_>>, units: Units) -> Option<String> {
    let maker = measured(mount, "maker_torque");
    if let Some(torque) = maker.and_then(|text| Quantity::parse(text, Unit::NewtonMetre).ok()) {
        return Some(format!("{}, the maker's", torque.print(units)));
    }
    let ceiling = number(judged?, "bolt", "torque_ceiling")?;
    let ceiling = Quantity::exact(ceiling, Unit::NewtonMetre);
    Some(format!(
        "at most {}",
        ceiling.print_limit(Round::Down, units)
    ))
}

fn findings(mount: &Mount, judged: Option<&Assessed<'_>>) -> Vec<String> {
    let known = FINDINGS.iter().filter(|(name, value, _)| {
        measured(mount, name).is_some_and(|measured| measured.eq_ignore_ascii_case(value))
    });
    let mut findings: Vec<String> = known.map(|(.., words)| (*words).to_owned()).collect();
    if let Some(also) = measured(mount, "also_holds").filter(|also| *also != "nothing") {
        findings.push(format!("also holds {also}"));
    }
    if let Some(behind) = measured(mount, "behind").filter(|behind| *behind != "nothing") {
        findings.push(format!("{behind} off first"));
    }
    let verdict = judged.map(|judged| judged.verdict);
    let usual = [Verdict::Leave, Verdict::Reposition, Verdict::Replace];
    if let Some(verdict) = verdict.filter(|verdict| !usual.contains(verdict)) {
        findings.push(format!("verdict: {}", verdict.word()));
    }
    findings
}
