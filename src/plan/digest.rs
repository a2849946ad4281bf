//! What fixes a plan and a task: SHA-256 over a canonical form of everything that a signature stands for.
//!
//! The canonical form is JSON with sorted keys and without white space; texts are in their metric print, so `--units`
//! changes no digest. A task's digest holds its text, numbers, limits and dependencies.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};
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

/// The digest of each part of a task, so that one who kept them can say which part changed: `text`, `limits` of what is
/// written down, `order` (what comes before, and when it is done), `people`, `time`. Together they cover the task's digest.
#[must_use]
pub fn part_digests(task: &Task) -> BTreeMap<String, String> {
    let mut parts: BTreeMap<&'static str, Map<String, Value>> = BTreeMap::new();
    if let Value::Object(fields) = canonical(task) {
        for (name, value) in fields {
            parts.entry(part_of(&name)).or_default().insert(name, value);
        }
    }
    let digests = parts.into_iter();
    digests
        .map(|(part, fields)| (part.to_owned(), sha256(&Value::Object(fields))))
        .collect()
}

/// The part of a task that a field of its canonical form belongs to.
fn part_of(field: &str) -> &'static str {
    match field {
        "evidence" => "limits",
        "after" | "group" | "side" | "stage" => "order",
        "hold" | "people" | "trade" => "people",
        "due" | "minutes" => "time",
        _ => "text",
    }
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
