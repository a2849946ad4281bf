//! A workshop with people, PINs and a job, and lines as whoever has only its folder can write them.

use std::path::PathBuf;

use liftsheet::chain::sha256;
use serde_json::{Value, json};

use super::NAMES;
use crate::errors::snapshot;
use crate::record::desk::Desk;
use crate::support::run::Outcome;

pub(super) fn kept(name: &str, outcome: &Outcome) {
    assert!(NAMES.contains(&name), "`{name}` is not listed");
    snapshot(name, &outcome.stderr);
}

/// A desk whose folder has people of its own.
pub(super) struct Shop {
    pub(super) desk: Desk,
    pub(super) birch: String,
    pub(super) ash: String,
}

pub(super) fn digits(outcome: &Outcome) -> String {
    let line = outcome.stdout.lines().next().unwrap();
    let digits = line.rsplit(' ').next().unwrap();
    assert!(
        digits.len() == 6 && digits.bytes().all(|byte| byte.is_ascii_digit()),
        "{line}"
    );
    digits.to_owned()
}

pub(super) fn join<'a>(person: &'a str, name: &'a str, role: &'a str) -> Vec<&'a str> {
    vec!["--join", person, "--name", name, "--role", role]
}

impl Shop {
    /// Birch the supervisor and Ash the fitter with a PIN each, Cedar the apprentice and Elm the other supervisor without.
    pub(super) fn new() -> Self {
        let desk = Desk::new();
        let people = |more: &[&str]| {
            let words = ["people", "."].iter().chain(more).copied();
            desk.bench.run(words).done()
        };
        people(&join("birch", "Birch (invented)", "supervisor"));
        for (person, name, role) in [
            ("ash", "Ash (invented)", "fitter"),
            ("cedar", "Cedar (invented)", "apprentice"),
            ("elm", "Elm (invented)", "supervisor"),
        ] {
            people(&[join(person, name, role), vec!["--by", "birch"]].concat());
        }
        let birch = digits(&desk.bench.run(["pin", ".", "birch"]).done());
        let shop = Self {
            desk,
            birch,
            ash: String::new(),
        };
        let ash = digits(
            &shop
                .typing(&["pin", ".", "ash", "--by", "birch"], &[&shop.birch])
                .done(),
        );
        Self { ash, ..shop }
    }

    /// Runs a command with what is typed for it, a line each.
    pub(super) fn typing(&self, words: &[&str], typed: &[&str]) -> Outcome {
        let typed: String = typed.iter().flat_map(|line| [*line, "\n"]).collect();
        let call = self.desk.bench.call(words.iter().copied());
        call.arg("--pin-stdin").stdin(typed).run()
    }

    /// Signs with a PIN.
    pub(super) fn sign(&self, words: &[&str], pin: &str) -> Outcome {
        let call = self.desk.call("sign", words).arg("--pin-stdin");
        call.stdin(format!("{pin}\n")).run()
    }

    pub(super) fn chocks(&self) -> Outcome {
        self.sign(&["chocks", "--by", "ash", "--ticks"], &self.ash)
    }

    pub(super) fn path(&self, name: &str) -> PathBuf {
        self.desk.bench.path().join(name)
    }

    pub(super) fn entries(&self) -> Vec<Value> {
        let text = std::fs::read_to_string(self.path("people.record.jsonl")).unwrap();
        let lines = text.lines();
        lines
            .map(|line| serde_json::from_str(line).unwrap())
            .collect()
    }

    /// What the record of the job says, and how it ends.
    pub(super) fn record(&self) -> Outcome {
        self.desk.call("record", &[]).run()
    }
}

/// A line behind others as whoever has only the folder can write it: numbered, chained and sealed well.
fn forged(lines: &str, change: impl FnOnce(&mut Value)) -> String {
    let last = lines.lines().last().unwrap();
    let mut line: Value = serde_json::from_str(last).unwrap();
    line["number"] = json!(lines.lines().count() + 1);
    line["before"] = json!(sha256(last.as_bytes()));
    line.as_object_mut().unwrap().remove("seal");
    line.as_object_mut().unwrap().remove("machine");
    line.as_object_mut().unwrap().remove("key");
    change(&mut line);
    line["seal"] = json!(sha256(line.to_string().as_bytes()));
    format!("{lines}{line}\n")
}

pub(super) fn forge(path: &std::path::Path, change: impl FnOnce(&mut Value)) {
    let lines = std::fs::read_to_string(path).unwrap();
    std::fs::write(path, forged(&lines, change)).unwrap();
}
