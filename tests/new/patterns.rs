//! Every pattern with its options, through the library: what `new` writes is a whole survey, and filled in a whole job.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use liftsheet::form::form;
use liftsheet::job;
use liftsheet::pipeline::{self, Made};
use liftsheet::report::Report;
use liftsheet::rules::pattern::{self, Chosen, Pattern};
use liftsheet::rules::{self, Files, Rules, Wanted};
use liftsheet::source::Source;

use super::fill::{Waiting, fill, waiting};

const PATTERNS: [&str; 4] = ["cab-chassis", "dual-cab", "soft-top", "wagon"];

fn rules() -> &'static Rules {
    static RULES: OnceLock<Rules> = OnceLock::new();
    RULES.get_or_init(|| {
        let files = Files::builtin();
        let classes = files.class_ids();
        let mut report = Report::new();
        let wanted = Wanted::classes(classes.iter().map(String::as_str));
        let rules = rules::load(&files, &wanted, &mut report);
        assert!(report.is_empty(), "{:?}", report.problems);
        rules
    })
}

fn load(id: &str) -> Pattern {
    let mut report = Report::new();
    let pattern = pattern::load(&Files::builtin(), id, &mut report);
    pattern.unwrap_or_else(|| panic!("{:?}", report.problems))
}

fn written(pattern: &Pattern, chosen: &Chosen) -> String {
    let mut report = Report::new();
    let text = form("An invented job", (pattern, chosen), rules(), &mut report);
    text.unwrap_or_else(|| panic!("{:?}: {:?}", chosen.words(), report.problems))
}

/// What `then` makes of the plan; there may be no problem on the way, not even a warning.
#[track_caller]
fn made<T>(text: &str, about: &Chosen, then: impl FnOnce(Made<'_>) -> T) -> T {
    let mut report = Report::new();
    let source = Source::from_text("job.yaml", text);
    let job = job::read(&source, false, &mut report);
    let made = job.and_then(|job| pipeline::run(&job, rules(), &mut report, then));
    assert!(
        report.is_empty(),
        "{:?}: {:?}\n{text}",
        about.words(),
        report.problems
    );
    made.unwrap()
}

/// Combinations in which every choice of every option occurs.
fn each_choice(pattern: &Pattern) -> Vec<Chosen> {
    let rounds = pattern
        .options
        .values()
        .map(|choice| choice.choices.len())
        .max()
        .unwrap();
    let round = |round: usize| {
        let options = pattern.options.iter().enumerate();
        let words = options.map(|(number, (name, choice))| {
            let word = &choice.choices[(round + number) % choice.choices.len()];
            (name.as_str(), word.as_str())
        });
        pattern.choose(words).unwrap()
    };
    (0..rounds).map(round).collect()
}

#[test]
fn these_are_the_patterns() {
    assert_eq!(pattern::ids(&Files::builtin()), PATTERNS);
}

/// Fills in whatever has to be given, and looks for what is still missing.
fn whole_when_filled(id: &str) {
    let pattern = load(id);
    for chosen in pattern.combinations() {
        let text = written(&pattern, &chosen);
        let waiting = waiting(&text, rules());
        let asked = waiting.iter().filter(|waiting| {
            waiting
                .measurement
                .is_none_or(|measurement| !measurement.optional && measurement.default.is_none())
        });
        let filled = fill(&text, asked);
        made(&filled, &chosen, |made| {
            let links = made.assessment.links.values();
            let missing: Vec<(&str, &str)> = links
                .flat_map(|link| {
                    link.missing
                        .iter()
                        .map(|missing| (link.id.as_str(), missing.place.as_str()))
                })
                .collect();
            assert!(missing.is_empty(), "{:?}: {missing:?}", chosen.words());
            assert!(!made.plan.provisional, "{:?}", chosen.words());
        });
    }
}

#[test]
fn zz_default() {
    for id in PATTERNS {
        let pattern = load(id);
        let chosen = pattern.choose([]).unwrap();
        let text = written(&pattern, &chosen);
        let waiting = waiting(&text, rules());
        let asked = waiting.iter().filter(|waiting| {
            waiting
                .measurement
                .is_none_or(|measurement| !measurement.optional && measurement.default.is_none())
        });
        let filled = fill(&text, asked);
        std::fs::write(format!("/tmp/nn/filled-{id}.yaml"), filled).unwrap();
    }
}
