//! Every command, from clap's own account of them: a command that is added is tried with the others. Gives command lines that can run.

use std::collections::BTreeMap;
use std::sync::Mutex;

use clap::{Arg, Command};

use super::run::{Bench, Outcome, case};

/// A command and how it is called.
#[derive(Clone)]
pub(crate) struct Called {
    /// What clap knows of it.
    pub(crate) command: Command,
    /// The words behind `liftsheet`.
    pub(crate) words: Vec<String>,
}

impl Called {
    /// The words behind `liftsheet`.
    pub(crate) fn words(&self) -> impl Iterator<Item = &str> {
        self.words.iter().map(String::as_str)
    }

    /// The same with more words.
    pub(crate) fn and(&self, more: &[&str]) -> Self {
        let mut called = self.clone();
        called
            .words
            .extend(more.iter().map(|word| (*word).to_owned()));
        called
    }

    /// Whether it is none without more words.
    pub(crate) fn needs_more(&self) -> bool {
        let mut arguments = self.command.get_arguments();
        arguments.any(Arg::is_required_set)
    }

    /// Whether it makes a page of a job, which may be the demo.
    pub(crate) fn makes_pages(&self) -> bool {
        let mut arguments = self.command.get_arguments();
        let looks = arguments.any(|argument| argument.get_id() == "paper");
        looks && !self.needs_more()
    }
}

/// What stands for a value in a command line that can run.
fn stands_for(argument: &Arg) -> String {
    let name = argument.get_value_names().and_then(<[_]>::first);
    let name = name.map_or_else(|| argument.get_id().as_str(), |name| name.as_str());
    let word = match name {
        "JOB" | "FILE" => "job.yaml",
        "SHELL" => "bash",
        "WHAT" => "job",
        "WORD" => "hose",
        "FOLDER" => ".",
        "PERSON" => "ash",
        "COPY" => "copy.tar",
        _ => panic!("say here what a `{name}` is, so that this command can be tried"),
    };
    word.to_owned()
}

/// The commands, without clap's own `help`.
pub(crate) fn commands() -> Vec<Command> {
    let mut program = liftsheet::cli::command();
    program.build();
    let commands = program.get_subcommands();
    let ours = commands.filter(|command| command.get_name() != "help");
    ours.cloned().collect()
}

/// Each command by its name alone, but for the page, which goes on until it is told to end.
pub(crate) fn bare() -> Vec<Called> {
    let mut all = named();
    all.retain(|called| called.command.get_name() != "serve");
    all
}

/// Each command by its name alone.
pub(crate) fn named() -> Vec<Called> {
    let called = |command: Command| Called {
        words: vec![command.get_name().to_owned()],
        command,
    };
    commands().into_iter().map(called).collect()
}

/// Each command with all that it needs, and with a job where it takes one; but for the page.
pub(crate) fn filled() -> Vec<Called> {
    bare().into_iter().map(fill).collect()
}

/// Each command with all that it needs, and by its name alone where that is something else: a page of no job is the demo's, which is what
/// the others are given.
pub(crate) fn with_and_without() -> Vec<Called> {
    let mut all = filled();
    let mut without = bare();
    without.retain(|one| !one.makes_pages() && all.iter().all(|known| known.words != one.words));
    // What it says of every rule that is shipped it says of a few, too.
    for check in without.iter_mut().filter(|one| one.words == ["check"]) {
        *check = check.and(&["--only-own-rules", "--rules=small"]);
    }
    all.append(&mut without);
    all
}

fn fill(mut called: Called) -> Called {
    for argument in called.command.get_arguments() {
        let takes_job = argument.is_positional()
            && argument.get_value_names().is_some_and(|names| {
                names
                    .iter()
                    .any(|name| ["JOB", "FILE"].contains(&name.as_str()))
            });
        if !(argument.is_required_set() || takes_job) {
            continue;
        }
        if let Some(long) = argument.get_long() {
            called.words.push(format!("--{long}"));
        }
        called.words.push(stands_for(argument));
    }
    // It takes tasks and a person, or a table, so that neither is required by itself.
    if called.command.get_name() == "sign" {
        let words = ["chock-wheels", "--by", "ash"].map(ToOwned::to_owned);
        called.words.extend(words);
    }
    // It takes values, a table, or a terminal on which it asks.
    if called.command.get_name() == "fill" {
        called.words.push("filler-hose.overlap=38 mm ±2".to_owned());
    }
    called
}

/// The demo as a job of one's own.
pub(crate) fn demo() -> String {
    let demo = liftsheet::rules::builtin::file("demo/forestry-crew.yaml").unwrap();
    demo.text().to_owned()
}

/// The same with the first of its connections alone, which is done in half the time.
pub(crate) fn small() -> String {
    let demo = demo();
    let (head, others) = demo.split_once("\n  - id: filler-breather\n").unwrap();
    format!(
        "{head}\n{}",
        &others[others.find("\nconsequences:\n").unwrap()..]
    )
}

/// A folder with that as `job.yaml`, and a few rules.
pub(crate) fn bench() -> Bench {
    Bench::new()
        .file("job.yaml", small())
        .folder(&case("rules/small"), "small")
}

/// What a command comes to in such a folder, run once for all tests.
pub(crate) fn usually(called: &Called) -> Outcome {
    static KNOWN: Mutex<BTreeMap<Vec<String>, Outcome>> = Mutex::new(BTreeMap::new());
    let known = KNOWN.lock().unwrap().get(&called.words).cloned();
    known.unwrap_or_else(|| {
        let outcome = bench().call(called.words()).run();
        let mut known = KNOWN.lock().unwrap();
        known.insert(called.words.clone(), outcome.clone());
        outcome
    })
}
