//! Every pattern with its options, through the library: what `new` writes is a whole survey, and filled in a whole job.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use liftsheet::cut::Origin;
use liftsheet::form::{Outline, form};
use liftsheet::job;
use liftsheet::pipeline::{self, Made};
use liftsheet::report::Report;
use liftsheet::rules::pattern::{self, Chosen, Pattern};
use liftsheet::rules::{self, Files, Rules, Wanted};
use liftsheet::source::Source;
use serde_json::json;

use super::fill::{Waiting, fill, waiting};
use crate::support::reader;

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
    let outline = Outline::of(pattern, chosen, &mut report);
    let outline = outline.unwrap_or_else(|| panic!("{:?}: {:?}", chosen.words(), report.problems));
    form("An invented job", &outline, rules())
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

/// What is missing, by its place in the file; what a mount misses goes to what all mounts share.
fn missing(made: Made<'_>) -> BTreeSet<String> {
    let of_links = made.assessment.links.values().flat_map(|link| {
        link.missing.iter().map(|missing| {
            let place = &missing.place;
            match link.origin {
                _ if missing.of_vehicle || place.starts_with("links[") => place.clone(),
                Origin::Link => format!("links[{}].{place}", link.id),
                Origin::Mount => place.replace("measured.", "every_mount."),
                Origin::Bridge => format!("parts.{}.{place}", link.id),
                Origin::Consequence => {
                    place.replace("measured", &format!("consequences.{}", link.id))
                }
            }
        })
    });
    let tasks = made
        .plan
        .tasks
        .iter()
        .filter(|task| task.id == "vehicle.measure");
    let of_vehicle =
        tasks.flat_map(|task| task.evidence.iter().map(|evidence| evidence.name.clone()));
    of_links.chain(of_vehicle).collect()
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

/// Does the same with every pattern that there is, side by side.
fn with_every_pattern(each: impl Fn(usize, &Pattern) + Sync) {
    let ids = pattern::ids(&Files::builtin());
    assert!(ids.len() >= 5, "{ids:?}");
    std::thread::scope(|scope| {
        for (number, id) in ids.iter().enumerate() {
            let each = &each;
            scope.spawn(move || each(number, &load(id)));
        }
    });
}

/// Fills in whatever has to be given, with every combination of options, and looks for what is still missing.
#[track_caller]
fn whole_when_filled(pattern: &Pattern) {
    for chosen in pattern.combinations() {
        let text = written(pattern, &chosen);
        let waiting = waiting(&text, rules());
        let filled = fill(&text, waiting.iter().filter(|waiting| waiting.needed()));
        made(&filled, &chosen, |made| {
            assert!(!made.plan.provisional, "{:?}", chosen.words());
            // What the reader looks at; all else of the plan's JSON takes three times as long.
            let plan = json!({"states": made.plan.states, "tasks": made.plan.tasks});
            let faults = reader::faults(&plan);
            assert!(faults.is_empty(), "{:?}: {faults:#?}", chosen.words());
            assert_eq!(missing(made), BTreeSet::new(), "{:?}", chosen.words());
        });
    }
}

#[test]
fn every_pattern_filled_in_is_whole() {
    with_every_pattern(|_, pattern| whole_when_filled(pattern));
}

/// Takes a file as `new` writes it, fills in what the survey lists, and so on until it lists nothing.
#[track_caller]
fn surveyed_until_whole(pattern: &Pattern, chosen: &Chosen) {
    let mut text = written(pattern, chosen);
    let mut asked = made(&text, chosen, |made| {
        let links = made.assessment.links.values();
        // What concerns every vehicle may need nothing of this one.
        for link in links.filter(|link| link.origin != Origin::Consequence) {
            let (words, id) = (chosen.words(), &link.id);
            assert!(
                !link.missing.is_empty(),
                "{words:?}: nothing is asked of `{id}`"
            );
        }
        missing(made)
    });
    for _ in 0..5 {
        let waiting: Vec<Waiting<'_>> = waiting(&text, rules());
        let found = waiting
            .iter()
            .filter(|waiting| asked.contains(&waiting.place));
        let places: BTreeSet<String> = found.clone().map(|waiting| waiting.place.clone()).collect();
        let without: Vec<&String> = asked.difference(&places).collect();
        assert!(
            without.is_empty(),
            "{:?}: no line waits for {without:?}",
            chosen.words()
        );
        text = fill(&text, found);
        let provisional = made(&text, chosen, |made| {
            asked = missing(made);
            made.plan.provisional
        });
        assert_eq!(provisional, !asked.is_empty(), "{:?}", chosen.words());
        if asked.is_empty() {
            return;
        }
    }
    panic!(
        "{:?}: something is missing even after five surveys",
        chosen.words()
    );
}

/// The patterns take turns with the choices, so that each choice of the options that they share is surveyed on one of them.
#[test]
fn what_the_survey_asks_for_makes_it_whole() {
    with_every_pattern(|number, pattern| {
        let choices = each_choice(pattern);
        surveyed_until_whole(pattern, &choices[number % choices.len()]);
    });
}

/// Every class there is may be added to every vehicle, with ends that it has, once more where there is one already.
#[test]
fn any_connection_may_be_added() {
    let patterns: Vec<Pattern> = pattern::ids(&Files::builtin())
        .iter()
        .map(|id| load(id))
        .collect();
    with_every_pattern(|_, pattern| {
        let chosen = pattern.choose([]).unwrap();
        let mut outline = Outline::of(pattern, &chosen, &mut Report::new()).unwrap();
        let classes = Files::builtin().class_ids();
        let classes: Vec<&String> = classes
            .iter()
            .filter(|class| *class != "body-mount")
            .collect();
        let before = outline
            .classes()
            .filter(|class| *class == "heater-hoses")
            .count();
        for class in &classes {
            outline.add(class, None, &patterns).unwrap();
        }
        assert_eq!(
            outline
                .classes()
                .filter(|class| *class == "heater-hoses")
                .count(),
            before + 1
        );
        let there: BTreeSet<&str> = outline.classes().collect();
        assert!(classes.iter().all(|class| there.contains(class.as_str())));
        let text = form("An invented job", &outline, rules());
        made(&text, &chosen, |made| {
            let judged: BTreeSet<&str> = made
                .assessment
                .links
                .values()
                .filter_map(|link| link.class)
                .map(|class| class.id.as_str())
                .collect();
            // What ends on one body here is not pulled apart.
            let still = ["gap-fillers", "spare-wheel-carrier", "tray-or-tub-mounts"];
            let missed = classes.iter().filter(|class| {
                !judged.contains(class.as_str()) && !still.contains(&class.as_str())
            });
            assert_eq!(missed.count(), 0, "{judged:?}");
        });
    });
}

#[test]
#[ignore = "takes an hour without optimization: cargo test --release -- --ignored every_survey"]
fn every_survey_makes_it_whole() {
    with_every_pattern(|_, pattern| {
        for chosen in pattern.combinations() {
            surveyed_until_whole(pattern, &chosen);
        }
    });
}
