//! What the rule of a class says: what happens when it is missed, and how something is measured.

use std::collections::BTreeSet;

use super::askable::Material;
use super::question::{About, Question};
use super::words::{content, typed};
use crate::assess::Assessed;
use crate::lots::Lots;
use crate::pipeline::Made;
use crate::rules::{Answer, Class, Measurement};
use crate::sorted::Sorted as _;

/// How many wrong sentences or instructions stand beside the right one, at the most.
const WRONG: usize = 3;

/// What happens when nobody looks at it? One for each class: its own sentence among those of classes that have nothing to do with it.
pub(super) fn missed(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let rules = material.made.rules;
    let all = rules.classes.values().chain(rules.consequences.values());
    let all: Vec<(&Class, BTreeSet<String>)> =
        all.map(|one| (one, content(&one.text.if_missed))).collect();
    let classes = draw.shuffled(material.classes.iter().copied());
    let mut questions = Vec::new();
    for class in classes {
        let text = &class.text;
        let own = [&text.title, &text.whereabouts, &text.why, &text.if_missed];
        let own: BTreeSet<String> = own.into_iter().flat_map(|text| content(text)).sorted_set();
        // Surely wrong here is what shares no word of substance with what this class is, or does.
        let wrong = all.iter().filter(|(_, theirs)| own.is_disjoint(theirs));
        let others = draw.shuffled(wrong.map(|(other, _)| *other));
        let shown = others.into_iter().take(WRONG).chain([class]);
        let options = draw.shuffled(shown).into_iter();
        questions.push(Question::choose(
            format!("What happens when this is missed: {}?", typed(&text.title)),
            options.map(|one| (typed(&one.text.if_missed), one.id == class.id)),
            typed(&text.why),
            About::of([class.id.clone()]),
        ));
    }
    questions
}

/// Something that a class measures.
struct MeasuredBy<'a> {
    class: &'a Class,
    name: &'a str,
    measurement: &'a Measurement,
    /// What its label and its instruction are about.
    words: BTreeSet<String>,
}

/// How is it measured? One for each class that measures a number: its own instruction among those for other things.
pub(super) fn measured(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let rules = material.made.rules;
    let classes = || rules.classes.values().chain(rules.consequences.values());
    let all: Vec<MeasuredBy<'_>> = classes().flat_map(measurements).collect();
    let asked = draw.shuffled(material.classes.iter().copied());
    let mut questions = Vec::new();
    for class in asked {
        let read = measurements(class).into_iter();
        let read = read.filter(|one| is_read(&material.made, one));
        let own = draw.shuffled(read).into_iter().next();
        let Some(own) = own else { continue };
        // Surely wrong is what shares no word of substance with this measurement.
        let wrong = |other: &&MeasuredBy<'_>| own.words.is_disjoint(&other.words);
        let others = draw.shuffled(all.iter().filter(wrong));
        let others = others.into_iter().take(WRONG);
        let options = draw.shuffled(others.chain([&own])).into_iter();
        let options = options.map(|one| {
            let right = one.class.id == own.class.id && one.name == own.name;
            (typed(&one.measurement.how), right)
        });
        let label = typed(&own.measurement.label);
        questions.push(Question::choose(
            format!("{}: how is this taken: {label}?", typed(&class.text.title)),
            options,
            format!("so it is said for {label}; the other ways measure something else"),
            About {
                ids: vec![class.id.clone()],
                name: Some(own.name.to_owned()),
                height: None,
            },
        ));
    }
    questions
}

/// Whether something is read on this vehicle, or is still to be, so that its lesson says how; of a class that it has not all are said.
fn is_read(made: &Made<'_>, one: &MeasuredBy<'_>) -> bool {
    let links = made.assessment.links.values();
    let of_class = |link: &&Assessed<'_>| link.class.is_some_and(|class| class.id == one.class.id);
    let mut links = links.filter(of_class).peekable();
    let read = |link: &Assessed<'_>| {
        let cut = made.cut.links.get(&link.id);
        let given = cut.is_some_and(|cut| {
            let mut all = std::iter::once(&cut.measured).chain(cut.by_span.values());
            all.any(|measured| measured.contains_key(one.name))
        });
        let label = &one.measurement.label;
        let mut missing = link.missing.iter();
        link.disturbed && (given || missing.any(|missing| missing.label.starts_with(label)))
    };
    links.peek().is_none() || links.any(read)
}

/// The numbers that a class measures, each with how.
fn measurements(class: &Class) -> Vec<MeasuredBy<'_>> {
    let all = class.measurements.iter();
    let asked = all.filter(|(_, measurement)| {
        matches!(measurement.kind, Answer::Number { .. }) && !measurement.how.trim().is_empty()
    });
    asked
        .map(|(name, measurement)| MeasuredBy {
            class,
            name,
            measurement,
            words: content(&format!("{} {}", measurement.label, measurement.how)),
        })
        .collect()
}
