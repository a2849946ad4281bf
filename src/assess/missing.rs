//! What is still to be measured, as the survey and the measuring tasks print it.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::case::Case;
use super::effort::Effort;
use super::inverse::Decision;
use super::needs::Need;
use super::problem::missing_place;
use super::values::Values;
use crate::cut::CutLink;
use crate::job::Job;
use crate::quantity::Unit;
use crate::rules::facts;
use crate::rules::{Answer, Measurement};

/// One thing to be measured or looked at.
#[derive(Debug, Clone)]
pub struct Missing {
    /// What it is called.
    pub label: String,
    /// How to take it.
    pub how: String,
    /// The unit of a number.
    pub unit: Option<Unit>,
    /// The answers to choose from.
    pub answers: Vec<String>,
    /// How close to read it.
    pub tolerance: Option<f64>,
    /// Where it goes in the job file.
    pub place: String,
    /// What it decides; links in one situation share it.
    pub decides: Arc<[Decision]>,
    /// Whether it belongs to the vehicle rather than to one link.
    pub of_vehicle: bool,
}

/// The unit of a measurement that is a number.
pub(super) fn unit(measurement: &Measurement) -> Option<Unit> {
    match &measurement.kind {
        Answer::Number { unit, .. } => Some(*unit),
        _ => None,
    }
}

/// A need as something to be measured.
pub(super) fn missing(
    case: &Case<'_>,
    need: &Need,
    span: Option<usize>,
    (values, needs): (&Values, &BTreeSet<Need>),
    effort: &Effort,
) -> Missing {
    match need {
        Need::Fact(name) => of_fact(name),
        Need::Value(address) => {
            let place = match span {
                None => missing_place(address),
                Some(_) => format!(
                    "spans[{} → {}].{}",
                    case.span.from,
                    case.span.to,
                    missing_place(address)
                ),
            };
            let Some(measurement) = case.measurement(address) else {
                return blank(address.dotted(), place);
            };
            let key = match address {
                super::values::Address::Each(_, key, _) => format!(" ({key})"),
                super::values::Address::One(_) => String::new(),
            };
            Missing {
                label: format!("{}{key}", measurement.label),
                how: measurement.how.clone(),
                unit: unit(measurement),
                answers: answers(&measurement.kind),
                tolerance: measurement.tolerance,
                place,
                decides: case.decisions((address, measurement), values, needs, effort),
                of_vehicle: false,
            }
        }
    }
}

fn answers(kind: &Answer) -> Vec<String> {
    match kind {
        Answer::Choice(choices) => choices.clone(),
        Answer::YesNo => vec!["yes".to_owned(), "no".to_owned()],
        _ => Vec::new(),
    }
}

fn blank(label: String, place: String) -> Missing {
    Missing {
        label,
        how: String::new(),
        unit: None,
        answers: Vec::new(),
        tolerance: None,
        place,
        decides: Arc::default(),
        of_vehicle: false,
    }
}

/// A fact of the job that nobody has given yet.
#[must_use]
pub(crate) fn of_fact(name: &str) -> Missing {
    let Some(fact) = facts::find(name) else {
        return blank(name.to_owned(), name.to_owned());
    };
    Missing {
        how: fact.how.to_owned(),
        unit: fact.unit,
        of_vehicle: true,
        ..blank(fact.label.to_owned(), fact.place.to_owned())
    }
}

/// How a link is held between its ends, which nobody has looked at.
pub(super) fn held_by(job: &Job, id: &str, link: &CutLink) -> Missing {
    let title = |part: Option<&String>| {
        part.map(|part| job.part_title(part).to_owned())
            .unwrap_or_default()
    };
    Missing {
        how: format!(
            "Follow it by hand from {} to {}; write down every clip, guide and grommet in order, or none.",
            title(link.fixings.first()),
            title(link.fixings.last())
        ),
        answers: vec!["none".to_owned(), "the parts in order".to_owned()],
        ..blank(
            "how it is held between its ends".to_owned(),
            format!("links[{id}].held_by"),
        )
    }
}
