//! A range of values in stretches of equal outcome.
//!
//! Takes a range and what comes out at one value of it. The range is walked in steps and every change is narrowed by halving. A change and
//! its reversal within one step, or between two looks that are alike, are not seen; the calculations' own limits are the cross-check.

/// Halvings after which a range is as narrow as a double can tell.
const MOST_HALVINGS: usize = 60;

/// Walks a range in steps and returns its stretches of equal outcome, as (least, most, outcome). Every change is narrowed by halving
/// until what lies between the last value of one stretch and the first value of the next is `close` or less.
pub(crate) fn stretches<T: PartialEq + Clone>(
    (least, most): (f64, f64),
    (step, close): (f64, f64),
    mut outcome: impl FnMut(f64) -> T,
) -> Vec<(f64, f64, T)> {
    let mut found: Vec<(f64, f64, T)> = Vec::new();
    let mut start = least;
    let mut here = least;
    let mut current = outcome(least);
    for point in steps((least, most), step).skip(1) {
        let then = outcome(point);
        // Between two steps there may be a third outcome; it is taken up from where the first one ends.
        while then != current {
            let (low, high) = narrowed((here, point), close, |value| outcome(value) == current);
            found.push((start, low, current));
            start = high;
            here = high;
            current = if high < point {
                outcome(high)
            } else {
                then.clone()
            };
        }
        here = point;
    }
    found.push((start, most, current));
    found
}

/// The steps of a range, its ends among them.
fn steps((least, most): (f64, f64), step: f64) -> impl Iterator<Item = f64> {
    let next = move |here: &f64| (*here < most).then(|| (here + step).min(most));
    std::iter::successors(Some(least), next)
}

/// Halves a range whose low end is still the same, and whose high end is not, until it is `close` or as narrow as a double can tell.
pub(super) fn narrowed(
    (mut low, mut high): (f64, f64),
    close: f64,
    mut same: impl FnMut(f64) -> bool,
) -> (f64, f64) {
    for _ in 0..MOST_HALVINGS {
        if high - low <= close {
            break;
        }
        let middle = f64::midpoint(low, high);
        if same(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low, high)
}

/// What was found at the values that were looked at, lowest first. Where two of them are alike, so is what lies between.
pub(crate) struct Looks<T, A> {
    seen: Vec<(f64, T)>,
    alike: A,
}

impl<T: Clone, A: Fn(&T, &T) -> bool> Looks<T, A> {
    /// Nothing seen yet; `alike` says whether two outcomes are so alike that nothing else can lie between them.
    pub(crate) fn new(alike: A) -> Self {
        let seen = Vec::new();
        Self { seen, alike }
    }

    /// Looks at a range from afar: at steps no further apart than this where steps are smaller, its ends among them, and the first step,
    /// since nought often means that there is none.
    pub(crate) fn afar(
        &mut self,
        range: (f64, f64),
        (step, apart): (f64, f64),
        mut look: impl FnMut(f64) -> T,
    ) {
        let mut last = f64::NEG_INFINITY;
        for (number, value) in steps(range, step).enumerate() {
            let far = value + step - last > apart || value >= range.1;
            if far || number == 1 {
                self.at(value, &mut look);
            }
            if far {
                last = value;
            }
        }
    }

    /// What is found at a value, which is looked at where what is seen on both sides of it differs.
    pub(crate) fn at(&mut self, value: f64, look: impl FnOnce(f64) -> T) -> T {
        let next = self.seen.partition_point(|(at, _)| *at < value);
        let before = next.checked_sub(1).and_then(|last| self.seen.get(last));
        match (before, self.seen.get(next)) {
            (_, Some((at, found))) if *at <= value => found.clone(),
            (Some((_, below)), Some((_, above))) if (self.alike)(below, above) => below.clone(),
            _ => {
                let found = look(value);
                self.seen.insert(next, (value, found.clone()));
                found
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Looks, stretches};

    #[test]
    fn every_change_is_found() {
        let found = stretches((0.0, 100.0), (1.0, 1e-8), |x| {
            u8::from(x >= 41.3) + u8::from(x >= 62.75)
        });
        let ends: Vec<f64> = found.iter().map(|(least, ..)| *least).collect();
        assert_eq!(
            found
                .iter()
                .map(|(.., outcome)| *outcome)
                .collect::<Vec<_>>(),
            [0, 1, 2]
        );
        for (end, exact) in ends.iter().zip([0.0, 41.3, 62.75]) {
            assert!((end - exact).abs() <= 1e-7, "{end} is not {exact}");
        }
    }

    #[test]
    fn a_third_outcome_within_a_step_is_found_and_steps_stay_where_they_are() {
        let found = stretches((0.0, 3.0), (1.0, 1e-6), |x| {
            u8::from(x > 1.25) + u8::from(x > 1.75) + u8::from(x > 2.0)
        });
        // What ends on a step ends exactly there, whatever was found before it; what ends within one, as closely as was asked.
        let ends: Vec<f64> = found.iter().map(|(_, most, _)| *most).collect();
        let exact = [(1.25, 1e-6), (1.75, 1e-6), (2.0, 1e-12), (3.0, 1e-12)];
        for (end, (exact, close)) in ends.iter().zip(exact) {
            assert!((end - exact).abs() <= close, "{end} is not {exact}");
        }
        assert_eq!(found.len(), 4);
    }

    #[test]
    fn what_lies_between_two_that_are_alike_is_not_looked_at() {
        let mut looked = Vec::new();
        let mut outcome = |x: f64| {
            looked.push(x);
            x >= 3.5
        };
        let mut looks = Looks::new(PartialEq::eq);
        looks.afar((-4.0, 8.0), (1.0, 6.0), &mut outcome);
        let found = stretches((-4.0, 8.0), (1.0, 0.25), |x| looks.at(x, &mut outcome));
        assert_eq!(found, [(-4.0, 3.25, false), (3.5, 8.0, true)]);
        assert_eq!(looked, [-4.0, -3.0, 2.0, 8.0, 3.0, 4.0, 3.5, 3.25]);
    }
}
