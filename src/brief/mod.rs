//! What the customer is told before agreeing: what is done, what it gains and what not, what follows from it, who else must be
//! booked, how long it takes, what is not yet known.
//!
//! Takes everything that was made of a job; gives a [`Brief`] in the customer's words, which are the rules' own `customer` and
//! `told` texts. How it looks is left to `document`.

mod gains;
mod json;
mod work;

pub(crate) use gains::{Gains, gains};
pub(crate) use json::to_json;
pub(crate) use work::{Group, Item, done, name, work};

use crate::assess::{Assessed, Missing};
use crate::crew::{Estimate, first_estimate};
use crate::cut::Origin;
use crate::parts::{self, Booking};
use crate::pipeline::Made;
use crate::plan::Minutes;
use crate::rules::Verdict;
use crate::sorted::drawn_together;
use crate::text::Text;

/// What the customer is told.
#[derive(Debug)]
pub(crate) struct Brief<'a> {
    /// What is done, under the customer's headings.
    pub work: Vec<Group<'a>>,
    /// How many connections were looked at and stay as they are.
    pub left: usize,
    pub gains: Gains,
    pub consequences: Vec<Consequence<'a>>,
    /// What licensed trades must do.
    pub trades: Vec<Booking<'a>>,
    /// What had failed before the lift: on what, and what the customer is told of it.
    pub failed_before: Vec<(&'a str, Vec<&'a Text>)>,
    /// How much of the work puts such things right.
    pub minutes_failed_before: Minutes,
    /// How long the vehicle stands in the workshop, by who works on it.
    pub crews: Vec<Crewed>,
    /// What is still to be measured: on what, and what.
    pub missing: Vec<(&'a str, Vec<&'a Missing>)>,
}

/// Something that follows from the lift.
#[derive(Debug)]
pub(crate) struct Consequence<'a> {
    pub judged: &'a Assessed<'a>,
    pub told: Vec<&'a Text>,
}

/// Collects it.
pub(crate) fn collect<'a>(made: &Made<'a>) -> Brief<'a> {
    let links = || made.assessment.links.values();
    let untouched = |link: &&Assessed<'_>| {
        link.verdict == Verdict::Leave && !link.release && link.origin.is_connection()
    };
    let consequences = links().filter(|link| link.origin == Origin::Consequence);
    Brief {
        work: work(made),
        left: links().filter(untouched).count(),
        gains: gains(made),
        consequences: consequences.map(consequence).collect(),
        trades: parts::bookings(made),
        failed_before: links().filter_map(failed_before).collect(),
        minutes_failed_before: {
            let tasks = made.plan.tasks.iter().filter(|task| task.failed_before);
            tasks.fold(Minutes::default(), |sum, task| sum.plus(task.minutes))
        },
        crews: crews(made),
        missing: missing(made),
    }
}

/// What had failed of a link before the lift.
fn failed_before<'a>(link: &'a Assessed<'a>) -> Option<(&'a str, Vec<&'a Text>)> {
    let failed =
        link.origin != Origin::Consequence && link.runs.iter().any(|run| run.branch.failed_before);
    failed.then(|| (link.title.as_str(), link.told.iter().collect()))
}

/// What is told of a consequence: its own plain words, or the reason of its verdict where it has none.
fn consequence<'a>(judged: &'a Assessed<'a>) -> Consequence<'a> {
    let told: Vec<&Text> = judged.told.iter().collect();
    Consequence {
        judged,
        told: if told.is_empty() {
            vec![&judged.because]
        } else {
            told
        },
    }
}

/// What is still to be measured, by what it is measured on.
fn missing<'a>(made: &Made<'a>) -> Vec<(&'a str, Vec<&'a Missing>)> {
    let vehicle = made.plan.missing.iter();
    let vehicle = vehicle.map(|one| ("the vehicle", one));
    let links = made.assessment.links.values();
    let own = links.flat_map(|link| {
        let name = match link.origin {
            Origin::Mount => "the body mounts",
            _ => link.title.as_str(),
        };
        let own = link.missing.iter().filter(|one| !one.of_vehicle);
        own.map(move |one| (name, one))
    });
    drawn_together(vehicle.chain(own))
}

/// The crews: what `--with` of `liftsheet crew` calls them, and what the customer does.
const CREWS: [(&str, &str); 2] = [
    ("fitter", "one fitter"),
    ("fitter+apprentice", "a fitter with an apprentice"),
];

/// One crew and its time.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Crewed {
    /// The crew as `--with` takes it.
    pub with: &'static str,
    /// The crew in plain words.
    pub who: &'static str,
    /// How long it takes them, or why that cannot be said.
    pub estimate: Result<Estimate, String>,
}

/// The estimate for each crew.
pub(crate) fn crews(made: &Made<'_>) -> Vec<Crewed> {
    let crews = CREWS.into_iter();
    let crewed = crews.map(|(with, who)| Crewed {
        with,
        who,
        estimate: estimate(made, with),
    });
    crewed.collect()
}

/// A plan that may change, or must not be carried out, promises no days. They are those of a first schedule: a search finds fewer
/// minutes, hardly ever fewer days, and takes most of the time of the whole page.
fn estimate(made: &Made<'_>, with: &str) -> Result<Estimate, String> {
    if made.assessment.stops() {
        return Err("the lift must not be done as described".to_owned());
    }
    if made.plan.provisional {
        return Err("something is still to be measured".to_owned());
    }
    first_estimate(made, with).map_err(|problem| problem.message)
}
