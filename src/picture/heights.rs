//! Every connection as a bar over the height of the blocks, drawn to scale: its verdicts by words, line weight and hatching.
//!
//! Takes [`Heights`]; gives as many pictures as the connections need, each no higher than a sheet of paper, none cut off.

use super::Picture;
use super::draw::{Drawing, Fill, Pen, Stand, WIDEST};
use super::layout::{number as lines_of, width, wrapped};
use crate::heights::{AtHeight, Bar, Bars, Heights, wording};
use crate::quantity::{Quantity, Unit, Units};
use crate::rules::Verdict;
use crate::sorted::each_once;

/// The highest picture, CSS pixels: under its heading and with its caption it fits on A4 and on Letter.
const HIGHEST: f64 = 870.0;
/// Where the bars begin and end, pixels from the left.
const BARS: (f64, f64) = (268.0, 666.0);
/// From one line of words to the next, pixels.
const LINE: f64 = 14.0;
/// Room above and below the words of a row, pixels: at least, and at most where the picture has room.
const AROUND: (f64, f64) = (1.0, 5.0);
/// The height of a bar, pixels.
const THICK: f64 = 15.0;
/// The room above the rows, pixels: two marks and the numbers of the scale.
const HEAD: f64 = 54.0;
/// The room for one line of the key, pixels.
const KEY: f64 = 24.0;
/// How many verdicts stand on a line of the key.
const KEYS: usize = 4;
/// The least room from one number of the scale to the next, pixels.
const APART: f64 = 52.0;

/// A row: the lines of its words, and its bars.
struct Strip<'a> {
    title: Vec<String>,
    link: &'a Bars,
}

impl Strip<'_> {
    fn height(&self, around: f64) -> f64 {
        2.0 * around + LINE * lines_of(self.title.len())
    }
}

/// The picture of every connection that there is work on at any height, in the order of the heights, on one sheet of paper; on more only
/// where not even the closest rows have room on it.
pub(crate) fn heights(heights: &Heights, units: Units) -> Vec<Picture> {
    let key = key_of(heights);
    let room = HIGHEST - HEAD - KEY * lines_of(key.len().div_ceil(KEYS));
    let rows = wording::together(heights).into_iter();
    let rows = rows.filter(|(_, link)| link.work_from().is_some());
    let rows: Vec<Strip<'_>> = rows
        .map(|(title, link)| Strip {
            title: wrapped(&title, BARS.0 - 8.0),
            link,
        })
        .collect();
    let words: f64 = rows.iter().map(|row| row.height(0.0)).sum();
    let around = (room - words) / (2.0 * lines_of(rows.len()));
    let around = around.clamp(AROUND.0, AROUND.1);
    let mut sheets: Vec<Vec<Strip<'_>>> = Vec::new();
    let mut used = f64::INFINITY;
    for row in rows {
        // What a division loses must not make a sheet of its own.
        if used + row.height(around) > room + 1e-6 {
            sheets.push(Vec::new());
            used = 0.0;
        }
        used += row.height(around);
        if let Some(sheet) = sheets.last_mut() {
            sheet.push(row);
        }
    }
    let board = Board {
        heights,
        units,
        key: &key,
        around,
    };
    let numbered = sheets.iter().zip(1..);
    let pictures = numbered.map(|(rows, number)| board.picture(rows, (number, sheets.len())));
    pictures.collect()
}

/// The verdicts that stand on the drawing, lightest first.
fn key_of(heights: &Heights) -> Vec<&AtHeight> {
    let bars = heights.links.iter().flat_map(|link| &link.bars);
    let bars = bars.filter(|bar| bar.to > bar.from);
    let mut key = each_once(bars.map(|bar| &bar.standing));
    key.sort_by(|a, b| a.heavier(b).cmp(&b.heavier(a)));
    key
}

/// How a verdict is drawn: the heavier it is, the heavier its edge and the denser its hatching.
fn look(standing: &AtHeight) -> (Pen, Fill) {
    match standing.verdict {
        None => (Pen::Dashed, Fill::Crossed),
        Some(Verdict::Leave) if standing.work => (Pen::Dashed, Fill::None),
        Some(Verdict::Leave) => (Pen::Thin, Fill::None),
        Some(Verdict::Reposition) => (Pen::Line, Fill::None),
        Some(Verdict::Extend) => (Pen::Line, Fill::Hatched),
        Some(Verdict::Replace) => (Pen::Line, Fill::Crossed),
        Some(Verdict::Fabricate) => (Pen::Bold, Fill::Crossed),
        Some(Verdict::Refer) => (Pen::Bold, Fill::None),
        Some(Verdict::Measure) => (Pen::Dashed, Fill::Hatched),
        Some(Verdict::Stop) => (Pen::Bold, Fill::Black),
    }
}

/// What the pictures are drawn with.
struct Board<'a> {
    heights: &'a Heights,
    units: Units,
    key: &'a [&'a AtHeight],
    /// The room above and below the words of a row, pixels.
    around: f64,
}

impl Board<'_> {
    /// One of so many pictures.
    fn picture(&self, rows: &[Strip<'_>], (sheet, of): (usize, usize)) -> Picture {
        let all: f64 = rows.iter().map(|row| row.height(self.around)).sum();
        let mut drawing = Drawing::new(WIDEST);
        let bottom = HEAD + all;
        self.scale_marks(&mut drawing, bottom);
        // Lines before words, so that none crosses out what is written.
        let mut tops = Vec::new();
        let mut top = HEAD;
        for row in rows {
            drawing.line((0.0, top), (WIDEST, top), Pen::Thin);
            self.bars(&mut drawing, row, top);
            tops.push(top);
            top += row.height(self.around);
        }
        self.own_marks(&mut drawing, bottom);
        for (row, top) in rows.iter().zip(tops) {
            self.words(&mut drawing, row, top);
        }
        for (number, standing) in self.key.iter().enumerate() {
            let (line, place) = (number / KEYS, number % KEYS);
            let at = (
                6.0 + 172.0 * lines_of(place),
                bottom + 6.0 + KEY * lines_of(line),
            );
            let (pen, fill) = look(standing);
            drawing.rectangle(at, (34.0, 13.0), pen, fill);
            drawing.words((at.0 + 41.0, at.1 + 11.0), standing.words(), Stand::Right);
        }
        drawing.tell("What is beneath the picture says the same in words.");
        let part = if of > 1 {
            format!(", part {sheet} of {of}")
        } else {
            String::new()
        };
        let title = format!("Work by the height of the blocks, what starts lowest first{part}");
        drawing.picture(&format!("heights-{sheet}"), &title)
    }

    /// The height's place across the drawing.
    fn x(&self, height: f64) -> f64 {
        BARS.0 + (height - self.heights.asked.from) * self.factor()
    }

    /// Pixels for a millimetre of height.
    fn factor(&self) -> f64 {
        let asked = &self.heights.asked;
        (BARS.1 - BARS.0) / (asked.to - asked.from)
    }

    /// The numbers of the scale, and a thin line down from each.
    fn scale_marks(&self, drawing: &mut Drawing, bottom: f64) {
        let asked = &self.heights.asked;
        let (unit, steps): (f64, &[f64]) = match self.units {
            Units::Metric => (1.0, &[0.1, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0]),
            Units::Inch => (25.4, &[0.05, 0.1, 0.25, 0.5, 1.0, 2.0]),
        };
        let mut wide = steps.iter().map(|step| step * unit);
        let widest = wide.clone().next_back().unwrap_or(unit);
        let step = wide
            .find(|step| step * self.factor() >= APART)
            .unwrap_or(widest);
        let mut number = (asked.from / step - 1e-9).ceil();
        while number * step <= asked.to + 1e-9 {
            let x = self.x(number * step);
            drawing.line((x, HEAD - 6.0), (x, bottom), Pen::Thin);
            let words = Quantity::exact(number * step, Unit::Mm).print(self.units);
            drawing.words((x, HEAD - 10.0), &words, Stand::Middle);
            number += 1.0;
        }
    }

    fn bars(&self, drawing: &mut Drawing, row: &Strip<'_>, top: f64) {
        for (bar, left, wide) in self.places(row) {
            let (pen, fill) = look(&bar.standing);
            let corner = (left, self.bar_top(row, top));
            drawing.rectangle(corner, (wide, THICK), Pen::Thin, Fill::White);
            drawing.rectangle(corner, (wide, THICK), pen, fill);
        }
    }

    /// Each stretch with its left edge and its width.
    fn places<'r>(&self, row: &Strip<'r>) -> impl Iterator<Item = (&'r Bar, f64, f64)> {
        let bars = row.link.bars.iter().filter(|bar| bar.to > bar.from);
        bars.map(|bar| (bar, self.x(bar.from), self.x(bar.to) - self.x(bar.from)))
    }

    /// The words left of the bars, and in each bar that has room for them.
    fn words(&self, drawing: &mut Drawing, row: &Strip<'_>, top: f64) {
        let mut base = top + self.around + LINE - 3.0;
        for line in &row.title {
            drawing.words((4.0, base), line, Stand::Right);
            base += LINE;
        }
        for (bar, left, wide) in self.places(row) {
            let words = bar.standing.words();
            let long = width(words) + 8.0;
            if let Some(middle) = self.beside_own((left, wide), long) {
                let at = (middle, self.bar_top(row, top) + 11.3);
                drawing.plate(at, words);
            }
        }
    }

    /// The middle of words in a stretch, beside the line of the job's own height; none where they have no room.
    fn beside_own(&self, (left, width): (f64, f64), long: f64) -> Option<f64> {
        let middle = left + width / 2.0;
        let own = self.x(self.heights.own);
        if (own - middle).abs() >= long / 2.0 {
            return (long <= width).then_some(middle);
        }
        let (before, after) = (own - left, left + width - own);
        let (start, room) = if before >= after {
            (left, before)
        } else {
            (own, after)
        };
        (long <= room).then_some(start + room / 2.0)
    }

    /// The lines at the job's own height and at the one that the tyre needs.
    fn own_marks(&self, drawing: &mut Drawing, bottom: f64) {
        let tyre = self.heights.tyre.as_ref();
        let tyre = tyre.and_then(|tyre| tyre.height);
        let marks = [
            (Some(self.heights.own), "this job", Pen::Bold, 14.0),
            (tyre, "the tyre", Pen::Dashed, 29.0),
        ];
        let asked = &self.heights.asked;
        for (height, whose, pen, base) in marks {
            let shown = height.filter(|height| (asked.from..=asked.to).contains(height));
            let Some(height) = shown else { continue };
            let x = self.x(height);
            let words = wording::stated(height, self.units);
            drawing.line((x, HEAD - 6.0), (x, bottom), pen);
            let stand = if x > WIDEST - 90.0 {
                Stand::Left
            } else {
                Stand::Middle
            };
            let words = format!("{whose}: {words}");
            drawing.bold((x, base), &words, stand);
            drawing.tell(&words);
        }
    }

    /// The upper edge of a row's bars.
    fn bar_top(&self, row: &Strip<'_>, top: f64) -> f64 {
        top + (row.height(self.around) - THICK) / 2.0
    }
}
