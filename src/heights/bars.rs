//! Each connection over the range of heights, as stretches of one verdict.
//!
//! The range is walked in steps of 1 mm, and every change is narrowed by halving. What two steps enclose may change and change
//! back unseen; the calculations' own limits are the cross-check. A break stands at the last height that is still right for the
//! lighter verdict, so that it errs to the safe side, by no more than [`CLOSE`].

use super::ground::Grounds;
use crate::assess::{Assessed, stretches};
use crate::rules::{Area, Verdict};

/// The step of the walk, mm.
const STEP: f64 = 1.0;
/// How close a change is narrowed down, mm; finer than a block can be made.
const CLOSE: f64 = 0.001;

/// How a connection stands at one height.
#[derive(Debug, Clone)]
pub struct Standing {
    /// What it needs; none where that cannot be told at this height.
    pub verdict: Option<Verdict>,
    /// Whether the job sheet has work on it: every verdict but `leave`, and what is left alone in the end but must come apart on
    /// the way.
    pub work: bool,
    /// The deciding check and condition, or why nothing can be told.
    pub decided_by: String,
}

/// The same verdict, with work or without; which check decides it may change within a stretch.
impl PartialEq for Standing {
    fn eq(&self, other: &Self) -> bool {
        (self.verdict, self.work) == (other.verdict, other.work)
    }
}

impl Standing {
    pub(super) fn unknown(reason: String) -> Self {
        Self {
            verdict: None,
            work: true,
            decided_by: reason,
        }
    }

    /// How heavy it is; what cannot be told is the heaviest.
    fn weight(&self) -> (bool, Option<Verdict>, bool) {
        (self.verdict.is_none(), self.verdict, self.work)
    }

    /// Whether it is the heavier of two.
    #[must_use]
    pub fn heavier(&self, than: &Self) -> bool {
        self.weight() > than.weight()
    }

    /// What the pages call it.
    #[must_use]
    pub fn words(&self) -> &'static str {
        match self.verdict {
            None => "cannot be judged",
            Some(Verdict::Leave) if self.work => "apart on the way",
            Some(verdict) => verdict.word(),
        }
    }
}

/// How a judged link stands.
pub(super) fn standing(assessed: &Assessed<'_>) -> Standing {
    Standing {
        verdict: Some(assessed.verdict),
        work: assessed.verdict != Verdict::Leave || assessed.release,
        decided_by: assessed.decided_by.clone(),
    }
}

/// What a link is called, and where it is.
pub(super) struct Named {
    id: String,
    title: String,
    area: Area,
}

pub(super) fn named(assessed: &Assessed<'_>) -> Named {
    Named {
        id: assessed.id.clone(),
        title: assessed.title.clone(),
        area: assessed.area,
    }
}

/// A stretch of heights with one verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Where it begins, mm.
    pub from: f64,
    /// Where it ends, mm.
    pub to: f64,
    /// How the connection stands there; the deciding check is that of its beginning.
    pub standing: Standing,
}

/// A connection over the whole range.
#[derive(Debug, Clone)]
pub struct Bars {
    /// Its id.
    pub id: String,
    /// What it is called on the pages.
    pub title: String,
    /// Where it is.
    pub area: Area,
    /// Its stretches, lowest first; they leave no height out.
    pub bars: Vec<Bar>,
}

impl Bars {
    /// The lowest height at which there is work on it, mm.
    #[must_use]
    pub fn work_from(&self) -> Option<f64> {
        let first = self.bars.iter().find(|bar| bar.standing.work);
        first.map(|bar| bar.from)
    }
}

/// Every link of the job over the range.
pub(super) fn bars(grounds: &mut Grounds<'_>, range: (f64, f64)) -> Vec<Bars> {
    let links = grounds.links(grounds.job.lift.spacer.value);
    let links = links.into_iter().map(|link| {
        let bars = of(grounds, &link.id, range);
        let Named { id, title, area } = link;
        Bars {
            id,
            title,
            area,
            bars,
        }
    });
    let mut links: Vec<Bars> = links.collect();
    let start = |link: &Bars| link.work_from().unwrap_or(f64::INFINITY);
    links.sort_by(|a, b| {
        let order = start(a).total_cmp(&start(b));
        order.then(a.area.cmp(&b.area)).then(a.id.cmp(&b.id))
    });
    links
}

/// One link over the range.
pub(super) fn of(grounds: &mut Grounds<'_>, id: &str, range: (f64, f64)) -> Vec<Bar> {
    let at = |height: f64| {
        let standing = grounds.standing(id, height);
        standing.unwrap_or_else(|| Standing::unknown("it does not concern this vehicle".to_owned()))
    };
    let found = stretches(range, (STEP, CLOSE), at);
    let mut bars: Vec<Bar> = Vec::new();
    for (least, most, standing) in found {
        let mut from = least;
        if let Some(before) = bars.last_mut() {
            // The last height of the lighter one is the break.
            if standing.heavier(&before.standing) {
                from = before.to;
            } else {
                before.to = from;
            }
        }
        bars.push(Bar {
            from,
            to: most,
            standing,
        });
    }
    bars
}
