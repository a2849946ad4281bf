//! From one height to another: what is worked on then, what is worked on otherwise, what more it takes.
//!
//! Takes the totals of two heights; gives the difference.

use super::at_height::AtHeight;
use super::totals::{Days, Totals};
use crate::plan::Minutes;
use crate::text::Text;

/// What the second of two heights adds to the first.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct HeightChange {
    /// Links that need work at the second only: id, what it is called, how it stands there.
    pub newly: Vec<(String, String, AtHeight)>,
    /// Links that are worked on otherwise: id, what it is called, how it stood and how it stands.
    pub otherwise: Vec<(String, String, AtHeight, AtHeight)>,
    /// Links that need no work any more: id and what it is called.
    pub no_longer: Vec<(String, String)>,
    /// Tasks that only the second has.
    pub tasks: Vec<Text>,
    /// Minutes that it takes more; below 0 where it takes less.
    pub minutes: Minutes,
    /// The days of both, where they differ.
    pub days: Option<(Days, Days)>,
    /// Pieces that are fitted more; below 0 where it is fewer.
    pub pieces: i64,
    /// Local limits that the second passes and the first does not, by name.
    pub limits: Vec<String>,
    /// Stops that only the second has.
    pub stops: Vec<String>,
}

/// What the second height adds to the first.
pub(crate) fn change(first: &Totals, second: &Totals) -> HeightChange {
    let minutes = second.minutes.plus(first.minutes.times(-1.0));
    let before: Vec<&String> = first.limits.iter().map(|limit| &limit.id).collect();
    let new = second
        .limits
        .iter()
        .filter(|limit| !before.contains(&&limit.id));
    let stops = second
        .stops
        .iter()
        .filter(|stop| !first.stops.contains(stop));
    let mut change = HeightChange {
        newly: Vec::new(),
        otherwise: Vec::new(),
        no_longer: Vec::new(),
        tasks: second
            .tasks
            .iter()
            .filter(|(id, _)| !first.tasks.contains_key(*id))
            .map(|(_, title)| title.clone())
            .collect(),
        minutes,
        days: first
            .days
            .zip(second.days)
            .filter(|(before, after)| before != after),
        pieces: i64::from(second.parts.pieces) - i64::from(first.parts.pieces),
        limits: new.map(|limit| limit.title.clone()).collect(),
        stops: stops.cloned().collect(),
    };
    for (id, (title, after)) in &second.links {
        let Some((_, before)) = first.links.get(id).filter(|(_, before)| before != after) else {
            continue;
        };
        let (id, title) = (id.clone(), title.clone());
        match (before.work, after.work) {
            (false, true) => change.newly.push((id, title, after.clone())),
            (true, false) => change.no_longer.push((id, title)),
            _ => change
                .otherwise
                .push((id, title, before.clone(), after.clone())),
        }
    }
    change
}
