//! A small job with its own few rules, and people who sign on it.
//!
//! The order of work: chocks, safe (hold), bonnet and grille off, stripped, released, gaps-before.body, bolts-loose.body, one side and then
//! the other up and down, tight.body, square.body, gas (licensed), hose.correct, corrected, …, checked (hold), handed-over (hold).

use serde_json::{Value, json};

use crate::support::plan::Plan;
use crate::support::run::{Bench, Call, Outcome, case};
use crate::support::vehicle::{Link, Vehicle};

/// Where the rules of the job stand.
pub(crate) const RULES: [&str; 5] = ["--only-own-rules", "--rules", "small", "--rules", "signing"];

/// A folder with the job, its rules and its record.
pub(crate) struct Desk {
    pub(crate) bench: Bench,
}

impl Desk {
    /// The job, with nothing signed.
    pub(crate) fn new() -> Self {
        Self::with(|_| ())
    }

    /// The job as changed by `change`, with nothing signed.
    pub(crate) fn with(change: impl FnOnce(&mut Value)) -> Self {
        let bench = Bench::new()
            .folder(&case("rules/small"), "small")
            .folder(&case("rules/signing"), "signing")
            .file("job.yaml", job(change));
        Self { bench }
    }

    /// Writes the job again, as changed by `change`.
    pub(crate) fn rewrite(&self, change: impl FnOnce(&mut Value)) {
        std::fs::write(self.bench.path().join("job.yaml"), job(change)).unwrap();
    }

    /// A call of a command on the job.
    pub(crate) fn call<'a>(&self, command: &'a str, more: &[&'a str]) -> Call<'_> {
        let arguments = [command, "job.yaml"]
            .into_iter()
            .chain(more.iter().copied());
        self.bench.call(arguments.chain(RULES))
    }

    /// Signs.
    pub(crate) fn sign(&self, task: &str, by: &str, more: &[&str]) -> Outcome {
        let head = [task, "--by", by];
        let all: Vec<&str> = head.into_iter().chain(more.iter().copied()).collect();
        self.call("sign", &all).run()
    }

    /// Ash does it, Birch checks it.
    #[track_caller]
    pub(crate) fn through(&self, task: &str, values: &[&str]) {
        self.sign(task, who_does(task), values).done();
        self.sign(task, "birch", &["--act", "checked"]).done();
    }

    /// Signs every task of the lift up to `last` and including it.
    #[track_caller]
    pub(crate) fn through_all_to(&self, last: &str) {
        self.through_all_from("chocks", last);
    }

    /// Signs every task of the lift from `first` to `last`, both of them included, by one table: two calls for each would take ten times
    /// as long.
    #[track_caller]
    pub(crate) fn through_all_from(&self, first: &str, last: &str) {
        let plan = self.plan();
        let mut table = "task,done_by,checked_by,name,value,wrench,odometer\n".to_owned();
        for task in &plan.ids()[plan.position(first)..=plan.position(last)] {
            table += &format!("{task},{},birch,,,,\n", who_does(task));
            for pair in values(task).chunks(2) {
                let cells = match pair {
                    ["--value", pair] => pair.replacen('=', ",", 1) + ",,",
                    ["--wrench", wrench] => format!(",,{wrench},"),
                    _ => format!(",,,{}", pair[1]),
                };
                table += &format!("{task},,,{cells}\n");
            }
        }
        let sign = self.call("sign", &["--from", "-", "--by", "ash"]);
        sign.stdin(table).run().done();
    }

    /// The plan.
    pub(crate) fn plan(&self) -> Plan {
        Plan(
            self.call("sheet", &["--format", "json"])
                .run()
                .done()
                .json(),
        )
    }

    /// How the tasks stand.
    #[track_caller]
    pub(crate) fn status(&self) -> Value {
        let outcome = self.call("record", &["--format", "json"]).run();
        assert_ne!(outcome.code, Some(2), "{}", outcome.stderr);
        outcome.json()
    }

    /// How one task stands.
    #[track_caller]
    pub(crate) fn task(&self, id: &str) -> Value {
        let status = self.status();
        let tasks = status["tasks"].as_array().unwrap();
        let found = tasks.iter().find(|task| task["id"] == id).cloned();
        found.unwrap_or_else(|| panic!("no task {id}"))
    }

    /// The state of one task.
    #[track_caller]
    pub(crate) fn state(&self, id: &str) -> String {
        self.task(id)["state"].as_str().unwrap().to_owned()
    }

    /// The record's file.
    pub(crate) fn path(&self) -> std::path::PathBuf {
        self.bench.path().join("job.record.jsonl")
    }

    /// The record's bytes.
    pub(crate) fn bytes(&self) -> Vec<u8> {
        std::fs::read(self.path()).unwrap_or_default()
    }

    /// Puts other bytes in the place of the record.
    pub(crate) fn replace(&self, bytes: impl AsRef<[u8]>) {
        std::fs::write(self.path(), bytes).unwrap();
    }

    /// The record's lines as JSON.
    #[track_caller]
    pub(crate) fn lines(&self) -> Vec<Value> {
        let text = String::from_utf8(self.bytes()).unwrap();
        text.lines()
            .map(|line| serde_json::from_str(line).unwrap())
            .collect()
    }

    /// The lines that are about a task.
    #[track_caller]
    pub(crate) fn signed(&self) -> Vec<Value> {
        let lines = self.lines().into_iter();
        lines.filter(|line| line["task"] != "").collect()
    }

    /// The tasks that are not signed off of those up to one of them, itself included.
    #[track_caller]
    pub(crate) fn open_up_to(&self, last: &str) -> Vec<String> {
        let status = self.status();
        let tasks = status["tasks"].as_array().unwrap();
        let end = tasks.iter().position(|task| task["id"] == last).unwrap();
        let open = tasks[..=end]
            .iter()
            .filter(|task| task["state"] != "signed off");
        open.map(|task| task["id"].as_str().unwrap().to_owned())
            .collect()
    }
}

/// Who does a task.
fn who_does(task: &str) -> &'static str {
    if task == "gas" { "rowan" } else { "ash" }
}

/// What is written down for a task, all of it right.
pub(crate) fn values(task: &str) -> Vec<&'static str> {
    match task {
        "chocks" => vec!["--value", "chocked=yes"],
        "gaps-before.body" => gaps("gap_before", ["31", "32", "30", "30.5"]),
        "square.body" => gaps("gap_after", ["71", "72", "70", "70.5"]),
        "tight.body" => {
            let mut all = gaps("torque", ["90", "90", "90", "90"]);
            all.extend(["--wrench", "W7"]);
            all
        }
        "gas" => vec!["--value", "certificate=R-1"],
        "hose.check" => vec!["--value", "left=30 mm"],
        "handed-over" => vec!["--odometer", "45210"],
        "retorque" => vec!["--value", "marks=yes", "--odometer", "45310"],
        "mounts-BODY-1L-to-BODY-2R.check" => gaps("seated", ["yes", "yes", "yes", "yes"]),
        _ => Vec::new(),
    }
}

/// The same thing at each of the four mounts.
pub(crate) fn gaps(name: &str, values: [&str; 4]) -> Vec<&'static str> {
    let mounts = ["BODY-1L", "BODY-1R", "BODY-2L", "BODY-2R"];
    let pairs = mounts.iter().zip(values);
    let arguments = pairs.flat_map(|(mount, value)| {
        let pair: &'static str = format!("{name}.{mount}={value}").leak();
        ["--value", pair]
    });
    arguments.collect()
}

/// The job file.
pub(crate) fn job(change: impl FnOnce(&mut Value)) -> String {
    let hose = Link::new("hose", "hose")
        .end("engine", [100.0, 0.0, 300.0])
        .end("bulkhead", [0.0, 0.0, 300.0])
        .free()
        .measured("slack", "30 mm");
    let mut job = Vehicle::wagon(40.0).link(hose).value();
    job["vehicle"]["identification"] = json!("INVENTED-1");
    job["zone"] = json!("Australia/Hobart");
    job["people"] = json!([
        {"id": "ash", "name": "Ash (invented)", "roles": "fitter"},
        {"id": "birch", "name": "Birch (invented)", "roles": ["fitter", "supervisor"]},
        {"id": "cedar", "name": "Cedar (invented)", "roles": "apprentice"},
        {"id": "rowan", "name": "Rowan (invented)", "roles": "tradesperson", "licences": ["refrigerant"]},
    ]);
    change(&mut job);
    serde_yaml::to_string(&job).unwrap()
}
