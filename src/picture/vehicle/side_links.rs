//! The links that cross the cut, as the side view marks them: where they are after the lift, or where their kind usually is.
//!
//! Takes the job's places and the cut; gives points in millimetres of the vehicle. Drawing them is left to `side_view`.

use std::collections::BTreeMap;

use super::super::Made;
use super::super::layout::number;
use crate::job::{Fixing, Point};
use crate::rules::Area;

/// A link that crosses the cut.
pub(super) struct Crossing {
    /// Its number on the sheet.
    pub(super) number: usize,
    /// How far forward and how far up after the lift, mm.
    pub(super) at: (f64, f64),
    /// Whether its place is known; otherwise it stands where its kind usually is.
    pub(super) known: bool,
}

/// The links that the lift pulls apart, with their numbers on the sheet, between the front and the rear end of the vehicle.
pub(super) fn crossing(made: &Made<'_>, ends: (f64, f64)) -> Vec<Crossing> {
    let mut found = Vec::new();
    let mut without: BTreeMap<Area, Vec<usize>> = BTreeMap::new();
    for (link, number) in made.assessment.walking().into_iter().zip(1..) {
        if !link.disturbed || !link.origin.is_connection() {
            continue;
        }
        let fixings = made
            .job
            .links
            .get(&link.id)
            .map(|link| link.fixings.as_slice());
        match middle(made, fixings.unwrap_or_default()) {
            Some(at) => found.push(Crossing {
                number,
                at,
                known: true,
            }),
            None => without.entry(link.area).or_default().push(number),
        }
    }
    for (area, numbers) in without {
        let ((front, rear), (low, high)) = usual(area, ends);
        let count = number(numbers.len());
        for (index, number) in numbers.into_iter().enumerate() {
            let along = (self::number(index) + 0.5) / count;
            // In three heights, so that neighbours do not hide one another.
            let up = [0.5, 0.0, 1.0].get(index % 3).copied().unwrap_or(0.5);
            let at = (front + (rear - front) * along, low + (high - low) * up);
            found.push(Crossing {
                number,
                at,
                known: false,
            });
        }
    }
    found.sort_by_key(|link| link.number);
    found
}

/// Where the kind of a part of the vehicle usually is, mm: from front to rear, and from low to high.
fn usual(area: Area, (front, rear): (f64, f64)) -> ((f64, f64), (f64, f64)) {
    match area {
        Area::Cab => ((-250.0, -900.0), (250.0, 420.0)),
        Area::EngineBay => ((front - 250.0, 40.0), (330.0, 560.0)),
        Area::FrontOutside => ((front, front - 200.0), (100.0, 320.0)),
        Area::LeftUnder | Area::RightUnder => ((-200.0, -1300.0), (-60.0, 30.0)),
        Area::Tunnel => ((-300.0, -950.0), (110.0, 210.0)),
        Area::TankAndRear => ((rear * 0.5, rear * 0.85), (60.0, 260.0)),
        Area::RearOutside => ((rear + 300.0, rear), (60.0, 260.0)),
    }
}

/// The middle of the stretch that crosses the cut, or the only known place.
fn middle(made: &Made<'_>, fixings: &[Fixing]) -> Option<(f64, f64)> {
    let places = fixings.iter().filter_map(|fixing| {
        let at = fixing.at?;
        let rise = rise(made, &fixing.part, at);
        Some((at[0], at[2] + rise.unwrap_or(0.0), rise.is_some()))
    });
    let places: Vec<(f64, f64, bool)> = places.collect();
    let pairs = || places.iter().zip(places.iter().skip(1));
    let crossing = pairs()
        .find(|(one, other)| one.2 != other.2)
        .or_else(|| pairs().next());
    let only = places.first()?;
    let (one, other) = crossing.unwrap_or((only, only));
    Some((f64::midpoint(one.0, other.0), f64::midpoint(one.1, other.1)))
}

/// How far a place of a part goes up with its body; none for a part that rides with the chassis or with both.
fn rise(made: &Made<'_>, part: &str, at: Point) -> Option<f64> {
    let hung = made
        .cut
        .parts
        .get(part)
        .filter(|hung| hung.groups.len() == 1)?;
    let group = hung.groups.first()?;
    Some(made.cut.bodies.get(group)?.rise_at(at))
}
