//! Text → [`Quantity`]. Takes what a person typed and the canonical unit of the field; gives the quantity or
//! a [`QuantityError`] that says what would have been accepted. Range checks are left to the caller.

use thiserror::Error;

use super::print::MINUS;
use super::unit::{self, Dimension};
use super::{Quantity, Unit};
use crate::report::{Code, Notes, Path, Problem};

/// Why a text is not a quantity of the wanted kind.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum QuantityError {
    /// The text has no number where one is needed.
    #[error("`{given}` is not {}", unit.dimension().noun())]
    NotANumber {
        /// What was typed.
        given: String,
        /// The unit a bare number would have.
        unit: Unit,
    },
    /// The number is NaN or infinite.
    #[error("`{given}` is not a finite number")]
    NotFinite {
        /// What was typed.
        given: String,
    },
    /// A unit that is not known.
    #[error("`{given}` is not a unit known here")]
    UnknownUnit {
        /// What was typed as the unit.
        given: String,
        /// The unit a bare number would have.
        unit: Unit,
    },
    /// A known unit of another kind.
    #[error("this is {}, and the field takes {}", given.noun(), unit.dimension().noun())]
    WrongKind {
        /// The kind that was typed.
        given: Dimension,
        /// The unit the field is held in.
        unit: Unit,
    },
    /// Two numbers, from and to.
    #[error("`{given}` is two numbers")]
    FromTo {
        /// What was typed.
        given: String,
        /// The same as a reading with its tolerance.
        reading: String,
    },
    /// A tolerance below zero.
    #[error("the tolerance `{given}` is below zero")]
    NegativeTolerance {
        /// What was typed.
        given: String,
    },
}

impl QuantityError {
    /// The kind of problem that it is reported as.
    pub fn code(&self) -> Code {
        match self {
            Self::NotANumber { .. } | Self::FromTo { .. } => Code::NotANumber,
            Self::NotFinite { .. } => Code::NotFinite,
            Self::UnknownUnit { .. } | Self::WrongKind { .. } => Code::WrongUnit,
            Self::NegativeTolerance { .. } => Code::OutOfRange,
        }
    }

    /// It as a problem that has no place yet.
    pub(crate) fn problem(&self) -> Problem {
        Problem::error(self.code(), self.to_string()).help(self.help())
    }

    /// The way out, as one sentence.
    pub fn help(&self) -> String {
        match self {
            Self::NotANumber { given, unit } if is_no_answer(given) => format!(
                "what is not measured yet is left out: put the `#` back in front of its line, or delete it; a bare number is in {}",
                unit.code()
            ),
            Self::NotANumber { given, .. } if has_thousands(given) => format!(
                "write thousands without a comma: `{}`; a decimal has a point",
                given.replace(',', "")
            ),
            Self::NotANumber { given, unit } if given.contains(',') => format!(
                "write the decimal with a point: `{}`; a bare number is in {}",
                given.replace(',', "."),
                unit.code()
            ),
            Self::FromTo { reading, .. } => {
                format!("write one reading, and how far it may be off: `{reading}`")
            }
            Self::NotANumber { unit, .. }
            | Self::UnknownUnit { unit, .. }
            | Self::WrongKind { unit, .. } => accepted(*unit),
            Self::NotFinite { .. } => "write a plain number such as 40".to_owned(),
            Self::NegativeTolerance { .. } => {
                "write the tolerance as its size, such as ±2 mm".to_owned()
            }
        }
    }
}

/// What people write where they have no answer yet.
fn is_no_answer(text: &str) -> bool {
    let word = text.trim().to_ascii_lowercase();
    let marks = !word.is_empty() && word.chars().all(|c| ['?', '-', '…', '.', '_'].contains(&c));
    marks || ["", "unknown", "tbd", "tba", "n/a", "none", "later", "todo"].contains(&word.as_str())
}

/// Whether commas stand where thousands are parted, as in `1,350 kg`: read as a decimal it would be a thousandth of that.
fn has_thousands(text: &str) -> bool {
    let number = text
        .split(|c: char| !(c.is_ascii_digit() || c == ','))
        .next();
    let mut groups = number.unwrap_or_default().split(',');
    let first = groups.next().unwrap_or_default();
    let mut groups = groups.peekable();
    (1..=3).contains(&first.len())
        && !first.starts_with('0')
        && groups.peek().is_some()
        && groups.all(|group| group.len() == 3)
}

/// What a field of this unit accepts, as one sentence.
fn accepted(unit: Unit) -> String {
    match unit {
        Unit::One => "write a bare number".to_owned(),
        _ => format!(
            "a bare number is in {}; other units: {}",
            unit.code(),
            unit::spellings(unit.dimension()).join(", ")
        ),
    }
}

impl Quantity {
    /// Reads a quantity of the unit's kind; fails when the text is no number, not finite, or of another kind.
    ///
    /// A unit may stand after the number, after the tolerance, or after both; a tolerance follows `±`, `+-` or `+/-`.
    pub fn parse(text: &str, unit: Unit) -> Result<Self, QuantityError> {
        let (main, tolerance) = split_tolerance(text);
        let (number, main_unit) = number_and_unit(main, unit)?;
        let Some(tolerance) = tolerance else {
            return finite(number * main_unit.unwrap_or(1.0), text)
                .map(|value| Self::exact(value, unit));
        };
        let (half, half_unit) = number_and_unit(tolerance, unit)?;
        let value = number * main_unit.or(half_unit).unwrap_or(1.0);
        let half = half * half_unit.or(main_unit).unwrap_or(1.0);
        if half < 0.0 {
            return Err(QuantityError::NegativeTolerance {
                given: tolerance.trim().to_owned(),
            });
        }
        Ok(Self {
            value: finite(value, text)?,
            tolerance: finite(half, text)?,
            unit,
        })
    }
}

impl Notes<'_> {
    /// A quantity of the unit's kind; what is none is reported at the path.
    pub(crate) fn parsed(
        &mut self,
        text: &str,
        unit: Unit,
        path: impl FnOnce() -> Path,
    ) -> Option<Quantity> {
        let read = Quantity::parse(text, unit);
        let read = read.map_err(|error| {
            let place = self.place(&path());
            self.report.push(error.problem().at(place));
        });
        read.ok()
    }
}

fn finite(value: f64, text: &str) -> Result<f64, QuantityError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(QuantityError::NotFinite {
            given: text.trim().to_owned(),
        })
    }
}

fn split_tolerance(text: &str) -> (&str, Option<&str>) {
    for mark in ["±", "+/-", "+-"] {
        if let Some((main, tolerance)) = text.split_once(mark) {
            return (main, Some(tolerance));
        }
    }
    (text, None)
}

/// The number, and how many canonical units one typed unit is (none when no unit was typed).
fn number_and_unit(text: &str, unit: Unit) -> Result<(f64, Option<f64>), QuantityError> {
    let text = text.trim();
    let no_number = || QuantityError::NotANumber {
        given: text.to_owned(),
        unit,
    };
    let (number, rest) = leading_number(text).ok_or_else(no_number)?;
    let number = finite(number, text)?;
    if rest.is_empty() {
        return Ok((number, None));
    }
    if rest.starts_with(',') {
        return Err(no_number());
    }
    if let Some(reading) = from_to(number, rest) {
        let given = text.to_owned();
        return Err(QuantityError::FromTo { given, reading });
    }
    let (kind, factor) = unit::find(rest).ok_or_else(|| QuantityError::UnknownUnit {
        given: rest.to_owned(),
        unit,
    })?;
    if kind == unit.dimension() {
        Ok((number, Some(factor / unit.factor())))
    } else {
        Err(QuantityError::WrongKind { given: kind, unit })
    }
}

/// `40-45 mm` as the reading that covers it, `42.5 ±2.5 mm`, once the first number is read.
fn from_to(low: f64, rest: &str) -> Option<String> {
    let marks = ["-", "–", "to ", "..", "bis "];
    let (high, unit) = marks
        .iter()
        .find_map(|mark| decimal(rest.strip_prefix(mark)?.trim_start()))?;
    let (middle, half) = (f64::midpoint(low, high), (high - low) / 2.0);
    let unit = unit.trim();
    let space = if unit.is_empty() { "" } else { " " };
    (half > 0.0).then(|| format!("{middle} ±{half}{space}{unit}"))
}

/// A leading decimal, `a/b` or `w a/b`, and what follows it, trimmed.
fn leading_number(text: &str) -> Option<(f64, &str)> {
    for word in [
        "nan", ".nan", "inf", ".inf", "+.inf", "-.inf", "-inf", "infinity",
    ] {
        if text.eq_ignore_ascii_case(word) {
            return Some((f64::NAN, ""));
        }
    }
    let (first, rest) = decimal(text)?;
    if let Some(below) = rest.strip_prefix('/') {
        let (below, rest) = decimal(below)?;
        return Some((first / below, rest.trim_start()));
    }
    let rest = rest.trim_start();
    if first.fract() == 0.0
        && let Some((above, after)) = decimal(rest)
        && let Some(below) = after.strip_prefix('/')
    {
        let (below, rest) = decimal(below)?;
        let part = (above / below).copysign(first);
        return Some((first + part, rest.trim_start()));
    }
    Some((first, rest))
}

/// A leading decimal with optional sign and exponent, and what follows it.
fn decimal(text: &str) -> Option<(f64, &str)> {
    // As the pages print it, and somebody may copy it back.
    if let Some(digits) = text.strip_prefix(MINUS) {
        let unsigned = !digits.starts_with(['+', '-']) && !digits.starts_with(MINUS);
        return decimal(digits)
            .filter(|_| unsigned)
            .map(|(number, rest)| (-number, rest));
    }
    let bytes = text.as_bytes();
    let digits = |from: usize| {
        bytes
            .iter()
            .skip(from)
            .take_while(|b| b.is_ascii_digit())
            .count()
    };
    let mut end = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let whole = digits(end);
    end += whole;
    let mut decimals = 0;
    if bytes.get(end) == Some(&b'.') {
        decimals = digits(end + 1);
        end += usize::from(decimals > 0) * (1 + decimals);
    }
    if whole + decimals == 0 {
        return None;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let exponent = digits(end + 1 + sign);
        end += usize::from(exponent > 0) * (1 + sign + exponent);
    }
    let (number, rest) = text.split_at_checked(end)?;
    Some((number.parse().ok()?, rest))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, unit: Unit) -> (f64, f64) {
        let quantity = Quantity::parse(text, unit).unwrap();
        (quantity.value, quantity.tolerance)
    }

    #[test]
    fn units_of_the_kind_convert() {
        assert_eq!(read("50 mm", Unit::Mm), (50.0, 0.0));
        assert_eq!(read("2in", Unit::Mm), (50.8, 0.0));
        assert_eq!(read("2 1/2 in", Unit::Mm), (63.5, 0.0));
        assert_eq!(read("1/2\"", Unit::Mm), (12.7, 0.0));
        assert_eq!(read("-5 cm", Unit::Mm), (-50.0, 0.0));
        assert_eq!(read("12°", Unit::Degree), (12.0, 0.0));
        assert_eq!(read("62 N·m", Unit::NewtonMetre), (62.0, 0.0));
        assert_eq!(read("5 kN", Unit::Newton), (5000.0, 0.0));
        assert_eq!(read("5000 N", Unit::Kilonewton), (5.0, 0.0));
        assert_eq!(read("1e2", Unit::Mm), (100.0, 0.0));
    }

    #[test]
    fn the_minus_sign_that_pages_print_is_read_back() {
        assert_eq!(read("−5 cm", Unit::Mm), (-50.0, 0.0));
        let printed = Quantity::exact(-120.0, Unit::Mm).print(crate::quantity::Units::Metric);
        assert_eq!(printed, "−120 mm");
        assert_eq!(read(&printed, Unit::Mm), (-120.0, 0.0));
    }

    #[test]
    fn a_tolerance_takes_the_unit_of_the_number_unless_it_has_its_own() {
        assert_eq!(read("38 mm ±2", Unit::Mm), (38.0, 2.0));
        assert_eq!(read("38 ±2 mm", Unit::Mm), (38.0, 2.0));
        assert_eq!(read("2 in ± 1 mm", Unit::Mm), (50.8, 1.0));
        assert_eq!(read("38 +/- 2", Unit::Mm), (38.0, 2.0));
    }

    // 1 lbf ft = 1.3558179483314 N m: NIST SP 811 app. B, read from two unit libraries, not from the appendix.
    #[test]
    fn pound_feet_are_newton_metres() {
        let torque = read("20 lbf ft", Unit::NewtonMetre).0;
        assert!((torque - 20.0 * 1.355_817_948_331_4).abs() < 1e-12);
    }
}
