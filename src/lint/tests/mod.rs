//! The lint tried on small rule sets: a sound one with nothing to say of it, and its neighbours, each with one thing wrong.

mod beside;
mod classes;
mod procedure;
mod shipped;

use std::collections::BTreeMap;

use crate::report::{Code, Problem, Report};
use crate::rules::{Files, Wanted, load};
use crate::source::Source;

/// A class with a list, a choice, an optional measurement, two calculations and every kind of expression. Invented.
const CLASS: &str = include_str!("class.yaml");
/// Settings and procedure that the class names.
const SETTINGS: &str = include_str!("settings.yaml");
const STRIP: &str = include_str!("strip.yaml");
const RAISE: &str = include_str!("raise.yaml");
const STATES: &str = include_str!("states.yaml");
const REFIT: &str = include_str!("refit.yaml");
/// A consequence and a region with a limit. Invented.
const AIM: &str = include_str!("aim.yaml");
const REGION: &str = include_str!("region.yaml");

/// The sound rule set, with a text of one file replaced by another: (file, from, to).
fn linted(changes: &[(&str, &str, &str)]) -> Vec<Problem> {
    let mut files = BTreeMap::from([
        ("connections/trial-lever.yaml", CLASS.to_owned()),
        ("settings.yaml", SETTINGS.to_owned()),
        ("states.yaml", STATES.to_owned()),
        ("procedure/20-strip.yaml", STRIP.to_owned()),
        ("procedure/40-raise.yaml", RAISE.to_owned()),
        ("procedure/80-refit.yaml", REFIT.to_owned()),
        ("consequences/trial-aim.yaml", AIM.to_owned()),
        ("limits/trial-region.yaml", REGION.to_owned()),
    ]);
    for (file, from, to) in changes {
        let text = files
            .iter_mut()
            .find(|(path, _)| path.contains(file))
            .unwrap()
            .1;
        assert!(text.contains(from), "`{from}` is not in {file}");
        *text = text.replacen(from, to, 1);
    }
    let own = files.into_iter();
    let own = own.map(|(path, text)| (path.to_owned(), Source::from_text(path, text)));
    let files = Files::overlaid(own.collect(), false);
    let mut report = Report::new();
    let (classes, regions) = (files.class_ids(), files.ids("limits"));
    let wanted = Wanted {
        classes: classes.iter().map(String::as_str).collect(),
        regions: regions.iter().map(String::as_str).collect(),
    };
    let rules = load(&files, &wanted, &mut report);
    assert_eq!(report.problems, [], "the rule set cannot be loaded");
    super::lint(&rules, &mut report);
    report.problems
}

/// Asserts that a change is answered with exactly these codes, each at its place, and gives what was said first.
#[track_caller]
fn expect(changes: &[(&str, &str, &str)], wanted: &[(Code, &str)]) -> String {
    let problems = linted(changes);
    let found: Vec<(Code, String)> = problems
        .iter()
        .map(|problem| (problem.code, problem.at.as_ref().unwrap().path.to_string()))
        .collect();
    let wanted: Vec<(Code, String)> = wanted
        .iter()
        .map(|(code, path)| (*code, (*path).to_owned()))
        .collect();
    assert_eq!(found, wanted, "{problems:#?}");
    let first = problems.first();
    first.map_or_else(String::new, |problem| {
        format!("{}; {}", problem.message, problem.help.as_deref().unwrap())
    })
}

#[test]
fn nothing_is_said_of_the_sound_rule_set() {
    expect(&[], &[]);
}
