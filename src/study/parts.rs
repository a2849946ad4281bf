//! What does a part ride with? The answer is the rigid group at the end of its bolts.

use super::kinds::Kind;
use super::material::Material;
use super::question::{About, Choice, Question};
use crate::lots::Lots;

/// Parts that hang on another part first come before those bolted to a body or the chassis itself: they take some thought.
pub(super) fn make(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let groups = &material.made.cut.groups;
    let parts = material.made.cut.parts.iter();
    let parts = parts.filter(|(id, hung)| {
        hung.groups.len() == 1 && !groups.contains(id) && is_asked_about(material, id)
    });
    let mut parts = draw.shuffled(parts);
    parts.sort_by_key(|(_, hung)| hung.chain.len() < 3);
    let question = |(id, hung): (&String, &crate::cut::Hung)| {
        let options = groups.iter().map(|group| {
            Choice::new(
                format!("the {}", material.part(group)),
                hung.groups.contains(group),
            )
        });
        let chain: Vec<String> = hung.chain.iter().map(|part| material.part(part)).collect();
        Question::choose(
            Kind::Rides,
            format!("What does this part ride with: {}?", material.part(id)),
            options.collect(),
            format!("its bolts lead there: {}", chain.join(" → ")),
            About {
                ids: vec![id.clone()],
                ..About::default()
            },
        )
    };
    parts.into_iter().map(question).collect()
}

/// With classes wanted, only the parts that their links are fixed to.
fn is_asked_about(material: &Material<'_>, part: &String) -> bool {
    let mut links = material.links().filter_map(|link| material.cut(&link.id));
    !material.narrowed() || links.any(|cut| cut.fixings.contains(part))
}
