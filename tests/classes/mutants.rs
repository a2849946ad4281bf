//! The shipped rules with one slip each: a comparison turned round, a release left out, a check that never applies. Each slip is to be
//! found, by what is said of the rule file itself or by the cases of its class; the share that is found is printed.

use std::collections::{BTreeMap, BTreeSet};

use liftsheet::lint;
use liftsheet::report::{Code, Report};
use liftsheet::rules::{self, Files, Rules, Wanted, builtin};
use liftsheet::source::Source;

use super::within::told;
use super::{Case, case, cases, classes, shipped};

/// One slip in one rule file.
struct Mutant {
    slip: String,
    text: String,
    /// Whether the release of a class is left out, which says nothing where another file gives it.
    drops: bool,
}

/// Every slip that is tried in a rule file.
fn mutants(text: &str) -> Vec<Mutant> {
    let lines: Vec<&str> = text.lines().collect();
    let mut found = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let with = |new: String| {
            let mut all: Vec<&str> = lines.clone();
            all[at] = &new;
            all.join("\n") + "\n"
        };
        for (slip, new) in turned(line) {
            found.push(Mutant {
                slip,
                text: with(new),
                drops: false,
            });
        }
        if let Some((head, condition)) = line.split_once("applies: ") {
            let slip = format!("never applies: {condition}");
            // Beside other fields on its line it ends before the next of them, or with the line's bracket.
            let beside = head.contains('{').then(|| condition.find([',', '}']));
            let tail = beside.flatten().map_or("", |end| &condition[end..]);
            found.push(Mutant {
                slip,
                text: with(format!("{head}applies: \"false\"{tail}")),
                drops: false,
            });
        }
        if line.trim() == "release:" {
            let deep = |line: &str| line.len() - line.trim_start().len();
            let block = lines.iter().skip(at + 1);
            let block = block
                .take_while(|own| own.trim().is_empty() || deep(own) > deep(line))
                .count();
            let rest = lines
                .iter()
                .enumerate()
                .filter(|(own, _)| *own < at || *own > at + block);
            let text: Vec<&str> = rest.map(|(_, line)| *line).collect();
            found.push(Mutant {
                slip: "no release".to_owned(),
                text: text.join("\n") + "\n",
                drops: true,
            });
        }
    }
    found
}

/// A line with one of the comparisons of its condition turned round, for each of them.
fn turned(line: &str) -> Vec<(String, String)> {
    let Some(start) = ["when: ", "applies: "]
        .iter()
        .find_map(|key| Some(line.find(key)? + key.len()))
    else {
        return Vec::new();
    };
    let end = line[start..]
        .find(", verdict")
        .map_or(line.len(), |end| start + end);
    let signs = [
        (" >= ", " < "),
        (" <= ", " > "),
        (" > ", " <= "),
        (" < ", " >= "),
        (" == ", " != "),
        (" != ", " == "),
    ];
    let mut found = Vec::new();
    for (sign, other) in signs {
        let places = line[start..end].match_indices(sign);
        for (place, _) in places {
            let (head, tail) = line.split_at(start + place);
            let slip = format!("{}: {}", line.trim(), format!("{sign} turned").trim());
            found.push((slip, format!("{head}{other}{}", &tail[sign.len()..])));
        }
    }
    found
}

/// The rules with one file otherwise, with some classes only.
fn with(path: &str, text: &str, classes: &[&str], report: &mut Report) -> Rules {
    let simple = Source::read(&case("rules/small/connections/body-mount.yaml")).unwrap();
    let own = Source::from_text(path, text);
    let files = BTreeMap::from([
        ("connections/simple-mount.yaml".to_owned(), simple),
        (path.to_owned(), own),
    ]);
    let wanted = Wanted {
        classes: classes.iter().copied().chain(["simple-mount"]).collect(),
        regions: BTreeSet::new(),
    };
    rules::load(&Files::overlaid(files, true), &wanted, report)
}

/// Whether a slip is found with one class.
fn is_found(path: &str, mutant: &Mutant, id: &str) -> Option<bool> {
    let mut report = Report::new();
    let rules = with(path, &mutant.text, &[id], &mut report);
    let unread = report
        .problems
        .iter()
        .find(|problem| problem.code == Code::BadYaml);
    assert!(unread.is_none(), "{path}: {}: {unread:?}", mutant.slip);
    if !report.problems.is_empty() {
        return Some(true);
    }
    let class = classes(&rules).find(|class| class.id == id)?;
    if mutant.drops && class.release.is_some() {
        return None;
    }
    let wrong = |case: &Case| {
        let told = told(&rules, class, case);
        told.is_none_or(|told| told.verdict.word() != case.verdict || told.release != case.released)
    };
    if cases(class).iter().any(wrong) {
        return Some(true);
    }
    lint::lint(&rules, &mut report);
    Some(!report.problems.is_empty())
}

/// The rule files below `connections/like` that a class takes over, directly or through another.
fn taken(path: &str) -> BTreeSet<String> {
    let source = builtin::file(path).unwrap_or_else(|| panic!("there is no {path}"));
    let likes = source
        .text()
        .lines()
        .find_map(|line| line.strip_prefix("like: "));
    let likes = likes
        .unwrap_or_default()
        .trim_matches(['[', ']'])
        .split(", ");
    let likes = likes.filter(|like| !like.is_empty());
    let likes = likes.map(|like| format!("connections/like/{like}.yaml"));
    likes
        .flat_map(|like| taken(&like).into_iter().chain([like]))
        .collect()
}

/// Slips that change no verdict and no task, each with the reason.
const CHANGE_NOTHING: [(&str, &str); 2] = [
    (
        "connections/load-sensing-brake-valve-rod.yaml: - when: turned.turn <= turn_limit: <=  turned",
        "the lever's turn tells only that it is disturbed; it is set by pressure or length in any case",
    ),
    (
        "connections/ride-height-sensor-rod.yaml: - when: turned.turn <= turn_limit: <=  turned",
        "the lever's turn tells only that it is disturbed; it is set by the maker's length in any case",
    ),
];

// The share that is found is what this test is for; a list of what is not shows where a case is wanted.
#[allow(clippy::print_stdout)]
#[test]
fn slips_in_the_shipped_rules_are_found() {
    let shipped = shipped();
    let mut users: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    for class in classes(shipped) {
        let (_, path) = class.file.split_once("rules/").unwrap_or(("", &class.file));
        for path in taken(path).into_iter().chain([path.to_owned()]) {
            users.entry(path).or_default().insert(&class.id);
        }
    }
    let (mut tried, mut missed) = (0, Vec::new());
    for (path, users) in &users {
        let source = builtin::file(path).unwrap();
        for mutant in mutants(source.text()) {
            let mut results = users
                .iter()
                .filter_map(|id| is_found(path, &mutant, id))
                .peekable();
            if results.peek().is_none() {
                continue;
            }
            tried += 1;
            if !results.any(|found| found) {
                missed.push(format!("{path}: {}", mutant.slip));
            }
        }
    }
    missed.retain(|slip| CHANGE_NOTHING.iter().all(|(known, _)| known != slip));
    let found = tried - missed.len();
    println!("{found} of {tried} slips are found, or change nothing; not found: {missed:#?}");
    assert!(tried > 250, "only {tried} slips were tried");
    assert!(found * 100 >= tried * 95, "not found: {missed:#?}");
}
