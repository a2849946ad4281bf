//! What moves with what: the body or chassis that a part rides with, and the connections that the lift pulls apart.

use super::askable::Material;
use super::question::{About, Question};
use crate::assess::Assessed;
use crate::lots::Lots;

/// What does a part ride with? The answer is the rigid group at the end of its bolts.
///
/// Parts that hang on another part first come before those bolted to a body or the chassis itself: they take some thought.
pub(super) fn rides(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let groups = &material.made.cut.groups;
    let parts = material.made.cut.parts.iter();
    let parts = parts.filter(|(id, hung)| {
        hung.groups.len() == 1 && !groups.contains(id) && is_asked_about(material, id)
    });
    let mut parts = draw.shuffled(parts);
    parts.sort_by_key(|(_, hung)| hung.chain.len() < 3);
    let question = |(id, hung): (&String, &crate::cut::Hung)| {
        let options = groups.iter().map(|group| {
            (
                format!("the {}", material.part(group)),
                hung.groups.contains(group),
            )
        });
        let chain: Vec<String> = hung.chain.iter().map(|part| material.part(part)).collect();
        Question::choose(
            format!("What does this part ride with: {}?", material.part(id)),
            options,
            format!("its bolts lead there: {}", chain.join(" → ")),
            About::of([id.clone()]),
        )
    };
    parts.into_iter().map(question).collect()
}

/// With classes wanted, only the parts that their links are fixed to.
fn is_asked_about(material: &Material<'_>, part: &String) -> bool {
    let mut links = material.links().filter_map(|link| material.cut(&link.id));
    !material.narrowed() || links.any(|cut| cut.parts().any(|one| one == part))
}

/// How many of a question's connections are pulled apart, and how many are not, at the most.
const PULLED: usize = 3;
const LEFT: usize = 2;

/// Which connections does the lift pull apart? Some that it does beside some that it does not.
///
/// Each question takes the next connections of two lists drawn by lot; those asked about stand first.
pub(super) fn disturbed(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let links = material
        .settled()
        .filter(|link| link.origin.is_connection());
    let mut links = draw.shuffled(links);
    links.sort_by_key(|link| !material.wants(link));
    let (pulled, left): (Vec<_>, Vec<_>) = links.into_iter().partition(|link| link.disturbed);
    let mut questions = Vec::new();
    for (pulled, left) in pulled.chunks(PULLED).zip(left.chunks(LEFT)) {
        let both = || pulled.iter().chain(left).copied();
        if both().any(|link| material.wants(link)) {
            questions.push(of_links(material, &draw.shuffled(both())));
        }
    }
    questions
}

fn of_links(material: &Material<'_>, links: &[&Assessed<'_>]) -> Question {
    let options = links.iter();
    let options = options.map(|link| (material.with_joins(link), link.disturbed));
    let reasons: Vec<String> = links.iter().map(|link| material.reason(link)).collect();
    Question::choose(
        "Which of these does the lift pull apart, when it is done or on the way? Tick every one."
            .to_owned(),
        options,
        reasons.join("; "),
        About::of(links.iter().map(|link| link.id.clone())),
    )
}
