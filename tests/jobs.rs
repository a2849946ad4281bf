//! Whole invented jobs below `cases/jobs`: each complete, planned in an order that holds, and its verdicts kept as they were read.

use std::collections::{BTreeMap, BTreeSet};

use crate::support::plan::{Plan, after, id};
use crate::support::run::{Bench, case};

fn plan(name: &str) -> Plan {
    let text = std::fs::read_to_string(case(&format!("jobs/{name}.yaml"))).unwrap();
    let bench = Bench::new().file("job.yaml", text);
    let call = ["sheet", "job.yaml", "--format", "json"];
    Plan(bench.run(call).done().json())
}

fn names() -> Vec<String> {
    let entries = std::fs::read_dir(case("jobs")).unwrap();
    let name = |path: std::path::PathBuf| path.file_stem().unwrap().to_str().unwrap().to_owned();
    let mut names: Vec<String> = entries.map(|entry| name(entry.unwrap().path())).collect();
    names.sort();
    names
}

fn list<'a>(value: &'a serde_json::Value, key: &str) -> &'a [serde_json::Value] {
    value[key].as_array().unwrap()
}

#[test]
fn every_job_is_complete_and_its_verdicts_are_those_that_were_read() {
    let names = names();
    assert!(names.contains(&"sixty-links".to_owned()));
    for name in &names {
        let plan = plan(name);
        assert_eq!(plan.0["provisional"], false, "{name}");
        let links = list(&plan.0, "links").iter();
        let line = |link: &serde_json::Value| {
            format!(
                "{} {}\n",
                link["id"].as_str().unwrap(),
                link["verdict"].as_str().unwrap()
            )
        };
        let verdicts: String = links.map(line).collect();
        let mut settings = insta::Settings::clone_current();
        settings.set_snapshot_path("snapshots/jobs");
        settings.set_prepend_module_to_snapshot(false);
        settings.set_omit_expression(true);
        settings.bind(|| insta::assert_snapshot!(name.as_str(), verdicts));
    }
}

#[test]
fn every_task_stands_after_what_it_waits_for() {
    for name in names() {
        let plan = plan(&name);
        let mut done: BTreeSet<&str> = BTreeSet::new();
        for task in plan.tasks() {
            for before in after(task) {
                assert!(
                    done.contains(before),
                    "{name}: {} before {before}",
                    id(task)
                );
            }
            assert!(done.insert(id(task)), "{name}: {} stands twice", id(task));
        }
    }
}

/// The job of more than sixty links: of different classes, each looked at, and work for each that is worked on.
#[test]
fn sixty_links_of_different_classes() {
    let plan = plan("sixty-links");
    let links: Vec<&serde_json::Value> = list(&plan.0, "links")
        .iter()
        .filter(|link| link["kind"] == "link")
        .collect();
    let classes: BTreeSet<&str> = links
        .iter()
        .map(|link| link["class"].as_str().unwrap())
        .collect();
    assert!(
        links.len() >= 60 && classes.len() >= 60,
        "{} links, {} classes",
        links.len(),
        classes.len()
    );
    let mut work: BTreeMap<&str, usize> = BTreeMap::new();
    for task in plan.tasks() {
        for of in list(task, "for") {
            *work.entry(of.as_str().unwrap()).or_default() += 1;
        }
    }
    for link in links {
        let (id, verdict) = (
            link["id"].as_str().unwrap(),
            link["verdict"].as_str().unwrap(),
        );
        let idle = verdict == "leave" && link["release"] == false;
        // What can hurt people is looked at wherever it moves, and nothing else is done to it.
        let looked_at = idle && link["disturbed"] == true && {
            let mut own = plan
                .tasks()
                .iter()
                .filter(|task| list(task, "for").contains(&link["id"]));
            own.all(|task| task["stage"] == "check")
        };
        assert!(
            work.contains_key(id) != idle || looked_at,
            "{id}: {verdict}"
        );
    }
}

/// A wagon without bars, winch or air conditioning needs no trade but for its brakes, and less than two thirds of the double-cab's hours.
#[test]
fn a_bare_wagon_is_far_less_work() {
    let hours = |plan: &Plan| {
        let tasks = plan.tasks().iter().filter(|task| task["due"].is_null());
        let minutes = tasks.map(|task| {
            task["minutes"]["likely"].as_f64().unwrap() * task["people"].as_f64().unwrap()
        });
        minutes.sum::<f64>() / 60.0
    };
    let wagon = plan("bare-wagon");
    let trades: BTreeSet<&str> = wagon
        .tasks()
        .iter()
        .filter_map(|task| task["trade"].as_str())
        .collect();
    assert_eq!(trades, BTreeSet::from(["brakes"]));
    let demo = Plan(
        Bench::new()
            .run(["sheet", "--format", "json"])
            .done()
            .json(),
    );
    assert!(
        hours(&wagon) * 1.5 < hours(&demo),
        "{} and {}",
        hours(&wagon),
        hours(&demo)
    );
    assert!((25.0..=50.0).contains(&hours(&demo)), "{}", hours(&demo));
}

/// The lift is judged where the job says it is driven, and what needs a certificate is put to an engineer, once.
#[test]
fn its_region_asks_for_a_certificate() {
    let plan = plan("sixty-links");
    let word = |limit: &serde_json::Value| {
        let text = |key: &str| limit[key].as_str().unwrap().to_owned();
        format!("{}: {}, {}", text("id"), text("state"), text("verdict"))
    };
    let limits: Vec<String> = list(&plan.0, "limits").iter().map(word).collect();
    assert_eq!(
        limits,
        [
            "blocks-certified: passed, refer",
            "blocks: kept, leave",
            "suspension: kept, leave",
            "tyres: kept, leave",
            "combined: kept, leave"
        ]
    );
    let engineer = plan.ids();
    let engineer = engineer
        .iter()
        .filter(|id| **id == "register-with-engineer");
    assert_eq!(engineer.count(), 1);
    plan.in_order(&["road-test", "aim-headlamps", "before-handover"]);
    plan.in_order(&[
        "before-it-moves",
        "calibrate-driver-aids",
        "before-handover",
    ]);
    plan.in_order(&["insurance-and-certificate.ask-engineer", "before-release"]);
}
