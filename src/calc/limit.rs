//! The rise limit: up to which rise a check holds. Takes where a check stops holding; gives the limit as the contract
//! of every calculation words it. Finding the place is left to each calculation, which may halve its way there.

use super::MOST_RISE;

/// The largest rise r up to 150 mm such that a check holds at every rise in 0…r.
///
/// `holds_now` says whether it holds at rise 0, and `until` is the rise (mm) at which it first stops holding, which may be
/// infinite. None when it holds over all of 0…150; 0 when it fails at 0.
///
/// ```
/// use liftsheet::calc::limit::rise_limit;
/// assert_eq!(rise_limit(true, 75.5), Some(75.5));
/// assert_eq!(rise_limit(true, 150.0), None);
/// assert_eq!(rise_limit(false, 75.5), Some(0.0));
/// ```
pub fn rise_limit(holds_now: bool, until: f64) -> Option<f64> {
    if !holds_now || until < 0.0 {
        Some(0.0)
    } else if until >= MOST_RISE {
        None
    } else {
        Some(until)
    }
}

/// The narrow stretch in which an answer changes from no to yes, found by halving one so often; the answer at its ends is known.
pub(super) fn halved(
    (mut no, mut yes): (f64, f64),
    times: usize,
    answer: impl Fn(f64) -> bool,
) -> (f64, f64) {
    for _ in 0..times {
        let middle = f64::midpoint(no, yes);
        if answer(middle) {
            yes = middle;
        } else {
            no = middle;
        }
    }
    (no, yes)
}
