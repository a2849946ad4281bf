//! The arithmetic behind the verdicts: for each check its formulas with the numbers put in.
//!
//! Takes the assessment; gives plain views for templates. What several links share word for word is printed once.

use serde::Serialize;

use super::Made;
use super::links::{drawn_together, named, walking};
use crate::assess::{Assessed, Worked};
use crate::rules::Verdict;

/// The working of one check.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(super) struct Working {
    #[serde(rename = "title", serialize_with = "named")]
    titles: Vec<String>,
    check: String,
    calc: &'static str,
    steps: Vec<Line>,
}

/// One formula.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
struct Line {
    name: &'static str,
    formula: &'static str,
    numbers: String,
    gives: String,
}

/// The working of every link that is worked on, or left only because it has room enough.
pub(super) fn working(made: &Made<'_>) -> Vec<Working> {
    let links = walking(made).into_iter();
    let links = links.filter(|link| !matches!(link.verdict, Verdict::Measure | Verdict::Stop));
    let all = links.flat_map(|link| link.working.iter().map(move |worked| one(link, worked)));
    drawn_together(all, titles)
}

/// The titles of a working, for drawing workings together.
pub(super) fn titles(working: &mut Working) -> &mut Vec<String> {
    &mut working.titles
}

pub(super) fn one(link: &Assessed<'_>, worked: &Worked) -> Working {
    let key = worked.key.as_ref().map(|key| format!(" ({key})"));
    Working {
        titles: vec![link.title.clone()],
        check: format!("{}{}", worked.check, key.unwrap_or_default()),
        calc: worked.calc,
        steps: worked
            .steps
            .iter()
            .map(|step| Line {
                name: step.name,
                formula: step.formula,
                numbers: step.with_numbers.clone(),
                gives: step.gives.clone(),
            })
            .collect(),
    }
}
