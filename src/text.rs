//! Text with quantities in it that can still be printed in either system of units.
//!
//! Takes the output of rule templates, in which the unit filters leave marks; gives [`Text`], which prints in millimetres
//! or inches. A task's digest and its JSON always use the metric print, so that `--units` cannot change a plan.

use std::fmt::Write as _;
use std::sync::Arc;

use serde::{Serialize, Serializer};

use crate::quantity::{MINUS, Quantity, Round, Units};

/// Marks from the private-use area: nobody types them, and [`clean`] takes them out of what people typed.
const OPEN: char = '\u{E000}';
const CLOSE: char = '\u{E001}';

/// Text with quantities in it. Copies share it: the same step stands in the tasks of thousands of links.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Text(Arc<str>);

impl Text {
    /// Text as a rule template rendered it, marks included.
    pub fn rendered(text: impl Into<Arc<str>>) -> Self {
        Self(text.into())
    }

    /// Text without quantities; marks in it are dropped.
    pub(crate) fn plain(text: &str) -> Self {
        Self(clean(text).into())
    }

    /// Whether there is nothing in it.
    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The text with its marks, to be put into another.
    pub(crate) fn marked(&self) -> &str {
        &self.0
    }

    /// The text with one character replaced by a text typed by a person.
    #[must_use]
    pub(crate) fn replaced(&self, character: char, by: &str) -> Self {
        Self(self.0.replace(character, &clean(by)).into())
    }

    /// The text with its quantities printed in the system of units.
    ///
    /// ```
    /// use liftsheet::quantity::{Quantity, Round, Unit, Units};
    /// use liftsheet::text::{Text, mark};
    /// let text = Text::rendered(format!("cut {} off", mark(Quantity::exact(50.8, Unit::Mm), Some(Round::Up))));
    /// assert_eq!(text.print(Units::Metric), "cut 51 mm off");
    /// assert_eq!(text.print(Units::Inch), "cut 2 in off");
    /// ```
    pub fn print(&self, units: Units) -> String {
        self.with(|mark| print_mark(mark, units))
    }

    /// The text as programs read it and digests hold it: metric, with a hyphen before a number below zero.
    ///
    /// ```
    /// use liftsheet::quantity::{Quantity, Unit, Units};
    /// use liftsheet::text::{Text, mark};
    /// let text = Text::rendered(format!("changes by {}", mark(Quantity::exact(-5.8, Unit::Percent), None)));
    /// assert_eq!(text.written(), "changes by -5.8 %");
    /// assert_eq!(text.print(Units::Metric), "changes by −5.8 %");
    /// ```
    pub fn written(&self) -> String {
        self.with(|mark| print_mark(mark, Units::Metric).replace(MINUS, "-"))
    }

    /// This text with each of its limits on the safer side of the two: the larger of what must be reached, the smaller of what must not
    /// be passed. The same text where the other does not read alike.
    #[must_use]
    pub(crate) fn safer_of(&self, other: &Self) -> Self {
        let [mine, others] = [self, other].map(|text| -> Vec<&str> {
            let pieces = text.0.split(OPEN);
            pieces.flat_map(|piece| piece.split(CLOSE)).collect()
        });
        if mine.len() != others.len() {
            return self.clone();
        }
        // Marks and plain text take turns, plain text first.
        let mut text = String::with_capacity(self.0.len());
        for (number, (mine, other)) in mine.iter().zip(&others).enumerate() {
            if number % 2 == 1 {
                let _ = write!(text, "{OPEN}{}{CLOSE}", safer_mark(mine, other));
            } else {
                text.push_str(mine);
            }
        }
        Self(text.into())
    }

    fn with(&self, print: impl Fn(&str) -> String) -> String {
        let mut out = String::with_capacity(self.0.len());
        let mut rest = &*self.0;
        while let Some((before, marked)) = rest.split_once(OPEN) {
            out.push_str(before);
            let (mark, after) = marked.split_once(CLOSE).unwrap_or((marked, ""));
            out.push_str(&print(mark));
            rest = after;
        }
        out.push_str(rest);
        out
    }
}

impl Serialize for Text {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0.contains(OPEN) {
            return serializer.serialize_str(&self.written());
        }
        serializer.serialize_str(&self.0)
    }
}

/// The mark that stands for a quantity: printed to the nearest decimal, or as a limit when a side is given.
pub fn mark(quantity: Quantity, limit: Option<Round>) -> String {
    let side = match limit {
        None => "value",
        Some(Round::Nearest) => "nearest",
        Some(Round::Up) => "up",
        Some(Round::Down) => "down",
    };
    let mut mark = String::new();
    // Writing to a String cannot fail.
    let _ = write!(
        mark,
        "{OPEN}{}|{side}|{:?}{CLOSE}",
        quantity.unit.code(),
        quantity.value
    );
    mark
}

/// A text with a capital at its beginning.
pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    let first = chars.next().into_iter().flat_map(char::to_uppercase);
    first.chain(chars).collect()
}

/// What a person typed, without marks.
pub(crate) fn clean(text: &str) -> String {
    text.chars()
        .filter(|c| !matches!(*c, OPEN | CLOSE))
        .collect()
}

/// A title with a small letter at its beginning, to stand within a sentence; what is written large throughout stays so.
///
/// ```
/// assert_eq!(liftsheet::text::within("Fuel filler hose"), "fuel filler hose");
/// assert_eq!(liftsheet::text::within("ABS unit's lines"), "ABS unit's lines");
/// ```
pub fn within(title: &str) -> String {
    let mut chars = title.chars();
    match (chars.next(), chars.clone().next()) {
        (Some(first), Some(second)) if second.is_lowercase() => {
            first.to_lowercase().chain(chars).collect()
        }
        _ => title.to_owned(),
    }
}

/// The safer of two marks of one limit; the first where it is no limit.
fn safer_mark<'m>(mine: &'m str, other: &'m str) -> &'m str {
    let parts = |mark: &'m str| {
        let (head, value) = mark.rsplit_once('|')?;
        Some((head, value.parse::<f64>().ok()?))
    };
    let (Some((head, one)), Some((other_head, two))) = (parts(mine), parts(other)) else {
        return mine;
    };
    let safer = match head.rsplit_once('|') {
        Some((_, "up")) => two > one,
        Some((_, "down")) => two < one,
        _ => false,
    };
    if safer && head == other_head {
        other
    } else {
        mine
    }
}

/// The print of one mark; a mark that is not ours prints as nothing.
fn print_mark(mark: &str, units: Units) -> String {
    let mut fields = mark.split('|');
    let unit = fields.next().and_then(|word| word.parse().ok());
    let side = fields.next();
    let value = fields.next().and_then(|value| value.parse().ok());
    let (Some(unit), Some(side), Some(value)) = (unit, side, value) else {
        return String::new();
    };
    let quantity = Quantity::exact(value, unit);
    match side {
        "nearest" => quantity.print_limit(Round::Nearest, units),
        "up" => quantity.print_limit(Round::Up, units),
        "down" => quantity.print_limit(Round::Down, units),
        _ => quantity.print(units),
    }
}
