//! The links that cross the cut, as the side view draws them: where their fixings are after the lift, and which have no place.
//!
//! Takes the job's places and the cut; gives points in millimetres of the vehicle. Drawing them is left to `side_view`.

use super::super::Made;
use crate::cut::Origin;
use crate::job::{Fixing, Point};

/// One fixing of a link.
#[derive(Debug, Clone, Copy)]
pub(super) struct Placed {
    /// How far forward, mm.
    pub(super) x: f64,
    /// How far up after the lift, mm.
    pub(super) z: f64,
    /// Whether it rides with a raised body.
    pub(super) on_body: bool,
    /// Whether it follows a fixing of which no place is known.
    pub(super) after_unknown: bool,
}

/// A link that crosses the cut.
pub(super) struct Crossing {
    /// Its number on the sheet.
    pub(super) number: usize,
    /// Its fixings with known places, in order.
    pub(super) places: Vec<Placed>,
}

impl Crossing {
    /// Where its number belongs: in the middle of the stretch that crosses, or at its only known place.
    pub(super) fn middle(&self) -> Option<(f64, f64)> {
        let mut pairs = self.places.windows(2);
        let crossing = pairs.find_map(|pair| match pair {
            [one, other] if one.on_body != other.on_body => Some((*one, *other)),
            _ => None,
        });
        let (one, other) = match crossing {
            Some(pair) => pair,
            None => (
                *self.places.first()?,
                *self.places.get(1).or(self.places.first())?,
            ),
        };
        Some((f64::midpoint(one.x, other.x), f64::midpoint(one.z, other.z)))
    }
}

/// The links that the lift pulls apart, with their numbers on the sheet: those with a place, and the numbers of the others.
pub(super) fn crossing(made: &Made<'_>) -> (Vec<Crossing>, Vec<usize>) {
    let (mut drawn, mut without) = (Vec::new(), Vec::new());
    for (link, number) in made.assessment.walking().into_iter().zip(1..) {
        if !link.disturbed || !matches!(link.origin, Origin::Link | Origin::Bridge) {
            continue;
        }
        let fixings = made
            .job
            .links
            .get(&link.id)
            .map(|link| link.fixings.as_slice());
        let places = places(made, fixings.unwrap_or_default());
        if places.is_empty() {
            without.push(number);
        } else {
            drawn.push(Crossing { number, places });
        }
    }
    (drawn, without)
}

fn places(made: &Made<'_>, fixings: &[Fixing]) -> Vec<Placed> {
    let mut places = Vec::new();
    let mut after_unknown = false;
    for fixing in fixings {
        let Some(at) = fixing.at else {
            after_unknown = true;
            continue;
        };
        let rise = rise(made, &fixing.part, at);
        places.push(Placed {
            x: at[0],
            z: at[2] + rise.unwrap_or(0.0),
            on_body: rise.is_some(),
            after_unknown,
        });
        after_unknown = false;
    }
    places
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
