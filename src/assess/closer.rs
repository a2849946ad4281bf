//! Which reading to take more closely, and how closely: where tolerances leave open what is to be done, and where they make a verdict
//! heavier than it may have to be.

use std::collections::BTreeSet;

use super::inverse::CLOSE;
use super::judge::Judged;
use super::judged_span::JudgedSpan;
use super::measured::{Measured, of_span};
use super::missing;
use super::stretches::{narrowed, stretches};
use super::types::{Address, Again, Decides, Depth, Missing, Outcomes, Values};
use super::units::Unit;
use crate::calc::Role;
use crate::quantity::Quantity;
use crate::rules::expression::Scope;
use crate::rules::{Answer, Verdict};

/// The share of a tolerance to which it is known how close is close enough.
const NEAR: f64 = 0.001;

impl<'r> JudgedSpan<'r> {
    /// The readings of a unit to be taken again, each with the tolerance at which nothing is left open; all together where none of
    /// them is enough alone.
    pub(super) fn closer(
        &self,
        unit: &Unit<'r>,
        values: &Values,
        span: Option<usize>,
    ) -> Vec<Missing> {
        let loose = unit.loose(values);
        let alone = loose.iter().filter_map(|address| {
            let one = std::slice::from_ref(address);
            Some((address, self.enough(unit, values, one)?))
        });
        let mut found: Vec<(&Address, f64)> = alone.collect();
        if found.is_empty()
            && let Some(share) = self.enough(unit, values, &loose)
        {
            found.extend(loose.iter().map(|address| (address, share)));
        }
        let missing = found.into_iter().filter_map(|(address, share)| {
            let reading = values.number(address)?;
            let mut missing = missing::blank_of(self, address, span)?;
            missing.tolerance = Some(readable(share * reading.tolerance));
            missing.label = format!("{}{}", missing.label, missing::AGAIN);
            missing.decides = self.decided_within(unit, values, (address, reading)).into();
            Some(missing)
        });
        missing.collect()
    }

    /// The largest share of their tolerances at which these readings leave nothing open; none where they cannot do it alone.
    fn enough(&self, unit: &Unit<'r>, values: &Values, closer: &[Address]) -> Option<f64> {
        let names = self.names(values);
        let settled = |share: f64| {
            let mut values = values.clone();
            for address in closer {
                if let Some(reading) = values.number(address) {
                    values.put(address, reading.value, reading.tolerance * share);
                }
            }
            let over = self.over(unit, (&values, &names), Depth::Verdict);
            over.is_ok_and(|over| !over.open())
        };
        if !settled(0.0) {
            return None;
        }
        Some(narrowed((0.0, 1.0), NEAR, settled).0)
    }

    /// What a reading decides within its tolerance, the others as stated.
    fn decided_within(
        &self,
        unit: &Unit<'r>,
        values: &Values,
        (address, reading): (&Address, Quantity),
    ) -> Decides {
        let range = (reading.least(), reading.most());
        let step = (reading.tolerance / 50.0).max(1e-3);
        let at = |value: f64| {
            let mut values = values.clone();
            values.put(address, value, 0.0);
            self.outcome_at(unit, (&values, self.names(&values)))
        };
        Decides::Stretches(reading.unit, stretches(range, (step, CLOSE), at))
    }

    /// What a unit comes to at exact values.
    pub(super) fn outcome_at(&self, unit: &Unit<'r>, at: (&Values, Scope)) -> Outcomes {
        let Ok(Judged::Made(made)) = self.judge(unit, at, None) else {
            return Outcomes::default();
        };
        Outcomes {
            verdicts: BTreeSet::from([made.branch.verdict]),
            made: made.of_role(unit.check(), Role::Made).next(),
        }
    }
}

/// A tolerance that somebody can keep: a tenth, or the hundredth below one.
fn readable(tolerance: f64) -> f64 {
    let tenths = (tolerance * 10.0 + 1e-9).floor() / 10.0;
    if tenths > 0.0 {
        tenths
    } else {
        ((tolerance * 100.0).floor() / 100.0).max(0.01)
    }
}

/// Where a closer reading of one value could lighten the verdict that its tolerance decided, or a reading at all one that was assumed.
pub(super) fn again(spans: &[Measured<'_>], verdict: Verdict) -> Option<Again> {
    let all = spans.iter().flat_map(|span| {
        let readings = span.values.data.keys();
        readings.map(move |address| (span, address))
    });
    let (assumed, read): (Vec<_>, Vec<_>) =
        all.partition(|(span, address)| span.values.assumed.contains(*address));
    read.into_iter().chain(assumed).find_map(|(span, address)| {
        let reading = open(span, address)?;
        lighter(spans, span, (address, reading), verdict)
    })
}

/// A number that may be another than it is taken for, with all that it may be: within its tolerance, or, where nobody measured it, anything
/// that can be real.
fn open(span: &Measured<'_>, address: &Address) -> Option<Quantity> {
    let reading = span.values.number(address)?;
    if !span.values.assumed.contains(address) {
        return (reading.tolerance > 0.0).then_some(reading);
    }
    let Answer::Number { unit, range } = span.case.class.measurement(address)?.kind else {
        return None;
    };
    let mut all = Quantity::exact(f64::midpoint(range.0, range.1), unit);
    all.tolerance = (range.1 - range.0) / 2.0;
    Some(all)
}

fn lighter(
    spans: &[Measured<'_>],
    span: &Measured<'_>,
    (address, reading): (&Address, Quantity),
    verdict: Verdict,
) -> Option<Again> {
    let reads = |unit: &&Unit<'_>| unit.reads.contains(address);
    // What does not go by this reading is as heavy as it is, at every value of it.
    let rest = spans.iter().flat_map(|other| {
        let own = std::ptr::eq(other, span);
        let units = other.judged.iter();
        units.filter(move |(unit, _)| !(own && unit.reads.contains(address)))
    });
    let rest = rest.filter_map(|(_, verdict)| *verdict).max();
    let units: Vec<&Unit<'_>> = span
        .judged
        .iter()
        .map(|(unit, _)| unit)
        .filter(reads)
        .collect();
    if rest >= Some(verdict) || units.is_empty() {
        return None;
    }
    let outcome = |value: f64| {
        let mut values = span.values.clone();
        values.put(address, value, 0.0);
        let moved = std::slice::from_ref(address);
        let names = span.case.names_at(&span.names, &values, moved);
        let verdicts = units.iter().flat_map(|unit| {
            let outcome = span.case.outcome_at(unit, (&values, names.clone()));
            outcome.verdicts
        });
        verdicts.max().max(rest).unwrap_or(verdict)
    };
    let several = spans.len() > 1 && of_span(span.case.class, address);
    let step = (reading.tolerance / 10.0).max(0.01);
    let found = stretches((reading.least(), reading.most()), (step, CLOSE), outcome);
    let (least, most, lighter) = found.into_iter().min_by_key(|(.., verdict)| *verdict)?;
    if lighter >= verdict {
        return None;
    }
    let from_below = most >= reading.most();
    Some(Again {
        reading: missing::blank_of(&span.case, address, several.then_some(span.number))?,
        limit: Quantity::exact(if from_below { least } else { most }, reading.unit),
        or_more: from_below,
        verdict: lighter,
    })
}
