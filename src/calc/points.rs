//! The points of a tolerance box at which something is worked out: one walk for the bounds of a calculation and for the judging of a link.
//!
//! Takes the readings that carry a tolerance and a [`Subject`] that works out what it likes at one point; visits the stated values
//! first, then the product of least, stated and most, then the levels at which the subject says that something turns. From the
//! best point of each number it goes on inward wherever a step into the box makes the number better still, so that a joint that
//! is straightest between its corners is found. Always in the same order. What is made of the points is left to the subject.

use std::collections::BTreeSet;

use crate::quantity::Quantity;

/// Up to this many readings the stated values stand in the product; beyond it, only least and most do.
const WITH_STATED: usize = 5;
/// How many points the turning levels may add.
const MOST_TURNS: usize = 6000;
/// Steps of one search along a reading: each narrows it to 0.618 of what it was, 50 of them to a part in 10¹⁰.
const SEARCH_STEPS: usize = 50;
/// The step, as a share of a tolerance's width, that shows on which side a number goes on.
const PROBE: f64 = 1e-4;

/// One reading with its tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Axis {
    pub(crate) least: f64,
    pub(crate) stated: f64,
    pub(crate) most: f64,
}

impl From<Quantity> for Axis {
    fn from(reading: Quantity) -> Self {
        Self {
            least: reading.least(),
            stated: reading.value,
            most: reading.most(),
        }
    }
}

/// What was found at one point.
#[derive(Debug, Default)]
pub(crate) struct AtPoint {
    /// The numbers whose least and most matter; NaN where one does not apply.
    pub(crate) numbers: Vec<f64>,
    /// Levels at which something may turn when one reading moves from here: (its place among the axes, level).
    pub(crate) turns: Vec<(usize, f64)>,
}

/// Something that is worked out at points.
pub(crate) trait Subject {
    /// Why it cannot be worked out.
    type Error;

    /// Works it out with these values of the readings.
    fn at(&mut self, place: &[f64]) -> Result<AtPoint, Self::Error>;
}

/// Visits the points of a box. `ends` says whether the search for the least and most of each number goes on inward.
pub(crate) fn walk<S: Subject>(axes: &[Axis], ends: bool, subject: &mut S) -> Result<(), S::Error> {
    let mut walk = Walk {
        axes,
        subject,
        been: BTreeSet::new(),
        best: Vec::new(),
    };
    let stated: Vec<f64> = axes.iter().map(|axis| axis.stated).collect();
    if axes.is_empty() {
        return subject.at(&stated).map(|_| ());
    }
    let mut places = vec![stated];
    places.extend(product(axes));
    let mut room = MOST_TURNS;
    // Where two readings turn together, the level of one is met from the level of the other.
    for _ in 0..3 {
        let mut next = Vec::new();
        for place in places {
            for (axis, level) in walk.visit(&place)? {
                next.extend(moved(&place, axis, level));
            }
        }
        next.truncate(room);
        room -= next.len();
        places = next;
    }
    if ends {
        walk.go_inward()?;
    }
    Ok(())
}

/// Least, stated and most of every reading with every other; of many readings least and most.
fn product(axes: &[Axis]) -> Vec<Vec<f64>> {
    let stated = axes.len() <= WITH_STATED;
    let mut places = vec![Vec::new()];
    for axis in axes {
        let levels = [axis.least, axis.most]
            .into_iter()
            .chain(stated.then_some(axis.stated));
        let levels: Vec<f64> = levels.collect();
        let longer = places.iter().flat_map(|place: &Vec<f64>| {
            levels.iter().map(move |level| {
                let mut longer = place.clone();
                longer.push(*level);
                longer
            })
        });
        places = longer.collect();
    }
    places
}

fn moved(place: &[f64], axis: usize, level: f64) -> Option<Vec<f64>> {
    let mut there = place.to_vec();
    *there.get_mut(axis)? = level;
    Some(there)
}

/// The least and the most of one number so far, each with its place.
type Ends = [Option<(f64, Vec<f64>)>; 2];

struct Walk<'a, S> {
    axes: &'a [Axis],
    subject: &'a mut S,
    been: BTreeSet<Vec<u64>>,
    best: Vec<Ends>,
}

/// Whether a number is better at this end: smaller at the first, larger at the second.
fn better(end: usize, number: f64, than: f64) -> bool {
    if end == 0 {
        number < than
    } else {
        number > than
    }
}

impl<S: Subject> Walk<'_, S> {
    /// Works the subject out at a place where it was not worked out yet; gives the turns inside the box.
    fn visit(&mut self, place: &[f64]) -> Result<Vec<(usize, f64)>, S::Error> {
        if !self
            .been
            .insert(place.iter().map(|at| at.to_bits()).collect())
        {
            return Ok(Vec::new());
        }
        let mut seen = self.subject.at(place)?;
        self.note(place, &seen.numbers);
        seen.turns.retain(|(axis, level)| {
            let axis = self.axes.get(*axis);
            axis.is_some_and(|axis| axis.least < *level && *level < axis.most)
        });
        Ok(seen.turns)
    }

    fn note(&mut self, place: &[f64], numbers: &[f64]) {
        self.best
            .resize(self.best.len().max(numbers.len()), [None, None]);
        for (ends, number) in self.best.iter_mut().zip(numbers) {
            for (end, best) in ends.iter_mut().enumerate() {
                let first = best.is_none() && !number.is_nan();
                if first
                    || best
                        .as_ref()
                        .is_some_and(|(best, _)| better(end, *number, *best))
                {
                    *best = Some((*number, place.to_vec()));
                }
            }
        }
    }

    /// From the best place of every number, along every reading that makes it better still a little further in.
    fn go_inward(&mut self) -> Result<(), S::Error> {
        for number in 0..self.best.len() {
            for end in 0..2 {
                for axis in 0..self.axes.len() {
                    self.along((number, end), axis)?;
                }
            }
        }
        Ok(())
    }

    fn along(&mut self, which: (usize, usize), axis: usize) -> Result<(), S::Error> {
        let (Some((best, place)), Some(span)) = (self.end(which), self.axes.get(axis).copied())
        else {
            return Ok(());
        };
        let Some(here) = place.get(axis).copied() else {
            return Ok(());
        };
        let step = PROBE * (span.most - span.least);
        for beside in [here - step, here + step] {
            if !(span.least..=span.most).contains(&beside) {
                continue;
            }
            let there = self.number(&place, axis, beside, which.0)?;
            if better(which.1, there, best) && (there - best).abs() > 1e-12 * best.abs().max(1.0) {
                let far = if beside < here { span.least } else { span.most };
                return self.narrow(which, (&place, axis), (here, far));
            }
        }
        Ok(())
    }

    /// The golden section of the way from here to the far end of a reading, on which the number has one best place. Where it does not
    /// apply any more is beyond it.
    fn narrow(
        &mut self,
        (number, end): (usize, usize),
        (place, axis): (&[f64], usize),
        (here, far): (f64, f64),
    ) -> Result<(), S::Error> {
        let share = (5.0_f64.sqrt() - 1.0) / 2.0;
        let (mut near, mut beyond) = (0.0, 1.0);
        for _ in 0..SEARCH_STEPS {
            let one = beyond - share * (beyond - near);
            let other = near + share * (beyond - near);
            let at = |way: f64| here + way * (far - here);
            let at_one = self.number(place, axis, at(one), number)?;
            let at_other = self.number(place, axis, at(other), number)?;
            if at_other.is_nan() || better(end, at_one, at_other) {
                beyond = other;
            } else {
                near = one;
            }
        }
        Ok(())
    }

    fn end(&self, (number, end): (usize, usize)) -> Option<(f64, Vec<f64>)> {
        self.best.get(number)?.get(end)?.clone()
    }

    fn number(
        &mut self,
        place: &[f64],
        axis: usize,
        level: f64,
        number: usize,
    ) -> Result<f64, S::Error> {
        let Some(there) = moved(place, axis, level) else {
            return Ok(f64::NAN);
        };
        let seen = self.subject.at(&there)?;
        self.note(&there, &seen.numbers);
        Ok(seen.numbers.get(number).copied().unwrap_or(f64::NAN))
    }
}
