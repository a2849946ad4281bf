//! What fixes a plan and a task: SHA-256 over a canonical form of everything that a signature stands for.
//!
//! The canonical form is JSON with sorted keys and without white space; texts are in their metric print, so `--units`
//! changes no digest. A task's digest holds its text, numbers, limits and dependencies.

use std::collections::BTreeMap;
use std::io::{BufWriter, Write};

use serde::Serialize;
use serde_json::{Map, Value};
use sha2::{Digest, Sha256};

use super::task::{Sized, Task};
use crate::assess::Assessment;
use crate::rules::Size;
use crate::text::Text;

/// A plan as its digest sees it. The fields of this type and of those below stand in the order of their names.
#[derive(Serialize)]
struct CanonicalPlan<'a> {
    limits: Vec<(&'a str, &'static str)>,
    links: Vec<(&'a str, &'static str, &'a str)>,
    tasks: Vec<Canonical<'a>>,
}

/// A task as signatures see it.
#[derive(Serialize)]
struct Canonical<'a> {
    after: &'a [String],
    cautions: &'a [Text],
    due: Option<CanonicalDue<'a>>,
    evidence: Vec<CanonicalEvidence<'a>>,
    #[serde(rename = "for")]
    links: &'a [String],
    group: Option<&'a str>,
    hold: Option<&'a str>,
    id: &'a str,
    minutes: CanonicalMinutes,
    parts: Vec<CanonicalPart<'a>>,
    people: u32,
    side: Option<&'static str>,
    stage: &'static str,
    steps: &'a [Text],
    title: &'a Text,
    tools: &'a [Text],
    trade: Option<&'a str>,
}

#[derive(Serialize)]
struct CanonicalDue<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    every: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    km: Option<f64>,
}

#[derive(Serialize)]
struct CanonicalEvidence<'a> {
    ask: &'a Text,
    item: Option<&'a str>,
    kind: &'a str,
    least: Option<f64>,
    most: Option<f64>,
    name: &'a str,
    unit: Option<&'static str>,
}

#[derive(Serialize)]
struct CanonicalMinutes {
    high: f64,
    likely: f64,
    low: f64,
}

#[derive(Serialize)]
struct CanonicalPart<'a> {
    count: u32,
    #[serde(rename = "in")]
    counted: &'static str,
    kind: &'static str,
    shared: bool,
    #[serde(rename = "size")]
    sizes: &'a BTreeMap<Size, Sized>,
    what: &'a Text,
}

/// The digest of a plan: its tasks in order, and every link's verdict.
#[must_use]
pub fn digest_of(tasks: &[Task], assessment: &Assessment<'_>) -> String {
    let links = assessment.links.iter();
    let limits = assessment.limits.iter();
    sha256(&CanonicalPlan {
        limits: limits
            .map(|held| (held.limit.id.as_str(), held.verdict().word()))
            .collect(),
        links: links
            .map(|(id, link)| (id.as_str(), link.verdict.word(), link.decided_by.as_str()))
            .collect(),
        tasks: tasks.iter().map(canonical).collect(),
    })
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
    if let Ok(Value::Object(fields)) = serde_json::to_value(canonical(task)) {
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

/// The digest of a value's canonical JSON, which is hashed as it is written, so that a large plan is never a text in memory.
fn sha256(value: &impl Serialize) -> String {
    use std::fmt::Write as _;
    let mut out = BufWriter::new(Hashed(Sha256::new()));
    // Neither hashing nor these types can fail.
    let _ = serde_json::to_writer(&mut out, value);
    let _ = out.flush();
    let mut text = String::from("sha256:");
    for byte in out.get_ref().0.clone().finalize() {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text
}

struct Hashed(Sha256);

impl Write for Hashed {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.update(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

fn canonical(task: &Task) -> Canonical<'_> {
    let evidence = task.evidence.iter().map(|evidence| CanonicalEvidence {
        ask: &evidence.ask,
        item: evidence.item.as_deref(),
        kind: &evidence.kind,
        least: evidence.least,
        most: evidence.most,
        name: &evidence.name,
        unit: evidence.unit.map(crate::quantity::Unit::code),
    });
    let parts = task.parts.iter().map(|part| CanonicalPart {
        count: part.count,
        counted: part.counted,
        kind: part.kind.word(),
        shared: part.shared,
        sizes: &part.sizes,
        what: &part.what,
    });
    Canonical {
        after: &task.after,
        cautions: &task.cautions,
        due: task.due.as_ref().map(|due| CanonicalDue {
            every: due.every.as_deref(),
            km: due.km,
        }),
        evidence: evidence.collect(),
        links: &task.links,
        group: task.slot.group.as_deref(),
        hold: task.hold.as_deref(),
        id: &task.id,
        minutes: CanonicalMinutes {
            high: task.minutes.high,
            likely: task.minutes.likely,
            low: task.minutes.low,
        },
        parts: parts.collect(),
        people: task.people,
        side: task.slot.side.map(crate::job::Side::word),
        stage: task.slot.stage.word(),
        steps: &task.steps,
        title: &task.title,
        tools: &task.tools,
        trade: task.trade.as_deref(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Due, Evidence, Minutes, Part, Slot};
    use crate::rules::{PartKind, Stage};

    fn task() -> Task {
        let text = Text::plain;
        Task {
            id: "a".to_owned(),
            slot: Slot {
                number: 0,
                stage: Stage::Strip,
                group: Some("cab".to_owned()),
                side: Some(crate::job::Side::Left),
            },
            area: None,
            title: text("title"),
            links: vec!["l".to_owned()],
            steps: vec![text("step")],
            tools: vec![text("tool")],
            parts: vec![Part {
                what: text("bolt"),
                count: 1,
                counted: "piece",
                kind: PartKind::Bolt,
                sizes: BTreeMap::from([(Size::Length, Sized::Mm(20.0))]),
                shared: false,
            }],
            minutes: Minutes {
                low: 1.0,
                likely: 2.0,
                high: 3.5,
            },
            people: 1,
            watch: false,
            apprentice: true,
            trade: Some("fuel".to_owned()),
            uses: Vec::new(),
            evidence: vec![std::sync::Arc::new(Evidence {
                name: "gap".to_owned(),
                ask: text("gap"),
                item: Some("mount".to_owned()),
                kind: "number".to_owned(),
                unit: Some(crate::quantity::Unit::Mm),
                least: Some(0.5),
                most: None,
            })],
            hold: Some("supervisor".to_owned()),
            cautions: vec![text("hot")],
            due: Some(Due {
                km: Some(100.0),
                every: Some("service".to_owned()),
            }),
            after: vec!["b".to_owned()],
            origin: None,
        }
    }

    /// The keys of a JSON value of this crate are sorted, so the canonical form must be the same text with and without one.
    #[test]
    fn the_keys_of_the_canonical_form_are_sorted() {
        let task = task();
        let plan = CanonicalPlan {
            limits: Vec::new(),
            links: Vec::new(),
            tasks: vec![canonical(&task)],
        };
        let sorted = serde_json::to_value(&plan).unwrap().to_string();
        assert_eq!(serde_json::to_string(&plan).unwrap(), sorted);
    }
}
