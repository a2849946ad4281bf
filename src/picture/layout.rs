//! Where the words of a picture stand: how wide they come out, where they have room, and the frame round everything.
//!
//! Takes what is drawn, as pieces; gives the same with every free word at a place where it lies on no other word and on no line, near what it names, and
//! with a thin line to it where it is not beside it. All in a fixed order, so that the same job gives the same picture.

use super::piece::{At, Fill, Pen, Piece, Stand, WORDS, Words};
use crate::quantity::{Quantity, Unit, Units};
use crate::report::is_unsafe_to_print;
pub(crate) use crate::text::capital as sentence;

/// From one line of words to the next, pixels.
pub(crate) const LINE: f64 = 16.0;
/// The air round words, pixels.
const AIR: f64 = 2.0;
/// From what is named to its words, pixels; what stands farther away gets a line.
const BESIDE: f64 = 7.0;
/// How far a place for words is looked for, in steps of a few pixels.
const STEPS: u32 = 60;

/// A count as pixels can be multiplied with it.
pub(crate) fn number(count: usize) -> f64 {
    u32::try_from(count).map_or(f64::MAX, f64::from)
}

/// How wide words come out at most, pixels: by the widest of each kind of letter in the typefaces of the pages.
pub fn width(words: &str) -> f64 {
    let letter = |c: char| match c {
        ' ' | 'i' | 'j' | 'l' | 'f' | 't' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | '!'
        | '·' => 0.29,
        'r' | '(' | ')' | '-' => 0.36,
        'm' | 'w' | 'M' | 'W' | '@' | '%' => 0.96,
        'A'..='Z' => 0.78,
        '\0'..='\u{24f}' => 0.59,
        _ => 1.05,
    };
    words.chars().map(letter).sum::<f64>() * WORDS
}

/// The same of words in bold.
pub fn bold_width(words: &str) -> f64 {
    width(words) * 1.1
}

/// What somebody typed, on one line, with nothing in it that acts instead of showing.
pub(crate) fn clean(text: &str) -> String {
    let shown = |c: char| {
        let private = matches!(c, '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..);
        let hidden = is_unsafe_to_print(c) || private || u32::from(c) & 0xfffe == 0xfffe;
        if hidden { '\u{fffd}' } else { c }
    };
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").chars().map(shown).collect()
}

/// Words cut to a width.
pub(crate) fn cut(text: &str, pixels: f64) -> String {
    let whole = clean(text);
    if width(&whole) <= pixels {
        return whole;
    }
    let mut kept = String::new();
    for letter in whole.chars() {
        if width(&kept) + width(&format!("{letter}…")) > pixels {
            break;
        }
        kept.push(letter);
    }
    kept + "…"
}

/// Words on lines no wider than so many pixels; a longer word is divided, and nothing is lost.
pub(crate) fn wrapped(text: &str, pixels: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in clean(text).split(' ').filter(|word| !word.is_empty()) {
        match lines.last_mut() {
            Some(line) if width(line) + width(" ") + width(word) <= pixels => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(String::new()),
        }
        if lines.last().is_some_and(|line| !line.is_empty()) {
            continue;
        }
        for letter in word.chars() {
            let fits = |line: &&mut String| {
                line.is_empty() || width(line) + width(&letter.to_string()) <= pixels
            };
            match lines.last_mut().filter(fits) {
                Some(line) => line.push(letter),
                None => lines.push(letter.to_string()),
            }
        }
    }
    lines
}

/// A length as it is printed.
pub(crate) fn length(millimetres: f64, units: Units) -> String {
    Quantity::exact(millimetres, Unit::Mm).print(units)
}

/// Places along one line, each with its room round it and as near to the wanted one as the others allow, between two ends. The wanted places must rise.
/// Where there is not room for all, they come closer evenly.
pub(crate) fn spread(wanted: &[(f64, f64)], (low, high): (f64, f64)) -> Vec<f64> {
    let all: f64 = wanted.iter().map(|(_, room)| room).sum();
    let closer = ((high - low) / all.max(f64::EPSILON)).min(1.0);
    // How far each stands from the first when all are as close as they may be.
    let mut offset = 0.0;
    let offsets = wanted.iter().map(|(_, room)| {
        offset += room * closer;
        offset - room * closer / 2.0
    });
    let offsets: Vec<f64> = offsets.collect();
    // Neighbours that would lie on one another become one block, at the mean of what they want.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for ((at, _), offset) in wanted.iter().zip(&offsets) {
        let mut block = (at - offset, 1);
        while let Some((sum, count)) =
            blocks.pop_if(|(sum, count)| *sum / number(*count) > block.0 / number(block.1))
        {
            block = (block.0 + sum, block.1 + count);
        }
        blocks.push(block);
    }
    let starts = blocks.iter().flat_map(|(sum, count)| {
        let start = (sum / number(*count)).min(high - all * closer).max(low);
        std::iter::repeat_n(start, *count)
    });
    starts
        .zip(offsets)
        .map(|(start, offset)| start + offset)
        .collect()
}

/// Numbers in a row, or in two where one has not room for all, each for a place; the thin lines to the places do not cross. Gives for each place that has
/// room, in the order given: the middle of its number's base line, and the corners of its line. `down` is 1 where the places are below the row.
pub(super) fn callouts(
    places: &[(At, String)],
    (row, down): (f64, f64),
    ends: (f64, f64),
) -> Vec<(At, Vec<At>)> {
    let widest = places
        .iter()
        .map(|(_, words)| bold_width(words))
        .fold(0.0, f64::max)
        + 5.0;
    let one_row = widest * number(places.len()) <= ends.1 - ends.0;
    let room = if one_row { widest } else { widest / 2.0 + 2.0 };
    let mut order: Vec<usize> = (0..places.len()).collect();
    let at = |index: &usize| places.get(*index).map_or((0.0, 0.0), |(at, _)| *at);
    order.sort_by(|one, other| {
        at(one)
            .0
            .total_cmp(&at(other).0)
            .then(at(one).1.total_cmp(&at(other).1))
    });
    let wanted: Vec<(f64, f64)> = order.iter().map(|index| (at(index).0, room)).collect();
    let slots = spread(&wanted, ends);
    // The inner edge of the inner row; the lines run free from there.
    let edge = if down > 0.0 {
        row + WORDS * 0.3
    } else {
        row - WORDS * 0.85
    };
    // Two lines that cross are both shorter when they change places; of lines that no number can tell apart it must come to an end, too.
    for _ in 0..places.len() {
        let mut again = false;
        for one in 0..order.len() {
            for other in one + 1..order.len() {
                let (Some(a), Some(b)) = (order.get(one), order.get(other)) else {
                    continue;
                };
                let (Some(x), Some(y)) = (slots.get(one), slots.get(other)) else {
                    continue;
                };
                if cross(((*x, edge), at(a)), ((*y, edge), at(b))) {
                    order.swap(one, other);
                    again = true;
                }
            }
        }
        if !again {
            break;
        }
    }
    let mut found = vec![((0.0, 0.0), Vec::new()); places.len()];
    for (turn, (index, x)) in order.iter().zip(&slots).enumerate() {
        let outer = !one_row && turn % 2 == 1;
        let base = if outer { row - down * LINE } else { row };
        let mut corners = vec![(*x, edge), at(index)];
        if outer {
            corners.insert(0, (*x, edge - down * LINE));
        }
        if let Some(place) = found.get_mut(*index) {
            *place = ((*x, base), corners);
        }
    }
    found
}

/// How many numbers of some words the rows have room for.
pub(super) fn most_callouts(words: &str, (left, right): (f64, f64)) -> usize {
    (1..1000)
        .rfind(|count| number(*count) * (bold_width(words) / 2.0 + 4.5) <= right - left)
        .unwrap_or(0)
}

/// Whether two straight lines cross between their ends.
fn cross((a, b): (At, At), (c, d): (At, At)) -> bool {
    let side = |(ax, ay): At, (bx, by): At, (x, y): At| (bx - ax) * (y - ay) - (by - ay) * (x - ax);
    let apart = |one: f64, other: f64| one * other < -1e-9;
    apart(side(a, b, c), side(a, b, d)) && apart(side(c, d, a), side(c, d, b))
}

/// A rectangle of the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Area {
    /// The box round words whose base line is at a place.
    pub(super) fn around(at: At, words: &str, (stand, bold): (Stand, bool)) -> Self {
        let wide = if bold {
            bold_width(words)
        } else {
            width(words)
        };
        let left = match stand {
            Stand::Right => at.0,
            Stand::Middle => at.0 - wide / 2.0,
            Stand::Left => at.0 - wide,
        };
        Self {
            left,
            top: at.1 - WORDS * 0.8,
            right: left + wide,
            bottom: at.1 + WORDS * 0.25,
        }
    }

    pub(super) fn grown(self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }

    fn meets(self, other: Self) -> bool {
        let aside = self.right <= other.left || other.right <= self.left;
        !(aside || self.bottom <= other.top || other.bottom <= self.top)
    }

    /// The place of the box nearest to another.
    fn nearest(self, (x, y): At) -> At {
        (
            x.clamp(self.left, self.right),
            y.clamp(self.top, self.bottom),
        )
    }

    /// Whether a straight line runs through it.
    fn crossed(self, from: At, to: At) -> bool {
        let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
        for (start, way, least, most) in [
            (from.0, to.0 - from.0, self.left, self.right),
            (from.1, to.1 - from.1, self.top, self.bottom),
        ] {
            if way.abs() < 1e-9 {
                if start <= least || start >= most {
                    return false;
                }
                continue;
            }
            let (one, other) = ((least - start) / way, (most - start) / way);
            enters = enters.max(one.min(other));
            leaves = leaves.min(one.max(other));
        }
        enters < leaves
    }

    /// Whether a line through points runs through it.
    fn crossed_by(self, points: &[At]) -> bool {
        let pairs = points.iter().zip(points.iter().skip(1));
        let mut pairs = pairs.map(|(from, to)| self.crossed(*from, *to));
        pairs.any(|crossed| crossed)
    }

    fn drawn_upon(self, piece: &Piece) -> bool {
        match piece {
            Piece::Line(points, _) => self.crossed_by(points),
            Piece::Shape(points, _, fill) => {
                let last = points.last().zip(points.first());
                let closed = last.is_some_and(|(from, to)| self.crossed(*from, *to));
                closed
                    || self.crossed_by(points)
                    || fill.is_dark() && inside(points, (self.left, self.top))
            }
            Piece::Circle(centre, radius, _, fill) => {
                let near = self.nearest(*centre);
                let far = [
                    (self.left, self.top),
                    (self.right, self.bottom),
                    (self.left, self.bottom),
                    (self.right, self.top),
                ];
                let distance = |at: &At| (at.0 - centre.0).hypot(at.1 - centre.1);
                let edge = distance(&near) < *radius && far.iter().any(|at| distance(at) > *radius);
                edge || fill.is_dark() && distance(&near) < *radius
            }
            Piece::Image(..) | Piece::Words(_) | Piece::Group(_) | Piece::End => false,
        }
    }
}

/// Whether a place lies within a closed shape.
fn inside(points: &[At], (x, y): At) -> bool {
    let sides = points.iter().zip(points.iter().cycle().skip(1));
    let cut = sides.filter(|((ax, ay), (bx, by))| {
        (*ay > y) != (*by > y) && x < (bx - ax) * (y - ay) / (by - ay) + ax
    });
    cut.count() % 2 == 1
}

impl Words {
    /// The box round them.
    fn area(&self) -> Area {
        Area::around(self.at, &self.text, (self.stand, self.bold))
    }
}

/// The pieces with every free word at its place, and the frame's upper and lower end.
pub(super) fn settle(pieces: &[Piece], wide: f64) -> (Vec<Piece>, (f64, f64)) {
    let fixed = pieces.iter().filter_map(|piece| match piece {
        Piece::Words(words) if words.free.is_none() => Some(words.area()),
        _ => None,
    });
    let mut room = Room {
        wide,
        drawn: pieces,
        taken: fixed.collect(),
        leaders: Vec::new(),
    };
    let mut settled = Vec::with_capacity(pieces.len());
    for piece in pieces {
        let free = match piece {
            Piece::Words(words) => words.free.map(|half| (words, half)),
            _ => None,
        };
        let Some((words, half)) = free else {
            settled.push(piece.clone());
            continue;
        };
        let (at, leader) = room.place((words.at, half), &words.text);
        settled.extend(leader.map(|(from, to)| Piece::Line(vec![from, to], Pen::Thin)));
        settled.push(Piece::Words(Words {
            at,
            free: None,
            ..words.clone()
        }));
    }
    let frame = frame(&settled);
    (settled, frame)
}

/// The upper and the lower end of what stands still.
pub(super) fn frame(pieces: &[Piece]) -> (f64, f64) {
    let ends = pieces.iter().filter_map(ends);
    let frame = ends.reduce(|one, other| (one.0.min(other.0), one.1.max(other.1)));
    frame.unwrap_or((0.0, 0.0))
}

/// The upper and the lower end of a piece.
fn ends(piece: &Piece) -> Option<(f64, f64)> {
    match piece {
        Piece::Line(points, _) | Piece::Shape(points, ..) => {
            let ys = points.iter().map(|at| (at.1, at.1));
            ys.reduce(|one, other| (one.0.min(other.0), one.1.max(other.1)))
        }
        Piece::Circle(centre, radius, ..) => Some((centre.1 - radius, centre.1 + radius)),
        Piece::Image(size, _) => Some((0.0, size.1)),
        Piece::Words(words) => {
            let area = words.area();
            Some((area.top, area.bottom))
        }
        Piece::Group(_) | Piece::End => None,
    }
}

/// What is taken on a drawing.
struct Room<'a> {
    wide: f64,
    drawn: &'a [Piece],
    taken: Vec<Area>,
    leaders: Vec<(At, At)>,
}

impl Room<'_> {
    /// The base line's middle of words that name a place of some size, and the line to it where they are not beside it.
    fn place(&mut self, (at, half): (At, At), words: &str) -> (At, Option<(At, At)>) {
        // Beside it first, then above and below, then across; in degrees.
        const WAYS: [i16; 16] = [
            0, 180, 270, 90, 315, 45, 225, 135, 338, 22, 202, 158, 293, 67, 247, 113,
        ];
        let ways = WAYS.map(|way| f64::from(way).to_radians().sin_cos());
        let (right, down) = (width(words) / 2.0, WORDS * 0.52);
        let tries = (0..STEPS).flat_map(|step| {
            let far = BESIDE + f64::from(step) * 4.0;
            ways.map(|(y, x)| {
                (
                    at.0 + x * (right + half.0 + far),
                    at.1 + y * (down + half.1 + far),
                )
            })
        });
        let area = |(x, y): At| Area {
            left: x - right,
            right: x + right,
            top: y - down,
            bottom: y + WORDS * 0.53,
        };
        let free = tries.map(area).find_map(|area| {
            let near = area.nearest(at);
            let beside = (near.0 - at.0).abs() <= half.0 + BESIDE * 1.5
                && (near.1 - at.1).abs() <= half.1 + BESIDE * 1.5;
            let leader = (!beside).then_some((at, near));
            self.is_free(area, leader).then_some((area, leader))
        });
        let (area, leader) = free.unwrap_or_else(|| {
            // Below everything there is always room.
            let taken = self.taken.iter().map(|area| area.bottom);
            let drawn = self.drawn.iter().filter_map(ends).map(|ends| ends.1);
            let lowest = taken.chain(drawn).fold(at.1, f64::max) + LINE;
            (
                area((
                    at.0.clamp(
                        right + AIR,
                        self.wide.max(right * 2.0 + 2.0 * AIR) - right - AIR,
                    ),
                    lowest,
                )),
                None,
            )
        });
        self.taken.push(area);
        self.leaders.extend(leader);
        ((area.left + right, area.top + WORDS * 0.8), leader)
    }

    fn is_free(&self, area: Area, leader: Option<(At, At)>) -> bool {
        let roomy = area.grown(AIR);
        let clear = |(from, to): &(At, At)| !roomy.crossed(*from, *to);
        roomy.left >= 0.0
            && roomy.right <= self.wide
            && self.taken.iter().all(|other| !roomy.meets(*other))
            && self.leaders.iter().all(clear)
            && leader.is_none_or(|(from, to)| {
                self.taken
                    .iter()
                    .all(|other| !other.grown(AIR).crossed(from, to))
            })
            && !self.drawn.iter().any(|piece| roomy.drawn_upon(piece))
    }
}

impl Fill {
    /// Whether words on it could not be read.
    fn is_dark(self) -> bool {
        matches!(self, Self::Hatched | Self::Crossed | Self::Black)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_typed_is_one_clean_line_and_is_cut_or_divided_to_its_room() {
        assert_eq!(clean("a\n  b\u{202e}c\u{e000}"), "a b\u{fffd}c\u{fffd}");
        assert_eq!(cut("abc", 100.0), "abc");
        assert!(cut("front brake junction", 60.0).ends_with('…'));
        let text = "Brake pipe along the left inner guard, from the bulkhead to the chassis";
        let lines = wrapped(text, 200.0);
        assert!(lines.iter().all(|line| width(line) <= 200.0));
        assert_eq!(lines.join(" "), text);
        assert_eq!(wrapped(&"x".repeat(100), 200.0).concat(), "x".repeat(100));
        assert_eq!(wrapped("", 9.0), Vec::<String>::new());
    }

    #[test]
    fn a_row_is_pushed_apart_evenly_and_back_from_its_ends() {
        assert_eq!(
            spread(&[(40.0, 20.0), (42.0, 20.0), (95.0, 20.0)], (0.0, 100.0)),
            [31.0, 51.0, 90.0]
        );
        assert_eq!(
            spread(&[(50.0, 80.0), (50.0, 80.0)], (0.0, 80.0)),
            [20.0, 60.0]
        );
        assert_eq!(spread(&[], (0.0, 1.0)), Vec::<f64>::new());
    }

    #[test]
    fn a_line_and_an_area_know_one_another() {
        let area = Area {
            left: 10.0,
            top: 10.0,
            right: 20.0,
            bottom: 20.0,
        };
        assert!(area.crossed((0.0, 15.0), (30.0, 15.0)) && area.crossed((5.0, 5.0), (25.0, 25.0)));
        assert!(!area.crossed((0.0, 5.0), (30.0, 5.0)) && !area.crossed((0.0, 15.0), (9.0, 15.0)));
        assert!(
            !area.crossed((15.0, 30.0), (40.0, 10.0)) && area.crossed((12.0, 12.0), (13.0, 13.0))
        );
    }
}
