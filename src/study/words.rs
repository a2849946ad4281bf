//! Small pieces of wording, and whether two sentences speak of different things.

use std::collections::BTreeSet;

use crate::quantity::{Quantity, Unit};
use crate::rules::Verdict;
use crate::sorted::Sorted as _;
use crate::text;

/// A quantity that prints in either system of units.
pub(super) fn quantity(value: f64, unit: Unit) -> String {
    text::mark(Quantity::exact(value, unit), None)
}

/// A typed text without marks and without white space at its ends.
pub(super) fn typed(text: &str) -> String {
    text::clean(text.trim())
}

/// The verdict with its meaning.
pub(super) fn verdict(verdict: Verdict) -> String {
    let means = match verdict {
        Verdict::Leave => "it stays as it is",
        Verdict::Reposition => "it is moved within its own adjustment",
        Verdict::Extend => "it is lengthened",
        Verdict::Replace => "it is replaced",
        Verdict::Fabricate => "a mount or opening is cut, raised or rebuilt",
        Verdict::Refer => {
            "the workshop may do nothing at all, a licensed trade or an engineer does"
        }
        Verdict::Measure => "something is still to be measured",
        Verdict::Stop => "the lift must not be done so",
    };
    format!("{}: {means}", verdict.word())
}

/// Words that say nothing of what a sentence is about.
const EMPTY: [&str; 32] = [
    "that", "this", "with", "when", "where", "from", "into", "onto", "they", "them", "their",
    "there", "then", "than", "what", "until", "after", "before", "both", "each", "ends", "have",
    "nobody", "somebody", "under", "over", "first", "next", "vehicle", "between", "straight",
    "which",
];

/// The words that say what a text is about, in the singular.
pub(super) fn content(text: &str) -> BTreeSet<String> {
    let lower = text.to_lowercase();
    let words = lower.split(|c: char| !c.is_alphabetic());
    let words = words.filter(|word| word.chars().count() >= 4 && !EMPTY.contains(word));
    words
        .map(|word| word.strip_suffix('s').unwrap_or(word).to_owned())
        .sorted_set()
}
