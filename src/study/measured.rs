//! How is it measured? A measurement's own instruction among those for other things.

use std::collections::BTreeSet;

use super::kinds::Kind;
use super::material::Material;
use super::question::{About, Choice, Question};
use super::words::{content, typed};
use crate::lots::Lots;
use crate::rules::{Answer, Class, Measurement};

/// How many wrong instructions stand beside the right one, at the most.
const WRONG: usize = 3;

/// Something that a class measures.
struct Asked<'a> {
    class: &'a Class,
    name: &'a str,
    measurement: &'a Measurement,
    /// What its label and its instruction are about.
    words: BTreeSet<String>,
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
        // Surely wrong is what shares no word of substance with this measurement.
        let wrong = |other: &&Asked<'_>| own.words.is_disjoint(&other.words);
        let others = draw.shuffled(all.iter().filter(wrong));
        let others = others.into_iter().take(WRONG);
        let options = draw.shuffled(others.chain([&own])).into_iter();
        let options = options.map(|one| {
            let right = one.class.id == own.class.id && one.name == own.name;
            Choice::new(typed(&one.measurement.how), right)
        });
        questions.push(question(&own, options.collect()));
    }
    questions
}

fn question(own: &Asked<'_>, options: Vec<Choice>) -> Question {
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
            words: content(&format!("{} {}", measurement.label, measurement.how)),
        })
        .collect()
}
