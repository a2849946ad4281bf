//! Rules of a workshop's own: every file of its folder is read or refused, values lie over values, and the pages say so.

use serde_json::{Value, json};

use crate::support::commands::demo;
use crate::support::plan::Plan;
use crate::support::run::{Bench, Outcome};

const BY_VALUE: &str = "by: the workshop's master
on: 2026-10-05
settings:
  fuel-filler-hose.least_overlap: 1.2 in
  tilt_limit: {value: 4 deg, by: the foreman, why: an old body that twists}
";

/// A sheet of the demo with these files as the workshop's own.
fn sheet(files: &[(&str, &str)], more: &[&str]) -> Outcome {
    let mut bench = Bench::new();
    for (path, text) in files {
        bench = bench.file(&format!("own/{path}"), *text);
    }
    let base = ["sheet", "--rules", "own"];
    bench.run(base.iter().chain(more).copied())
}

#[test]
fn a_value_lies_over_ours_and_stands_on_the_pages() {
    let page = sheet(&[("settings.yaml", BY_VALUE)], &[]).done().stdout;
    let said = "least overlap of the hose on each spigot: 30.5 mm instead of 25 mm (decided by the workshop's master, 2026-10-05)";
    assert!(
        page.contains(&said.replace("30.48", "30.5")) || page.contains(said),
        "{page}"
    );
    assert!(
        page.contains(
            "4° instead of 5° (decided by the foreman, 2026-10-05, an old body that twists)"
        ),
        "{page}"
    );
    let json = sheet(&[("settings.yaml", BY_VALUE)], &["--format", "json"]);
    let json: Value = serde_json::from_str(&json.done().stdout).unwrap();
    let laid = json["laid_over"].as_array().unwrap();
    assert_eq!(laid.len(), 2);
    let hose = laid
        .iter()
        .find(|laid| laid["setting"] == "fuel-filler-hose.least_overlap")
        .unwrap();
    assert_eq!(hose["was"]["value"], 25.0);
    // 1 in is 25.4 mm by definition.
    assert!((hose["value"]["value"].as_f64().unwrap() - 1.2 * 25.4).abs() < 1e-9);
    // What was not named is ours: the procedure finds all of its settings.
    assert!(page.contains("15 mm"), "{page}");
}

#[test]
fn a_value_changes_what_it_decides_and_an_empty_folder_nothing() {
    let link = |files: &[(&str, &str)]| {
        let json = sheet(files, &["--format", "json"]).done().stdout;
        let json: Value = serde_json::from_str(&json).unwrap();
        let links = json["links"].as_array().unwrap().clone();
        let is = |link: &Value| link["class"] == "heater-hoses";
        let hoses = links.into_iter().find(is).unwrap();
        (hoses["verdict"].clone(), json["plan_digest"].clone())
    };
    let ours = link(&[(".keep", "")]);
    let much = link(&[(
        "settings.yaml",
        "settings: {heater-hoses.reserve: 300 mm}\n",
    )]);
    assert_ne!(ours.1, much.1);
    assert_eq!((ours.0, much.0), ("leave".into(), "extend".into()));
}

#[test]
fn what_is_no_setting_is_refused_with_the_nearest() {
    let cases = [
        ("tilt_limt: 4 deg", "did you mean `tilt_limit`?"),
        (
            "fuel-filler-hose.least_overlp: 30 mm",
            "did you mean `least_overlap`?",
        ),
        (
            "fuel-filler-hoze.least_overlap: 30 mm",
            "did you mean `fuel-filler-hose`?",
        ),
        ("tilt_limit: 4 kg", "deg"),
    ];
    for (line, help) in cases {
        let text = format!("settings:\n  {line}\n");
        let outcome = sheet(&[("settings.yaml", &text)], &[]).failed();
        assert!(outcome.stderr.contains(help), "{line}: {}", outcome.stderr);
        assert!(
            outcome.stderr.contains("settings.yaml:2:"),
            "{}",
            outcome.stderr
        );
    }
}

#[test]
fn every_file_is_read_or_refused() {
    let cases = [
        (
            "connections/fuel-filler-hose.yml",
            "name it `connections/fuel-filler-hose.yaml`",
        ),
        ("connections/sub/fuel-filler-hose.yaml", "no rule is read"),
        ("tables/threads.yaml", "is not laid over ours"),
        ("settings.yml", "name it `settings.yaml`"),
        ("notes.txt", "no rule is read"),
    ];
    for (path, said) in cases {
        let outcome = sheet(&[(path, "title: x\n")], &[]).failed();
        assert!(outcome.stderr.contains(said), "{path}: {}", outcome.stderr);
        assert!(outcome.stderr.contains("unknown-rule-file"), "{path}");
    }
}

#[cfg(unix)]
#[test]
fn a_pipe_in_the_folder_is_refused_and_never_opened() {
    let bench = Bench::new().file("own/connections/.keep", "");
    let pipe = bench.path().join("own/connections/hose.yaml");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status();
    assert!(made.unwrap().success());
    let outcome = bench.run(["sheet", "--rules", "own"]).failed();
    assert!(
        outcome.stderr.contains("no file that can be read"),
        "{}",
        outcome.stderr
    );
}

#[test]
fn a_broken_file_is_told_of_though_this_job_does_not_use_it() {
    let files = [
        ("connections/of-another-vehicle.yaml", "title: Hose\n"),
        ("limits/elsewhere.yaml", "title: Elsewhere\n"),
        ("connections/like/mine.yaml", "like: nothing-of-that-name\n"),
    ];
    for file in files {
        let outcome = sheet(&[file], &[]).failed();
        assert!(
            outcome.stderr.contains(file.0),
            "{}: {}",
            file.0,
            outcome.stderr
        );
    }
}

#[test]
fn a_shared_file_of_a_workshop_changes_every_class_that_takes_it_over() {
    let ours = include_str!("../rules/connections/like/run.yaml");
    let own = ours.replace(
        "because: <both> come back",
        "because: here <both> come back",
    );
    assert_ne!(own, ours);
    let check = Bench::new()
        .file("own/connections/like/run.yaml", own)
        .run(["check", "own"])
        .code(0);
    assert!(
        check
            .stderr
            .contains("connections/like/run.yaml: laid over ours"),
        "{}",
        check.stderr
    );
}

/// A workshop that copies the whole rule set to begin with: its shared files leave words open, which their classes fill in.
#[test]
fn a_copy_of_all_rules_is_without_fault_and_lays_no_value_over() {
    let rules = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("rules");
    let bench = Bench::new().folder(&rules, "own");
    std::fs::remove_dir_all(bench.path().join("own/demo")).unwrap();
    let check = bench.run(["check", "own"]).code(0);
    assert!(check.stderr.contains("laid over ours"), "{}", check.stderr);
    assert!(!check.stderr.contains(" instead of "), "{}", check.stderr);
}

#[test]
fn check_lists_what_is_laid_over() {
    let said = Bench::new()
        .file("own/settings.yaml", BY_VALUE)
        .run(["check", "own"])
        .code(0)
        .stderr;
    assert!(said.contains("tilt_limit: 4° instead of 5°"), "{said}");
}

#[test]
fn what_is_brought_about_again_by_stage_is_of_the_whole_vehicle() {
    let said = |again: &str| {
        let states = format!(
            "source: [{{document: common practice, status: common practice}}]\nstates: {{}}\nagain: {again}\n"
        );
        let bench = Bench::new().file("own/states.yaml", &states);
        bench.run(["check", "own"]).code(1).stderr
    };
    let told = said("{refit: {bolts: out, battery: isolatd}}");
    assert!(
        told.contains("`bolts` is no state of the whole vehicle"),
        "{told}"
    );
    assert!(
        told.contains("the course of `battery` has no step `isolatd`"),
        "{told}"
    );
    let told = said("{refitting: {battery: isolated}}");
    assert!(told.contains("`refitting` is not known here"), "{told}");
}

#[test]
fn a_file_of_the_procedure_stands_in_place_of_ours_and_a_state_keeps_what_is_not_said_of_it() {
    let as_found = "stage: as found
source: [{document: common practice, status: common practice}]
tasks: [{id: crane, task: {title: Look at the crane, minutes: [1, 2, 3]}}]
";
    let states = "source: [{document: common practice, status: common practice}]
states:
  body: {of: side, course: [down as found, on jacks at the first stop, up on jacks, on stands, down on its blocks]}
moments: {idling: {coolant: filled..ready}}
";
    let bench = Bench::new()
        .file("own/procedure/05-as-found.yaml", as_found)
        .file("own/states.yaml", states);
    let said = bench.run(["check", "own"]).code(0).stderr;
    let gone = "no longer done: taken-in, read-faults, road-test-as-found,";
    assert!(said.contains(gone), "{said}");
    let call = ["sheet", "--rules", "own", "--format", "json"];
    let plan = Plan(bench.run(call).done().json());
    // Whom a raised body shuts out, and what holds while the engine idles, was not said otherwise.
    let walk = plan.task("walk-round.cab.left");
    assert_eq!(walk["shuts_out"], json!(["inside", "under"]));
    let check = &plan.task("clutch-line.check.idling")["while"];
    assert_eq!(check["engine"], "idling");
    assert_eq!(check["coolant"], "filled..ready");
}

#[test]
fn what_cannot_be_begun_or_set_is_told_by_the_check() {
    let pattern = include_str!("../rules/patterns/dual-cab.yaml");
    let high = pattern.replacen("spacer: 40 mm", "spacer: 400 mm", 1);
    let new = "settings: {round: {label: room, unit: mm, value: 30 mm}}\n";
    let loose = "settings: {tilt_limit: 4 ±1}\n";
    for (path, text, says) in [
        (
            "patterns/own.yaml",
            high.as_str(),
            "no job can be begun from it: `400 mm` is out of range",
        ),
        (
            "settings.yaml",
            new,
            "a new one has a `label`, a `unit`, a `value` and a `source`",
        ),
        (
            "settings.yaml",
            loose,
            "a setting is one value, without a tolerance",
        ),
    ] {
        let bench = Bench::new().file(&format!("own/{path}"), text);
        bench.run(["check", "own"]).failed().complains(says);
    }
}

#[test]
fn a_class_is_found_by_a_word() {
    let found = |words: &[&str]| {
        let call = ["classes"].iter().chain(words).copied();
        Bench::new().run(call).done().stdout
    };
    assert!(found(&["second", "BATTERY"]).contains("second-battery-and-cables: "));
    assert!(!found(&["battery"]).contains("fuel-filler-hose"));
    let all = found(&[]);
    for area in ["cab\n", "engine bay\n", "rear outside\n", "headlamp-aim: "] {
        assert!(all.contains(area), "{all}");
    }
    Bench::new().run(["classes", "flux"]).failed();
}

#[test]
fn an_unknown_class_is_near_to_those_that_share_its_words() {
    let demo = include_str!("../rules/demo/forestry-crew.yaml");
    let job = demo.replacen("class: fuel-filler-hose", "class: second-battery", 1);
    assert_ne!(job, demo);
    let outcome = Bench::new()
        .file("job.yaml", job)
        .run(["check", "job.yaml"]);
    outcome.complains("did you mean `second-battery-and-cables`?");
}

#[test]
fn a_setting_that_is_called_like_a_measurement_does_not_stand_in_for_it() {
    let ours = std::fs::read_to_string("rules/connections/engine-earth-strap.yaml").unwrap();
    let setting = "settings:\n  slack: {label: clash, unit: mm, value: 500, source: {document: common practice, status: common practice}}\n";
    let class = ours.replacen("settings:\n", setting, 1);
    let job = demo().replace("{slack: 15 mm, plan: 112 mm", "{plan: 112 mm");
    let bench = Bench::new()
        .file("own/connections/engine-earth-strap.yaml", class)
        .file("job.yaml", job);
    let page = bench.run(["sheet", "job.yaml", "--rules", "own"]).done();
    page.prints("Engine earth strap | **measure** |");
    bench
        .run(["check", "--rules", "own"])
        .failed()
        .complains("`slack` already stands for something else");
}
