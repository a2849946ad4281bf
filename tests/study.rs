//! The apprentice's page: every answer looked up again in the plan, the rules, or the plan of a changed job file.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use liftsheet::report::Report;
use liftsheet::rules::{self, Files, Rules, Wanted};
use proptest::prelude::*;
use serde_json::Value;

use crate::support::run::{Bench, case};

const DEMO: &str = include_str!("../rules/demo/forestry-crew.yaml");

/// The plan of the demo with blocks of a height, made by the program from a changed job file.
fn plan(height: u32) -> Value {
    let job = DEMO.replace("spacer: 40 mm", &format!("spacer: {height} mm"));
    let bench = Bench::new().file("job.yaml", job);
    bench.run(["sheet", "job.yaml", "--format", "json"]).json()
}

static PLANS: LazyLock<BTreeMap<u32, Value>> = LazyLock::new(|| {
    [20, 30, 40, 50, 60, 70]
        .map(|height| (height, plan(height)))
        .into()
});

static RULES: LazyLock<Rules> = LazyLock::new(|| {
    let files = Files::builtin();
    let classes = files.class_ids();
    let wanted = Wanted::classes(classes.iter().map(String::as_str));
    rules::load(&files, &wanted, &mut Report::new())
});

fn study(arguments: &[&str]) -> Value {
    let call = ["study", "--format", "json"].into_iter();
    Bench::new()
        .run(call.chain(arguments.iter().copied()))
        .done()
        .json()
}

fn texts(value: &Value) -> Vec<&str> {
    value
        .as_array()
        .unwrap()
        .iter()
        .map(|text| text.as_str().unwrap())
        .collect()
}

/// The number at the beginning of a text: `24.1 mm`.
fn number(text: &str) -> f64 {
    text.split([' ', '°']).next().unwrap().parse().unwrap()
}

fn by_id<'v>(list: &'v Value, id: &str) -> &'v Value {
    let list = list.as_array().unwrap();
    list.iter()
        .find(|one| one["id"] == id)
        .unwrap_or_else(|| panic!("no `{id}`"))
}

/// Whether one task waits for another, over any number of others.
fn waits(tasks: &Value, task: &str, first: &str) -> bool {
    let mut open = vec![task.to_owned()];
    let mut seen = BTreeSet::new();
    while let Some(id) = open.pop() {
        if id == first {
            return true;
        }
        if seen.insert(id.clone()) {
            open.extend(
                texts(&by_id(tasks, &id)["after"])
                    .into_iter()
                    .map(ToOwned::to_owned),
            );
        }
    }
    false
}

/// The class's file, read by a second reader.
fn class(id: &str) -> serde_yaml::Value {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("rules");
    let files =
        ["connections", "consequences"].map(|kind| folder.join(kind).join(format!("{id}.yaml")));
    let text = files
        .iter()
        .find_map(|file| std::fs::read_to_string(file).ok());
    serde_yaml::from_str(&text.unwrap()).unwrap()
}

/// One question as JSON.
struct Asked<'v> {
    all: &'v Value,
    options: Vec<&'v str>,
    answer: Vec<&'v str>,
    ids: Vec<&'v str>,
}

impl<'v> Asked<'v> {
    fn new(all: &'v Value) -> Self {
        Self {
            all,
            options: texts(&all["options"]),
            answer: texts(&all["answer"]),
            ids: texts(&all["about"]["ids"]),
        }
    }

    fn name(&self) -> &'v str {
        self.all["about"]["name"].as_str().unwrap()
    }

    /// The option that is right by what the test found out must be the only answer.
    fn is_answered_by(&self, right: &str) {
        assert_eq!(self.answer, [right], "{:#}", self.all);
        assert_eq!(
            self.options
                .iter()
                .filter(|option| **option == right)
                .count(),
            1
        );
    }

    /// Every option's answer must be what the test found out of it.
    fn is_answered_where(&self, right: impl Fn(usize, &str) -> bool) {
        for (at, option) in self.options.iter().enumerate() {
            assert_eq!(
                self.answer.contains(option),
                right(at, option),
                "{option} of {:#}",
                self.all
            );
        }
    }

    fn check(&self) {
        let plan = &PLANS[&40];
        let (links, tasks) = (&plan["links"], &plan["tasks"]);
        match self.all["kind"].as_str().unwrap() {
            "rides" => self.check_ride(links),
            "disturbed" => {
                self.is_answered_where(|at, _| by_id(links, self.ids[at])["disturbed"] == true);
            }
            "number" => {
                let found = &by_id(links, self.ids[0])["results"][self.name()];
                let found = found["value"].as_f64().unwrap();
                assert!(
                    (number(self.answer[0]) - found).abs() < 0.06,
                    "{found} in {:#}",
                    self.all
                );
            }
            "height" => {
                let height = self.all["about"]["height"]["value"].as_f64().unwrap();
                let (_, plan) = PLANS
                    .iter()
                    .find(|(known, _)| f64::from(**known) == height)
                    .unwrap();
                let verdict = by_id(&plan["links"], self.ids[0])["verdict"]
                    .as_str()
                    .unwrap();
                self.is_answered_where(|_, option| option.starts_with(&format!("{verdict}: ")));
            }
            "missed" => self.is_answered_by(class(self.ids[0])["if_missed"].as_str().unwrap()),
            "measured" => {
                // Many classes share what they measure, which only the reader of the rules puts together.
                let (rules, id) = (&*RULES, self.ids[0]);
                let class = rules.classes.get(id).or_else(|| rules.consequences.get(id));
                self.is_answered_by(&class.unwrap().measurements[self.name()].how);
            }
            "order" => self.is_answered_where(|at, option| {
                assert_eq!(by_id(tasks, self.ids[at])["title"], option);
                waits(tasks, self.ids[1 - at], self.ids[at])
            }),
            "hold" => {
                assert_eq!(by_id(tasks, self.ids[0])["hold"], "supervisor");
                self.is_answered_where(|at, _| waits(tasks, self.ids[at + 1], self.ids[0]));
            }
            "who" => self.check_who(tasks),
            "evidence" => self.check_evidence(tasks),
            kind => panic!("`{kind}` is not checked here"),
        }
    }

    fn check_who(&self, tasks: &Value) {
        let task = by_id(tasks, self.ids[0]);
        let right = match (
            task["trade"].as_str(),
            task["apprentice"].as_bool().unwrap(),
        ) {
            (Some(trade), _) => format!("only somebody who holds the licence: {trade}"),
            (None, true) => "a fitter, or an apprentice".to_owned(),
            (None, false) => "a fitter, but no apprentice".to_owned(),
        };
        self.is_answered_by(&right);
    }

    fn check_evidence(&self, tasks: &Value) {
        let evidence = by_id(tasks, self.ids[0])["evidence"].as_array().unwrap();
        let evidence = evidence
            .iter()
            .find(|one| one["name"] == self.name())
            .unwrap();
        let least = evidence["least"].as_f64().unwrap_or(f64::NEG_INFINITY);
        let most = evidence["most"].as_f64().unwrap_or(f64::INFINITY);
        self.is_answered_where(|_, option| (least..=most).contains(&number(option)));
    }

    /// What a part rides with stands at the spans that end on it, where there is one.
    fn check_ride(&self, links: &Value) {
        assert_eq!(self.options, ["the chassis", "the cab", "the tub"]);
        let spans = links
            .as_array()
            .unwrap()
            .iter()
            .flat_map(|link| link["spans"].as_array().unwrap());
        for span in spans {
            for (end, group) in [("from", 0), ("to", 1)] {
                if span[end] == self.ids[0] {
                    self.is_answered_by(&format!(
                        "the {}",
                        span["groups"][group].as_str().unwrap()
                    ));
                }
            }
        }
    }
}

fn check(study: &Value) -> BTreeSet<String> {
    let questions = study["questions"].as_array().unwrap();
    let mut seen = BTreeSet::new();
    for question in questions {
        let asked = Asked::new(question);
        asked.check();
        let mut options = asked.options.clone();
        options.sort_unstable();
        let says = format!("{} {options:?}", question["text"]);
        assert!(seen.insert(says), "asked twice: {question:#}");
        assert!(
            !asked.answer.is_empty() && question["because"] != "",
            "{question:#}"
        );
        assert!(
            options.is_empty() || asked.answer.len() < options.len(),
            "{question:#}"
        );
    }
    questions
        .iter()
        .map(|question| question["kind"].as_str().unwrap().to_owned())
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_answer_is_right_whatever_the_seed(seed in any::<u64>()) {
        let found = study(&["--seed", &seed.to_string()]);
        let kinds = check(&found);
        prop_assert!(kinds.len() >= 9, "only {:?}", kinds);
        let count = found["questions"].as_array().unwrap().len();
        prop_assert!(count >= 20, "only {} questions", count);
    }
}

#[test]
fn a_seed_is_one_set_of_questions() {
    let page = |arguments: &[&str]| {
        let call = ["study"].into_iter().chain(arguments.iter().copied());
        Bench::new().run(call).done().stdout
    };
    let first = page(&[]);
    assert_eq!(first, page(&["--seed", "1"]));
    assert_ne!(first, page(&["--seed", "2"]));
    assert!(first.contains("seed 1") && first.contains("`--seed 2`"));
    let lessons = |page: &str, seed: u32| {
        let lessons = page.split("## Questions").next().unwrap();
        let next = format!("--seed {}", seed + 1);
        lessons
            .replace(&next, "the next")
            .replace(&format!("seed {seed}"), "this")
    };
    // The lessons have nothing to do with the seed.
    assert_eq!(lessons(&first, 1), lessons(&page(&["--seed", "2"]), 2));
}

#[test]
fn answers_stand_behind_all_questions_and_nowhere_else() {
    let page = Bench::new().run(["study"]).done().stdout;
    let (before, answers) = page.split_once("\n## Answers\n").unwrap();
    let (_, questions) = before.split_once("\n## Questions\n").unwrap();
    let found = study(&[]);
    for (at, question) in found["questions"].as_array().unwrap().iter().enumerate() {
        let line = |text: &str| {
            text.lines()
                .filter(|line| line.starts_with(&format!("{}. ", at + 1)))
                .count()
        };
        assert_eq!((line(questions), line(answers)), (1, 1), "{question:#}");
        assert!(
            !questions.contains(question["because"].as_str().unwrap()),
            "{question:#}"
        );
    }
}

#[test]
fn every_tick_box_has_a_name_of_its_own() {
    let html = Bench::new()
        .run(["study", "--format", "html"])
        .done()
        .stdout;
    let names: Vec<&str> = html
        .split("aria-label=\"")
        .skip(1)
        .map(|rest| rest.split('"').next().unwrap())
        .filter(|name| *name != "Contents")
        .collect();
    let distinct: BTreeSet<&str> = names.iter().copied().collect();
    assert_eq!(names.len(), distinct.len());
    assert!(
        names.len() > 60 && names.iter().all(|name| name.contains(" (question ")),
        "{names:?}"
    );
}

#[test]
fn classes_narrow_the_page() {
    let found = study(&["fuel-filler-hose", "headlamp-aim"]);
    let ids: Vec<&str> = found["classes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|class| class["id"].as_str().unwrap())
        .collect();
    assert_eq!(
        ids,
        ["headlamp-aim", "fuel-filler-hose"],
        "in walking order"
    );
    assert!(check(&found).len() >= 5);
    let page = Bench::new().run(["study", "fuel-filler-hose"]).done();
    page.prints("## Tank and rear: Fuel filler hose")
        .prints("overlap_left = overlap − ");
    // The demo has none: what is measured and calculated, without numbers.
    let none = Bench::new().run(["study", "snorkel"]).done();
    let none = none
        .prints("This vehicle has none")
        .prints(": Raised air intake")
        .stdout;
    assert!(none.contains("**What is measured:**"), "{none}");
    // A job beside a class: that class on that vehicle.
    let job = case("jobs/sixty-links.yaml");
    let found = study(&[job.to_str().unwrap(), "fuel-filler-hose"]);
    assert_eq!(found["classes"].as_array().unwrap().len(), 1);
    assert_eq!(found["demo"], false);
}

/// The gap and the rise of this class are worked out by its rule: they are no gap that is there now and no rise of a body.
#[test]
fn what_the_words_of_a_calculation_do_not_say_rightly_is_not_asked_for() {
    let job = case("jobs/sixty-links.yaml");
    let asked = |class: &str| {
        let page = Bench::new().run(["study", class, job.to_str().unwrap()]);
        page.done().stdout.contains("Work out: ")
    };
    assert!(asked("fuel-filler-hose"));
    assert!(!asked("guard-to-tyre-clearance"));
}

#[test]
fn the_large_vehicle_has_lessons_and_questions() {
    let job = case("jobs/sixty-links.yaml");
    let found = study(&[job.to_str().unwrap()]);
    assert!(found["questions"].as_array().unwrap().len() >= 20);
    assert!(found["classes"].as_array().unwrap().len() > 40);
}

#[test]
fn a_word_that_is_neither_is_refused_with_a_way_out() {
    let bench = Bench::new();
    bench
        .run(["study", "fuel-filer-hose"])
        .failed()
        .complains("error[unknown-class]: `fuel-filer-hose` is neither a job file nor a class of connection")
        .complains("did you mean `fuel-filler-hose`?");
    bench
        .run(["study", "missing.yaml"])
        .failed()
        .complains("error[unreadable-file]");
    let two = Bench::new().file("a.yaml", DEMO).file("b.yaml", DEMO);
    two.run(["study", "a.yaml", "b.yaml"])
        .failed()
        .complains("more than one job file");
    bench.run(["study", "--seed", "many"]).failed();
}

#[test]
fn typed_text_stays_text() {
    let evil = "<b>x</b> | **t** ![i](cut.svg) [l](https://a.example) `c`";
    let job = DEMO
        .replace("{title: fuel tank,", &format!("{{title: \"{evil}\","))
        .replace("title: Upper radiator hose", &format!("title: \"{evil}\""));
    let bench = Bench::new().file("job.yaml", job);
    let html = bench
        .run(["study", "job.yaml", "--format", "html"])
        .done()
        .stdout;
    assert!(html.contains("&lt;b&gt;x&lt;/b&gt; | **t** ![i](cut.svg)"));
    for markup in ["<b>", "<img", "<a href=\"h", "<strong>t<", "<code>c<"] {
        assert!(!html.contains(markup), "{markup}");
    }
    let found = bench
        .run(["study", "job.yaml", "--format", "json"])
        .done()
        .json();
    assert!(found.to_string().contains("![i](cut.svg)"));
}

#[test]
fn a_vehicle_with_everything_still_to_measure_has_lessons() {
    let survey = include_str!("../rules/demo/forestry-crew-survey.yaml");
    let bench = Bench::new().file("job.yaml", survey);
    bench
        .run(["study", "job.yaml"])
        .done()
        .prints("still to be measured here")
        .prints("**PROVISIONAL**");
    // What is not settled is not asked about.
    let plan = bench
        .run(["sheet", "job.yaml", "--format", "json"])
        .done()
        .json();
    let found = bench
        .run(["study", "job.yaml", "--format", "json"])
        .done()
        .json();
    for question in found["questions"].as_array().unwrap() {
        if ["disturbed", "number", "height"].contains(&question["kind"].as_str().unwrap()) {
            for id in texts(&question["about"]["ids"]) {
                assert_ne!(
                    by_id(&plan["links"], id)["verdict"],
                    "measure",
                    "{question:#}"
                );
            }
        }
    }
}

#[test]
fn the_whole_study_of_a_small_job() {
    let job = std::fs::read_to_string(case("pages/wagon.yaml")).unwrap();
    let bench = Bench::new()
        .folder(&case("rules/small"), "rules")
        .file("job.yaml", job);
    let page = bench
        .run(["study", "job.yaml", "--only-own-rules", "--rules", "rules"])
        .done()
        .stdout;
    insta::assert_snapshot!("study-of-a-small-job", page);
}

#[test]
fn a_seed_that_is_no_whole_number_is_told_what_a_seed_is() {
    let bench = Bench::new();
    for seed in ["x", "-1", "1.5", "18446744073709551616"] {
        bench
            .run(["study", "--seed", seed])
            .failed()
            .complains("a seed is a whole number from 0 to 18446744073709551615");
    }
}

#[test]
fn a_class_that_is_not_known_is_told_where_classes_are_named() {
    let outcome = Bench::new().run(["study", "nosuch"]).failed();
    outcome
        .complains("the first are ")
        .complains("its classes stand in it behind `class:`");
}
