//! Lengths that bolts are made in, and nut heights. Takes a thread and a length; gives the next length of the series, its
//! thread length, and whether the size is commonly stocked. What length a joint needs is left to `stack`.
//!
//! Metric: the length series, commercial ranges and nut heights stand in `rules/tables/bolt-lengths.yaml`, with their source; two nut
//! heights were also seen in a vendor's example table. Thread lengths were seen in copies of ISO 4014 and AS 1110.1, M12
//! to M16 over 200 mm computed. Inch: quarter-inch steps and thread lengths (ASME B18.2.1) are from memory.

use super::tables::{LENGTHS, Size};
use super::thread::{INCH_MM, Series, Thread};

/// Inch lengths come in quarter-inch steps up to this many of them (from memory).
const INCH_STEP: f64 = INCH_MM / 4.0;
const MOST_INCH_STEPS: f64 = 80.0;
/// Sums of measured lengths carry rounding; a need this much over a length is that length.
const ROUNDING: f64 = 1e-9;

/// The shortest length of the series that is at least `needed`, mm; none beyond the series.
///
/// ```
/// use liftsheet::calc::{bolt_length::order_length, thread::Thread};
/// let thread = Thread::read("M12").unwrap();
/// assert_eq!(order_length(thread, 114.3), Some(120.0));
/// assert_eq!(order_length(thread, 71.0), Some(80.0));
/// assert_eq!(order_length(thread, 501.0), None);
/// ```
pub fn order_length(thread: Thread, needed: f64) -> Option<f64> {
    match thread.series {
        Series::Metric => LENGTHS
            .lengths
            .iter()
            .copied()
            .find(|length| *length >= needed - ROUNDING),
        Series::Inch => {
            let steps = ((needed - ROUNDING) / INCH_STEP).ceil().max(1.0);
            (steps <= MOST_INCH_STEPS).then_some(steps * INCH_STEP)
        }
    }
}

/// The length of the series next below one of its lengths, mm; none below the first.
pub fn shorter(thread: Thread, length: f64) -> Option<f64> {
    match thread.series {
        Series::Metric => LENGTHS
            .lengths
            .iter()
            .rev()
            .copied()
            .find(|of| *of < length - ROUNDING),
        Series::Inch => {
            let below = length - INCH_STEP;
            (below > INCH_STEP / 2.0).then_some(below)
        }
    }
}

/// The lengths of the series between two lengths, mm.
pub(super) fn between(thread: Thread, least: f64, most: f64) -> Vec<f64> {
    let mut found = Vec::new();
    let mut next = order_length(thread, least);
    while let Some(length) = next.filter(|length| *length <= most) {
        found.push(length);
        next = order_length(thread, length + 2.0 * ROUNDING);
    }
    found
}

/// Thread length b, mm. Metric (ISO 4014): 2d + 6 for l ≤ 125, 2d + 12 for l ≤ 200, 2d + 25 above. Inch (from memory): 2d + ¼ in for
/// l ≤ 6 in, 2d + ½ in above.
///
/// ```
/// use liftsheet::calc::{bolt_length::thread_length, thread::Thread};
/// let thread = Thread::read("M12").unwrap();
/// assert_eq!((thread_length(thread, 120.0), thread_length(thread, 140.0)), (30.0, 36.0));
/// ```
pub fn thread_length(thread: Thread, length: f64) -> f64 {
    let beyond = match thread.series {
        Series::Metric if length <= 125.0 => 6.0,
        Series::Metric if length <= 200.0 => 12.0,
        Series::Metric => 25.0,
        Series::Inch if length <= 6.0 * INCH_MM => INCH_MM / 4.0,
        Series::Inch => INCH_MM / 2.0,
    };
    2.0 * thread.diameter + beyond
}

/// Height of a style 1 nut (ISO 4032, m max), mm; none for inch threads, whose nut is measured.
pub fn nut_height(thread: Thread) -> Option<f64> {
    size(thread).map(|size| size.nut_height)
}

/// Whether a length lies in the commercial range of the size; none for inch threads, for which no range was read.
pub fn in_commercial_range(thread: Thread, length: f64) -> Option<bool> {
    size(thread).map(|size| (size.shortest..=size.longest).contains(&length))
}

fn size(thread: Thread) -> Option<&'static Size> {
    let metric = thread.series == Series::Metric;
    let mut sizes = LENGTHS.sizes.iter();
    sizes.find(|size| metric && (size.diameter - thread.diameter).abs() < 1e-9)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thread(name: &str) -> Thread {
        Thread::read(name).unwrap()
    }

    #[test]
    fn the_series_steps_down_as_it_steps_up() {
        assert_eq!(shorter(thread("M12"), 140.0), Some(130.0));
        assert_eq!(shorter(thread("M12"), 12.0), None);
        assert_eq!(
            between(thread("M12"), 66.0, 100.0),
            vec![70.0, 80.0, 90.0, 100.0]
        );
    }

    #[test]
    fn rounding_of_a_sum_does_not_order_the_next_length() {
        let needed: f64 = [0.1; 1000].iter().sum();
        assert!(needed > 99.9 && needed < 100.1);
        assert_eq!(order_length(thread("M12"), needed.max(100.0)), Some(100.0));
    }

    #[test]
    fn inch_lengths_from_memory_come_in_quarter_inches() {
        let inch = thread("1/2-13");
        assert_eq!(order_length(inch, 4.0 * INCH_MM), Some(4.0 * INCH_MM));
        assert_eq!(order_length(inch, 4.1 * INCH_MM), Some(4.25 * INCH_MM));
        assert_eq!(shorter(inch, 4.25 * INCH_MM), Some(4.0 * INCH_MM));
        assert_eq!(order_length(inch, 600.0), None);
        assert_eq!(nut_height(inch), None);
        assert!((thread_length(inch, 100.0) - 1.25 * INCH_MM).abs() < 1e-9);
    }
}
