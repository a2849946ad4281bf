//! A spacer block: does it stay put, and does the clamp go through it. Takes the block, the ring that carries the clamp, and the
//! load it stands under; gives pressure, margins and slenderness. Margins are capacity over demand: they rank designs and
//! catch blunders, say nothing of crash or belt loads, and certify nothing; saying so is left to the sheet.

use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, Kind, Range, ResultSpec, Spans, take,
};
use crate::quantity::Unit;

/// Standard gravity, m/s².
pub const GRAVITY: f64 = 9.80665;

/// A spacer block in its joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spacer {
    /// Outer diameter of the block, mm.
    pub outer: f64,
    /// Inner diameter of the block, mm.
    pub inner: f64,
    /// Height of the block, mm.
    pub height: f64,
    /// Outer diameter of the smallest face that carries the clamp, mm.
    pub contact_outer: f64,
    /// Inner diameter of that face, mm.
    pub contact_inner: f64,
    /// Bearing limit of the softer material there, `MPa`.
    pub bearing_limit: f64,
    /// Clamp, kN.
    pub clamp: f64,
    /// Mass of the body with everyone and the load aboard, kg.
    pub body_mass_laden: f64,
    /// How many mounts share it.
    pub mounts: f64,
    /// Lateral acceleration, g.
    pub lateral: f64,
    /// Friction between the faces.
    pub friction: f64,
}

/// How a spacer block stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpacerResults {
    /// Whether the block stands on the sleeve; when not, it clamps rubber only: stop.
    pub sleeve_supported: bool,
    /// Pressure under the clamp, `MPa`.
    pub pressure: f64,
    /// Bearing limit over pressure.
    pub pressure_margin: f64,
    /// How far off centre the clamp may act before the ring's edge lifts, mm.
    pub kern: f64,
    /// Moment that tips the block, N·m.
    pub tipping_moment: f64,
    /// Moment that the clamp holds, N·m.
    pub clamp_moment: f64,
    /// Clamp moment over tipping moment.
    pub tipping_margin: f64,
    /// Force that slides the block, N.
    pub slip_force: f64,
    /// Force that friction holds, N.
    pub slip_capacity: f64,
    /// Slip capacity over slip force.
    pub slip_margin: f64,
    /// Height over outer diameter.
    pub slenderness: f64,
}

/// How a spacer block stands under its clamp.
///
/// With D and d the contact diameters: area = π/4·(D² − d²), pressure = clamp/area, kern = (D² + d²)/(8D); `tipping_moment` =
/// `body_mass_laden·g·lateral/mounts·height`, `clamp_moment` = clamp·kern; `slip_force` = `body_mass_laden·g·lateral/mounts`, `slip_capacity` =
/// friction·clamp; g = 9.80665 m/s². Fails unless inner < outer and `contact_inner` < `contact_outer`.
/// Source: kern of a ring, Civil Engineering Formulas (Hicks), fig. 3.5; statics.
///
/// ```
/// use liftsheet::calc::spacer::{Spacer, spacer};
/// let found = spacer(&Spacer {
///     outer: 60.0, inner: 12.0, height: 50.0, contact_outer: 60.0, contact_inner: 12.0, bearing_limit: 230.0,
///     clamp: 30.0, body_mass_laden: 1000.0, mounts: 8.0, lateral: 0.8, friction: 0.15,
/// }).unwrap();
/// assert!((found.kern - 7.8).abs() < 1e-12);
/// assert!((found.tipping_moment - 49.033).abs() < 5e-4);
/// assert!((found.tipping_margin - 4.772).abs() < 5e-4);
/// ```
pub fn spacer(given: &Spacer) -> Result<SpacerResults, CalcError> {
    let smaller = |name: &str, value: f64, of: &str, than: f64| {
        if value < than {
            return Ok(());
        }
        let allowed = format!("less than `{of}`, which is {than} mm");
        Err(CalcError::new(name, format!("{value} mm"), allowed))
    };
    smaller("inner", given.inner, "outer", given.outer)?;
    let (outer, inner) = (given.contact_outer, given.contact_inner);
    smaller("contact_inner", inner, "contact_outer", outer)?;
    let newtons = given.clamp * 1000.0;
    let pressure = newtons / (std::f64::consts::FRAC_PI_4 * (outer - inner) * (outer + inner));
    let kern = (outer * outer + inner * inner) / (8.0 * outer);
    let slip_force = given.body_mass_laden * GRAVITY * given.lateral / given.mounts;
    let tipping_moment = slip_force * given.height / 1000.0;
    let clamp_moment = given.clamp * kern;
    let slip_capacity = given.friction * newtons;
    Ok(SpacerResults {
        sleeve_supported: given.inner < outer && given.outer >= outer,
        pressure,
        pressure_margin: given.bearing_limit / pressure,
        kern,
        tipping_moment,
        clamp_moment,
        tipping_margin: clamp_moment / tipping_moment,
        slip_force,
        slip_capacity,
        slip_margin: slip_capacity / slip_force,
        slenderness: given.height / given.outer,
    })
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "spacer",
    title: "does the block stay put, and does the clamp go through it",
    source: "kern of a ring (Hicks, Civil Engineering Formulas, fig. 3.5); statics",
    inputs: &[
        InputSpec::length("outer", "outer diameter of the block"),
        InputSpec::length("inner", "inner diameter of the block"),
        InputSpec::length("height", "height of the block"),
        InputSpec::length(
            "contact_outer",
            "outer diameter of the smallest face that carries the clamp; the block's when left out",
        )
        .optional(),
        InputSpec::length(
            "contact_inner",
            "inner diameter of that face; the block's when left out",
        )
        .optional(),
        InputSpec::number(
            "bearing_limit",
            Unit::Megapascal,
            Range::Positive,
            "bearing limit of the softer material there",
        ),
        InputSpec::number(
            "clamp",
            Unit::Kilonewton,
            Range::Positive,
            "clamp of the bolt",
        ),
        InputSpec::number(
            "body_mass_laden",
            Unit::Kg,
            Range::Positive,
            "mass of the body with everyone and the load aboard",
        ),
        InputSpec::other("mounts", Kind::Count, "how many mounts share it"),
        InputSpec::number(
            "lateral",
            Unit::Gravity,
            Range::Positive,
            "lateral acceleration",
        )
        .or(0.8),
        InputSpec::number(
            "friction",
            Unit::One,
            Range::Within(0.05, 0.5),
            "friction between the faces",
        )
        .or(0.15),
    ],
    results: &[
        ResultSpec::answer("sleeve_supported", "whether the block stands on the sleeve"),
        ResultSpec::number("pressure", Unit::Megapascal, "pressure under the clamp"),
        ResultSpec::number("pressure_margin", Unit::One, "bearing limit over pressure"),
        ResultSpec::length("kern", "how far off centre the clamp may act"),
        ResultSpec::number(
            "tipping_moment",
            Unit::NewtonMetre,
            "moment that tips the block",
        ),
        ResultSpec::number(
            "clamp_moment",
            Unit::NewtonMetre,
            "moment that the clamp holds",
        ),
        ResultSpec::number(
            "tipping_margin",
            Unit::One,
            "clamp moment over tipping moment",
        ),
        ResultSpec::number("slip_force", Unit::Newton, "force that slides the block"),
        ResultSpec::number("slip_capacity", Unit::Newton, "force that friction holds"),
        ResultSpec::number("slip_margin", Unit::One, "slip capacity over slip force"),
        ResultSpec::number("slenderness", Unit::One, "height over outer diameter"),
    ],
    run: adapt,
    turning,
};

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let (outer, inner) = (
        take::number(inputs, "outer")?,
        take::number(inputs, "inner")?,
    );
    let given = Spacer {
        outer,
        inner,
        height: take::number(inputs, "height")?,
        contact_outer: take::maybe(inputs, "contact_outer").unwrap_or(outer),
        contact_inner: take::maybe(inputs, "contact_inner").unwrap_or(inner),
        bearing_limit: take::number(inputs, "bearing_limit")?,
        clamp: take::number(inputs, "clamp")?,
        body_mass_laden: take::number(inputs, "body_mass_laden")?,
        mounts: take::number(inputs, "mounts")?,
        lateral: take::number(inputs, "lateral")?,
        friction: take::number(inputs, "friction")?,
    };
    let found = spacer(&given)?;
    Ok(Found {
        results: vec![
            ("sleeve_supported", found.sleeve_supported.into()),
            ("pressure", found.pressure.into()),
            ("pressure_margin", found.pressure_margin.into()),
            ("kern", found.kern.into()),
            ("tipping_moment", found.tipping_moment.into()),
            ("clamp_moment", found.clamp_moment.into()),
            ("tipping_margin", found.tipping_margin.into()),
            ("slip_force", found.slip_force.into()),
            ("slip_capacity", found.slip_capacity.into()),
            ("slip_margin", found.slip_margin.into()),
            ("slenderness", found.slenderness.into()),
        ],
        formulas: formulas(&given),
    })
}

fn formulas(given: &Spacer) -> Vec<Formula> {
    vec![
        Formula::step(
            "D",
            "outer diameter of the contact ring",
            given.contact_outer,
            Unit::Mm,
        )
        .in_words(),
        Formula::step("d", "its inner diameter", given.contact_inner, Unit::Mm).in_words(),
        Formula::of("sleeve_supported", "inner < D and outer ≥ D"),
        Formula::of("pressure", "clamp·1000/(π/4·(D² − d²))"),
        Formula::of("pressure_margin", "bearing_limit/pressure"),
        Formula::of("kern", "(D² + d²)/(8·D)"),
        Formula::of("slip_force", "body_mass_laden·9.80665·lateral/mounts"),
        Formula::of("tipping_moment", "slip_force·height/1000"),
        Formula::of("clamp_moment", "clamp·kern"),
        Formula::of("tipping_margin", "clamp_moment/tipping_moment"),
        Formula::of("slip_capacity", "friction·clamp·1000"),
        Formula::of("slip_margin", "slip_capacity/slip_force"),
        Formula::of("slenderness", "height/outer"),
    ]
}

/// The block stands on the sleeve only while the contact ring is no wider than the block and wider than its bore.
fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    let outer = take::maybe(inputs, "outer").unwrap_or(0.0);
    let contact = take::maybe(inputs, "contact_outer").unwrap_or(outer);
    vec![("contact_outer", outer), ("outer", contact)]
}

#[cfg(test)]
mod tests {
    use super::*;

    const BLOCK: Spacer = Spacer {
        outer: 60.0,
        inner: 20.0,
        height: 50.0,
        contact_outer: 30.0,
        contact_inner: 16.0,
        bearing_limit: 230.0,
        clamp: 30.0,
        body_mass_laden: 1000.0,
        mounts: 8.0,
        lateral: 0.8,
        friction: 0.15,
    };

    #[test]
    fn the_pressure_is_that_of_the_contact_ring() {
        let found = spacer(&BLOCK).unwrap();
        assert!((found.pressure - 30_000.0 / 505.796).abs() < 1e-3);
        assert!((found.pressure_margin * found.pressure - 230.0).abs() < 1e-9);
        assert!(found.sleeve_supported);
    }

    #[test]
    fn a_block_that_misses_the_sleeve_clamps_rubber_only() {
        let around = Spacer {
            inner: 32.0,
            ..BLOCK
        };
        assert!(!spacer(&around).unwrap().sleeve_supported);
        let small = Spacer {
            outer: 28.0,
            ..BLOCK
        };
        assert!(!spacer(&small).unwrap().sleeve_supported);
    }

    #[test]
    fn rings_without_a_wall_are_refused() {
        let no_wall = Spacer {
            inner: 60.0,
            ..BLOCK
        };
        assert_eq!(spacer(&no_wall).unwrap_err().input, "inner");
        let no_face = Spacer {
            contact_inner: 30.0,
            ..BLOCK
        };
        assert_eq!(spacer(&no_face).unwrap_err().input, "contact_inner");
    }
}
