//! The spans of a link that the lift pulls apart, each with the values that hold there.

use super::Frame;
use super::bind::{self, Bound};
use super::judged_span::JudgedSpan;
use super::types::{Address, Datum, Values};
use super::units::Unit;
use super::unmet::concerns;
use crate::cut::{CutLink, Span};
use crate::quantity::Quantity;
use crate::rules::expression::Scope;
use crate::rules::{Class, SpanRole, Verdict};
use crate::text::Text;

/// A span of the link with the values that hold there.
pub(super) struct Measured<'a> {
    pub(super) case: JudgedSpan<'a>,
    pub(super) values: Values,
    /// The names at those values.
    pub(super) names: Scope,
    pub(super) number: usize,
    /// The units of its class, each with its verdict over its tolerances once it is judged.
    pub(super) judged: Vec<(Unit<'a>, Option<Verdict>)>,
}

/// The disturbed spans, each with the values that hold there.
pub(super) fn measured_spans<'a>(
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
            bind::fill_defaults(class, &mut values);
            let case = JudgedSpan {
                class,
                id,
                span,
                titles: (
                    super::title(id, link, Some(class)),
                    frame.job.part_title(&span.from),
                    frame.job.part_title(&span.to),
                ),
                basis: frame.basis,
            };
            Measured {
                names: case.names(&values),
                case,
                values,
                number,
                judged: Vec::new(),
            }
        })
        .collect()
}

pub(super) fn of_span(class: &Class, address: &Address) -> bool {
    match address {
        Address::One(name) | Address::Each(name, ..) => class
            .measurements
            .get(name)
            .is_some_and(|measurement| measurement.of_span),
    }
}

/// Distance and level of the fixings follow from their places, where nobody measured them.
pub(super) fn from_places(class: &Class, span: &Span, values: &mut Values) {
    let Some((plan, level)) = span.geometry() else {
        return;
    };
    let of = |role| Some((class.of_role(role)?, role));
    let roles: Vec<_> = [of(SpanRole::Plan), of(SpanRole::Level)]
        .into_iter()
        .flatten()
        .collect();
    if roles
        .iter()
        .any(|((name, _), _)| values.datum(name).is_some())
    {
        return;
    }
    for ((name, measurement), role) in roles {
        let value = if role == SpanRole::Plan { plan } else { level };
        if let Some(unit) = measurement.kind.unit() {
            let datum = Datum::Number(Quantity::exact(value, unit));
            values.data.insert(Address::One(name.clone()), datum);
        }
    }
}

/// The defaults in use on a span that concern it: what, and the value.
pub(super) fn assumed(span: &Measured<'_>) -> Vec<(String, Text)> {
    let used = span.values.assumed.iter().filter_map(|address| {
        let measurement = span.case.class.measurement(address)?;
        let datum = span.values.data.get(address)?;
        concerns(measurement, &span.names).then(|| (measurement.label.clone(), shown(datum)))
    });
    used.collect()
}

fn shown(datum: &Datum) -> Text {
    match datum {
        Datum::Number(quantity) => Text::rendered(crate::text::mark(*quantity, None)),
        Datum::Word(word) => Text::plain(word),
        Datum::Flag(flag) => Text::plain(if *flag { "yes" } else { "no" }),
    }
}
