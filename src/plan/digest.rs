//! What fixes a plan and a task: SHA-256 over a canonical form of everything that a signature stands for.
//!
//! The canonical form is JSON with sorted keys and without white space; texts are in their metric print, so `--units`
//! changes no digest. A task's digest holds its text, numbers, limits and dependencies.

use std::collections::BTreeMap;
use std::io::{BufWriter, Write as _};

use serde::Serialize;
use serde_json::{Map, Value};

use super::task::Task;
use crate::assess::Assessment;
use crate::sha256::Written;
use crate::sorted::Sorted as _;

/// A plan as its digest sees it. Its fields, too, stand in the order of their names.
#[derive(Serialize)]
struct CanonicalPlan<'a> {
    limits: Vec<(&'a str, &'static str)>,
    links: Vec<(&'a str, &'static str, &'a str)>,
    tasks: &'a [Task],
}

/// The digest of a plan: its tasks in order, and every link's verdict.
pub(crate) fn digest_of(tasks: &[Task], assessment: &Assessment<'_>) -> String {
    let links = assessment.links.iter();
    let limits = assessment.limits.iter();
    sha256(&CanonicalPlan {
        limits: limits
            .map(|held| (held.limit.id.as_str(), held.verdict().word()))
            .collect(),
        links: links
            .map(|(id, link)| (id.as_str(), link.verdict.word(), link.decided_by.as_str()))
            .collect(),
        tasks,
    })
}

pub(crate) fn task_digest(task: &Task) -> String {
    sha256(task)
}

/// The digest of each part of a task, so that one who kept them can say which part changed: `text`, `limits` of what is
/// written down, `order` (where and when it is done), `people`, `time`. Together they cover all of it but what comes before it, which undoes
/// nothing by being another: what rests on that falls open with it.
pub(crate) fn part_digests(task: &Task) -> BTreeMap<String, String> {
    let mut parts: BTreeMap<&'static str, Map<String, Value>> = BTreeMap::new();
    if let Ok(Value::Object(fields)) = serde_json::to_value(task) {
        for (name, value) in fields.into_iter().filter(|(name, _)| name != "after") {
            parts.entry(part_of(&name)).or_default().insert(name, value);
        }
    }
    let digests = parts.into_iter();
    digests
        .map(|(part, fields)| (part.to_owned(), sha256(&Value::Object(fields))))
        .sorted_map()
}

/// The part of a task that a field of its canonical form belongs to.
fn part_of(field: &str) -> &'static str {
    match field {
        "evidence" => "limits",
        "also_at" | "group" | "makes" | "moment" | "overnight" | "place" | "shuts_out" | "side"
        | "slot" | "stage" | "waits" | "while" => "order",
        "apprentice" | "attended" | "hold" | "looks" | "people" | "sign" | "trade" | "watch" => {
            "people"
        }
        "due" | "minutes" => "time",
        _ => "text",
    }
}

/// The digest of a value's canonical JSON, which is hashed as it is written, so that a large plan is never a text in memory.
fn sha256(value: &impl Serialize) -> String {
    let mut out = BufWriter::new(Written::new());
    // Neither hashing nor these types can fail.
    let _ = serde_json::to_writer(&mut out, value);
    let _ = out.flush();
    format!("sha256:{}", out.get_ref().clone().digest())
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use serde_json::json;

    use super::*;
    use crate::plan::{After, BenchPart, Evidence, Minutes, Sign, Sized};
    use crate::rules::written::Due;
    use crate::rules::{Moment, PartKind, Size, Spot, Stage};
    use crate::text::Text;

    const MINUTES: Minutes = Minutes {
        low: 1.0,
        likely: 2.0,
        high: 3.5,
    };

    fn task() -> Task {
        let text = Text::plain;
        Task {
            id: "a".to_owned(),
            stage: Stage::Strip,
            group: Some("cab".to_owned()),
            side: Some(crate::job::Side::Left),
            sign: Sign::Done,
            overnight: true,
            makes: BTreeMap::from([("key".to_owned(), "in the box".to_owned())]),
            during: BTreeMap::from([("chocks".to_owned(), "in".to_owned())]),
            title: text("title"),
            links: vec!["l".to_owned()],
            steps: vec![text("step")],
            tools: vec![text("tool")],
            parts: vec![BenchPart {
                what: text("bolt"),
                count: 1,
                counted: "piece",
                kind: PartKind::Bolt,
                sizes: BTreeMap::from([(Size::Length, Sized::Mm(20.0))]),
                shared: false,
            }],
            minutes: MINUTES,
            people: 1,
            apprentice: true,
            trade: Some("fuel".to_owned()),
            uses: vec!["hoist".to_owned()],
            evidence: vec![Evidence {
                name: "gap".to_owned(),
                ask: text("gap"),
                item: Some("mount".to_owned()),
                kind: "number".to_owned(),
                unit: Some(crate::quantity::Unit::Mm),
                least: Some(0.5),
                most: None,
            }],
            hold: Some("supervisor".to_owned()),
            cautions: vec![text("hot")],
            due: Some(Due {
                km: Some(100.0),
                every: Some("service".to_owned()),
            }),
            after: After::new(["b".to_owned()].into(), Arc::default()),
            ..Task::default()
        }
    }

    /// The keys of a JSON value of this crate are sorted, so the canonical form must be the same text with and without one.
    #[test]
    fn the_keys_of_the_canonical_form_are_sorted() {
        let tasks = [task()];
        let plan = CanonicalPlan {
            limits: Vec::new(),
            links: Vec::new(),
            tasks: &tasks,
        };
        let sorted = serde_json::to_value(&plan).unwrap().to_string();
        assert_eq!(serde_json::to_string(&plan).unwrap(), sorted);
    }

    type Change = (&'static str, fn(&mut Task));

    /// Every field of a task in JSON, and something else in it.
    const CHANGES: [Change; 33] = [
        ("after", |task| task.after = After::default()),
        ("also_at", |task| task.also_at.push(Spot::Inside)),
        ("apprentice", |task| task.apprentice = false),
        ("area", |task| task.area = Some(crate::rules::Area::Cab)),
        ("attended", |task| task.attended = true),
        ("cautions", |task| task.cautions.clear()),
        ("due", |task| task.due = None),
        ("evidence", |task| task.evidence.clear()),
        ("for", |task| task.links.clear()),
        ("group", |task| task.group = None),
        ("hold", |task| task.hold = None),
        ("id", |task| task.id.push('b')),
        ("looks", |task| task.looks = true),
        ("makes", |task| task.makes.clear()),
        ("minutes", |task| task.minutes.high = 4.0),
        ("moment", |task| task.moment = Some(Moment::Hot)),
        ("overnight", |task| task.overnight = false),
        ("parts", |task| task.parts.clear()),
        ("people", |task| task.people = 2),
        ("place", |task| task.place = Spot::Under),
        ("shuts_out", |task| task.shuts_out.push(Spot::Under)),
        ("side", |task| task.side = None),
        ("sign", |task| task.sign = Sign::Tick),
        ("slot", |task| task.slot = 1),
        ("stage", |task| task.stage = Stage::Check),
        ("steps", |task| task.steps.clear()),
        ("title", |task| task.title = Text::plain("other")),
        ("tools", |task| task.tools.clear()),
        ("trade", |task| task.trade = None),
        ("uses", |task| task.uses.clear()),
        ("waits", |task| {
            task.waits.push(crate::plan::Wait {
                after: "b".to_owned(),
                because: "it soaks".to_owned(),
                hours: 12.0,
            });
        }),
        ("watch", |task| task.watch = true),
        ("while", |task| task.during.clear()),
    ];

    /// A field that is added must be changed above, or this fails.
    #[test]
    fn every_field_of_a_task_is_covered_by_its_digest() {
        let text = Text::plain;
        let (before, parts) = (task_digest(&task()), part_digests(&task()));
        let written = serde_json::to_value(task()).unwrap();
        let names: Vec<&str> = CHANGES.iter().map(|(name, _)| *name).collect();
        let fields: Vec<&str> = written
            .as_object()
            .unwrap()
            .keys()
            .map(String::as_str)
            .collect();
        assert_eq!(names, fields, "a field of the task is not tried");
        for (name, change) in CHANGES {
            let mut other = task();
            change(&mut other);
            assert_ne!(task_digest(&other), before, "`{name}`");
            assert_eq!(part_digests(&other) == parts, name == "after", "`{name}`");
        }
        // What stands below the fields, too.
        for path in ["/evidence/0", "/parts/0", "/due", "/minutes"] {
            for (name, value) in written.pointer(path).unwrap().as_object().unwrap() {
                let mut other = written.clone();
                let place = other.pointer_mut(path).unwrap();
                place[name] = json!("changed");
                assert_ne!(
                    sha256(&other),
                    sha256(&written),
                    "`{path}/{name}` = {value}"
                );
            }
        }
        let mut other = task();
        if let Some(part) = other.parts.first_mut() {
            part.what = text("nut");
        }
        assert_ne!(task_digest(&other), before);
    }
}
