//! The units that fields are held in, and the factors from other units of the same kind.
//!
//! Takes nothing; gives [`Unit`] (what a field documents) and `find` (what a person may type).
//! Reading whole quantities is left to [`super::parse`], printing to [`super::print`].
//! Factors: 1 in = 25.4 mm exactly; lbf and its products as in NIST SP 811 appendix B (the factors
//! agree with two unit libraries; the appendix itself was not opened).

use serde::Serialize;
use strum::{EnumIter, EnumString, IntoStaticStr, VariantNames};

/// What a number measures; only units of one kind convert into one another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dimension {
    /// A length.
    Length,
    /// A plane angle.
    Angle,
    /// A mass.
    Mass,
    /// A force.
    Force,
    /// A torque or bending moment.
    Torque,
    /// A stress or surface pressure.
    Stress,
    /// An area.
    Area,
    /// An acceleration given as a multiple of standard gravity.
    Acceleration,
    /// A speed.
    Speed,
    /// A share of a hundred.
    Percent,
    /// A pure number.
    Number,
}

impl Dimension {
    /// The kind as a noun with its article, for messages: "a length".
    pub fn noun(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Angle => "an angle",
            Self::Mass => "a mass",
            Self::Force => "a force",
            Self::Torque => "a torque",
            Self::Stress => "a stress",
            Self::Area => "an area",
            Self::Acceleration => "an acceleration",
            Self::Speed => "a speed",
            Self::Percent => "a percentage",
            Self::Number => "a pure number",
        }
    }
}

/// The canonical unit of a field: a bare number typed there is in this unit, and so is every number in JSON.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[derive(EnumIter, EnumString, IntoStaticStr, Serialize, VariantNames)]
#[serde(into = "&'static str")]
#[strum(serialize_all = "lowercase")]
pub enum Unit {
    /// Millimetre, the unit of every length on the vehicle.
    Mm,
    /// Metre, for distances on the road and to a wall.
    #[strum(serialize = "m")]
    Metre,
    /// Kilometre, for distances driven.
    Km,
    /// Degree of angle.
    #[strum(serialize = "deg")]
    Degree,
    /// Kilogram.
    Kg,
    /// Newton, for external loads.
    #[strum(serialize = "N")]
    Newton,
    /// Kilonewton, for clamp forces.
    #[strum(serialize = "kN")]
    Kilonewton,
    /// Newton metre.
    #[strum(serialize = "N·m")]
    NewtonMetre,
    /// Megapascal, which is newton per square millimetre.
    #[strum(serialize = "MPa")]
    Megapascal,
    /// Square millimetre.
    #[strum(serialize = "mm²")]
    SquareMm,
    /// Multiple of standard gravity, 9.80665 m/s².
    #[strum(serialize = "g")]
    Gravity,
    /// Kilometre per hour.
    #[strum(serialize = "km/h")]
    KmPerHour,
    /// Per cent.
    #[strum(serialize = "%")]
    Percent,
    /// A pure number; written `"1"` in JSON.
    #[strum(serialize = "1")]
    One,
}

impl Unit {
    /// The code of the unit in JSON and in rule files: `mm`, `deg`, `N·m`, `1`.
    pub fn code(self) -> &'static str {
        self.into()
    }

    /// What the unit measures.
    pub fn dimension(self) -> Dimension {
        match self {
            Self::Mm | Self::Metre | Self::Km => Dimension::Length,
            Self::Degree => Dimension::Angle,
            Self::Kg => Dimension::Mass,
            Self::Newton | Self::Kilonewton => Dimension::Force,
            Self::NewtonMetre => Dimension::Torque,
            Self::Megapascal => Dimension::Stress,
            Self::SquareMm => Dimension::Area,
            Self::Gravity => Dimension::Acceleration,
            Self::KmPerHour => Dimension::Speed,
            Self::Percent => Dimension::Percent,
            Self::One => Dimension::Number,
        }
    }

    /// How many base units of the dimension one of this unit is .
    pub fn factor(self) -> f64 {
        match self {
            Self::Metre | Self::Kilonewton => 1e3,
            Self::Km => 1e6,
            _ => 1.0,
        }
    }
}

/// Spellings a person may type, as (spelling, kind, base units in one). The base of each kind is its
/// first row. Spellings are compared without case where that cannot confuse two units.
const SPELLINGS: &[(&str, Dimension, f64)] = &[
    ("mm", Dimension::Length, 1.0),
    ("cm", Dimension::Length, 10.0),
    ("m", Dimension::Length, 1e3),
    ("km", Dimension::Length, 1e6),
    ("in", Dimension::Length, 25.4),
    ("inch", Dimension::Length, 25.4),
    ("inches", Dimension::Length, 25.4),
    ("\"", Dimension::Length, 25.4),
    ("″", Dimension::Length, 25.4),
    ("ft", Dimension::Length, 304.8),
    ("mi", Dimension::Length, 1_609_344.0),
    ("°", Dimension::Angle, 1.0),
    ("deg", Dimension::Angle, 1.0),
    ("degrees", Dimension::Angle, 1.0),
    ("rad", Dimension::Angle, 180.0 / std::f64::consts::PI),
    ("kg", Dimension::Mass, 1.0),
    ("t", Dimension::Mass, 1e3),
    ("lb", Dimension::Mass, 0.453_592_37),
    ("N", Dimension::Force, 1.0),
    ("kN", Dimension::Force, 1e3),
    ("lbf", Dimension::Force, 4.448_221_615_260_5),
    ("N·m", Dimension::Torque, 1.0),
    ("N*m", Dimension::Torque, 1.0),
    ("N m", Dimension::Torque, 1.0),
    ("Nm", Dimension::Torque, 1.0),
    ("lbf·ft", Dimension::Torque, 1.355_817_948_331_4),
    ("lbf ft", Dimension::Torque, 1.355_817_948_331_4),
    ("ft lbf", Dimension::Torque, 1.355_817_948_331_4),
    // As torque wrenches and workshop manuals have it.
    ("ft-lb", Dimension::Torque, 1.355_817_948_331_4),
    ("ft·lb", Dimension::Torque, 1.355_817_948_331_4),
    ("ft lb", Dimension::Torque, 1.355_817_948_331_4),
    ("lb-ft", Dimension::Torque, 1.355_817_948_331_4),
    ("lb·ft", Dimension::Torque, 1.355_817_948_331_4),
    ("lb ft", Dimension::Torque, 1.355_817_948_331_4),
    ("lbf·in", Dimension::Torque, 0.112_984_829_027_616_7),
    ("lbf in", Dimension::Torque, 0.112_984_829_027_616_7),
    ("MPa", Dimension::Stress, 1.0),
    ("N/mm²", Dimension::Stress, 1.0),
    ("N/mm2", Dimension::Stress, 1.0),
    ("kPa", Dimension::Stress, 1e-3),
    ("bar", Dimension::Stress, 0.1),
    ("psi", Dimension::Stress, 0.006_894_757_293_168),
    ("ksi", Dimension::Stress, 6.894_757_293_168),
    ("mm²", Dimension::Area, 1.0),
    ("mm2", Dimension::Area, 1.0),
    ("in²", Dimension::Area, 645.16),
    ("in2", Dimension::Area, 645.16),
    ("g", Dimension::Acceleration, 1.0),
    ("km/h", Dimension::Speed, 1.0),
    ("mph", Dimension::Speed, 1.609_344),
    ("%", Dimension::Percent, 1.0),
    ("1", Dimension::Number, 1.0),
];

/// The kind of a spelling, and how many base units of its kind one of it is; none when nobody spells a unit so.
pub(super) fn find(spelling: &str) -> Option<(Dimension, f64)> {
    let exact = SPELLINGS.iter().find(|(name, ..)| *name == spelling);
    let folded = || {
        let mut loose = SPELLINGS
            .iter()
            .filter(|(name, ..)| name.eq_ignore_ascii_case(spelling));
        loose.next().filter(|_| loose.next().is_none())
    };
    exact
        .or_else(folded)
        .map(|&(_, kind, factor)| (kind, factor))
}

/// The spellings accepted for a kind, for messages.
pub fn spellings(kind: Dimension) -> Vec<&'static str> {
    SPELLINGS
        .iter()
        .filter(|(_, of, _)| *of == kind)
        .map(|(name, ..)| *name)
        .collect()
}
