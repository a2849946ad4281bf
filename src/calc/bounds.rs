//! Bounds of every result over the tolerance box. Takes checked inputs and the box; gives the least and most of each
//! number, and what each answer can be elsewhere. Looks at all corners, at the levels where the calculation says a result
//! turns (met from every corner, and from every such place once more), and then searches on from the best places, so that a
//! turn that nobody declared is still found. Everything is tried in a fixed order: the same call gives the same bounds.

use super::evaluate::run;
use super::{CalcError, Calculation, Found, Inputs, MOST_RISE, Spans, Value};

/// How many places the turning levels may add beyond the corners.
const MOST_TURNING_PLACES: usize = 6000;
/// How many places one search may look at.
const MOST_SEARCH_PLACES: usize = 300;

/// What one result does over the box.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spread {
    pub(super) name: &'static str,
    least: Option<(f64, Place)>,
    most: Option<(f64, Place)>,
    pub(super) elsewhere: Vec<Value>,
}

/// A place in the box: the value of each input that carries a tolerance, in the order of [`Spans`].
type Place = Vec<f64>;

impl Spread {
    /// The least and most of a number.
    pub(super) fn bounds(&self) -> Option<(f64, f64)> {
        Some((self.least.as_ref()?.0, self.most.as_ref()?.0))
    }
}

/// The spread of every result; none at all when every input is exact.
pub(super) fn spreads(
    calc: &Calculation,
    filled: &Inputs,
    spans: &Spans,
    found: &Found,
) -> Result<Vec<Spread>, CalcError> {
    if spans.0.is_empty() {
        return Ok(Vec::new());
    }
    let mut search = Search::new(calc, filled, spans, found);
    search.corners_and_turns()?;
    for index in 0..search.spreads.len() {
        for side in [Side::Least, Side::Most] {
            search.go_on_from_the_best(index, side)?;
        }
    }
    Ok(search.spreads)
}

#[derive(Clone, Copy)]
enum Side {
    Least,
    Most,
}

struct Search<'a> {
    calc: &'a Calculation,
    spans: &'a Spans,
    at: Inputs,
    nominal: &'a Found,
    spreads: Vec<Spread>,
}

impl<'a> Search<'a> {
    fn new(calc: &'a Calculation, filled: &Inputs, spans: &'a Spans, nominal: &'a Found) -> Self {
        let spread = |(name, _): &(&'static str, Value)| Spread {
            name,
            least: None,
            most: None,
            elsewhere: Vec::new(),
        };
        Self {
            calc,
            spans,
            at: filled.clone(),
            nominal,
            spreads: nominal.results.iter().map(spread).collect(),
        }
    }

    /// The middle, all corners, and the turning levels met from each of those places and from one another.
    fn corners_and_turns(&mut self) -> Result<(), CalcError> {
        let middle = self
            .spans
            .0
            .iter()
            .map(|(_, least, most)| f64::midpoint(*least, *most));
        let mut places: Vec<Place> = vec![middle.collect()];
        places.extend(corners(self.spans));
        let mut budget = MOST_TURNING_PLACES;
        for round in 0..3 {
            let mut next = Vec::new();
            for place in places {
                self.visit(&place)?;
                if round < 2 {
                    self.turns(&place, &mut next);
                }
            }
            next.truncate(budget);
            budget -= next.len();
            places = next;
        }
        Ok(())
    }

    /// The places inside the box where one input moves from here to a level at which a result turns.
    fn turns(&self, place: &[f64], next: &mut Vec<Place>) {
        for (name, level) in (self.calc.turning)(&self.at, self.spans) {
            let inside = self
                .spans
                .0
                .iter()
                .position(|(of, least, most)| *of == name && *least < level && level < *most);
            let Some(index) = inside else { continue };
            let mut moved = place.to_vec();
            if let Some(value) = moved.get_mut(index) {
                *value = level;
                next.push(moved);
            }
        }
    }

    /// Runs at a place and widens every spread by what it finds there.
    fn visit(&mut self, place: &[f64]) -> Result<(), CalcError> {
        for ((name, ..), value) in self.spans.0.iter().zip(place) {
            if let Some(given) = self.at.get_mut(*name) {
                given.value = Value::Number(*value);
            }
        }
        let here = run(self.calc, &self.at).map_err(|error| within_tolerance(error, self.spans))?;
        for (spread, (name, nominal)) in self.spreads.iter_mut().zip(&self.nominal.results) {
            let value = here.results.iter().find(|(of, _)| of == name);
            widen(spread, nominal, value.map(|(_, value)| value), place);
        }
        Ok(())
    }

    /// A pattern search from the best place known: tries each input up and down, then in ever smaller steps.
    fn go_on_from_the_best(&mut self, index: usize, side: Side) -> Result<(), CalcError> {
        let mut step = 0.5;
        let mut tried = 0;
        let mut ever_better = false;
        while let Some((best, place)) = self.best(index, side)
            && step > if ever_better { 1e-9 } else { 1e-3 }
            && tried < MOST_SEARCH_PLACES
        {
            let moves = self.moves(&place, step);
            tried += moves.len();
            for moved in moves {
                self.visit(&moved)?;
            }
            let better = self
                .best(index, side)
                .is_some_and(|(now, _)| (now - best).abs() > 1e-13 * best.abs().max(1e-3));
            ever_better |= better;
            if !better {
                step *= 0.25;
            }
        }
        Ok(())
    }

    fn best(&self, index: usize, side: Side) -> Option<(f64, Place)> {
        let spread = self.spreads.get(index)?;
        match side {
            Side::Least => spread.least.clone(),
            Side::Most => spread.most.clone(),
        }
    }

    /// The places one step away that lie in the box.
    fn moves(&self, place: &[f64], step: f64) -> Vec<Place> {
        let mut moves = Vec::new();
        for (index, (_, least, most)) in self.spans.0.iter().enumerate() {
            for direction in [-1.0, 1.0] {
                let mut there = place.to_vec();
                let Some(value) = there.get_mut(index) else {
                    continue;
                };
                let before = *value;
                *value = (before + direction * step * (most - least)).clamp(*least, *most);
                if (*value - before).abs() > 0.0 {
                    moves.push(there);
                }
            }
        }
        moves
    }
}

/// All corners of the box.
fn corners(spans: &Spans) -> Vec<Place> {
    let mut corners = vec![Place::new()];
    for (_, least, most) in &spans.0 {
        corners = corners
            .iter()
            .flat_map(|corner| {
                [least, most].map(|end| {
                    let mut longer = corner.clone();
                    longer.push(*end);
                    longer
                })
            })
            .collect();
    }
    corners
}

fn widen(spread: &mut Spread, nominal: &Value, value: Option<&Value>, place: &[f64]) {
    let nothing = Value::Nothing;
    let value = value.unwrap_or(&nothing);
    let number = match (value, nominal) {
        (Value::Number(number), _) => Some(*number),
        // A limit that is never reached counts as the largest rise looked at; a result that does not apply here counts not at all.
        (Value::Nothing, Value::Number(_) | Value::Nothing)
            if spread.name.starts_with("rise_limit") =>
        {
            Some(MOST_RISE)
        }
        _ => None,
    };
    if let Some(number) = number {
        if spread
            .least
            .as_ref()
            .is_none_or(|(least, _)| number < *least)
        {
            spread.least = Some((number, place.to_vec()));
        }
        if spread.most.as_ref().is_none_or(|(most, _)| number > *most) {
            spread.most = Some((number, place.to_vec()));
        }
    }
    let same = match (nominal, value) {
        (Value::Number(_), Value::Number(_)) => true,
        _ => nominal == value,
    };
    if !same && !matches!(value, Value::Number(_)) && !spread.elsewhere.contains(value) {
        spread.elsewhere.push(value.clone());
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
