//! How is it measured? A measurement's own instruction among those for other things.

use super::kinds::Kind;
use super::material::Material;
use super::question::{About, Choice, Question};
use super::words::{content, typed};
use crate::lots::Lots;
use crate::rules::{Answer, Class, Measurement};

/// How many wrong instructions stand beside the right one, at the most.
const WRONG: usize = 3;

/// Something that a class measures.
#[derive(Clone, Copy)]
struct Asked<'a> {
    class: &'a Class,
    name: &'a str,
    measurement: &'a Measurement,
}

/// One for each class that measures a number.
pub(super) fn make(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let rules = material.made.rules;
    let classes = || rules.classes.values().chain(rules.consequences.values());
    let all: Vec<Asked<'_>> = classes().flat_map(measurements).collect();
    let asked = draw.shuffled(material.classes.iter().copied());
    let mut questions = Vec::new();
    for class in asked {
        let own = draw.shuffled(measurements(class)).into_iter().next();
        let Some(own) = own else { continue };
        let others = draw.shuffled(all.iter().filter(|other| is_wrong(own, **other)));
        let others = others.into_iter().take(WRONG).copied();
        let options = draw.shuffled(others.chain([own])).into_iter();
        let options = options.map(|one| {
            let right = one.class.id == own.class.id && one.name == own.name;
            Choice::new(typed(&one.measurement.how), right)
        });
        questions.push(question(own, options.collect()));
    }
    questions
}

fn question(own: Asked<'_>, options: Vec<Choice>) -> Question {
    let label = typed(&own.measurement.label);
    Question::choose(
        Kind::Measured,
        format!(
            "{}: how is this taken: {label}?",
            typed(&own.class.text.title)
        ),
        options,
        format!("so it is said for {label}; the other ways measure something else"),
        About {
            ids: vec![own.class.id.clone()],
            name: Some(own.name.to_owned()),
            height: None,
        },
    )
}

/// The numbers that a class measures, each with how.
fn measurements(class: &Class) -> Vec<Asked<'_>> {
    let all = class.measurements.iter();
    let asked = all.filter(|(_, measurement)| {
        matches!(measurement.kind, Answer::Number { .. }) && !measurement.how.trim().is_empty()
    });
    asked
        .map(|(name, measurement)| Asked {
            class,
            name,
            measurement,
        })
        .collect()
}

/// Whether another instruction is surely wrong here: it shares no word of substance with this measurement, nor do their names.
fn is_wrong(own: Asked<'_>, other: Asked<'_>) -> bool {
    let own_words = content(&format!(
        "{} {}",
        own.measurement.label, own.measurement.how
    ));
    let other_words = content(&format!(
        "{} {}",
        other.measurement.label, other.measurement.how
    ));
    own_words.is_disjoint(&other_words)
}
