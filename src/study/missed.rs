//! What happens when nobody looks at it? The class's own sentence among those of classes that have nothing to do with it.

use std::collections::BTreeSet;

use super::kinds::Kind;
use super::material::Material;
use super::question::{About, Choice, Question};
use super::words::{content, typed};
use crate::lots::Lots;
use crate::rules::Class;

/// How many wrong sentences stand beside the right one, at the most.
const WRONG: usize = 3;

/// One for each class.
pub(super) fn make(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let rules = material.made.rules;
    let all = rules.classes.values().chain(rules.consequences.values());
    let all: Vec<(&Class, BTreeSet<String>)> =
        all.map(|one| (one, content(&one.text.if_missed))).collect();
    let classes = draw.shuffled(material.classes.iter().copied());
    let mut questions = Vec::new();
    for class in classes {
        let text = &class.text;
        let own = [&text.title, &text.whereabouts, &text.why, &text.if_missed];
        let own: BTreeSet<String> = own.into_iter().flat_map(|text| content(text)).collect();
        // Surely wrong here is what shares no word of substance with what this class is, or does.
        let wrong = all.iter().filter(|(_, theirs)| own.is_disjoint(theirs));
        let others = draw.shuffled(wrong.map(|(other, _)| *other));
        let shown = others.into_iter().take(WRONG).chain([class]);
        let options = draw.shuffled(shown).into_iter();
        let options: Vec<Choice> = options
            .map(|one| Choice::new(typed(&one.text.if_missed), one.id == class.id))
            .collect();
        questions.push(question(class, options));
    }
    questions
}

fn question(class: &Class, options: Vec<Choice>) -> Question {
    Question::choose(
        Kind::Missed,
        format!(
            "What happens when this is missed: {}?",
            typed(&class.text.title)
        ),
        options,
        typed(&class.text.why),
        About {
            ids: vec![class.id.clone()],
            ..About::default()
        },
    )
}
