//! Rule files that would hang the program, fill its memory or overflow its stack: refused in a calm sentence.

use std::time::{Duration, Instant};

use crate::support::run::{Bench, Outcome};
use liftsheet::rules::expression::LONGEST;

const PATIENCE: Duration = Duration::from_secs(10);

/// A class whose first condition and its reason are those.
fn class(when: &str, because: &str) -> String {
    let [when, because] = [when, because].map(|text| serde_json::to_string(text).unwrap());
    format!(
        "title: Earth strap\narea: engine bay\nwhere: here\nwhy: it tears\nif_missed: it tears\nleft_alone: it rides along\n\
         source: [{{document: common practice, status: common practice}}]\n\
         measurements:\n  slack: {{label: slack, how: Pull., unit: mm, range: [0, 200], tolerance: 2}}\n\
         customer: {{group: electrics, what: a strap, watch: a spark}}\nnever_released: It is invented.\n\
         checks:\n  - id: pull\n    verdicts:\n      - {{when: {when}, verdict: leave, because: {because}}}\n\
         \x20     - {{verdict: refer, because: too short}}\n"
    )
}

fn job() -> String {
    let demo = include_str!("../rules/demo/forestry-crew.yaml");
    let (before, _) = demo.split_once("\nlinks:\n").unwrap();
    let strap =
        "{id: s, class: strap, ends: [engine, bulkhead], held_by: none, measured: {slack: 100 mm}}";
    format!("{before}\nlinks:\n  - {strap}\n")
}

/// The sheet of a job that uses the class, made twice in one call: on threads, whose stacks are small.
fn sheets(when: &str, because: &str) -> Outcome {
    let bench = Bench::new()
        .file("a.yaml", job())
        .file("b.yaml", job())
        .file("own/connections/strap.yaml", class(when, because));
    let start = Instant::now();
    let outcome = bench
        .call(["sheet", "a.yaml", "b.yaml", "--rules", "own", "-o", "out/"])
        .run();
    assert!(start.elapsed() < PATIENCE, "{:?}", start.elapsed());
    outcome
}

/// Expressions that the engine takes apart by going down once for each of their pieces.
fn deep(length: usize) -> Vec<String> {
    let pieces = [
        ("", "not ", "true"),
        ("", "-", "1"),
        ("", "(", "1"),
        ("", "[", "1"),
        ("", "true if true else ", "true"),
        ("1", "+1", ""),
        ("1", "~1", ""),
        ("1", "**1", ""),
        ("true", " and true", ""),
        ("slack", ".a", ""),
        ("slack", "[0]", ""),
        ("slack", "|mm", ""),
        ("slack", "()", ""),
        ("slack", " is defined", ""),
    ];
    let deep = pieces.iter().map(|(before, piece, after)| {
        let times = (length - before.len() - after.len()) / piece.len();
        format!("{before}{}{after}", piece.repeat(times))
    });
    deep.collect()
}

/// As long as an expression may be, each is evaluated or refused, and no stack overflows.
#[test]
fn the_deepest_expressions_that_are_read_end_calmly() {
    for expression in deep(LONGEST - 10) {
        let outcome = sheets(&expression, "it is so");
        assert!(outcome.code.is_some_and(|code| code <= 2), "{expression}");
        let outcome = sheets("true", &format!("{{{{ {expression} }}}}"));
        assert!(outcome.code.is_some_and(|code| code <= 2), "{expression}");
    }
}

#[test]
fn an_expression_or_text_longer_than_any_is_refused_with_the_limit() {
    for expression in deep(3_900) {
        for outcome in [
            sheets(&expression, "it is so"),
            sheets("true", &format!("{{{{ {expression} }}}}")),
        ] {
            assert_eq!(outcome.code, Some(1), "{}", outcome.stderr);
            let said = &outcome.stderr;
            assert!(said.contains("error[bad-expression]"), "{said}");
            assert!(said.contains("at most 2000 are read"), "{said}");
            assert!(said.len() < 10_000, "{} bytes are said of it", said.len());
        }
    }
}

/// Text that grows or never ends takes more steps than an evaluation may take, or more than fits.
#[test]
fn text_that_grows_without_end_is_refused() {
    let doubled = format!(
        "{{% set a = 'aaaaaaaa' %}}{}{{{{ a }}}}",
        "{% set a = a ~ a %}".repeat(40)
    );
    let tenfold = format!("{{{{ 'a'{} }}}}", "|replace('a', 'aaaaaaaaaa')".repeat(9));
    for text in [
        "{{ 'a' * 1000000000 }}",
        "{{ ([1] * 1000000000) | length }}",
        "{{ 'a' | indent(2000000000) }}",
        "{{ '%1000000000d' | format(3) }}",
        "{{ [1] | batch(1000000000, 0) | list | length }}",
        "{% for i in range(100000) %}{% for j in range(100000) %}{{ j }}{% endfor %}{% endfor %}",
        "{% macro m(x) %}{{ m(x) }}{% endmacro %}{{ m(1) }}",
        &doubled,
        &tenfold,
    ] {
        let outcome = sheets("true", text);
        assert_eq!(outcome.code, Some(1), "{text}: {}", outcome.stderr);
        assert!(outcome.stderr.contains("error[bad-expression]"), "{text}");
    }
}

/// Templates reach no file and no network: the engine knows no other text.
#[test]
fn a_text_reads_nothing_but_its_names() {
    for text in [
        "{% include 'job.yaml' %}",
        "{% import '/etc/passwd' as x %}",
        "{% extends 'page.html' %}",
        "{{ open('/etc/passwd') }}",
        "{{ self.__init__ }}",
    ] {
        let outcome = sheets("true", text);
        assert_eq!(outcome.code, Some(1), "{text}: {}", outcome.stderr);
        assert!(outcome.stderr.contains("error[bad-expression]"), "{text}");
    }
}

/// A megabyte of rules would be hours of work and gigabytes of plan: a list has a limit.
#[test]
fn a_rule_with_thousands_of_entries_is_refused_with_the_limit() {
    let whole = class("slack > 3", "it is so");
    let check = |number: usize| {
        format!("  - id: c{number}\n    verdicts:\n      - {{verdict: leave, because: x}}\n")
    };
    let many: String = (0..5_000).map(check).collect();
    let bench = Bench::new()
        .file("job.yaml", job())
        .file("own/connections/strap.yaml", whole + &many);
    for arguments in [
        &["sheet", "job.yaml", "--rules", "own"][..],
        &["check", "--rules", "own"],
    ] {
        let outcome = bench.run(arguments.iter().copied()).failed();
        let said = &outcome.stderr;
        assert!(said.contains("error[too-many]: 5001 entries"), "{said}");
        assert!(said.contains("at most 50"), "{said}");
        assert!(said.contains("strap.yaml:12:"), "{said}");
    }
}

/// One check of thirteen readings would be judged at some eight thousand corners of their tolerances.
#[test]
fn a_check_that_goes_by_more_readings_than_can_be_judged_together_is_refused() {
    let class = |count: usize| {
        let readings = (1..=count).map(|number| {
            format!("  r{number}: {{label: r{number}, how: Pull., unit: mm, range: [0, 200], tolerance: 2}}\n")
        });
        let sum: Vec<String> = (1..=count).map(|number| format!("r{number}")).collect();
        let class = class(&format!("{} > 3", sum.join(" + ")), "it is so");
        class.replace(
            "measurements:\n",
            &format!("measurements:\n{}", readings.collect::<String>()),
        )
    };
    let check = |count: usize| {
        let bench = Bench::new().file("own/connections/strap.yaml", class(count));
        bench.run(["check", "--rules", "own"]).stderr
    };
    let said = check(13);
    assert!(
        said.contains("error[too-many]: it goes by 13 readings"),
        "{said}"
    );
    assert!(!check(12).contains("too-many"));
}
