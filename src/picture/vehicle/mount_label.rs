//! What is written beside a mount: its block, its bolt, its torque, and what was found on it.
//!
//! Takes a mount and its judged checks; gives short lines of plain text. The numbers are those of the job sheet: the bolt and the
//! torque come from the checks that decide, never from a calculation of their own.

use super::super::layout::length;
use super::super::links::numbers::Numbers;
use crate::assess::Assessed;
use crate::job::{Measured, Mount};
use crate::quantity::{Quantity, Round, Unit, Units};
use crate::rules::Verdict;

/// What is known of one mount.
pub(super) struct Label {
    /// `40 mm`.
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
    let bolt = judged.and_then(|judged| bolt(judged, units));
    let torque = torque(mount, judged, units);
    Label {
        block: length(mount.spacer, units),
        bolt: bolt.unwrap_or_else(|| "bolt not yet known".to_owned()),
        torque: torque.unwrap_or_else(|| "torque not yet known".to_owned()),
        findings: findings(mount, judged),
    }
}

fn measured<'a>(mount: &'a Mount, name: &str) -> Option<&'a str> {
    match mount.measured.get(name) {
        Some((Measured::One(written), _)) => Some(written.as_str().trim()),
        _ => None,
    }
}

/// Thread, length to order and class; the shorter bolt where the longer would bottom out.
fn bolt(judged: &Assessed<'_>, units: Units) -> Option<String> {
    let stack = Numbers::of(judged, "stack", units)?;
    let shorter = stack.holds("bottoms_out") && stack.holds("shorter_allowed");
    let bolt = stack.say(if shorter {
        "{thread} × {order_shorter}"
    } else {
        "{thread} × {order_length}"
    })?;
    let strength = Numbers::of(judged, "bolt", units);
    Some(match strength.and_then(|strength| strength.word("class")) {
        Some(class) if class.starts_with("grade") => format!("{bolt}, {class}"),
        Some(class) => format!("{bolt}, class {class}"),
        None => bolt,
    })
}

/// The vehicle maker's torque, or the ceiling that the bolt allows.
fn torque(mount: &Mount, judged: Option<&Assessed<'_>>, units: Units) -> Option<String> {
    let maker = measured(mount, "maker_torque");
    if let Some(torque) = maker.and_then(|text| Quantity::parse(text, Unit::NewtonMetre).ok()) {
        return Some(format!("{}, the maker's", torque.print(units)));
    }
    let ceiling = Numbers::of(judged?, "bolt", units)?.number("torque_ceiling")?;
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
