//! What every result is over the points of a tolerance box: least and most of each number, and what each answer can be elsewhere.
//! Which points there are is left to [`super::points`].

use super::check::once;
use super::points::{AtPoint, Axis, Subject, walk};
use super::{CalcError, Calculation, Found, Inputs, MOST_RISE, Outcome, Spans, Value};

/// What each result does over a box, by the results at the stated values.
#[derive(Debug, Clone, Default)]
pub(crate) struct Spreads(pub(crate) Vec<Spread>);

/// What one result does.
#[derive(Debug, Clone)]
pub(crate) struct Spread {
    pub(crate) name: &'static str,
    /// At the stated values.
    pub(crate) nominal: Value,
    pub(crate) bounds: Option<(f64, f64)>,
    /// What it can be that is no number, beside the nominal.
    pub(crate) elsewhere: Vec<Value>,
}

impl Spreads {
    /// Begins with the results at the stated values.
    pub(crate) fn of(results: &[(&'static str, Value)]) -> Self {
        let spread = |(name, value): &(&'static str, Value)| Spread {
            name,
            nominal: value.clone(),
            bounds: None,
            elsewhere: Vec::new(),
        };
        let mut spreads = Self(results.iter().map(spread).collect());
        spreads.widen(results);
        spreads
    }

    /// Takes in the results at another point.
    pub(crate) fn widen(&mut self, results: &[(&'static str, Value)]) {
        for spread in &mut self.0 {
            let value = results.iter().find(|(name, _)| *name == spread.name);
            spread.widen(value.map_or(&Value::Nothing, |(_, value)| value));
        }
    }

    /// Puts bounds, and what an answer is elsewhere, into results at the stated values.
    pub(crate) fn bound(self, outcomes: &mut [Outcome]) {
        for spread in self.0 {
            let outcome = outcomes.iter_mut().find(|one| one.name == spread.name);
            if let Some(outcome) = outcome {
                outcome.bounds = spread.bounds;
                outcome.elsewhere = spread.elsewhere;
            }
        }
    }
}

impl Spread {
    fn widen(&mut self, value: &Value) {
        let number = match (value, &self.nominal) {
            (Value::Number(number), _) => Some(*number),
            // A limit that is never reached counts as the largest rise looked at; a result that does not apply here counts not at all.
            (Value::Nothing, Value::Number(_) | Value::Nothing)
                if self.name.starts_with("rise_limit") =>
            {
                Some(MOST_RISE)
            }
            _ => None,
        };
        if let Some(number) = number {
            let (least, most) = self.bounds.unwrap_or((number, number));
            self.bounds = Some((least.min(number), most.max(number)));
        }
        let same = match (&self.nominal, value) {
            (Value::Number(_), Value::Number(_)) => true,
            (nominal, value) => nominal == value,
        };
        if !same && !matches!(value, Value::Number(_)) && !self.elsewhere.contains(value) {
            self.elsewhere.push(value.clone());
        }
    }
}

/// The numbers among results, NaN for whatever else there is; a limit that is never reached is the largest rise looked at.
pub(crate) fn numbers(calc: &Calculation, results: &[(&'static str, Value)]) -> Vec<f64> {
    let number = |name: &str| match results.iter().find(|(of, _)| *of == name) {
        Some((_, Value::Number(number))) => *number,
        Some((_, Value::Nothing)) if name.starts_with("rise_limit") => MOST_RISE,
        _ => f64::NAN,
    };
    calc.results.iter().map(|spec| number(spec.name)).collect()
}

/// The spread of every result; nothing when every input is exact.
pub(super) fn spreads(
    calc: &Calculation,
    filled: &Inputs,
    spans: &Spans,
    found: &Found,
) -> Result<Spreads, CalcError> {
    if spans.0.is_empty() {
        return Ok(Spreads::default());
    }
    let reading = |&(_, least, most): &(&str, f64, f64)| Axis {
        least,
        stated: f64::midpoint(least, most),
        most,
    };
    let axes: Vec<Axis> = spans.0.iter().map(reading).collect();
    let mut over = Call {
        calc,
        spans,
        at: filled.clone(),
        spreads: Spreads::of(&found.results),
    };
    walk(&axes, true, &mut over)?;
    Ok(over.spreads)
}

struct Call<'a> {
    calc: &'a Calculation,
    spans: &'a Spans,
    at: Inputs,
    spreads: Spreads,
}

impl Subject for Call<'_> {
    type Error = CalcError;

    fn at(&mut self, place: &[f64]) -> Result<AtPoint, CalcError> {
        for ((name, ..), value) in self.spans.0.iter().zip(place) {
            if let Some(given) = self.at.get_mut(name) {
                given.value = Value::Number(*value);
            }
        }
        let here =
            once(self.calc, &self.at).map_err(|error| within_tolerance(error, self.spans))?;
        self.spreads.widen(&here.results);
        let levels = (self.calc.turning)(&self.at, self.spans).into_iter();
        let axis = |name: &str| self.spans.0.iter().position(|(of, ..)| *of == name);
        Ok(AtPoint {
            numbers: numbers(self.calc, &here.results),
            turns: levels
                .filter_map(|(name, level)| Some((axis(name)?, level)))
                .collect(),
        })
    }
}

/// Says that the refusal comes from a place inside the tolerance, where the stated inputs alone would have done.
fn within_tolerance(mut error: CalcError, spans: &Spans) -> CalcError {
    if let Some((_, least, most)) = spans.0.iter().find(|(name, ..)| *name == error.input) {
        error.given = format!("{} within its tolerance, {least} to {most}", error.given);
    } else {
        error.given = format!("{} at one end of the tolerances given", error.given);
    }
    error
}
