//! Which connections does the lift pull apart? Some that it does beside some that it does not.

use super::kinds::Kind;
use super::material::{Material, is_connection};
use super::question::{About, Choice, Question};
use crate::assess::Assessed;
use crate::lots::Lots;

/// How many of a question's connections are pulled apart, and how many are not, at the most.
const PULLED: usize = 3;
const LEFT: usize = 2;

/// Each question takes the next connections of two lists drawn by lot; those asked about stand first.
pub(super) fn make(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let links = material.settled().filter(|link| is_connection(link));
    let mut links = draw.shuffled(links);
    links.sort_by_key(|link| !material.wants(link));
    let (pulled, left): (Vec<_>, Vec<_>) = links.into_iter().partition(|link| link.disturbed);
    let mut questions = Vec::new();
    for (pulled, left) in pulled.chunks(PULLED).zip(left.chunks(LEFT)) {
        let both = || pulled.iter().chain(left).copied();
        if both().any(|link| material.wants(link)) {
            questions.push(question(material, &draw.shuffled(both())));
        }
    }
    questions
}

fn question(material: &Material<'_>, links: &[&Assessed<'_>]) -> Question {
    let options = links.iter();
    let options = options.map(|link| Choice::new(material.with_joins(link), link.disturbed));
    let reasons: Vec<String> = links.iter().map(|link| material.reason(link)).collect();
    Question::choose(
        Kind::Disturbed,
        "Which of these does the lift pull apart, when it is done or on the way? Tick every one."
            .to_owned(),
        options.collect(),
        reasons.join("; "),
        About {
            ids: links.iter().map(|link| link.id.clone()).collect(),
            ..About::default()
        },
    )
}
