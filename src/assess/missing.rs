//! What is still to be measured, as the survey and the measuring tasks print it.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::facts::of_fact;
use super::judged_span::JudgedSpan;
use super::types::{Address, KeptMissing, Missing, Need, Values};
use crate::cut::CutLink;
use crate::job::Job;

/// How the label of a reading ends that is to be taken again more closely.
pub(super) const AGAIN: &str = ", read again more closely";

/// A need as something to be measured; what it decides is worked out where there is something that keeps it.
pub(super) fn missing(
    case: &JudgedSpan<'_>,
    need: &Need,
    span: Option<usize>,
    (values, needs): (&Values, &BTreeSet<Need>),
    kept: Option<&KeptMissing>,
) -> Missing {
    match need {
        Need::Fact(name) => of_fact(name),
        Need::Value(address) => match (
            case.class.measurement(address),
            blank_of(case, address, span),
        ) {
            (Some(measurement), Some(missing)) => Missing {
                decides: kept.map_or_else(Arc::default, |kept| {
                    case.decides((address, measurement), values, needs, kept)
                }),
                ..missing
            },
            _ => Missing::blank(address.dotted(), place(case, address, span)),
        },
    }
}

/// A measurement to be taken, whatever it decides.
pub(super) fn blank_of(
    case: &JudgedSpan<'_>,
    address: &Address,
    span: Option<usize>,
) -> Option<Missing> {
    let measurement = case.class.measurement(address)?;
    let key = match address {
        Address::Each(_, key, _) => format!(" ({key})"),
        Address::One(_) => String::new(),
    };
    Some(Missing {
        label: format!("{}{key}", measurement.label),
        how: measurement.how.clone(),
        unit: measurement.kind.unit(),
        answers: measurement.kind.words(),
        tolerance: measurement.tolerance,
        place: place(case, address, span),
        ..Missing::default()
    })
}

fn place(case: &JudgedSpan<'_>, address: &Address, span: Option<usize>) -> String {
    let place = format!("measured.{}", address.dotted());
    match span {
        None => place,
        Some(_) => format!("spans[{} → {}].{place}", case.span.from, case.span.to),
    }
}

/// How a link is held between its ends, which nobody has looked at.
pub(crate) fn held_by(job: &Job, id: &str, link: &CutLink) -> Missing {
    let title = |part: Option<&String>| {
        part.map(|part| job.part_title(part).to_owned())
            .unwrap_or_default()
    };
    Missing {
        how: "Follow it by hand: what is each clip, bracket, guide and grommet on, in order? None where only its two ends hold it.".to_owned(),
        answers: vec!["none".to_owned(), "the parts in order".to_owned()],
        ..Missing::blank(
            format!(
                "what holds it from {} to {}",
                title(link.parts().next()),
                title(link.parts().next_back())
            ),
            format!("links[{id}].held_by"),
        )
    }
}
