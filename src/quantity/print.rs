//! [`Quantity`] → text for people, in millimetres or inches. Rounding happens here and nowhere before.
//!
//! Below zero stands the minus sign, as on paper; what programs read has the hyphen that they know, by `Text::written`.
//! Limits are rounded to the safe side of what a tape reads: a least upwards, a most downwards.

use super::{Quantity, Unit};

/// The system that printed pages use; JSON and digests never change with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Millimetres, kilograms, newtons.
    #[default]
    Metric,
    /// Inches, pounds, pounds-force.
    Inch,
}

/// Which way a printed number may differ from the exact one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Round {
    /// To the nearest printed step.
    Nearest,
    /// Never below the exact value: for a least that must be reached.
    Up,
    /// Never above the exact value: for a most that must not be passed.
    Down,
}

/// What people read before a number below zero.
pub(crate) const MINUS: &str = "−";

/// Below this, `MPa`, a pressure is that of air or oil, not the stress of steel: whole ones would print it as nought.
const PRESSURE: f64 = 10.0;

/// How a value in its canonical unit is shown: suffix, canonical units in one, decimals, and the step a tool reads.
fn shown(unit: Unit, units: Units, value: f64) -> (&'static str, f64, usize, f64) {
    match (unit, units) {
        (Unit::Megapascal, Units::Metric) if value.abs() < PRESSURE => (" MPa", 1.0, 2, 0.01),
        (Unit::Megapascal, Units::Inch) if value.abs() < PRESSURE => {
            (" psi", 0.006_894_757_293_168, 0, 1.0)
        }
        (Unit::Mm, Units::Metric) => (" mm", 1.0, 1, 1.0),
        (Unit::Mm, Units::Inch) => (" in", 25.4, 2, 0.01),
        (Unit::Metre, Units::Metric) => (" m", 1.0, 1, 0.1),
        (Unit::Metre, Units::Inch) => (" ft", 0.3048, 0, 1.0),
        (Unit::Km, Units::Metric) => (" km", 1.0, 0, 1.0),
        (Unit::Km, Units::Inch) => (" mi", 1.609_344, 0, 1.0),
        (Unit::Degree, _) => ("°", 1.0, 1, 0.5),
        (Unit::Kg, Units::Metric) => (" kg", 1.0, 0, 1.0),
        (Unit::Kg, Units::Inch) => (" lb", 0.453_592_37, 0, 1.0),
        (Unit::Newton, Units::Metric) => (" N", 1.0, 0, 1.0),
        (Unit::Newton, Units::Inch) => (" lbf", 4.448_221_615_260_5, 0, 1.0),
        (Unit::Kilonewton, Units::Metric) => (" kN", 1.0, 1, 0.1),
        (Unit::Kilonewton, Units::Inch) => (" lbf", 0.004_448_221_615_260_5, 0, 1.0),
        (Unit::NewtonMetre, Units::Metric) => (" N·m", 1.0, 0, 1.0),
        (Unit::NewtonMetre, Units::Inch) => (" lbf·ft", 1.355_817_948_331_4, 0, 1.0),
        (Unit::Megapascal, Units::Metric) => (" MPa", 1.0, 0, 1.0),
        (Unit::Megapascal, Units::Inch) => (" ksi", 6.894_757_293_168, 1, 0.1),
        (Unit::SquareMm, _) => (" mm²", 1.0, 0, 1.0),
        (Unit::Gravity, _) => (" g", 1.0, 2, 0.01),
        (Unit::KmPerHour, Units::Metric) => (" km/h", 1.0, 0, 1.0),
        (Unit::KmPerHour, Units::Inch) => (" mph", 1.609_344, 0, 1.0),
        (Unit::Percent, _) => (" %", 1.0, 1, 0.1),
        (Unit::One, _) => ("", 1.0, 2, 0.01),
    }
}

impl Units {
    /// The suffix this system prints behind a quantity of the unit, without its leading space.
    pub fn suffix(self, unit: Unit) -> &'static str {
        shown(unit, self, f64::INFINITY).0.trim_start()
    }
}

impl Quantity {
    /// The quantity with its unit, to the nearest printed decimal; a tolerance follows as `±`.
    ///
    /// ```
    /// use liftsheet::quantity::{Quantity, Unit, Units};
    /// let gap = Quantity::parse("38 mm ±2", Unit::Mm).unwrap();
    /// assert_eq!(gap.print(Units::Metric), "38 mm ±2");
    /// assert_eq!(gap.print(Units::Inch), "1.5 in ±0.08");
    /// ```
    pub fn print(&self, units: Units) -> String {
        let (suffix, factor, decimals, _) = shown(self.unit, units, self.value);
        let main = decimal(self.value / factor, decimals);
        if self.tolerance > 0.0 {
            let half = decimal(self.tolerance / factor, decimals);
            format!("{main}{suffix} ±{half}")
        } else {
            format!("{main}{suffix}")
        }
    }

    /// The value rounded to what the measuring tool reads, on the side that `round` says, with its unit.
    ///
    /// ```
    /// use liftsheet::quantity::{Quantity, Round, Unit, Units};
    /// let limit = Quantity::exact(62.3, Unit::Mm);
    /// assert_eq!(limit.print_limit(Round::Up, Units::Metric), "63 mm");
    /// assert_eq!(limit.print_limit(Round::Down, Units::Metric), "62 mm");
    /// // 50 mm are 1.9685 in, between two hundredths.
    /// let limit = Quantity::exact(50.0, Unit::Mm);
    /// assert_eq!(limit.print_limit(Round::Up, Units::Inch), "1.97 in");
    /// assert_eq!(limit.print_limit(Round::Down, Units::Inch), "1.96 in");
    /// // 4.5 bar of air are 65.27 psi.
    /// let air = Quantity::parse("4.5 bar", Unit::Megapascal).unwrap();
    /// assert_eq!(air.print_limit(Round::Down, Units::Metric), "0.45 MPa");
    /// assert_eq!(air.print_limit(Round::Up, Units::Inch), "66 psi");
    /// ```
    pub fn print_limit(&self, round: Round, units: Units) -> String {
        let (suffix, factor, _, step) = shown(self.unit, units, self.value);
        // A hair below the comparison step of verdicts (1e-6) keeps 63.0000000001 at 63.
        let steps = self.value / factor / step;
        let whole = match round {
            Round::Nearest => steps.round(),
            Round::Up => (steps - 1e-7).ceil(),
            Round::Down => (steps + 1e-7).floor(),
        };
        format!("{}{suffix}", decimal(whole * step, 2))
    }
}

/// A decimal with trailing zeros dropped and the minus sign below zero, and never `−0`.
fn decimal(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    match text {
        "-0" => "0".to_owned(),
        _ => text.replace('-', MINUS),
    }
}
