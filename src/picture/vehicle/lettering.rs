//! Words for pictures: cleaned of what would act, cut or broken to the room there is, lengths and scales as people read them.

use super::super::draw::{At, Drawing, Stand, WORDS};
use crate::quantity::{Quantity, Unit, Units};
use crate::report::is_unsafe_to_print;

/// The usual width of a character, as a share of the letters' size.
const WIDE: f64 = 0.6;
/// The height of a line of words, pixels.
pub(super) const LINE: f64 = 15.0;

/// A whole number as pixels or a count of them.
pub(super) fn number(count: usize) -> f64 {
    u32::try_from(count).map_or(f64::MAX, f64::from)
}

/// How wide words come out, pixels.
pub(super) fn width(words: &str) -> f64 {
    number(words.chars().count()) * WORDS * WIDE
}

/// How many characters fit into a width, at least one.
pub(super) fn fitting(pixels: f64) -> usize {
    let mut count = 1;
    while number(count + 1) * WORDS * WIDE <= pixels {
        count += 1;
    }
    count
}

/// What somebody typed, on one line of at most so many characters, with nothing in it that acts instead of showing.
pub(super) fn typed(text: &str, most: usize) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let shown = |c: char| {
        let private = matches!(c, '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..);
        let hidden = is_unsafe_to_print(c) || private || u32::from(c) & 0xfffe == 0xfffe;
        if hidden { '\u{fffd}' } else { c }
    };
    let clean: Vec<char> = line.chars().map(shown).collect();
    match clean.get(..most.saturating_sub(1)) {
        Some(begin) if clean.len() > most => begin.iter().collect::<String>() + "…",
        _ => clean.iter().collect(),
    }
}

/// A sentence on lines of at most so many characters each.
pub(super) fn lines(text: &str, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let word = typed(word, most);
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= most => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

/// A sentence with a capital at its beginning.
pub(super) fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    let first = chars.next();
    first
        .into_iter()
        .flat_map(char::to_uppercase)
        .chain(chars)
        .collect()
}

/// A length as it is printed.
pub(super) fn length(millimetres: f64, units: Units) -> String {
    Quantity::exact(millimetres, Unit::Mm).print(units)
}

/// Lengths that a scale bar may have, in millimetres.
fn bars(units: Units) -> [f64; 5] {
    match units {
        Units::Metric => [1000.0, 500.0, 200.0, 100.0, 50.0],
        Units::Inch => [1016.0, 508.0, 254.0, 127.0, 50.8],
    }
}

/// Draws the scale: the longest round length that fits, from `at` to the right, with its words behind it.
pub(super) fn scale_bar(drawing: &mut Drawing, at: At, factor: f64, units: Units) {
    let bars = bars(units);
    let fits = |bar: &&f64| **bar * factor <= 150.0;
    let bar = bars.iter().find(fits).or(bars.last()).copied();
    let bar = bar.unwrap_or_default();
    let end = (at.0 + bar * factor, at.1);
    let said = length(bar, units);
    let words = (end.0 + 10.0 + width(&said) / 2.0, at.1 + WORDS * 0.35);
    drawing.measure("scale", (at, end), &said, (words, Stand::Middle));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_typed_is_one_clean_short_line() {
        assert_eq!(typed("a\n  b\u{202e}c\u{e000}", 20), "a b\u{fffd}c\u{fffd}");
        assert_eq!(typed("front brake junction", 6), "front…");
        assert_eq!(typed("abcdef", 6), "abcdef");
    }

    #[test]
    fn a_sentence_is_broken_between_its_words() {
        assert_eq!(lines("one two three", 7), ["one two", "three"]);
        assert_eq!(lines("", 7), Vec::<String>::new());
        assert!(width("0123456789") <= 75.0);
        assert_eq!(fitting(75.0), 10);
    }
}
