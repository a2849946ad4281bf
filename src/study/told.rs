//! What the rule of a class says: what happens when it is missed, and how something is measured.

use std::collections::BTreeSet;

use super::askable::Material;
use super::question::{About, Question};
use super::words::{content, typed};
use crate::lots::Lots;
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
        let own = draw.shuffled(measurements(class)).into_iter().next();
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
