//! One link: its spans judged at every corner of the tolerance box, the heaviest verdict taken, what is missing listed.

use std::collections::{BTreeMap, BTreeSet};

use super::case::Case;
use super::inverse::stretches;
use super::judge::{Judged, Run};
use super::missing::{self, Missing};
use super::needs::Need;
use super::problem;
use super::values::{self, Address, Bound, Datum, Values};
use super::{Again, Assessed, Frame};
use crate::cut::{CutLink, Span};
use crate::quantity::Quantity;
use crate::report::Report;
use crate::rules::{Check, Class, Verdict};
use crate::text::Text;

/// Inputs with a tolerance that one link may have; beyond it the corners become too many to judge.
const MOST_TOLERANCES: usize = 8;

/// A span of the link with the values that hold there.
struct Measured<'a> {
    case: Case<'a>,
    values: Values,
    number: usize,
}

/// One corner judged.
struct Corner<'r> {
    judged: Judged<'r>,
    nominal: bool,
}

/// Judges a disturbed link of a known class.
pub(super) fn assess<'r>(
    frame: &Frame<'r>,
    class: &'r Class,
    (id, link): (&'r str, &'r CutLink),
    report: &mut Report,
) -> Assessed<'r> {
    let bound = values::bind(frame.job, class, link, report);
    let spans: Vec<Measured<'r>> = measured_spans(frame, class, (id, link), &bound);
    let mut assessed = frame.blank(id, link, Some(class));
    let mut corners = Vec::new();
    for span in &spans {
        for (values, nominal) in corner_values(&span.values) {
            match span.case.judge(&values) {
                Ok(judged) => corners.push(Corner { judged, nominal }),
                Err((check, refused)) => {
                    report.push(problem::problem(
                        frame.job,
                        class,
                        check,
                        (id, link),
                        &refused,
                    ));
                    return assessed;
                }
            }
        }
        let taken = span.values.assumed.iter();
        assessed
            .assumed
            .extend(taken.filter_map(|address| assumed(&span.case, &span.values, address)));
    }
    assessed.release = corners
        .iter()
        .any(|corner| corner.judged.release == Some(true));
    assessed.scope = corners
        .iter()
        .find(|corner| corner.judged.release == Some(true))
        .or(corners.first())
        .map(|corner| corner.judged.scope.clone())
        .unwrap_or_default();
    assessed.runs = deciding_runs(class, &corners);
    assessed.missing = all_missing(&spans, &corners);
    assessed.verdict = corners
        .iter()
        .map(|corner| corner.judged.verdict())
        .max()
        .unwrap_or(Verdict::Leave);
    assessed.again = again(&spans, assessed.verdict);
    settle(frame, &mut assessed, link);
    assessed.results = super::results::results(&assessed, &spans_inputs(&spans));
    assessed
}

/// What the pages say of the verdict: the deciding check, its reason, its trade; and what was never looked at.
fn settle(frame: &Frame<'_>, assessed: &mut Assessed<'_>, link: &CutLink) {
    if assessed.verdict == Verdict::Leave && !link.held_known {
        assessed.verdict = Verdict::Measure;
        assessed
            .missing
            .push(missing::held_by(frame.job, &assessed.id, link));
    }
    if assessed.verdict == Verdict::Measure {
        assessed.decided_by = "not yet known".to_owned();
        assessed.because = Text::plain("not everything that decides it has been measured");
        return;
    }
    let verdict = assessed.verdict;
    let deciding = assessed
        .runs
        .iter()
        .find(|run| run.branch.verdict == verdict);
    let Some(run) = deciding else {
        assessed.decided_by = "no check applies".to_owned();
        assessed.because = Text::plain("none of the checks of its class applies to it");
        return;
    };
    assessed.decided_by = decided_by(run);
    assessed.trade.clone_from(&run.branch.trade);
    assessed.because = frame.render(&run.branch.because, &run.scope);
}

/// The deciding condition: `fit.overlap_left >= least_overlap`, or what did not hold before the last branch.
fn decided_by(run: &Run<'_>) -> String {
    let key = run
        .key
        .as_ref()
        .map(|key| format!("[{key}]"))
        .unwrap_or_default();
    let condition = match &run.branch.when {
        Some(when) => when.text().to_owned(),
        None => {
            let last = run
                .check
                .branches
                .iter()
                .rev()
                .find_map(|branch| branch.when.as_ref());
            last.map_or_else(
                || "always".to_owned(),
                |when| format!("not ({})", when.text()),
            )
        }
    };
    format!("{}{key}: {condition}", run.check.id)
}

/// The disturbed spans, each with the values that hold there.
fn measured_spans<'a>(
    frame: &Frame<'a>,
    class: &'a Class,
    (id, link): (&'a str, &'a CutLink),
    bound: &Bound,
) -> Vec<Measured<'a>> {
    let disturbed: Vec<(usize, &Span)> = link.disturbed_spans().collect();
    let several = disturbed.len() > 1;
    let spans = disturbed.into_iter();
    spans
        .map(|(number, span)| {
            let mut values = bound.whole.clone();
            if several {
                // A value of the link as a whole says nothing of one of several spans.
                values.data.retain(|address, _| !of_span(class, address));
            }
            if let Some(own) = bound.spans.get(&number) {
                values.data.extend(own.data.clone());
            }
            from_places(class, span, &mut values);
            values::fill_defaults(class, &mut values);
            let case = Case {
                class,
                id,
                link,
                span,
                titles: frame.titles(id, link, Some(class), span),
                facts: frame.facts,
            };
            Measured {
                case,
                values,
                number,
            }
        })
        .collect()
}

fn of_span(class: &Class, address: &Address) -> bool {
    match address {
        Address::One(name) | Address::Each(name, ..) => class
            .measurements
            .get(name)
            .is_some_and(|measurement| measurement.of_span),
    }
}

/// Distance and level of the fixings follow from their places, where nobody measured them.
fn from_places(class: &Class, span: &Span, values: &mut Values) {
    let Some((plan, level)) = span.geometry else {
        return;
    };
    let known = values.one("plan").is_some() || values.one("level").is_some();
    for (name, value) in [("plan", plan), ("level", level)] {
        let unit = class.measurements.get(name).and_then(missing::unit);
        if let Some(unit) = unit.filter(|_| !known) {
            let datum = Datum::Number(Quantity::exact(value, unit));
            values.data.insert(Address::One(name.to_owned()), datum);
        }
    }
}

/// The stated values first, then every corner of the tolerance box.
fn corner_values(values: &Values) -> Vec<(Values, bool)> {
    let tolerant: Vec<(&Address, Quantity)> = values
        .data
        .iter()
        .filter_map(|(address, datum)| match datum {
            Datum::Number(quantity) if quantity.tolerance > 0.0 => Some((address, *quantity)),
            _ => None,
        })
        .take(MOST_TOLERANCES)
        .collect();
    let mut corners = vec![(values.clone(), true)];
    if tolerant.is_empty() {
        return corners;
    }
    for bits in 0..1_u32 << tolerant.len() {
        let mut corner = values.clone();
        for (index, (address, quantity)) in tolerant.iter().enumerate() {
            let end = if bits >> index & 1 == 0 {
                quantity.least()
            } else {
                quantity.most()
            };
            let datum = Datum::Number(Quantity::exact(end, quantity.unit));
            corner.data.insert((*address).clone(), datum);
        }
        corners.push((corner, false));
    }
    corners
}

/// For each check the run with the heaviest verdict over spans, corners and keys; the stated values win a tie.
fn deciding_runs<'r>(class: &'r Class, corners: &[Corner<'r>]) -> Vec<Run<'r>> {
    let of = |check: &'r Check| {
        let mut best: Option<(&Run<'r>, bool)> = None;
        for corner in corners {
            for run in corner
                .judged
                .runs
                .iter()
                .filter(|run| run.check.id == check.id)
            {
                let heavier = best.is_none_or(|(kept, nominal)| {
                    let order = run.branch.verdict.cmp(&kept.branch.verdict);
                    order.is_gt() || (order.is_eq() && corner.nominal && !nominal)
                });
                if heavier {
                    best = Some((run, corner.nominal));
                }
            }
        }
        best.map(|(run, _)| run.clone())
    };
    class.checks.iter().filter_map(of).collect()
}

fn all_missing(spans: &[Measured<'_>], corners: &[Corner<'_>]) -> Vec<Missing> {
    let needs: BTreeSet<Need> = corners
        .iter()
        .flat_map(|c| c.judged.missing.clone())
        .collect();
    let several = spans.len() > 1;
    let mut missing = BTreeMap::new();
    for need in &needs {
        for span in spans {
            let absent = match need {
                Need::Value(address) => !span.values.data.contains_key(address),
                Need::Fact(_) => true,
            };
            if !absent {
                continue;
            }
            let own = match need {
                Need::Value(address) => several && of_span(span.case.class, address),
                Need::Fact(_) => false,
            };
            let number = own.then_some(span.number);
            missing.entry((need.clone(), number)).or_insert_with(|| {
                missing::missing(&span.case, need, number, &span.values, &needs)
            });
        }
    }
    missing.into_values().collect()
}

fn assumed(case: &Case<'_>, values: &Values, address: &Address) -> Option<(String, Text)> {
    let label = case.measurement(address)?.label.clone();
    let value = match values.data.get(address)? {
        Datum::Number(quantity) => Text::rendered(crate::text::mark(*quantity, None)),
        Datum::Word(word) => Text::plain(word),
        Datum::Flag(flag) => Text::plain(if *flag { "yes" } else { "no" }),
    };
    Some((label, value))
}

/// Where a closer reading of one value could lighten the verdict.
fn again(spans: &[Measured<'_>], verdict: Verdict) -> Option<Again> {
    for span in spans {
        for (address, datum) in &span.values.data {
            let Datum::Number(quantity) = datum else {
                continue;
            };
            if quantity.tolerance <= 0.0 {
                continue;
            }
            if let Some(again) = lighter(span, address, *quantity, verdict) {
                return Some(again);
            }
        }
    }
    None
}

fn lighter(
    span: &Measured<'_>,
    address: &Address,
    quantity: Quantity,
    verdict: Verdict,
) -> Option<Again> {
    let outcome = |value: f64| {
        let mut values = span.values.clone();
        let datum = Datum::Number(Quantity::exact(value, quantity.unit));
        values.data.insert(address.clone(), datum);
        span.case
            .judge(&values)
            .map(|judged| judged.verdict())
            .unwrap_or(verdict)
    };
    let box_of = (quantity.least(), quantity.most());
    let found = stretches(box_of, (quantity.tolerance / 10.0).max(0.01), outcome);
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

/// The tolerances of the values that a calculation takes unchanged, by name.
fn spans_inputs(spans: &[Measured<'_>]) -> BTreeMap<Address, f64> {
    let mut tolerances = BTreeMap::new();
    for span in spans {
        for (address, datum) in &span.values.data {
            if let Datum::Number(quantity) = datum {
                tolerances.insert(address.clone(), quantity.tolerance);
            }
        }
    }
    tolerances
}
