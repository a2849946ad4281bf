//! Every class of connection and every consequence, tried on a small invented vehicle: one file a class below `cases/classes`, and in
//! it one case for each verdict that the class can give. Adding a case is adding an entry; adding a class is adding a file.
//!
//! A case says what was measured and which verdict follows; what it leaves out is the small vehicle's. Each goes through the whole
//! pipeline, from the job file's text to the plan.

mod mutants;
mod taller;
mod vehicle;
mod within;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use liftsheet::job;
use liftsheet::pipeline;
use liftsheet::plan::{Sized, Task};
use liftsheet::report::Report;
use liftsheet::rules::{Area, Class, Rules, Size, Verdict};
use liftsheet::source::Source;
use serde::Deserialize;
use serde_json::{Map, Value};
use strum::IntoEnumIterator;

use self::vehicle::{Kind, job_file, kind};
use crate::support::in_process::shipped_and_simple;
use crate::support::run::case;

/// One file of cases.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Cases {
    cases: Vec<Case>,
    /// Verdicts that the class gives and no case of this vehicle can reach, each with the reason.
    #[serde(default)]
    not_reached: BTreeMap<String, String>,
}

/// One case: what was measured, and which verdict follows.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    /// What makes this case, in a few words.
    #[serde(rename = "case")]
    name: String,
    verdict: String,
    /// Height of the blocks, mm.
    #[serde(default = "usual_height")]
    spacer: f64,
    /// What its two ends ride with: `cab`, `tub`, `chassis` or `axle`.
    #[serde(default = "usual_ends")]
    ends: (String, String),
    /// Whether it comes apart before the body goes up.
    #[serde(default)]
    released: bool,
    #[serde(default)]
    measured: Map<String, Value>,
    /// Words that its reason or its plan's tasks have, and words that they must not have.
    #[serde(default)]
    says: Vec<String>,
    #[serde(default)]
    never_says: Vec<String>,
    /// What differs in the vehicle, and in the blocks.
    #[serde(default)]
    vehicle: Map<String, Value>,
    #[serde(default)]
    block: Map<String, Value>,
}

fn usual_height() -> f64 {
    40.0
}

fn usual_ends() -> (String, String) {
    ("cab".to_owned(), "chassis".to_owned())
}

/// The shipped rules with every class, and one simple class for the mounts that are not tried.
fn shipped() -> &'static Rules {
    static RULES: OnceLock<Rules> = OnceLock::new();
    RULES.get_or_init(|| shipped_and_simple("simple-mount"))
}

fn classes(rules: &Rules) -> impl Iterator<Item = &Class> {
    let connections = rules
        .classes
        .values()
        .filter(|class| class.id != "simple-mount");
    connections.chain(rules.consequences.values())
}

fn cases(class: &Class) -> Vec<Case> {
    file(class).cases
}

fn file(class: &Class) -> Cases {
    let path = case(&format!("classes/{}.yaml", class.id));
    let text =
        std::fs::read_to_string(&path).unwrap_or_else(|_| panic!("`{}` has no cases", class.id));
    serde_yaml::from_str(&text).unwrap_or_else(|error| panic!("{}: {error}", class.id))
}

/// What came of a case.
struct Came {
    verdict: Verdict,
    because: String,
    /// Its reason, what the customer is told, and every task of the plan as other programs are told of it.
    told: String,
    missing: Vec<String>,
    /// Whether it came apart on the way, and so has work whatever its verdict.
    released: bool,
    /// Whether the plan has work for it: a task of its own, or one of the procedure that it calls.
    work: bool,
    /// Parts that are shorter or thinner than the task for which they are ordered asks.
    too_small: Vec<String>,
}

/// By what id the assessment knows what is tried.
fn tried_id(class: &Class) -> &str {
    match kind(class) {
        Kind::Mount => "mount-tried",
        Kind::Consequence => &class.id,
        Kind::Link | Kind::Bridge => "tried",
    }
}

fn came(rules: &Rules, class: &Class, case: &Case) -> Came {
    let text = job_file(class, case);
    let mut report = Report::new();
    let source = Source::from_text("case.yaml", text);
    let job = job::read(&source, false, &mut report);
    let outcome = job.and_then(|job| {
        pipeline::run(&job, rules, &mut report, |made| {
            let id = tried_id(class);
            let link = &made.assessment.links[id];
            let own = made
                .plan
                .tasks
                .iter()
                .any(|task| task.links.iter().any(|of| of == id));
            let called = link.runs.iter().any(|run| !run.branch.leaves.is_empty());
            let asked = !(case.says.is_empty() && case.never_says.is_empty());
            let tasks = asked.then(|| serde_json::to_string(&made.plan.tasks).unwrap());
            let because = link.because.print(liftsheet::quantity::Units::Metric);
            Came {
                verdict: link.verdict,
                told: format!("{because}\n{:?}\n{}", link.told, tasks.unwrap_or_default()),
                because,
                missing: link
                    .missing
                    .iter()
                    .map(|missing| missing.place.clone())
                    .collect(),
                released: link.release,
                work: own || called,
                too_small: made.plan.tasks.iter().filter_map(too_small).collect(),
            }
        })
    });
    outcome.unwrap_or_else(|| panic!("{}: {}: {:?}", class.id, case.name, report.problems))
}

/// A task whose parts are smaller than what is to be written down of them once they are fitted.
fn too_small(task: &Task) -> Option<String> {
    const LENGTHS: [&str; 5] = [
        "longer_by",
        "added",
        "length_added",
        "tube_length",
        "bolt_length",
    ];
    let asked = |names: &[&str]| {
        let of = task.evidence.iter();
        let of = of.filter(|evidence| names.contains(&evidence.name.as_str()));
        of.filter_map(|evidence| evidence.least).reduce(f64::max)
    };
    let ordered = |sizes: &[Size]| {
        let of = task.parts.iter().flat_map(|part| &part.sizes);
        let of = of.filter(|(size, _)| sizes.contains(size));
        let of = of.filter_map(|(_, sized)| match sized {
            Sized::Mm(length) => Some(*length),
            Sized::Word(_) => None,
        });
        of.reduce(f64::max)
    };
    let lengths = asked(&LENGTHS).zip(ordered(&[Size::Longer, Size::Length]));
    let thickness = asked(&["thickness"]).zip(ordered(&[Size::Thickness]));
    let mut pairs = lengths.into_iter().chain(thickness);
    let (asked, ordered) = pairs.find(|(asked, ordered)| *ordered < asked - 1e-6)?;
    Some(format!(
        "{}: {asked} mm are asked, {ordered} mm ordered",
        task.id
    ))
}

/// The verdicts that a rule can give by its branches.
fn can_give(class: &Class) -> BTreeSet<&'static str> {
    let branches = class.checks.iter().flat_map(|check| &check.branches);
    branches.map(|branch| branch.verdict.word()).collect()
}

#[test]
fn every_case_comes_out_as_its_file_says() {
    let rules = shipped();
    let mut wrong = Vec::new();
    for class in classes(rules) {
        for case in cases(class) {
            let came = came(rules, class, &case);
            let word = came.verdict.word();
            let has = |words: &&String| came.told.contains(words.as_str());
            let lacking = case.says.iter().filter(|words| !has(words));
            let said = case.never_says.iter().filter(has);
            wrong.extend(
                lacking.map(|words| format!("{}: {}: nothing says `{words}`", class.id, case.name)),
            );
            wrong.extend(
                said.map(|words| format!("{}: {}: something says `{words}`", class.id, case.name)),
            );
            wrong.extend(came.too_small.clone());
            let complete = came.missing.is_empty() || word == "measure";
            let working = came.released || !matches!(word, "leave" | "stop");
            // What is still to be measured may be asked of the vehicle as a whole.
            // What holds two bodies together has to be undone, whatever stops the lift.
            let undone = word == "stop" && kind(class) == Kind::Bridge;
            // Of steering, brakes, clutch, fuel, gears and restraint what is left alone is looked at all the same.
            let looked_at = word == "leave" && class.always_checked;
            let worked = came.work == working || word == "measure" || undone || looked_at;
            let right = word == case.verdict && came.released == case.released;
            if !right || !complete || !worked {
                wrong.push(format!(
                    "{}: {}: {word}, released {}, and not {}, because {}; missing {:?}",
                    class.id, case.name, came.released, case.verdict, came.because, came.missing
                ));
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

/// A part of the vehicle in which nothing crosses the cut would be one that nobody looked at.
#[test]
fn every_part_of_the_vehicle_has_classes() {
    let rules = shipped();
    for area in Area::iter() {
        let count = rules
            .classes
            .values()
            .filter(|class| class.area == area)
            .count();
        assert!(count >= 3, "{}: {count}", area.word());
    }
    assert!(rules.classes.len() > 95 && rules.consequences.len() >= 9);
}

#[test]
fn every_class_has_a_case_for_each_verdict_that_it_can_give() {
    let rules = shipped();
    let mut complete = 0;
    let mut lacking = Vec::new();
    for class in classes(rules) {
        let file = file(class);
        let cases = file.cases.iter();
        let given: BTreeSet<&str> = cases.map(|case| case.verdict.as_str()).collect();
        let mut wanted = can_give(class);
        wanted.retain(|verdict| !file.not_reached.contains_key(*verdict));
        // A link is also left alone when its ends ride together.
        wanted.extend((kind(class) == Kind::Link).then_some("leave"));
        let missing: Vec<&&str> = wanted.difference(&given).collect();
        if missing.is_empty() {
            complete += 1;
        } else {
            lacking.push(format!("{}: no case for {missing:?}", class.id));
        }
    }
    assert_eq!(lacking, Vec::<String>::new());
    assert!(complete > 100, "only {complete} classes were looked at");
}

#[test]
fn every_file_of_cases_is_of_a_class_and_no_two_of_its_cases_are_alike() {
    let rules = shipped();
    for entry in std::fs::read_dir(case("classes")).unwrap() {
        let path = entry.unwrap().path();
        let id = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let class = classes(rules).find(|class| class.id == id);
        let class = class.unwrap_or_else(|| panic!("there is no class `{id}`"));
        let mut seen = BTreeSet::new();
        for case in cases(class) {
            assert!(
                seen.insert(case.name.clone()),
                "{id}: {} stands twice",
                case.name
            );
        }
    }
}
