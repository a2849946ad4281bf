//! The demo, signed from its first task to its last by a fitter, an apprentice, a supervisor and licensed trades.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use liftsheet::document;
use liftsheet::job;
use liftsheet::pipeline;
use liftsheet::record::{
    Act, Agreed, Asked, Binding, Footing, KeptPlan, Now, Photo, Record, SignedTask, State, Status,
    Time, Wish, footing, people, sha256, sign, verify,
};
use liftsheet::report::Report;
use liftsheet::rules::{self, Files, Wanted, builtin};
use liftsheet::source::Source;

use super::photos::picture;
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
fn value(asked: &Asked) -> String {
    match asked.kind.as_str() {
        "yes" => "yes".to_owned(),
        "text" | "paper" => "none, A-1".to_owned(),
        "date" => "2025-03-04".to_owned(),
        "until" => "2099-03-04".to_owned(),
        "time" => "08:30".to_owned(),
        "person" => "Birch (invented)".to_owned(),
        _ if asked.name == "odometer" => "45210 km".to_owned(),
        _ if asked.name.starts_with("gap_before.") => "30 mm".to_owned(),
        // Thirty before, and a block of forty under each mount.
        _ if asked.name.starts_with("gap_after.") => "70 mm".to_owned(),
        _ => match (asked.least, asked.most) {
            (Some(least), Some(most)) => f64::midpoint(least, most).to_string(),
            (Some(least), None) => (least + 1.0).to_string(),
            (None, Some(most)) => (most - 1.0).to_string(),
            (None, None) => "30".to_owned(),
        },
    }
}

/// One photograph serves for all that are asked for.
fn photo() -> Photo {
    let file = picture(90, (12, 8));
    Photo {
        sha256: sha256(&file),
        bytes: file.len() as u64,
        kind: "png".to_owned(),
    }
}

fn wish((task, handover): (&SignedTask, bool), act: Act, now: i64) -> Wish {
    let worked_out = ["nose_up", "left_up", "out_of_plane"];
    let asked = task.asks().map(|(_, one)| one);
    let asked =
        asked.filter(|one| !worked_out.contains(&one.name.as_str()) && one.kind != "worked out");
    let (photos, asked): (Vec<&Asked>, Vec<&Asked>) = asked.partition(|one| one.kind == "photo");
    let values = asked.into_iter().map(|one| (one.name.clone(), value(one)));
    let photos = photos
        .into_iter()
        .map(|one| (Some(one.name.clone()), photo()));
    let by = match act {
        Act::Checked => "birch",
        _ if task.trade.is_some() => "rowan",
        _ if task.apprentice => "cedar",
        _ => "ash",
    };
    let driven = task.due.as_ref().map(|due| due.km.unwrap_or(5000.0));
    let driven = driven.or(handover.then_some(0.0));
    Wish {
        tasks: vec![task.id.clone()],
        values: if act == Act::Done {
            values.collect()
        } else {
            Vec::new()
        },
        photos: if act == Act::Done {
            photos.collect()
        } else {
            Vec::new()
        },
        odometer: driven.map(|driven| format!("{} km", 45_210.0 + driven)),
        wrench: Some("W7".to_owned()),
        id: "0123456789abcdef0123456789abcdef".to_owned(),
        ..Wish::new(act, by, Time::from_seconds(now))
    }
}

/// The demo as the program makes it now, found once for all tests.
fn now() -> &'static Now {
    static NOW: OnceLock<Now> = OnceLock::new();
    NOW.get_or_init(|| made_now(demo()))
}

fn made_now(text: String) -> Now {
    let mut report = Report::new();
    let source = Source::from_text("job.yaml", text.as_str());
    let job = job::read(&source, false, &mut report).unwrap();
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
    let agreed = pipeline::run(&job, &rules, &mut report, |made| {
        Agreed::of(&made, document::to_keep(&made))
    });
    assert!(!report.has_errors(), "{:?}", report.problems);
    let agreed = agreed.unwrap();
    let binding = Binding {
        id: String::new(),
        identification: job.vehicle.identification.clone().unwrap(),
        job: job.title.clone(),
        vehicle: job.vehicle.name.clone(),
        people: people(&job),
        workshop: None,
        plan: agreed.digest.clone(),
        kept_plan: sha256(agreed.text().as_bytes()),
        kept_job: sha256(text.as_bytes()),
        rules: None,
        rule_set: Some(rules.digest.clone()),
        laid_over: Vec::new(),
        program: env!("CARGO_PKG_VERSION").to_owned(),
        zone: None,
    };
    Now {
        agreed: agreed.into(),
        binding,
        job: text,
    }
}

/// A folder with the demo as `job.yaml`, where every task before `until` is signed off; every task at all when there is none such. What all
/// of them are signed by begins as each of these does.
pub(crate) fn signed_until(until: &str) -> Bench {
    static WHOLE: OnceLock<Vec<u8>> = OnceLock::new();
    let whole = WHOLE.get_or_init(|| signed_on(now(), ""));
    let tasks = now().agreed.tasks.iter();
    let before = tasks.take_while(|task| task.id != until).count();
    let lines = whole.split_inclusive(|byte| *byte == b'\n');
    folder(
        now(),
        &lines.take(lines_of(before)).collect::<Vec<_>>().concat(),
    )
}

/// The same of the demo otherwise: each text with the one in its place.
pub(crate) fn signed_otherwise(changes: &[(&str, &str)], until: &str) -> Bench {
    let text = changes.iter().fold(demo(), |text, (from, to)| {
        assert!(text.contains(from), "`{from}` is not in the demo");
        text.replacen(from, to, 1)
    });
    let made = made_now(text);
    folder(&made, &signed_on(&made, until))
}

/// The lines of a record in which so many tasks are done and checked; its first line begins it.
fn lines_of(tasks: usize) -> usize {
    tasks * 2 + usize::from(tasks > 0)
}

/// A record in which every task of a plan before `until` is signed off.
fn signed_on(made: &Now, until: &str) -> Vec<u8> {
    let (mut record, mut time) = (Record::default(), 1_741_064_767);
    let stands = |record: &Record| -> Footing {
        let kept = KeptPlan {
            agreed: Some(made.agreed.clone()),
            job: Some(made.job.clone()),
        };
        footing(record, Some(made.clone()), &kept).unwrap()
    };
    let mut ground = stands(&record);
    let mut lift = made.agreed.tasks.iter().filter(|task| task.due.is_none());
    let handover = lift.next_back().unwrap().id.clone();
    for task in made.agreed.tasks.iter().take_while(|task| task.id != until) {
        let released = Status::of(&made.agreed, &record).released();
        assert_eq!(released, task.due.is_some(), "before {}", task.id);
        for act in [Act::Done, Act::Checked] {
            time += 60;
            let wish = wish((task, task.id == handover), act, time);
            let after = sign(&ground, &record, &wish);
            record = after.unwrap_or_else(|problems| panic!("{}: {problems:?}", task.id));
            if record.entries.len() < 3 {
                ground = stands(&record);
            }
        }
    }
    let status = Status::of(&made.agreed, &record);
    let checked = status
        .tasks
        .iter()
        .filter(|one| one.state() == State::Checked);
    assert_eq!(lines_of(checked.count()), record.entries.len());
    record.text().to_vec()
}

/// A folder with the demo, a record, and what was kept with it.
fn folder(made: &Now, record: &[u8]) -> Bench {
    let lines = record.split_inclusive(|byte| *byte == b'\n').count();
    assert_eq!(verify(record).unwrap().entries.len(), lines);
    let kept = |digest: &str, ending: &str| format!("job.kept/{digest}.{ending}");
    let bench = Bench::new()
        .file("job.yaml", made.job.as_str())
        .file("job.record.jsonl", record)
        .file(&kept(&made.binding.kept_plan, "json"), made.agreed.text())
        .file(&kept(&made.binding.kept_job, "yaml"), made.job.as_str());
    let photo = bench.path().join(kept(&photo().sha256, "png"));
    std::fs::write(photo, picture(90, (12, 8))).unwrap();
    bench
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

#[test]
fn what_was_done_before_it_had_soaked_dried_or_cooled_is_listed() {
    let account = signed_until("").run(["record", "job.yaml"]).done().stdout;
    for wanted in [
        "at least 12 h must lie between",
        "at least 30 min must lie between",
        "at least 2 h must lie between",
    ] {
        assert!(account.contains(wanted), "no {wanted:?} in:\n{account}");
    }
}

/// A bolt of another length is a new bolt: started by hand, torqued and looked at again. Its side goes up for that, so the vehicle is made safe and
/// what crosses comes apart as before; the other side stands but for its bolts, which are torqued with these, and so does the other body.
#[test]
fn new_bolts_open_hand_start_torque_and_their_hold_points() {
    let bench = signed_until("");
    let job = bench.path().join("job.yaml");
    let text = std::fs::read_to_string(&job).unwrap();
    let mount = "id: C2L, group: cab, at: [-120, 610, 0], measured: {";
    let other = text.replace(mount, &format!("{mount}grip: 62 mm, "));
    assert!(other.len() > text.len(), "there is no such mount");
    std::fs::write(&job, other).unwrap();
    let account = bench
        .run(["record", "job.yaml", "--format", "json"])
        .code(1)
        .json();
    let opened = account["tasks"].as_array().unwrap().iter();
    let opened = opened.filter(|task| task["state"] != "signed off" && task["due"].is_null());
    let opened: Vec<&str> = opened.map(|task| task["id"].as_str().unwrap()).collect();
    for wanted in [
        "chock-wheels",
        "battery-off",
        "steering-shaft.release",
        "release-done",
        "raise-first.cab.left",
        "mount-C2L.correct",
        "before-lowering.cab.left",
        "lower-side.cab.left",
        "bolts-by-hand.cab.left",
        "before-tightening.cab",
        "mounts-C1L-to-C3R.torque",
        "sits-square.cab",
        "steering-shaft.refit",
        "steering-shaft.check",
        "yard-test",
        "road-test",
        "torque-check-cold",
        "before-handover",
    ] {
        assert!(opened.contains(&wanted), "{wanted} is not among {opened:?}");
    }
    let stands = |id: &&str| {
        let right = id.contains("right") && !id.starts_with("bolts-by-hand");
        right || id.contains(".tub")
    };
    assert_eq!(opened.iter().find(|id| stands(id)), None, "of {opened:?}");
}

/// A block comes out only from under a body that is up, with its bolts out: that side is raised again, while what was done to the vehicle is
/// done until somebody undoes it.
#[test]
fn a_block_that_is_put_in_again_takes_its_side_up_again() {
    let bench = signed_until("look-open");
    let sign = [
        "sign",
        "job.yaml",
        "mounts-C1L-to-C3L.correct",
        "--by",
        "birch",
    ];
    let why = [
        "--act",
        "reopened",
        "--note",
        "the block is skewed",
        "--yes",
    ];
    bench.run(sign.into_iter().chain(why)).done();
    let json = bench.run(["record", "job.yaml", "--format", "json"]).stdout;
    let record: serde_json::Value = serde_json::from_str(&json).unwrap();
    let stands = record["stands"].to_string();
    for untrue in ["stands", "out:", "by hand", "loose"] {
        assert!(!stands.contains(untrue), "{stands}");
    }
    let tasks = record["tasks"].as_array().unwrap().iter();
    let opened = tasks.filter(|task| !task["opened"].is_null());
    let opened: Vec<&str> = opened.map(|task| task["id"].as_str().unwrap()).collect();
    let side = ["bolts-out", "before-raising", "raise-first", "lower-side"];
    for wanted in side.map(|task| format!("{task}.cab.left")) {
        assert!(
            opened.contains(&wanted.as_str()),
            "{wanted} is not among {opened:?}"
        );
    }
    // Of the other side only the bolts, which are slackened for it and torqued with these.
    let right = |id: &str| id.contains("right") && !id.starts_with("bolts-by-hand");
    let other = |id: &&&str| id.contains("tub") || id.contains("chock") || right(id);
    assert_eq!(opened.iter().find(other), None, "of {opened:?}");
}

#[test]
fn that_nobody_is_left_who_may_check_is_said_when_the_only_supervisor_signs_for_work() {
    let bench = signed_until("taken-in");
    let file = bench.path().join("job.yaml");
    let text = std::fs::read_to_string(&file).unwrap();
    let elm = "  - {id: elm, name: Elm (invented), roles: supervisor}\n";
    assert!(text.contains(elm), "{text}");
    std::fs::write(&file, text.replace(elm, "")).unwrap();
    let told = "nobody of the people of this job may check `read-faults` now";
    for (by, left) in [("ash", false), ("birch", true)] {
        let call = ["sign", "job.yaml", "read-faults", "--by", by];
        let values = ["--value", "codes=none", "--value", "lamps=none"];
        let said = bench.run(call.into_iter().chain(values)).done().stdout;
        assert_eq!(said.contains(told), left, "{said}");
    }
}

/// What is found to cross while a side is up is released under a body that is down: the side is let down, and raised again behind its hold
/// points. Once the body is on its blocks nobody raises it for that.
#[test]
fn what_is_found_to_cross_while_a_side_is_up_lets_that_side_down() {
    for (until, up) in [("mounts-C1L-to-C3L.correct", true), ("look-open", false)] {
        let bench = signed_until(until);
        let file = bench.path().join("job.yaml");
        let text = std::fs::read_to_string(&file).unwrap();
        let strap = "links:
  - id: second-strap
    class: body-earth-strap
    area: left under
    ends: [{part: bulkhead, at: [-60, 200, 400]}, {part: chassis, at: [40, 150, 380]}]
    held_by: none
    measured: {slack: 15 mm, plan: 112 mm, level: 20 mm}
";
        std::fs::write(&file, text.replacen("links:\n", strap, 1)).unwrap();
        let changed = ["sign", "job.yaml", "--act", "changed", "--by", "birch"];
        let why = ["--note", "a second strap, behind the first", "--yes"];
        let said = bench.run(changed.into_iter().chain(why)).done().stdout;
        let lets_down = "the body is let down first for `second-strap.release`";
        assert_eq!(said.contains(lets_down), up, "{said}");
        let opens = |task: &str| said.contains(&format!("falls open: {task},"));
        assert!(opens("release-done"), "{said}");
        for task in ["before-raising", "raise-first", "walk-round", "stands-set"] {
            assert_eq!(opens(&format!("{task}.cab.left")), up, "{task} of {said}");
            assert!(!opens(&format!("{task}.cab.right")), "{task} of {said}");
        }
        let account = bench.run(["record", "job.yaml"]).code(1).stdout;
        let first = account.contains("first the body is let down, a bolt by hand");
        assert_eq!(first, up, "{account}");
        if !up {
            continue;
        }
        // No task of the plan lets it down: whoever works under it first says who did.
        let release = [
            "sign",
            "job.yaml",
            "second-strap.release",
            "--by",
            "ash",
            "--ticks",
        ];
        bench.run(release).failed().complains(
            "error[reason-missing]: `second-strap.release` is done under a body that stands raised",
        );
        let note = ["--note", "let down by Ash and Cedar, bolts in by hand"];
        bench.run(release.into_iter().chain(note)).done();
        let account = bench.run(["record", "job.yaml"]).code(1).stdout;
        assert!(!account.contains("first the body is let down"), "{account}");
    }
}

#[test]
fn a_new_version_alone_opens_nothing_and_lists_what_would_open() {
    let mut first = now().clone();
    let (id, next) = (
        first.agreed.tasks[1].id.clone(),
        first.agreed.tasks[4].id.clone(),
    );
    let agreed = Arc::make_mut(&mut first.agreed);
    let task = &mut agreed.tasks[1];
    task.digest = "sha256:00".to_owned();
    task.parts.insert("text".to_owned(), "sha256:00".to_owned());
    agreed.digest = "sha256:0100".to_owned();
    first.binding.plan.clone_from(&first.agreed.digest);
    first.binding.kept_plan = sha256(first.agreed.text().as_bytes());
    first.binding.program = "0.1.0".to_owned();
    assert_ne!(first.binding.program, env!("CARGO_PKG_VERSION"));
    let bench = folder(&first, &signed_on(&first, &next));
    bench
        .run(["record", "job.yaml"])
        .code(1)
        .prints(
            "Another version of the program makes another plan; the one that was signed on holds.",
        )
        .prints(&format!("{id}: changed: its text"))
        .prints("not released: 1 of 93 tasks signed off");
    let task = &first.agreed.tasks[4];
    let by = if task.apprentice { "cedar" } else { "ash" };
    bench
        .run(["sign", "job.yaml", &next, "--by", by, "--ticks"])
        .done();
    let take = |by: &str| {
        let note = ["--act", "changed", "--note", "the new program's plan"];
        bench.run(["sign", "job.yaml", "--by", by].into_iter().chain(note))
    };
    take("ash").failed().complains("error[wrong-role]");
    take("birch")
        .done()
        .prints(&format!("falls open: {id}, which changed: its text"));
    bench
        .run(["record", "job.yaml"])
        .code(1)
        .prints("Fallen open");
}

#[test]
fn the_odometer_at_the_hand_over_is_given_once() {
    let bench = signed_until("before-handover");
    let sign = |more: &[&str]| {
        let words = [
            "sign",
            "job.yaml",
            "before-handover",
            "--by",
            "ash",
            "--ticks",
        ];
        bench.run(words.iter().chain(more).copied())
    };
    let both = ["--value", "odometer=45212", "--odometer", "45213"];
    sign(&both)
        .failed()
        .complains("error[bad-evidence]: the odometer is given as 45213 km and as 45212 km");
    sign(&["--value", "odometer=45209"])
        .failed()
        .complains("error[odometer-runs-back]");
    // A digit too many, and every retorque would count from there.
    sign(&["--value", "odometer=452130"])
        .failed()
        .complains("error[out-of-range]: the odometer stood at 45210 km before");
    sign(&both[2..]).done();
    let json = bench.run(["record", "job.yaml", "--format", "json"]).stdout;
    let record: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(record["odometer_at_handover"], 45_213.0);
    let lines = std::fs::read_to_string(bench.path().join("job.record.jsonl")).unwrap();
    let last: serde_json::Value = serde_json::from_str(lines.lines().last().unwrap()).unwrap();
    assert_eq!(last["values"]["odometer"]["value"], 45_213.0, "{last}");
}

#[test]
fn blocks_of_another_height_begin_again_with_the_bolts() {
    let bench = signed_until("");
    let file = bench.path().join("job.yaml");
    let text = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, text.replace("spacer: 40 mm", "spacer: 45 mm")).unwrap();
    let why = ["--note", "higher blocks", "--yes"];
    let changed = |by: &'static str| {
        let sign = ["sign", "job.yaml", "--act", "changed", "--by", by];
        bench.run(sign.into_iter().chain(why))
    };
    // Another lift than the customer agreed to is no fitter's to sign for.
    changed("ash").failed().complains("error[wrong-role]");
    changed("birch").done();
    bench
        .run(["record", "job.yaml", "--card"])
        .code(1)
        .prints("as before, until done again: C1L, C1R, C2L, C2R, ");
    let json = bench.run(["record", "job.yaml", "--format", "json"]).stdout;
    let record: serde_json::Value = serde_json::from_str(&json).unwrap();
    let tasks = record["tasks"].as_array().unwrap();
    // With bolts that are torqued by now nothing is raised, and each hold point on the way is asked anew, row by row.
    for wanted in [
        "bolts-out",
        "before-raising",
        "walk-round",
        "before-lowering",
    ] {
        let id = format!("{wanted}.cab.left");
        let task = tasks.iter().find(|task| task["id"] == id.as_str()).unwrap();
        let rows = task["rows"].as_array().unwrap();
        let open = rows.iter().chain([task]).all(|one| one["state"] == "open");
        assert!(open, "{task}");
    }
}
