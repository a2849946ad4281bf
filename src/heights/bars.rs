//! Each connection over the range of heights, as stretches of one verdict.
//!
//! The range is looked at in stretches of [`STRETCH`] mm. One whose ends stand alike, for the same reason, is taken to be alike
//! throughout; every other is looked at where links before turned, since many turn together, and then step by step, and the change is
//! narrowed. What a stretch encloses may change and change back unseen; the calculations' own limits and a walk over single steps in the
//! tests are the cross-checks. A break stands at the last height that is still right for the lighter verdict, so that it errs to the safe
//! side, by no more than [`CLOSE`].

use super::at_height::{AtHeight, Grounds};
use crate::assess::{Assessed, Depth, Looks, stretches};
use crate::rules::Area;

/// The step of the walk, mm.
const STEP: f64 = 1.0;
/// How far apart heights are between which all is taken to be alike when it is at both, mm.
const STRETCH: f64 = 5.0;
/// How close a change is narrowed down, mm; finer than a block can be made.
const CLOSE: f64 = 0.001;

/// A stretch of heights with one verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Where it begins, mm.
    pub from: f64,
    /// Where it ends, mm.
    pub to: f64,
    /// How the connection stands there; the deciding check is that of its beginning.
    pub standing: AtHeight,
}

/// A connection over the whole range.
#[derive(Debug, Clone)]
pub struct Bars {
    pub id: String,
    /// What it is called on the pages.
    pub title: String,
    pub area: Area,
    /// Its stretches, lowest first; they leave no height out.
    pub bars: Vec<Bar>,
}

impl Bars {
    /// A judged link, before it is looked at over a range.
    pub(super) fn of(assessed: &Assessed<'_>) -> Self {
        Self {
            id: assessed.id.clone(),
            title: assessed.title.clone(),
            area: assessed.area,
            bars: Vec::new(),
        }
    }

    /// The lowest height at which there is work on it, mm.
    pub(crate) fn work_from(&self) -> Option<f64> {
        let first = self.bars.iter().find(|bar| bar.standing.work);
        first.map(|bar| bar.from)
    }
}

/// Every link with its title and area, as they are at any height.
pub(super) fn links(grounds: &mut Grounds<'_>, height: f64) -> Vec<Bars> {
    let ids: Vec<String> = grounds.cut.links.keys().cloned().collect();
    let of = |id: &String| {
        let found = |assessed: &Assessed<'_>| Some(Bars::of(assessed));
        let link = grounds.judged((id, Depth::Verdict), height, found, |_| None);
        link.flatten()
    };
    ids.iter().filter_map(of).collect()
}

/// Each of these links over the range.
pub(super) fn bars(
    grounds: &mut Grounds<'_>,
    mut links: Vec<Bars>,
    range: (f64, f64),
) -> Vec<Bars> {
    for link in &mut links {
        link.bars = found_bars(grounds, &link.id, range);
    }
    let start = |link: &Bars| link.work_from().unwrap_or(f64::INFINITY);
    links.sort_by(|a, b| {
        let order = start(a).total_cmp(&start(b));
        order.then(a.area.cmp(&b.area)).then(a.id.cmp(&b.id))
    });
    links
}

/// One link over the range.
pub(super) fn found_bars(grounds: &mut Grounds<'_>, id: &str, (from, to): (f64, f64)) -> Vec<Bar> {
    let turns = grounds.turns.clone();
    let turns = turns.iter().map(|bits| f64::from_bits(*bits));
    let alike =
        |one: &AtHeight, other: &AtHeight| one == other && one.decided_by == other.decided_by;
    let mut looks = Looks::new(alike);
    let mut look = |height: f64| {
        let elsewhere = || AtHeight::unknown("it does not concern this vehicle".to_owned());
        grounds.standing(id, height).unwrap_or_else(elsewhere)
    };
    looks.afar((from, to), (STEP, STRETCH), &mut look);
    for height in turns.filter(|height| (from..=to).contains(height)) {
        looks.at(height, &mut look);
    }
    let found = stretches((from, to), (STEP, CLOSE), |height| {
        looks.at(height, &mut look)
    });
    for (low, high) in found.iter().zip(found.iter().skip(1)) {
        grounds.turns.extend([low.1, high.0].map(f64::to_bits));
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job;
    use crate::rules;

    /// What was taken to be alike is judged here one by one: of each link every seventh step, of neighbours different ones.
    #[test]
    fn what_was_not_looked_at_is_as_a_plain_walk_finds_it() {
        let rules = rules::shipped();
        for path in [
            "rules/demo/forestry-crew.yaml",
            "tests/cases/jobs/bare-wagon.yaml",
            "tests/cases/jobs/sixty-links.yaml",
        ] {
            let job = job::of_this_project(path);
            let mut grounds = Grounds::new(&job, &rules);
            let links = links(&mut grounds, job.lift.spacer.value);
            let links = bars(&mut grounds, links, (0.0, 75.0));
            for (number, link) in links.iter().enumerate() {
                for step in (0..=75).skip(number % 7).step_by(7) {
                    let height = f64::from(step);
                    let plain = grounds.standing(&link.id, height).unwrap();
                    let mut here = link.bars.iter();
                    let alike = here
                        .any(|bar| (bar.from..=bar.to).contains(&height) && bar.standing == plain);
                    assert!(alike, "{} at {height} mm is {plain:?}", link.id);
                }
            }
        }
    }
}
