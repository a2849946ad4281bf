//! The demo, signed from its first task to its last by a fitter, an apprentice, a supervisor and licensed trades.

use std::collections::BTreeMap;

use liftsheet::job;
use liftsheet::pipeline;
use liftsheet::plan::{Evidence, Task};
use liftsheet::record::{Act, Basis, Record, State, Status, Time, Wish, lines, sign, verify};
use liftsheet::report::Report;
use liftsheet::rules::{self, Files, Wanted, builtin};
use liftsheet::source::Source;

use crate::support::run::Bench;

/// The demo as a job of one's own, with every licence that its work takes.
fn demo() -> String {
    let demo = builtin::file("demo/forestry-crew.yaml").unwrap();
    let text = demo.text().to_owned();
    text.replace(
        "licences: [refrigerant]",
        "licences: [refrigerant, brakes, restraint, engineer, windscreen-and-sensors]",
    )
}

/// Something right for what is asked.
fn value(evidence: &Evidence) -> String {
    match evidence.kind.as_str() {
        "yes" => "yes".to_owned(),
        "text" => "none".to_owned(),
        _ if evidence.name.starts_with("gap_before.") => "30 mm".to_owned(),
        // Thirty before, and a block of forty under each mount.
        _ if evidence.name.starts_with("gap_after.") => "70 mm".to_owned(),
        _ => match (evidence.least, evidence.most) {
            (Some(least), Some(most)) => f64::midpoint(least, most).to_string(),
            (Some(least), None) => (least + 1.0).to_string(),
            (None, Some(most)) => (most - 1.0).to_string(),
            (None, None) => "30".to_owned(),
        },
    }
}

fn wish(task: &Task, act: Act, now: i64) -> Wish {
    let worked_out = ["nose_up", "left_up", "out_of_plane"];
    let asked = task
        .evidence
        .iter()
        .filter(|one| !worked_out.contains(&one.name.as_str()));
    let values = asked.map(|one| (one.name.clone(), value(one)));
    let by = match act {
        Act::Checked => "birch",
        _ if task.trade.is_some() => "rowan",
        _ if task.apprentice => "cedar",
        _ => "ash",
    };
    Wish {
        act,
        tasks: vec![task.id.clone()],
        by: by.to_owned(),
        values: if act == Act::Done {
            values.collect()
        } else {
            Vec::new()
        },
        note: None,
        odometer: task
            .due
            .as_ref()
            .map(|due| format!("{} km", 45_210.0 + due.km.unwrap_or(5000.0))),
        wrench: Some("W7".to_owned()),
        at: None,
        now: Time::from_seconds(now),
    }
}

/// A folder with the demo as `job.yaml`, where every task before `until` is signed off; every task at all when there is none such.
pub(crate) fn signed_until(until: &str) -> Bench {
    let text = demo();
    let mut report = Report::new();
    let job = job::read(
        &Source::from_text("job.yaml", text.as_str()),
        false,
        &mut report,
    )
    .unwrap();
    let links = job.links.values().map(|link| link.class.as_str());
    let mounts = job.mounts.values().map(|mount| mount.class.as_str());
    let bridges = job.parts.values().filter_map(|part| part.class.as_deref());
    let wanted = Wanted {
        classes: links.chain(mounts).chain(bridges).collect(),
        regions: job.region.as_deref().into_iter().collect(),
    };
    let rules = rules::load(
        &Files::overlaid(BTreeMap::new(), true),
        &wanted,
        &mut report,
    );
    let written = pipeline::run(&job, &rules, &mut report, |made| {
        let basis = Basis::of(&made);
        let (mut record, mut written, mut now) = (Record::default(), String::new(), 1_741_064_767);
        for task in made.plan.tasks.iter().take_while(|task| task.id != until) {
            let released = Status::of(&basis, &record).released();
            assert_eq!(released, task.due.is_some(), "before {}", task.id);
            for act in [Act::Done, Act::Checked] {
                now += 60;
                let entries = sign(&basis, &record, &wish(task, act, now));
                let entries =
                    entries.unwrap_or_else(|problems| panic!("{}: {problems:?}", task.id));
                written += &lines(&mut record, entries);
            }
        }
        let status = Status::of(&basis, &record);
        let checked = status
            .tasks
            .iter()
            .filter(|one| one.state() == State::Checked);
        assert_eq!(checked.count() * 2, record.entries.len());
        assert_eq!(verify(written.as_bytes()), Ok(record));
        written
    });
    assert!(!report.has_errors(), "{:?}", report.problems);
    Bench::new()
        .file("job.yaml", text)
        .file("job.record.jsonl", written.unwrap())
}

#[test]
fn the_demo_is_signed_from_first_to_last_and_released() {
    let bench = signed_until("");
    bench
        .run(["record", "job.yaml", "-o", "signed.html"])
        .done()
        .prints("released: ");
    let page = std::fs::read_to_string(bench.path().join("signed.html")).unwrap();
    assert!(page.contains("RELEASED") && page.contains("Rowan (invented), tradesperson"));
    let (_, handover) = page.split_once("<hr />").unwrap();
    // On its own sheet of paper: what was done, set, comes due, is watched for, was left alone.
    assert!(page.contains("hr { break-after: page;"));
    for wanted in [
        "Hand-over: Forestry crew",
        "It is no certificate",
        "the last signature before it is of 2025-03-04",
        "What was done",
        "Rowan (invented), 2025-03-04",
        "Birch (invented), 2025-03-04",
        "Headlamp aim",
        "dip, left lamp",
        "Steering wheel centre",
        "1000 km after the lift",
        "each service",
        "A smell of fuel, or wet below the tank",
        "Left alone, and why",
    ] {
        assert!(
            handover.contains(wanted),
            "no {wanted:?} on the hand-over page"
        );
    }
    assert!(!handover.contains("NOT RELEASED"));
}
