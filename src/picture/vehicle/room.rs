//! Room for words: a place near the wanted one at which they cover no other words and stay on the drawing.
//!
//! Takes the size of the drawing and each label in turn; gives each its place. The search goes outward in rings and in a fixed
//! order, so that the same job gives the same picture.

use super::super::draw::{At, Stand, WORDS};
use super::lettering::{LINE, number, width};

/// Labels for which there was no place, after which the drawing counts as full: each took a long search.
const FULL: usize = 30;

/// The air between two labels, pixels.
const AIR: f64 = 2.0;

/// A rectangle: left, top, right, bottom.
type Box4 = (f64, f64, f64, f64);

/// What is taken on a drawing.
pub(super) struct Room {
    size: (f64, f64),
    taken: Vec<Box4>,
    placeless: usize,
}

impl Room {
    /// An empty drawing.
    pub(super) fn new(width: f64, height: f64) -> Self {
        Self {
            size: (width, height),
            taken: Vec::new(),
            placeless: 0,
        }
    }

    /// Keeps words off a place that is drawn upon.
    pub(super) fn keep(&mut self, corner: At, size: (f64, f64)) {
        let (x, y) = corner;
        self.taken.push((x, y, x + size.0, y + size.1));
    }

    /// The free place nearest to the wanted one, which is then taken; the wanted one itself when the drawing is full.
    pub(super) fn place(&mut self, wanted: At, words: &str, stand: Stand) -> At {
        if self.placeless >= FULL {
            return wanted;
        }
        let free = rings()
            .map(|(right, down)| (wanted.0 + right, wanted.1 + down))
            .find(|at| self.is_free(around(*at, words, stand)));
        self.placeless += usize::from(free.is_none());
        let at = free.unwrap_or(wanted);
        self.taken.push(around(at, words, stand));
        at
    }

    fn is_free(&self, (left, top, right, bottom): Box4) -> bool {
        let inside =
            left >= 1.0 && top >= 1.0 && right <= self.size.0 - 1.0 && bottom <= self.size.1 - 1.0;
        let clear = |other: &Box4| {
            let apart = left - AIR >= other.2 || right + AIR <= other.0;
            apart || top - AIR >= other.3 || bottom + AIR <= other.1
        };
        inside && self.taken.iter().all(clear)
    }
}

/// The box round words whose base line is at a place.
fn around(at: At, words: &str, stand: Stand) -> Box4 {
    let wide = width(words);
    let left = match stand {
        Stand::Right => at.0,
        Stand::Middle => at.0 - wide / 2.0,
        Stand::Left => at.0 - wide,
    };
    (left, at.1 - WORDS * 0.8, left + wide, at.1 + WORDS * 0.25)
}

/// Steps away from a place, from near to far: to the sides, above and below first, then between.
fn rings() -> impl Iterator<Item = At> {
    const WAYS: [At; 8] = [
        (0.0, -1.0),
        (1.0, 0.0),
        (-1.0, 0.0),
        (0.0, 1.0),
        (0.8, -0.8),
        (-0.8, -0.8),
        (0.8, 0.8),
        (-0.8, 0.8),
    ];
    let ring = |step: usize| {
        let far = number(step) * 5.0;
        WAYS.map(|(x, y)| (x * far, y * far))
    };
    std::iter::once((0.0, 0.0)).chain((1..120).flat_map(ring))
}

/// Places along one line, each at least its room from the next, as near to the wanted ones as that allows and between two ends.
/// Comes back in the order given; the wanted places must rise.
pub(super) fn apart(wanted: &[(f64, f64)], (low, high): (f64, f64)) -> Vec<f64> {
    let mut places: Vec<f64> = Vec::new();
    let mut edge = low;
    for (at, room) in wanted {
        let place = at.max(edge + room / 2.0);
        places.push(place);
        edge = place + room / 2.0;
    }
    // Whatever was pushed over the end goes back as far as it must.
    let mut edge = high;
    for (place, (_, room)) in places.iter_mut().zip(wanted).rev() {
        *place = place.min(edge - room / 2.0);
        edge = *place - room / 2.0;
    }
    places
}

/// The usual room of a label of so many lines along a column.
pub(super) fn column_room(lines: usize) -> f64 {
    number(lines) * LINE + 6.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_stand_apart_and_inside() {
        let mut room = Room::new(100.0, 60.0);
        let places: Vec<At> = ["12", "34", "56"]
            .iter()
            .map(|words| room.place((50.0, 30.0), words, Stand::Middle))
            .collect();
        assert_eq!(places.first(), Some(&(50.0, 30.0)));
        let boxes: Vec<Box4> = places
            .iter()
            .map(|at| around(*at, "12", Stand::Middle))
            .collect();
        for (index, one) in boxes.iter().enumerate() {
            for other in boxes.iter().skip(index + 1) {
                let aside = one.2 <= other.0 || other.2 <= one.0;
                assert!(aside || one.3 <= other.1 || other.3 <= one.1);
            }
        }
    }

    #[test]
    fn a_row_is_pushed_apart_and_back_from_its_end() {
        let places = apart(&[(10.0, 20.0), (12.0, 20.0), (95.0, 20.0)], (0.0, 100.0));
        assert_eq!(places, [10.0, 30.0, 90.0]);
    }
}
