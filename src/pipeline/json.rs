//! The plan for other programs: a stable, documented JSON shape in canonical units, whatever `--units` says.
//!
//! Takes everything made of a job; gives one JSON value, which is also written in pieces: one link or task is a value at a time, so that a
//! vehicle of thousands of links needs no more memory than its text. The shape is described in the manual, `plan-json`.

use serde::ser::{Serialize, SerializeMap, Serializer};
use serde_json::{Map, Value, json};

use super::Made;
use crate::assess::{Assessed, Calculated, Held, LimitState, Missing};
use crate::calc::result_json;
use crate::cut::{CutLink, Span};
use crate::plan::{Plan, PrintedTask, Task, task_digest};
use crate::quantity::{Quantity, Unit};
use crate::rules::Rules;

impl Made<'_> {
    /// The plan as one JSON value.
    pub fn json(&self) -> Value {
        // Every key is a text, so there is nothing that cannot be written.
        serde_json::to_value(self).unwrap_or_default()
    }
}

impl Serialize for Made<'_> {
    /// Writes the fields in the order of their names, as a value in memory does.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let (job, plan) = (self.job, self.plan);
        let links = || {
            let links = self.assessment.links.iter();
            links.filter_map(|(id, assessed)| {
                Some(link(self.rules, assessed, self.cut.links.get(id)?))
            })
        };
        let groups = || self.cut.groups.iter().map(|id| json!({"id": id}));
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry("demo", &job.demo)?;
        map.serialize_entry(
            "entries",
            &Each(|| plan.entries.iter().map(|one| entry(one, plan))),
        )?;
        map.serialize_entry("groups", &Each(groups))?;
        map.serialize_entry("job", &job.title)?;
        map.serialize_entry("laid_over", &self.rules.laid_over)?;
        map.serialize_entry("limits", &Each(|| self.assessment.limits.iter().map(limit)))?;
        map.serialize_entry("links", &Each(links))?;
        map.serialize_entry("longest_chain", &plan.longest_chain)?;
        map.serialize_entry("made_by", &json!(self.rules.made_by()))?;
        map.serialize_entry("made_with", "Made with liftsheet")?;
        map.serialize_entry("minutes", &json!(plan.minutes))?;
        map.serialize_entry("plan_digest", self.digest())?;
        map.serialize_entry("provisional", &plan.provisional)?;
        map.serialize_entry("region", &job.region)?;
        map.serialize_entry("rise", &job.lift.spacer)?;
        map.serialize_entry("states", &plan.states)?;
        map.serialize_entry("tasks", &Each(|| plan.tasks.iter().map(task)))?;
        map.serialize_entry("vehicle", &job.vehicle.name)?;
        map.end()
    }
}

/// A list whose entries are made one by one while it is written.
struct Each<F>(F);

impl<F: Fn() -> I, I: Iterator<Item = Value>> Serialize for Each<F> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq((self.0)())
    }
}

fn link(rules: &Rules, assessed: &Assessed<'_>, cut: &CutLink) -> Value {
    let spans: Vec<Value> = cut.spans.iter().map(span).collect();
    let results: Map<String, Value> = assessed
        .results
        .iter()
        .map(|(name, outcome)| (name.clone(), result_json(outcome, false)))
        .collect();
    let working: Vec<Value> = assessed.worked().map(worked).collect();
    json!({
        "id": assessed.id,
        "class": cut.class,
        "kind": cut.origin,
        "title": assessed.title,
        "area": assessed.area.word(),
        "path": cut.parts().collect::<Vec<_>>(),
        "spans": spans,
        "disturbed": assessed.disturbed,
        "verdict": assessed.verdict,
        "decided_by": assessed.decided_by,
        "limits": assessed.limits(rules),
        "because": assessed.because,
        "trade": assessed.trade,
        "release": assessed.release,
        "missing": places(&assessed.missing),
        "results": results,
        "working": working,
    })
}

fn worked(worked: &Calculated) -> Value {
    let of = &worked.evaluation;
    json!({"check": worked.check, "key": worked.key, "calc": of.calc, "steps": of.working()})
}

/// A local limit as JSON.
pub(crate) fn limit(held: &Held<'_>) -> Value {
    let (state, compared, missing) = match &held.state {
        LimitState::Elsewhere => ("does not apply", None, &[][..]),
        LimitState::Kept { value, most } => ("kept", Some((value, most)), &[][..]),
        LimitState::Passed { value, most, .. } => ("passed", Some((value, most)), &[][..]),
        LimitState::NotChecked(missing) => ("not checked", None, missing.as_slice()),
    };
    json!({
        "id": held.limit.id,
        "title": held.limit.title,
        "document": held.limit.source.document,
        "clause": held.limit.source.clause,
        "state": state,
        "verdict": held.verdict(),
        "value": compared.map(|(value, _)| value),
        "most": compared.map(|(_, most)| most),
        "missing": places(missing),
    })
}

/// Where in the job file each goes that is missing.
fn places(missing: &[Missing]) -> Vec<&str> {
    let places = missing.iter().map(|missing| missing.place.as_str());
    places.collect()
}

fn span(span: &Span) -> Value {
    let working = span.working(span.geometry());
    let mm = |value: f64| Quantity::exact(value, Unit::Mm);
    json!({
        "from": span.from,
        "to": span.to,
        "groups": [joined(&span.groups.0), joined(&span.groups.1)],
        "disturbed": span.disturbed(),
        "rise": mm(span.rise),
        "rise_assumed": span.assumed,
        "working": mm(working.length),
        "working_up": mm(working.up),
        "working_sideways": mm(working.sideways),
    })
}

/// One group as its id; a part that bridges the cut hangs on several.
fn joined(groups: &std::collections::BTreeSet<String>) -> String {
    groups
        .iter()
        .map(String::as_str)
        .collect::<Vec<_>>()
        .join(" + ")
}

/// A printed task, with the ids of its pieces.
fn entry(entry: &PrintedTask, plan: &Plan) -> Value {
    let pieces = plan.tasks.get(entry.tasks.clone()).unwrap_or_default();
    let ids: Vec<&str> = pieces.iter().map(|piece| piece.id.as_str()).collect();
    json!({
        "hold": entry.hold, "number": entry.number, "sign": entry.sign, "signs_off": entry.signs_off,
        "tasks": ids, "title": entry.title, "walk_round": entry.looks,
    })
}

/// A task as it is, and what fixes it.
fn task(task: &Task) -> Value {
    // Every key is a text, so there is nothing that cannot be written.
    let mut value = serde_json::to_value(task).unwrap_or_default();
    if let Value::Object(fields) = &mut value {
        let rows = task.rows().into_iter().map(|(id, asks)| {
            let asks: Vec<&str> = asks.iter().map(|one| one.name.as_str()).collect();
            json!({"id": id, "evidence": asks})
        });
        fields.insert("digest".to_owned(), json!(task_digest(task)));
        fields.insert("number".to_owned(), json!(task.number));
        fields.insert("rests_on".to_owned(), json!(task.rests_on));
        fields.insert("rows".to_owned(), rows.collect());
    }
    value
}
