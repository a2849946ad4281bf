//! The arithmetic behind the verdicts: for each check its formulas with the numbers put in.
//!
//! Takes the assessment; gives plain views for templates. What several links share word for word is printed once.

use std::collections::BTreeSet;

use serde::{Serialize, Serializer};

use super::links::{drawn_together, named};
use super::sheet::Shown;
use super::{Made, Picture};
use crate::assess::{Assessed, Calculated};
use crate::calc::Step;
use crate::picture;
use crate::quantity::Units;

/// The working of one check.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(super) struct Working {
    #[serde(rename = "title", serialize_with = "titles")]
    links: Vec<Link>,
    check: String,
    calc: &'static str,
    steps: Vec<Line>,
    pictures: Vec<Shown>,
}

/// A link that a working is of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Link {
    id: String,
    title: String,
}

/// One formula.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(super) struct Line {
    name: &'static str,
    formula: &'static str,
    numbers: String,
    gives: String,
}

/// The working of checks, with the pictures that stand with it.
pub(super) fn illustrated<'a, 'r: 'a>(
    made: &Made<'_>,
    all: impl Iterator<Item = (&'a Assessed<'r>, &'a Calculated)>,
    units: Units,
) -> (Vec<Working>, Vec<Picture>) {
    let all = all.map(|(link, worked)| one(link, worked));
    let mut workings = drawn_together(all, |working| &mut working.links);
    let mut pictures = Vec::new();
    let mut drawn = BTreeSet::new();
    // Of links that share their working, one stands for all; a calculation that several checks use is drawn once.
    for working in &mut workings {
        let Some(link) = working.links.first() else {
            continue;
        };
        if drawn.insert((link.id.clone(), working.calc)) {
            let own = picture::links::of_calc(made, &link.id, working.calc, units);
            working.pictures = own.iter().map(Shown::of).collect();
            pictures.extend(own);
        }
    }
    (workings, pictures)
}

/// The titles as one phrase.
fn titles<S: Serializer>(links: &[Link], serializer: S) -> Result<S::Ok, S::Error> {
    let titles: Vec<String> = links.iter().map(|link| link.title.clone()).collect();
    named(&titles, serializer)
}

fn one(link: &Assessed<'_>, worked: &Calculated) -> Working {
    let key = worked.key.as_ref().map(|key| format!(" ({key})"));
    Working {
        links: vec![Link {
            id: link.id.clone(),
            title: link.title.clone(),
        }],
        pictures: Vec::new(),
        check: format!("{}{}", worked.check, key.unwrap_or_default()),
        calc: worked.evaluation.calc,
        steps: lines(worked),
    }
}

/// The formulas of a check with the numbers put in.
pub(super) fn lines(worked: &Calculated) -> Vec<Line> {
    let steps = worked.evaluation.working.iter();
    let line = |step: &Step| Line {
        name: step.name,
        formula: step.formula,
        numbers: step.with_numbers.clone(),
        gives: step.gives.clone(),
    };
    steps.map(line).collect()
}

impl Line {
    /// Every word of the formula, and the name of what it gives: the symbols among them are explained.
    pub(super) fn names(&self) -> impl Iterator<Item = &'static str> {
        let words = self
            .formula
            .split(|c: char| !c.is_alphanumeric() && c != '_');
        words.chain([self.name])
    }
}
