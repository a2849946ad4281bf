//! Where a closer reading of one value could lighten a verdict that its tolerance decided.

use super::Again;
use super::effort::Effort;
use super::inverse::{CLOSE, stretches};
use super::measured::Measured;
use super::values::{Address, Datum};
use crate::quantity::Quantity;
use crate::rules::Verdict;

/// Where a closer reading of one value could lighten the verdict; none once the effort is spent.
pub(super) fn again(spans: &[Measured<'_>], verdict: Verdict, effort: &Effort) -> Option<Again> {
    for span in spans {
        for (address, datum) in &span.values.data {
            let Datum::Number(quantity) = datum else {
                continue;
            };
            if quantity.tolerance <= 0.0 {
                continue;
            }
            if let Some(again) = lighter(span, (address, *quantity), verdict, effort) {
                return Some(again);
            }
        }
    }
    None
}

fn lighter(
    span: &Measured<'_>,
    (address, quantity): (&Address, Quantity),
    verdict: Verdict,
    effort: &Effort,
) -> Option<Again> {
    let outcome = |value: f64| {
        if !effort.spend(span.case.class.checks.len()) {
            return verdict;
        }
        let mut values = span.values.clone();
        let datum = Datum::Number(Quantity::exact(value, quantity.unit));
        values.data.insert(address.clone(), datum);
        span.case
            .judge(&values)
            .map_or(verdict, |judged| judged.verdict())
    };
    let box_of = (quantity.least(), quantity.most());
    let found = stretches(
        box_of,
        ((quantity.tolerance / 10.0).max(0.01), CLOSE),
        outcome,
    );
    if effort.is_spent() {
        return None;
    }
    let (least, most, lighter) = found.into_iter().min_by_key(|(.., verdict)| *verdict)?;
    if lighter >= verdict {
        return None;
    }
    let from_below = most >= quantity.most();
    Some(Again {
        label: span.case.measurement(address)?.label.clone(),
        limit: Quantity::exact(if from_below { least } else { most }, quantity.unit),
        or_more: from_below,
        verdict: lighter,
    })
}
