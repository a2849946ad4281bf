//! The lint tried on small rule sets: a sound one with nothing to say of it, its neighbours, each with one thing wrong, and the rule set
//! that is shipped.
//!
//! The neighbours stand in `cases/`: what is changed (file, text, the text in its place), what is then found (code and place, all of it,
//! in order), and what the first finding says.

use std::collections::BTreeMap;

use crate::report::{Problem, Report, Severity};
use crate::rules::{Files, Rules, Wanted, load};
use crate::source::Source;

/// The sound rule set. Its class has a list, a choice, an optional measurement, two calculations and every kind of expression. Invented.
const SOUND: [(&str, &str); 8] = [
    ("connections/trial-lever.yaml", include_str!("class.yaml")),
    ("settings.yaml", include_str!("settings.yaml")),
    ("states.yaml", include_str!("states.yaml")),
    ("procedure/20-strip.yaml", include_str!("strip.yaml")),
    ("procedure/40-raise.yaml", include_str!("raise.yaml")),
    ("procedure/80-refit.yaml", include_str!("refit.yaml")),
    ("consequences/trial-aim.yaml", include_str!("aim.yaml")),
    ("limits/trial-region.yaml", include_str!("region.yaml")),
];

#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    change: Vec<(String, String, String)>,
    #[serde(default)]
    found: Vec<String>,
    #[serde(default)]
    says: String,
}

/// The sound rule set, each change made of it.
fn changed(changes: &[(String, String, String)]) -> Files {
    let mut files = SOUND.map(|(path, text)| (path, text.to_owned()));
    for (file, from, to) in changes {
        let mut files = files.iter_mut();
        let (_, text) = files.find(|(path, _)| path.contains(file)).unwrap();
        assert!(text.contains(from), "`{from}` is not in {file}");
        *text = text.replacen(from, to, 1);
    }
    let own = files.map(|(path, text)| (path.to_owned(), Source::from_text(path, text)));
    Files::overlaid(own.into(), false)
}

/// Rules loaded whole and looked at.
fn linted(files: &Files) -> (Rules, Vec<Problem>) {
    let mut report = Report::new();
    let (classes, regions) = (files.class_ids(), files.ids("limits"));
    let wanted = Wanted {
        classes: classes.iter().map(String::as_str).collect(),
        regions: regions.iter().map(String::as_str).collect(),
    };
    let rules = load(files, &wanted, &mut report);
    assert_eq!(report.problems, [], "the rule set cannot be loaded");
    super::lint(&rules, &mut report);
    (rules, report.problems)
}

/// Asserts that every case of a file is answered with exactly what it says, each finding at its place.
fn answered(cases: &str) {
    let groups: BTreeMap<String, Vec<Case>> = serde_yaml::from_str(cases).unwrap();
    let mut wrong = Vec::new();
    for (group, case) in groups
        .iter()
        .flat_map(|(group, cases)| cases.iter().map(move |case| (group, case)))
    {
        let (_, problems) = linted(&changed(&case.change));
        let found = problems.iter().map(|problem| {
            let place = &problem.at.as_ref().unwrap().path;
            format!("{} {place}", problem.code.as_str())
        });
        let found: Vec<String> = found.collect();
        let first = problems.first();
        let said = first.map_or_else(String::new, |first| {
            format!("{}; {}", first.message, first.help.as_deref().unwrap())
        });
        if found != case.found || !said.contains(&case.says) {
            wrong.push(format!(
                "{group}: {case:?}\n  found {found:?}\n  said {said}"
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn nothing_is_said_of_the_sound_rule_set() {
    assert_eq!(linted(&changed(&[])).1, []);
}

#[test]
fn neighbours_of_the_class_are_answered() {
    answered(include_str!("cases/classes.yaml"));
}

#[test]
fn neighbours_of_the_procedure_are_answered() {
    answered(include_str!("cases/procedure.yaml"));
}

#[test]
fn neighbours_of_consequence_and_region_are_answered() {
    answered(include_str!("cases/beside.yaml"));
}

#[test]
fn the_shipped_rules_have_no_error() {
    let (rules, mut problems) = linted(&Files::builtin());
    problems.retain(|problem| problem.severity == Severity::Error);
    assert_eq!(problems, []);
    assert!(rules.classes.len() > 40, "only some classes were looked at");
}
