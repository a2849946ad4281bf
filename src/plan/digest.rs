//! What fixes a plan and a task: SHA-256 over a canonical form of everything that a signature stands for.
//!
//! The canonical form is JSON with sorted keys and without white space; texts are in their metric print, so `--units`
//! changes no digest. A task's digest holds its text, numbers, limits and dependencies.

use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use super::task::Task;
use crate::assess::Assessment;

/// The digest of a plan: its tasks in order, and every link's verdict.
#[must_use]
pub fn digest_of(tasks: &[Task], assessment: &Assessment<'_>) -> String {
    let tasks: Vec<Value> = tasks.iter().map(canonical).collect();
    let links = assessment.links.iter();
    let links: Vec<Value> = links
        .map(|(id, link)| json!([id, link.verdict.word(), link.decided_by]))
        .collect();
    let limits = assessment.limits.iter();
    let limits: Vec<Value> = limits
        .map(|held| json!([held.limit.id, held.verdict().word()]))
        .collect();
    sha256(&json!({"limits": limits, "links": links, "tasks": tasks}))
}

/// The digest of one task.
#[must_use]
pub fn task_digest(task: &Task) -> String {
    sha256(&canonical(task))
}

fn sha256(value: &Value) -> String {
    use std::fmt::Write as _;
    let mut text = String::from("sha256:");
    for byte in Sha256::digest(value.to_string().as_bytes()) {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text
}

/// A task as signatures see it. JSON objects of this crate keep their keys sorted.
fn canonical(task: &Task) -> Value {
    let evidence = task.evidence.iter();
    let evidence: Vec<Value> = evidence
        .map(|evidence| {
            json!({
                "name": evidence.name, "ask": evidence.ask, "item": evidence.item, "kind": evidence.kind,
                "unit": evidence.unit.map(crate::quantity::Unit::code),
                "least": evidence.least, "most": evidence.most,
            })
        })
        .collect();
    json!({
        "id": task.id, "stage": task.slot.stage.word(), "group": task.slot.group,
        "side": task.slot.side.map(crate::job::Side::word),
        "title": task.title, "steps": task.steps, "tools": task.tools, "parts": task.parts,
        "minutes": task.minutes, "people": task.people, "trade": task.trade, "hold": task.hold,
        "cautions": task.cautions, "due": task.due, "for": task.links, "after": task.after,
        "evidence": evidence,
    })
}
