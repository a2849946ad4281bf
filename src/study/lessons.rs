//! The lessons: each class of connection and each consequence once, in walking order, with what of it is on the vehicle; and two of its links
//! that show what is easily got wrong.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use crate::assess::Assessed;
use crate::cut::{CutLink, Origin};
use crate::pipeline::Made;
use crate::rules::{Area, Class, Verdict};

/// One class with what of it is on the vehicle.
#[derive(Debug, Clone)]
pub struct Lesson<'a> {
    /// The class.
    pub class: &'a Class,
    /// Where it stands in the walk.
    pub area: Area,
    /// The links of that class; none when the vehicle has no such thing.
    pub links: Vec<&'a Assessed<'a>>,
}

/// A lesson for each class on the vehicle, or for each of those wanted.
pub(super) fn lessons<'a>(made: &Made<'a>, wanted: &BTreeSet<String>) -> Vec<Lesson<'a>> {
    let mut found: BTreeMap<&str, Lesson<'a>> = BTreeMap::new();
    for link in made.assessment.walking() {
        let Some(class) = link.class else { continue };
        let lesson = found.entry(&class.id).or_insert_with(|| Lesson {
            class,
            area: link.area,
            links: Vec::new(),
        });
        lesson.links.push(link);
    }
    for id in wanted {
        let rules = made.rules;
        let class = rules.classes.get(id).or(rules.consequences.get(id));
        if let Some(class) = class {
            found.entry(&class.id).or_insert_with(|| Lesson {
                class,
                area: class.area,
                links: Vec::new(),
            });
        }
    }
    let mut lessons: Vec<Lesson<'a>> = found.into_values().collect();
    lessons.retain(|lesson| wanted.is_empty() || wanted.contains(&lesson.class.id));
    lessons.sort_by_key(|lesson| lesson.area);
    lessons
}

/// A link whose two ends ride with the same body or chassis, and that is pulled apart all the same by what holds it between them.
pub(crate) fn clipped<'a>(made: &Made<'a>) -> Option<(&'a Assessed<'a>, &'a CutLink)> {
    let mut links = links(made).filter(|(link, cut)| link.disturbed && ends_together(cut));
    links.next()
}

/// A link that is left alone although it joins parts that move: one that ends on an axle, else the one with the most fixings.
pub(crate) fn left_alone<'a>(made: &Made<'a>) -> Option<(&'a Assessed<'a>, &'a CutLink)> {
    let left = links(made).filter(|(link, _)| !link.disturbed && link.verdict == Verdict::Leave);
    left.min_by_key(|(_, cut)| (Reverse(on_axle(made, cut)), Reverse(cut.fixings.len())))
}

/// Whether any of the link's parts drops with an axle when the wheels hang.
pub(crate) fn on_axle(made: &Made<'_>, cut: &CutLink) -> bool {
    let mut hung = cut.parts().filter_map(|part| made.cut.parts.get(part));
    hung.any(|hung| hung.droop > 0.0)
}

/// The connections in walking order.
fn links<'a>(made: &Made<'a>) -> impl Iterator<Item = (&'a Assessed<'a>, &'a CutLink)> {
    let cut = made.cut;
    let links = made.assessment.walking().into_iter();
    let links = links.filter(|link| link.origin == Origin::Link);
    links.filter_map(|link| Some((link, cut.links.get(&link.id)?)))
}

fn ends_together(cut: &CutLink) -> bool {
    let first = cut.spans.first().map(|span| &span.groups.0);
    let last = cut.spans.last().map(|span| &span.groups.1);
    cut.spans.len() > 1 && first == last && first.is_some_and(|groups| groups.len() == 1)
}
