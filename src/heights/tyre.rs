//! The height that a tyre needs: where the rules say that it clears its guards, or half of what it is larger.
//!
//! A tyre that is larger by ΔD stands ΔD/2 higher in its guard; the body, and the guard with it, goes up by the height of the
//! blocks. So a lift of ΔD/2 keeps the gap that is there. Where that gap was measured, the consequence
//! `guard-to-tyre-clearance` says at which height enough is left; where it was not, half the difference is taken, and that is told
//! as assumed. How far the wheel comes up and turns, neither of them can say: the gap at full bump and full lock is measured.

use super::asked::Wanted;
use super::at_height::Grounds;
use super::bars;
use crate::job::{HIGHEST_SPACER, Job};
use crate::quantity::{Quantity, Unit};
use crate::rules::Verdict;

/// The consequence that compares tyres and guards.
const GUARDS: &str = "guard-to-tyre-clearance";

/// What the height rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// The gap that was measured, held against the rules.
    Gap,
    /// Half the difference in diameter: that the gap of now is enough is assumed.
    HalfTheDifference,
}

/// A tyre and the height that it needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Tyre {
    pub wanted: Wanted,
    /// Half of what its diameter is larger than before the lift, mm; below 0 for a smaller one.
    pub half: f64,
    /// The height that it needs, mm; none when no height that the arithmetic covers is enough.
    pub height: Option<f64>,
    pub by: By,
    /// The size that the job file says will be fitted, when that is another one.
    pub instead_of: Option<String>,
}

/// The job with the tyre asked for.
pub(super) fn fitted(job: &Job, wanted: Option<&Wanted>) -> Job {
    let mut job = job.clone();
    if let Some(wanted) = wanted {
        job.vehicle.tyres.1 = Some(wanted.size.clone());
        let diameter = Quantity::exact(wanted.diameter, Unit::Mm);
        job.vehicle.numbers.insert("tyre_after", diameter);
    }
    job
}

/// The height that a tyre needs on the job that it is fitted to.
pub(super) fn needed(wanted: &Wanted, job: &Job, grounds: &mut Grounds<'_>) -> Tyre {
    let half = (wanted.diameter - wanted.diameter_before) / 2.0;
    let (height, by) = match by_gap(grounds) {
        Some(height) => (height, By::Gap),
        None => (half.max(0.0), By::HalfTheDifference),
    };
    Tyre {
        wanted: wanted.clone(),
        half,
        height: Some(height).filter(|height| *height <= HIGHEST_SPACER),
        by,
        instead_of: job
            .vehicle
            .tyres
            .1
            .clone()
            .filter(|after| *after != wanted.size),
    }
}

/// The height from which on the rules leave the guards alone, where the gap was measured; infinite when none is enough.
fn by_gap(grounds: &mut Grounds<'_>) -> Option<f64> {
    grounds.standing(GUARDS, 0.0)?;
    let bars = bars::found_bars(grounds, GUARDS, (0.0, HIGHEST_SPACER));
    let unknown = |verdict: Option<Verdict>| verdict.is_none_or(|v| v == Verdict::Measure);
    if bars.iter().any(|bar| unknown(bar.standing.verdict)) {
        return None;
    }
    let last = bars.last()?;
    let enough = last.standing.verdict == Some(Verdict::Leave);
    Some(if enough { last.from } else { f64::INFINITY })
}
