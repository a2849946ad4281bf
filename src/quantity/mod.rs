//! Physical quantities: a finite number in a known unit, with the tolerance it was measured to.
//!
//! Takes text such as `50 mm`, `1 1/2 in`, `38 mm ±2` or `62 N·m`; gives a [`Quantity`] in the unit that the
//! field documents, and prints it again. Which range a field allows is left to the field.

mod limits;
mod parse;
mod print;
mod unit;
mod written;

pub(crate) use limits::limits;
pub use parse::QuantityError;
pub(crate) use print::MINUS;
pub use print::{Round, Units};
pub use unit::{Dimension, Unit, spellings};
pub use written::{Amount, Written, YesNo, yes_no};

use serde::Serialize;

/// A finite number in a canonical unit, with the half-width it may be off by (0 when none was stated). Its JSON is the unit and the number, in
/// the order of their names, as digests have them.
///
/// ```
/// use liftsheet::quantity::{Quantity, Unit};
/// let slack = Quantity::parse("38 mm ±2", Unit::Mm).unwrap();
/// assert_eq!((slack.value, slack.tolerance), (38.0, 2.0));
/// assert_eq!(Quantity::parse("2 in", Unit::Mm).unwrap().value, 50.8);
/// assert!(Quantity::parse("2 kg", Unit::Mm).is_err());
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Quantity {
    /// The canonical unit of the field that the quantity belongs to.
    pub unit: Unit,
    /// The number, in `unit`; always finite.
    pub value: f64,
    /// Half-width of the tolerance, in `unit`; finite and at least 0.
    #[serde(skip)]
    pub tolerance: f64,
}

impl Quantity {
    /// A quantity known exactly. The caller passes a finite number.
    pub fn exact(value: f64, unit: Unit) -> Self {
        Self {
            value,
            tolerance: 0.0,
            unit,
        }
    }

    /// The lower end of the tolerance.
    pub fn least(&self) -> f64 {
        self.value - self.tolerance
    }

    /// The upper end of the tolerance.
    pub fn most(&self) -> f64 {
        self.value + self.tolerance
    }
}
