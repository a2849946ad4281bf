//! One unit over the whole box of its tolerances: at which points which branch holds, and the bounds of every result.
//!
//! Takes a [`JudgedSpan`], a [`Unit`] and values; gives an [`Over`]. The points are those of [`crate::calc::points`]: one walk for all. A size
//! is chosen for the box as a whole: the box is walked once for the window that serves at every point, and once more within it. A box of
//! more readings than can be walked is bounded by [`super::between`].

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::between::Known;
use super::inverse::narrowed;
use super::judge::{CheckMade, Failed, Judged};
use super::judged_span::JudgedSpan;
use super::types::{Address, Depth, Need, Values};
use super::units::{Target, Unit};
use crate::calc::bounds::{Spreads, numbers};
use crate::calc::points::{AtPoint, Axis, Subject, touch, walk};
use crate::calc::{Calculation, Given, Inputs, Spans, Value, Window};
use crate::rules::expression::Scope;
use crate::rules::names::Names;
use crate::rules::ranges::Ranges;
use crate::rules::{Check, Verdict};

/// Readings with a tolerance that are judged point by point; beyond it the corners become too many.
const MOST_READINGS: usize = 12;
/// Points of one branch whose names are all kept for its texts and limits; of more, those with the least or the most of a number.
const KEPT: usize = 200;

/// One unit over its box.
#[derive(Debug, Default)]
pub(super) struct Over<'r> {
    pub(super) check: Option<&'r Check>,
    pub(super) key: Option<String>,
    /// Where the check was made, the stated values first where it was made there.
    pub(super) made: Vec<CheckMade<'r>>,
    /// Whether there are points at which it does not apply.
    pub(super) elsewhere: bool,
    pub(super) missing: BTreeSet<Need>,
    /// The names at the first point that needs the release, and at the first of all.
    pub(super) released: Option<Scope>,
    pub(super) scope: Option<Scope>,
    pub(super) spreads: Option<Spreads>,
    /// Least and most of each number that goes into the calculation.
    pub(super) given: BTreeMap<String, (f64, f64)>,
    /// Beyond what is judged point by point: what each name can be, whatever the others are.
    pub(super) ends: Ranges,
    /// Whether, where a size is chosen, there are points at which none serves.
    none: bool,
    /// Where a size is chosen, what serves at every point.
    pub(super) window: Option<Window>,
}

impl<'r> JudgedSpan<'r> {
    /// Walks the box of a unit round the stated values, which are given with their names.
    pub(super) fn over(
        &self,
        unit: &Unit<'r>,
        stated: (&Values, &Names),
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
        (values, names): (&Values, &Names),
        (depth, window): (Depth, Option<Window>),
    ) -> Result<Over<'r>, Failed<'r>> {
        let loose = unit.loose(values);
        let axes = loose.iter().filter_map(|address| values.number(address));
        let axes: Vec<Axis> = axes.map(Axis::from).collect();
        let mut stated = names.clone();
        let unit = self.settled(unit, (values, &mut stated), &loose);
        if depth == Depth::Verdict && !loose.is_empty() {
            unit.deciding(self.class, &mut stated);
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
        if axes.len() <= MOST_READINGS {
            walk(&axes, depth > Depth::Verdict, &mut walker)?;
            return Ok(walker.over);
        }
        touch(&axes, &mut walker)?;
        let (mut over, stated) = (walker.over, walker.stated);
        if over.missing.is_empty() {
            Known::new(self, (values, stated), window).widen(&unit, &mut over);
        }
        Ok(over)
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

impl<'r> Over<'r> {
    fn new(target: Target<'r>) -> Self {
        let (check, key) = match target {
            Target::Check(check, key) => (Some(check), key.map(ToOwned::to_owned)),
            Target::Release(_) => (None, None),
        };
        Self {
            check,
            key,
            ..Self::default()
        }
    }

    /// The verdict: the heaviest of all points, but where its tolerances leave open what is to be done, `measure`.
    pub(super) fn verdict(&self) -> Option<Verdict> {
        let heaviest = self.made.iter().map(|made| made.branch.verdict).max();
        if self.open() {
            Some(Verdict::Measure)
        } else {
            heaviest
        }
    }

    /// Whether the tolerances leave open what is to be done: a stop at some points only, other work for the same verdict, or no size
    /// that serves at all of them.
    pub(super) fn open(&self) -> bool {
        let verdict = |made: &CheckMade<'_>| made.branch.verdict;
        let Some(heaviest) = self.made.iter().map(verdict).max() else {
            return false;
        };
        let all = !self.elsewhere && self.made.iter().all(|made| verdict(made) == heaviest);
        let mut heavy = self.made.iter().filter(|made| verdict(made) == heaviest);
        let first = heavy.next();
        let same =
            |made: &CheckMade<'_>| first.is_none_or(|first| first.branch.same_work(made.branch));
        // Where none serves even at one point, a branch of the rule says what is done.
        let none_serves = !self.none && self.window.is_some_and(|window| !window.serves());
        (heaviest == Verdict::Stop && !all) || !heavy.all(same) || none_serves
    }

    fn make(&mut self, calc: Option<&Calculation>, made: CheckMade<'r>) {
        for (name, given) in &made.inputs {
            if let Value::Number(number) = given.value {
                let ends = self.given.entry(name.clone()).or_insert((number, number));
                *ends = (ends.0.min(number), ends.1.max(number));
            }
        }
        match &mut self.spreads {
            Some(spreads) => spreads.widen(&made.results),
            None => self.spreads = Some(Spreads::of(&made.results)),
        }
        if let Some(calc) = calc {
            let mut own = None;
            Window::narrow(&mut own, calc, &made.results);
            self.none |= own.is_some_and(|own| !own.serves());
            Window::narrow(&mut self.window, calc, &made.results);
        }
        self.made.push(made);
    }

    /// Takes in what can be between the points at which the check was made.
    pub(super) fn widen(
        &mut self,
        calc: Option<&Calculation>,
        spreads: Option<Spreads>,
        ends: Vec<CheckMade<'r>>,
    ) {
        let none = self.none;
        for end in ends {
            self.make(calc, end);
        }
        // No size serves at both ends of everything; what serves at each point is seen at the points themselves.
        self.none = none;
        self.spreads = spreads;
    }

    /// The names at the points where a branch holds as another does, those of a number's least and most where there are many.
    pub(super) fn scopes(&self, like: &CheckMade<'r>) -> Vec<Scope> {
        let alike = self.made.iter();
        let alike = alike.filter(|made| std::ptr::eq(made.branch, like.branch));
        let alike: Vec<&CheckMade<'_>> = alike.collect();
        let kept = if alike.len() > KEPT {
            self.extremes(&alike)
        } else {
            alike
        };
        kept.into_iter().map(|made| made.scope.clone()).collect()
    }

    /// The stated values, and the points at which a number of the check is least or most.
    pub(super) fn ends(&self) -> Vec<&CheckMade<'r>> {
        let all: Vec<&CheckMade<'r>> = self.made.iter().collect();
        self.extremes(&all)
    }

    fn extremes<'m>(&self, made: &[&'m CheckMade<'r>]) -> Vec<&'m CheckMade<'r>> {
        let calc = self.check.and_then(|check| check.calc);
        let row = |made: &&CheckMade<'_>| {
            let given = made.inputs.values().map(|given| match given.value {
                Value::Number(number) => number,
                _ => f64::NAN,
            });
            let found = calc.map(|calc| numbers(calc, &made.results));
            given.chain(found.unwrap_or_default()).collect::<Vec<f64>>()
        };
        let rows: Vec<Vec<f64>> = made.iter().map(row).collect();
        let mut kept = BTreeSet::from([0]);
        for column in 0..rows.first().map_or(0, Vec::len) {
            let value = |row: usize| {
                let number = rows.get(row).and_then(|row| row.get(column));
                number.copied().filter(|number| !number.is_nan())
            };
            let there = (0..rows.len()).filter_map(|row| Some((row, value(row)?)));
            let by = |one: &(usize, f64), other: &(usize, f64)| one.1.total_cmp(&other.1);
            // An answer that is the same everywhere is kept once.
            let (least, most) = (there.clone().min_by(by), there.max_by(by));
            if let (Some(least), Some(most)) = (least, most)
                && least.1 < most.1
            {
                kept.extend([least.0, most.0]);
            }
        }
        kept.into_iter()
            .filter_map(|row| made.get(row).copied())
            .collect()
    }
}

struct Walker<'w, 'r> {
    case: &'w JudgedSpan<'r>,
    unit: &'w Unit<'r>,
    stated: Names,
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
        Spans::new(seen.collect())
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
            let mut names = self.stated.feed.clone();
            names.set(name, value);
            expression.number(&names).ok()
        };
        let below = input(axis.least)? < level;
        let same = |value| input(value).is_some_and(|input| (input < level) == below);
        let whole = (axis.least, axis.most);
        (!same(axis.most)).then(|| narrowed(whole, 0.0, same).0)
    }
}
