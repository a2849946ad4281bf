//! `explain`: every code that a problem can carry is explained, and an unknown one refused with the nearest.

use liftsheet::report::Code;

use crate::support::run::Bench;

#[test]
fn every_code_is_explained() {
    let bench = Bench::new();
    for code in Code::all() {
        let outcome = bench.run(["explain", code.as_str()]).done();
        let first = format!("{code}: {}\n\n", code.description());
        assert!(outcome.stdout.starts_with(&first), "{}", outcome.stdout);
        let explanation = outcome.stdout.strip_prefix(&first).unwrap();
        assert!(
            explanation.trim_end().ends_with('.') && explanation.len() > 60,
            "{explanation}"
        );
    }
}

#[test]
fn without_a_code_every_code_is_listed_once() {
    let outcome = Bench::new().run(["explain"]).done();
    let listed: Vec<&str> = outcome
        .stdout
        .lines()
        .map(|line| line.split(':').next().unwrap())
        .collect();
    let all: Vec<&str> = Code::all().map(Code::as_str).collect();
    assert_eq!(listed, all);
}

#[test]
fn an_unknown_code_is_refused_with_the_nearest() {
    let outcome = Bench::new().run(["explain", "unknwon-part"]).failed();
    outcome
        .complains("no code `unknwon-part`")
        .complains("did you mean `unknown-part`?");
}
