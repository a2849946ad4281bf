//! The lessons: each class of connection and each consequence once, in walking order, with what of it is on the vehicle.

use std::collections::{BTreeMap, BTreeSet};

use crate::assess::Assessed;
use crate::pipeline::Made;
use crate::rules::{Area, Class};

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
    let mut links: Vec<&Assessed<'_>> = made.assessment.links.values().collect();
    links.sort_by_key(|link| link.area);
    for link in links {
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
