//! The walk of one unit over the whole box of its tolerances: at which points which branch holds.
//!
//! Takes a [`JudgedSpan`], a [`Unit`] and values; gives an [`Over`]. The points are those of [`crate::calc::points`]: one walk for all. A size
//! is chosen for the box as a whole: the box is walked once for the window that serves at every point, and once more within it. A class
//! with more readings in one unit than can be walked is refused when the rules are read.

use std::borrow::Cow;

use super::judge::{Failed, Judged};
use super::judged_span::JudgedSpan;
use super::over::Over;
use super::stretches::narrowed;
use super::types::{Address, Depth, Values};
use super::units::{Target, Unit};
use crate::calc::bounds::numbers;
use crate::calc::points::{AtPoint, Axis, Subject, walk};
use crate::calc::{Calculation, Given, Inputs, Spans, Value, Window};
use crate::rules::Check;
use crate::rules::expression::Scope;

impl<'r> JudgedSpan<'r> {
    /// Walks the box of a unit round the stated values, which are given with their names.
    pub(super) fn over(
        &self,
        unit: &Unit<'r>,
        stated: (&Values, &Scope),
        depth: Depth,
    ) -> Result<Over<'r>, Failed<'r>> {
        let first = self.walked(unit, stated, (depth, None))?;
        match first.window {
            Some(window) if first.made.len() > 1 => {
                let mut again = self.walked(unit, stated, (depth, Some(window)))?;
                again.window = Some(window);
                again.none = first.none;
                Ok(again)
            }
            _ => Ok(first),
        }
    }

    fn walked(
        &self,
        unit: &Unit<'r>,
        (values, names): (&Values, &Scope),
        (depth, window): (Depth, Option<Window>),
    ) -> Result<Over<'r>, Failed<'r>> {
        let loose = unit.loose(values);
        let axes = loose.iter().filter_map(|address| values.number(address));
        let axes: Vec<Axis> = axes.map(Axis::from).collect();
        let mut stated = names.clone();
        let unit = self.settled(unit, (values, &mut stated), &loose);
        if !loose.is_empty() {
            // Each of the points copies them, and adds few.
            stated = stated.as_ground();
        }
        let mut walker = Walker {
            case: self,
            unit: &unit,
            stated,
            values: Cow::Borrowed(values),
            axes: &axes,
            window,
            loose,
            over: Over::new(unit.target),
        };
        walk(&axes, depth > Depth::Verdict, &mut walker)?;
        Ok(walker.over)
    }
}

impl<'r> Unit<'r> {
    pub(super) fn check(&self) -> Option<&'r Check> {
        match self.target {
            Target::Check(check, _) => Some(check),
            Target::Release(_) => None,
        }
    }
}

struct Walker<'w, 'r> {
    case: &'w JudgedSpan<'r>,
    unit: &'w Unit<'r>,
    stated: Scope,
    values: Cow<'w, Values>,
    axes: &'w [Axis],
    loose: Vec<Address>,
    window: Option<Window>,
    over: Over<'r>,
}

impl<'r> Subject for Walker<'_, 'r> {
    type Error = Failed<'r>;

    fn at(&mut self, place: &[f64]) -> Result<AtPoint, Failed<'r>> {
        for (address, value) in self.loose.iter().zip(place) {
            self.values.to_mut().put(address, *value, 0.0);
        }
        let names = self.case.names_at(&self.stated, &self.values, &self.loose);
        let here = self
            .case
            .judge(self.unit, (&self.values, names), self.window)?;
        let calc = self.unit.check().and_then(|check| check.calc);
        match here {
            Judged::Elsewhere => self.over.elsewhere = true,
            Judged::Missing(needs) => {
                self.over.missing.extend(needs);
                self.over.elsewhere = true;
            }
            Judged::Release(needed, scope) => {
                if needed && self.over.released.is_none() {
                    self.over.released = Some(scope.clone());
                }
                self.over.scope.get_or_insert(scope);
            }
            Judged::Made(made) => {
                let mut seen = AtPoint::default();
                if let Some(calc) = calc {
                    seen.numbers = numbers(calc, &made.results);
                    seen.turns = self.turns(calc, &made.inputs);
                }
                self.over.make(calc, *made);
                return Ok(seen);
            }
        }
        Ok(AtPoint::default())
    }
}

impl Walker<'_, '_> {
    /// The levels of readings at which the calculation says that a result turns: an input that is a reading has the level itself,
    /// one that is worked out of readings has it where it comes to that.
    fn turns(&self, calc: &Calculation, inputs: &Inputs) -> Vec<(usize, f64)> {
        let (Target::Check(check, key), false) = (self.unit.target, self.loose.is_empty()) else {
            return Vec::new();
        };
        let spans = self.spans(calc, inputs);
        let mut turns = Vec::new();
        for (input, level) in (calc.turning)(inputs, &spans) {
            let with = check.with.iter().find(|(name, _)| name == input);
            let Some((_, expression)) = with else {
                continue;
            };
            for (number, (address, axis)) in self.loose.iter().zip(self.axes).enumerate() {
                let name = match address {
                    Address::One(name) => name,
                    Address::Each(_, of, field) if key == Some(of.as_str()) => field,
                    Address::Each(..) => continue,
                };
                if expression.text() == name {
                    turns.push((number, level));
                } else if expression.names().contains(name) {
                    turns.extend(
                        self.reached(expression, name, *axis, level)
                            .map(|at| (number, at)),
                    );
                }
            }
        }
        turns
    }

    /// What the tolerances make of the inputs, so far as it has been seen.
    fn spans(&self, calc: &Calculation, inputs: &Inputs) -> Spans {
        let seen = calc.inputs.iter().filter_map(|spec| {
            let Given {
                value: Value::Number(here),
                ..
            } = inputs.get(spec.name)?
            else {
                return None;
            };
            let (least, most) = self
                .over
                .given
                .get(spec.name)
                .copied()
                .unwrap_or((*here, *here));
            let (least, most) = (least.min(*here), most.max(*here));
            (least < most).then_some((spec.name, least, most))
        });
        Spans(seen.collect())
    }

    /// Where an input that is worked out of a reading comes to a level, the other readings at their stated values.
    fn reached(
        &self,
        expression: &crate::rules::expression::Expr,
        name: &str,
        axis: Axis,
        level: f64,
    ) -> Option<f64> {
        let input = |value: f64| {
            let mut names = self.stated.clone();
            names.set(name, value);
            expression.number(&names).ok()
        };
        let below = input(axis.least)? < level;
        let same = |value| input(value).is_some_and(|input| (input < level) == below);
        let whole = (axis.least, axis.most);
        (!same(axis.most)).then(|| narrowed(whole, 0.0, same).0)
    }
}
