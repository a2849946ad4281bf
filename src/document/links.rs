//! Links as rows of a page: what they join, what they need and why, what was assumed, what to measure again.
//!
//! Takes the assessment and the cut; gives plain views for templates, in the order of the page.

use serde::Serialize;

use super::{Look, Made, words};
use crate::assess::Assessed;
use crate::quantity::Round;
use crate::rules::Verdict;

/// One link of a table.
#[derive(Debug, Serialize)]
pub(super) struct Row {
    pub(super) title: String,
    /// The class, when the title does not already say it, and the area.
    pub(super) about: String,
    /// What it joins: `airbox → inner guard → cab`.
    pub(super) joins: String,
    pub(super) verdict: &'static str,
    pub(super) because: String,
    pub(super) trade: Option<String>,
    pub(super) release: bool,
}

/// A default in use.
#[derive(Debug, Serialize)]
pub(super) struct Assumed {
    link: String,
    what: String,
    value: String,
}

/// A reading that could lighten a verdict.
#[derive(Debug, Serialize)]
pub(super) struct Again {
    link: String,
    what: String,
    limit: String,
    verdict: &'static str,
}

/// The links that are worked on, from the heaviest verdict to the lightest, each in walking order; then those left alone.
pub(super) fn rows(made: &Made<'_>, look: Look) -> (Vec<Row>, Vec<Row>) {
    let mut links: Vec<&Assessed<'_>> = made.assessment.links.values().collect();
    links.sort_by_key(|link| (std::cmp::Reverse(link.verdict), link.area));
    let (left, worked): (Vec<_>, Vec<_>) = links
        .into_iter()
        .partition(|link| link.verdict == Verdict::Leave && !link.release);
    let rows = |links: Vec<&Assessed<'_>>| {
        let rows = links.into_iter().map(|link| row(made, link, look));
        rows.collect()
    };
    (rows(worked), rows(left))
}

fn row(made: &Made<'_>, link: &Assessed<'_>, look: Look) -> Row {
    let class = link.class.map(|class| class.text.title.as_str());
    let class = class.filter(|class| *class != link.title);
    let about: Vec<&str> = class.into_iter().chain([link.area.word()]).collect();
    Row {
        title: words::capital(&link.title),
        about: about.join(", "),
        joins: joins(made, &link.id),
        verdict: link.verdict.word(),
        because: link.because.print(look.units),
        trade: link.trade.clone(),
        release: link.release,
    }
}

/// The parts of a link in order.
fn joins(made: &Made<'_>, id: &str) -> String {
    let link = made.cut.links.get(id);
    let fixings = link.map(|link| link.fixings.as_slice()).unwrap_or_default();
    let titles: Vec<&str> = fixings
        .iter()
        .map(|part| made.job.part_title(part))
        .collect();
    titles.join(" → ")
}

/// The defaults in use, in walking order.
pub(super) fn assumed(made: &Made<'_>, look: Look) -> Vec<Assumed> {
    let of_link = |link: &Assessed<'_>| -> Vec<Assumed> {
        let taken = link.assumed.iter();
        taken
            .map(|(what, value)| Assumed {
                link: words::capital(&link.title),
                what: what.clone(),
                value: value.print(look.units),
            })
            .collect()
    };
    walking(made).into_iter().flat_map(of_link).collect()
}

/// The readings that could lighten a verdict, in walking order.
pub(super) fn again(made: &Made<'_>, look: Look) -> Vec<Again> {
    let of_link = |link: &Assessed<'_>| {
        let again = link.again.as_ref()?;
        let (round, side) = if again.or_more {
            (Round::Up, "more")
        } else {
            (Round::Down, "less")
        };
        Some(Again {
            link: words::capital(&link.title),
            what: again.label.clone(),
            limit: format!("{} or {side}", again.limit.print_limit(round, look.units)),
            verdict: again.verdict.word(),
        })
    };
    walking(made).into_iter().filter_map(of_link).collect()
}

/// Every link in walking order.
pub(super) fn walking<'a>(made: &Made<'a>) -> Vec<&'a Assessed<'a>> {
    let mut links: Vec<&Assessed<'_>> = made.assessment.links.values().collect();
    links.sort_by_key(|link| link.area);
    links
}
