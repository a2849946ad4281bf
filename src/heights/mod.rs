//! The same job at other spacer heights: where the verdict on each connection changes, and what the whole lift comes to at each
//! height.
//!
//! Takes a checked job, the rules and what was [`AskedHeights`]; gives [`Heights`]. Only the height of the blocks changes: places,
//! measurements and procedure are those of the job. A mount with a block of its own keeps its difference to the others. A
//! height that cannot be judged or planned is told as such, and the others stand. How it is drawn and printed is left to `picture`
//! and `document`.

mod asked;
mod at_height;
mod bars;
mod changes;
mod json;
mod totals;
mod tyre;
pub(crate) mod wording;

pub use asked::AskedHeights;
pub(crate) use at_height::AtHeight;
pub(crate) use bars::{Bar, Bars};
pub(crate) use changes::{HeightChange, change};
pub(crate) use json::to_json;
pub(crate) use totals::{Days, Height, Totals};
pub(crate) use tyre::{By, Tyre};

pub(crate) use self::at_height::{Grounds, own_blocks};
use crate::pipeline::Made;

/// Heights closer than this are the same, mm.
pub(crate) const SAME: f64 = 1e-6;

/// The same job over a range of spacer heights.
#[derive(Debug)]
pub struct Heights {
    /// What was asked.
    pub asked: AskedHeights,
    /// The job's own height, mm.
    pub own: f64,
    /// Every connection with its verdicts over the range: first those on which work starts lowest, each in walking order.
    pub links: Vec<Bars>,
    /// The whole lift at each height, lowest first.
    pub heights: Vec<Height>,
    /// The height that the tyre asked for needs.
    pub tyre: Option<Tyre>,
    /// Mounts with blocks of their own: the mount, and how much higher than the others its block is, mm.
    pub own_blocks: Vec<(String, f64)>,
}

impl Heights {
    /// Whether something is still to be measured at any of the heights.
    pub(crate) fn provisional(&self) -> bool {
        let mut planned = self
            .heights
            .iter()
            .filter_map(|height| height.planned.as_ref().ok());
        planned.any(|totals| totals.provisional)
    }

    /// Where the job's own height stands among the heights.
    pub(crate) fn own_place(&self) -> Option<usize> {
        self.heights.iter().position(|height| height.own)
    }
}

/// Judges and plans the job over the range of heights asked for. What was made of it at its own height stands there, unless the tyre asked for
/// makes it another job.
pub fn heights(made: &Made<'_>, asked: AskedHeights) -> Heights {
    let Made { job, rules, .. } = *made;
    let fitted = tyre::fitted(job, asked.tyre.as_ref());
    let own_made = Some(made).filter(|_| asked.tyre.is_none());
    let mut grounds = Grounds::new(&fitted, rules);
    let tyre = asked
        .tyre
        .as_ref()
        .map(|size| tyre::needed(size, job, &mut grounds));
    let needs = tyre.as_ref().and_then(|tyre| tyre.height);
    let own = job.lift.spacer.value;
    let heights = asked.heights((own, needs), |height, is_own| {
        totals::at((&fitted, rules), own_made.filter(|_| is_own), height)
    });
    for height in &heights {
        if let Ok(totals) = &height.planned {
            grounds.planned(height.height, &totals.links);
        }
    }
    let known = own_made.map(|made| made.assessment.links.values());
    let known = known.map(|links| links.map(Bars::of).collect());
    let links = known.unwrap_or_else(|| bars::links(&mut grounds, own));
    Heights {
        own,
        links: bars::bars(&mut grounds, links, (asked.from, asked.to)),
        heights,
        tyre,
        own_blocks: own_blocks(job),
        asked,
    }
}
