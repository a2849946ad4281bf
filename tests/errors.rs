//! Deliberate mistakes: every job file below `cases/errors` has one, and its name says which. What the program says of it is kept
//! whole beside it, so that a message that gets worse is seen.
//!
//! A file is named for the code of its problem, with a few words behind where there are several. A folder `rules-<code>` holds the
//! rules that are wrong and the job that meets them. Files that cannot be kept in a repository are made by `hostile`; refusals to sign
//! by `record::refused`.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use liftsheet::report::Code;

use crate::crew;
use crate::fill;
use crate::hostile;
use crate::people;
use crate::record::refused;
use crate::support::run::{Bench, case};

/// What a case with more than one kind of problem is called.
const SEVERAL: &str = "ten-mistakes";

/// Compares with the kept text.
pub(crate) fn snapshot(name: &str, text: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("snapshots/errors");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!(name, text));
}

fn entries(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths
}

/// The cases of the repository: a file, or a folder with rules and a job.
fn cases() -> Vec<(String, PathBuf)> {
    let name = |path: PathBuf| (path.file_stem().unwrap().to_str().unwrap().to_owned(), path);
    entries(&case("errors")).into_iter().map(name).collect()
}

#[test]
fn every_mistake_in_a_job_is_told_with_its_place_and_its_way_out() {
    for (name, path) in cases().into_iter().filter(|(_, path)| path.is_file()) {
        let file = format!("{name}.yaml");
        let bench = Bench::new().file(&file, std::fs::read(&path).unwrap());
        let outcome = bench.run(["check", file.as_str()]).failed();
        snapshot(&name, &outcome.stderr);
    }
}

#[test]
fn every_mistake_in_a_rule_is_told_with_its_place_and_its_way_out() {
    for (name, path) in cases().into_iter().filter(|(_, path)| path.is_dir()) {
        let bench = Bench::new()
            .folder(&case("rules/small"), "small")
            .folder(&path, ".");
        let own = ["check", "--only-own-rules", "--rules", "small"];
        let call = bench.call(own);
        let call = if path.join("rules").exists() {
            call.arg("--rules").arg("rules")
        } else {
            call
        };
        let outcome = call.arg("job.yaml").run();
        let (code, severity) = if outcome.stderr.contains("error[") {
            (1, "error[")
        } else {
            (0, "warning[")
        };
        let outcome = outcome.code(code).complains(severity);
        snapshot(&name, &outcome.stderr);
    }
}

/// The code that a case is named for: the longest one that its name begins with.
fn code_of(name: &str) -> Option<Code> {
    let name = name.strip_prefix("rules-").unwrap_or(name);
    let fits = |code: &Code| {
        let rest = name.strip_prefix(code.as_str());
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
    };
    Code::all()
        .filter(fits)
        .max_by_key(|code| code.as_str().len())
}

#[test]
fn every_code_has_a_case_that_shows_it() {
    let mut shown = BTreeSet::new();
    let own = cases().into_iter().map(|(name, _)| name);
    let made = hostile::NAMES
        .iter()
        .chain(refused::NAMES)
        .chain(crew::NAMES)
        .chain(fill::NAMES)
        .chain(people::NAMES);
    let all = own.chain(made.map(|name| (*name).to_owned()));
    let all: BTreeSet<String> = all.collect();
    for name in &all {
        let kept = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join(format!("tests/snapshots/errors/{name}.snap"));
        let text = std::fs::read_to_string(kept).unwrap();
        let Some(code) = code_of(name) else {
            assert_eq!(name, SEVERAL, "the case is not named for a code");
            continue;
        };
        assert!(
            text.contains(&format!("[{code}]: ")),
            "`{name}` does not show `{code}`:\n{text}"
        );
        shown.insert(code);
    }
    let missing: Vec<Code> = Code::all().filter(|code| !shown.contains(code)).collect();
    assert!(missing.is_empty(), "no case shows {missing:?}");
    let kept = entries(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/snapshots/errors"));
    for path in kept {
        let name = path.file_stem().unwrap().to_str().unwrap();
        assert!(all.contains(name), "`{name}` is kept, and no case makes it");
    }
}

#[test]
fn mistakes_of_many_kinds_are_told_in_one_run() {
    let text = std::fs::read(case("errors/ten-mistakes.yaml")).unwrap();
    let bench = Bench::new().file("job.yaml", text);
    let outcome = bench.run(["check", "job.yaml"]).failed();
    let kinds = [
        "duplicate-key",
        "unknown-field",
        "wrong-unit",
        "not-finite",
        "unknown-part",
        "missing-field",
        "out-of-range",
        "bad-id",
        "unitary-body",
        "unknown-span",
        "unknown-class",
    ];
    for kind in kinds {
        assert!(
            outcome.stderr.contains(&format!("error[{kind}]")),
            "no {kind} in:\n{}",
            outcome.stderr
        );
    }
    for way_out in [
        "did you mean `engine`?",
        "did you mean `gear-lever`?",
        "did you mean `spacer`?",
    ] {
        assert!(
            outcome.stderr.contains(way_out),
            "no {way_out} in:\n{}",
            outcome.stderr
        );
    }
}

/// The manual names the trades that a licence may be for, in their order.
#[test]
fn the_trades_in_the_manual_are_those_that_are_known() {
    let manual = include_str!("../templates/manual/job-file.md").replace('\n', " ");
    let (_, named) = manual.split_once("`licences:` names trades: ").unwrap();
    let (named, _) = named.split_once('.').unwrap();
    let named: Vec<&str> = named
        .split(',')
        .map(|one| one.trim().trim_matches('`'))
        .collect();
    assert_eq!(named, liftsheet::rules::TRADES);
}

/// What the manual says of mistakes that are shown together, and of those that hide others.
#[test]
fn only_a_mistake_that_leaves_nothing_to_look_at_hides_others() {
    let text = std::fs::read_to_string(case("errors/unknown-class.yaml")).unwrap();
    let told = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        let bench = Bench::new().file("job.yaml", text.replacen(from, to, 1));
        bench.run(["check", "job.yaml"]).failed().stderr
    };
    let both = told("name: Invented wagon", "name: Invented wagon, colour: red");
    assert!(both.contains("error[unknown-field]") && both.contains("error[unknown-class]"));
    let one = told("name: Invented wagon", "name: [Invented wagon]");
    assert!(one.contains("error[wrong-type]") && !one.contains("error[unknown-class]"));
}
