//! One unit over a box of more readings than can be judged point by point: which branches may hold there, and between what ends
//! every number lies.
//!
//! Takes a [`JudgedSpan`], a [`Unit`] and what was found at some points; adds what can be at any other. Each input of a calculation is
//! taken as if it varied by itself, and a condition may be *perhaps*: what comes of it is never lighter or narrower than the truth.

use super::judge::CheckMade;
use super::judged_span::JudgedSpan;
use super::over::Over;
use super::types::{Address, Values};
use super::units::{Target, Unit};
use crate::calc::bounds::{Spread, Spreads, numbers};
use crate::calc::points::{AtPoint, Axis, Subject, walk};
use crate::calc::{self, CalcError, Calculation, Given, Inputs, Role, Spans, Value, Window};
use crate::rules::expression::{Expr, Scope, Slot};
use crate::rules::ranges::{Range, Ranges, holds, range};
use crate::rules::{Branch, Check, root};
use crate::sorted::Sorted as _;

/// What is known all over a box: the names at the stated values, and the range of each that varies.
#[derive(Clone)]
pub(super) struct Known<'k, 'r> {
    case: &'k JudgedSpan<'r>,
    values: &'k Values,
    names: Scope,
    ranges: Ranges,
    window: Option<Window>,
}

impl<'k, 'r> Known<'k, 'r> {
    /// What is known before anything is worked out: the readings of the link, and the movement that hangs on its distance.
    pub(super) fn new(
        case: &'k JudgedSpan<'r>,
        (values, names): (&'k Values, Scope),
        window: Option<Window>,
    ) -> Self {
        let mut ranges = Ranges::new();
        let mut off = [0.0; 2];
        for (name, measurement) in &case.class.measurements {
            if let Some(reading) = values.number(&Address::One(name.clone())) {
                let both = Range::Number(reading.least(), reading.most());
                if reading.tolerance > 0.0 {
                    ranges.insert(name.clone(), both);
                }
                if measurement.role.is_some() {
                    off.rotate_left(1);
                    off[1] = reading.tolerance;
                }
            }
        }
        let off = off[0].hypot(off[1]);
        if let Some(length) = names.number("working.length").filter(|_| off > 0.0) {
            // A length grows or shrinks by no more than either of its ends moves, and so does what it was before.
            let both = Range::Number(length - 2.0 * off, length + 2.0 * off);
            ranges.insert("working.length".to_owned(), both);
        }
        Self {
            case,
            values,
            names,
            ranges,
            window,
        }
    }

    /// Adds to what was found of a unit whatever it can come to.
    pub(super) fn widen(mut self, unit: &Unit<'r>, over: &mut Over<'r>) {
        for check in &unit.above {
            self.above(check);
        }
        match unit.target {
            Target::Check(check, key) => self.check((check, key), over),
            Target::Release(when) => {
                if over.released.is_none() && self.holds(when).1 {
                    over.released = Some(self.names);
                }
            }
        }
    }

    fn holds(&self, condition: &Expr) -> (bool, bool) {
        holds(condition, &self.names, &self.ranges)
    }

    /// The same with the readings of one key of a list.
    fn at(&self, check: &Check, key: Option<&str>) -> Self {
        let mut here = self.clone();
        let Some((list, key)) = check.each.as_deref().zip(key) else {
            return here;
        };
        here.names = self.case.names_for_key(&self.names, self.values, list, key);
        for address in self.values.data.keys() {
            let field = match address {
                Address::Each(of, at, field) if of == list && at == key => field,
                _ => continue,
            };
            let reading = self.values.number(address);
            if let Some(reading) = reading.filter(|reading| reading.tolerance > 0.0) {
                let both = Range::Number(reading.least(), reading.most());
                here.ranges.insert(field.clone(), both);
            }
        }
        here
    }

    /// Adds the results of a check that others read; of one made for a list, those of all its keys.
    fn above(&mut self, check: &'r Check) {
        let list = check.each.as_deref().unwrap_or_default();
        let keys = self.case.class.keys(list).iter();
        let keys = keys.map(|key| Some(key.as_str()));
        let mut all = Ranges::new();
        for key in keys.chain(check.each.is_none().then_some(None)) {
            let made = self.at(check, key).calculated((check, key), None);
            for (name, range) in results(check, made.as_ref()) {
                let wider = match all.remove(&name) {
                    Some(known) => range.or(known),
                    None => range,
                };
                all.insert(name, wider);
            }
            if let Some(made) = made {
                let stated = made.spreads.0.into_iter();
                let stated: Vec<_> = stated.map(|one| (one.name, one.nominal)).collect();
                self.names.results(check, &stated);
            }
        }
        self.ranges.extend(all);
    }

    fn check(self, (check, key): (&'r Check, Option<&str>), over: &mut Over<'r>) {
        let applies = check.applies.as_ref();
        let (not, may) = applies.map_or((false, true), |when| self.holds(when));
        over.elsewhere |= not;
        if !may {
            return;
        }
        let mut here = self.at(check, key);
        let made = here.calculated((check, key), self.window);
        here.ranges.extend(results(check, made.as_ref()));
        let spreads = made.as_ref().map(|made| made.spreads.clone());
        let made = made.unwrap_or_else(|| Calculated::at(over.made.first()));
        over.ends = here.ranges.clone();
        let mut possible = Vec::new();
        for branch in &check.branches {
            let when = branch.when.as_ref();
            let (not, may) = when.map_or((false, true), |when| here.holds(when));
            possible.extend(may.then_some(branch));
            if !not {
                break;
            }
        }
        let ends = possible
            .into_iter()
            .flat_map(|branch| [true, false].map(|least| here.end((check, branch), &made, least)));
        over.widen(check.calc, spreads, ends.collect());
    }

    /// A check as if every number were at its least, or at its most; what is missing the other way round.
    fn end(
        &self,
        (check, branch): (&'r Check, &'r Branch),
        made: &Calculated,
        least: bool,
    ) -> CheckMade<'r> {
        let end = |(low, high): (f64, f64), least| if least { low } else { high };
        let result = |spread: &Spread| {
            let spec = check.calc.and_then(|calc| calc.result(spread.name));
            let missing = spec.is_some_and(|spec| spec.role == Role::Missing);
            let number = spread.bounds.map(|both| end(both, least != missing));
            let value = number.map_or_else(|| spread.nominal.clone(), Value::Number);
            (spread.name, value)
        };
        let results: Vec<_> = made.spreads.0.iter().map(result).collect();
        let mut names = self.names.clone();
        for (name, range) in &self.ranges {
            if let (Range::Number(low, high), false) = (range, name.contains('.')) {
                names.number_at(Slot::of(name), end((*low, *high), least));
            }
        }
        names.results(check, &results);
        let mut inputs = made.inputs.clone();
        for loose in made.loose.iter().filter(|loose| loose.part.is_none()) {
            let number = end((loose.axis.least, loose.axis.most), least);
            inputs.insert(loose.input.into(), Given::number(number));
        }
        CheckMade {
            branch,
            inputs,
            results,
            names,
        }
    }

    /// A calculation over all that its inputs can be; none where that cannot be told.
    fn calculated(
        &self,
        (check, key): (&Check, Option<&str>),
        window: Option<Window>,
    ) -> Option<Calculated> {
        let calc = check.calc?;
        let at = check.each.as_deref().zip(key);
        let mut made = Calculated::at(None);
        for (name, expression) in &check.with {
            if self
                .case
                .left_out(expression, at, (self.values, &self.names))
            {
                continue;
            }
            let stated = expression.input(&self.names).ok()?;
            let input = calc.input(name)?.name;
            if expression.names().iter().any(|name| self.varies(name)) {
                let wide = range(expression, &self.names, &self.ranges);
                made.loose.extend(loose(input, &stated, wide)?);
            }
            made.inputs.insert(name.clone(), Given::exact(stated));
        }
        let axes: Vec<Axis> = made.loose.iter().map(|loose| loose.axis).collect();
        let mut made_at = Call {
            calc,
            window,
            inputs: made.inputs.clone(),
            loose: &made.loose,
            spreads: None,
        };
        walk(&axes, true, &mut made_at).ok()?;
        made.spreads = made_at.spreads?;
        Some(made)
    }

    /// Whether the name, or a part of it, has a range.
    fn varies(&self, name: &str) -> bool {
        self.ranges.keys().any(|known| root(known) == root(name))
    }
}

/// A calculation with its inputs at the stated values, what they vary by, and the spread of its results over that.
struct Calculated {
    inputs: Inputs,
    loose: Vec<Loose>,
    spreads: Spreads,
}

impl Calculated {
    /// What is known of it at one point.
    fn at(made: Option<&CheckMade<'_>>) -> Self {
        let inputs = made.map(|made| made.inputs.clone());
        Self {
            inputs: inputs.unwrap_or_default(),
            loose: Vec::new(),
            spreads: Spreads::of(made.map_or(&[][..], |made| &made.results)),
        }
    }
}

/// A number of an input that varies: the input itself, or a part of a place.
struct Loose {
    input: &'static str,
    part: Option<usize>,
    axis: Axis,
}

/// What varies of an input; none where that cannot be told.
fn loose(input: &'static str, stated: &Value, wide: Range) -> Option<Vec<Loose>> {
    let one = |part, stated: f64, range: &Range| match range {
        Range::Number(least, most) => {
            let (least, most) = (least.min(stated), most.max(stated));
            let axis = Axis {
                least,
                stated,
                most,
            };
            Some(Loose { input, part, axis })
        }
        _ => None,
    };
    match (stated, wide) {
        (Value::Vector(stated), Range::List(parts)) => {
            let parts = stated.iter().zip(&parts).enumerate();
            parts
                .map(|(part, (stated, range))| one(Some(part), *stated, range))
                .collect()
        }
        (Value::Number(stated), range) => Some(vec![one(None, *stated, &range)?]),
        _ => None,
    }
}

/// The range of each result of a check, by the names that expressions read it by.
fn results(check: &Check, made: Option<&Calculated>) -> Ranges {
    let specs = check.calc.map_or(&[][..], |calc| calc.results).iter();
    let known = |name: &str| {
        let Some(made) = made else {
            return Some(Range::Anything);
        };
        let spread = made.spreads.0.iter().find(|spread| spread.name == name)?;
        let number = spread
            .bounds
            .map(|(least, most)| Range::Number(least, most));
        let others = std::iter::once(&spread.nominal).chain(&spread.elsewhere);
        let others = others.filter_map(|value| match value {
            Value::Flag(flag) => Some(Range::Answer(!flag, *flag)),
            Value::Word(word) => Some(Range::Exactly(word.as_str().into())),
            _ => None,
        });
        number.into_iter().chain(others).reduce(Range::or)
    };
    let ranges = specs.filter_map(|spec| {
        let name = format!("{}.{}", check.id, spec.name);
        Some((name, known(spec.name)?))
    });
    ranges.sorted_map()
}

/// A calculation that is made at points of its inputs.
struct Call<'c> {
    calc: &'static Calculation,
    window: Option<Window>,
    inputs: Inputs,
    loose: &'c [Loose],
    spreads: Option<Spreads>,
}

impl Subject for Call<'_> {
    type Error = CalcError;

    fn at(&mut self, place: &[f64]) -> Result<AtPoint, CalcError> {
        for (loose, number) in self.loose.iter().zip(place) {
            let given = self
                .inputs
                .get_mut(loose.input)
                .map(|given| &mut given.value);
            match (given, loose.part) {
                (Some(Value::Vector(parts)), Some(part)) => {
                    parts
                        .iter_mut()
                        .skip(part)
                        .take(1)
                        .for_each(|part| *part = *number);
                }
                (Some(value), _) => *value = Value::Number(*number),
                _ => {}
            }
        }
        let found = calc::results_within(self.calc, &self.inputs, self.window)?;
        let spreads = self.spreads.get_or_insert_with(|| Spreads::of(&found));
        spreads.widen(&found);
        let whole = self.loose.iter().enumerate();
        let whole: Vec<(usize, &Loose)> = whole.filter(|(_, one)| one.part.is_none()).collect();
        let spans = whole
            .iter()
            .map(|(_, one)| (one.input, one.axis.least, one.axis.most));
        let spans = Spans(spans.collect());
        let turns = (self.calc.turning)(&self.inputs, &spans).into_iter();
        let turns = turns.filter_map(|(input, level)| {
            let (place, _) = whole.iter().find(|(_, one)| one.input == input)?;
            Some((*place, level))
        });
        Ok(AtPoint {
            numbers: numbers(self.calc, &found),
            turns: turns.collect(),
        })
    }
}
