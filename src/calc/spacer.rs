//! A spacer block: does it stay put, and does the clamp go through it. Takes the block, the ring that carries the clamp, and the
//! load it stands under; gives pressure, margins and slenderness. Margins are capacity over demand: they rank designs and
//! catch blunders, say nothing of crash or belt loads, and certify nothing; saying so is left to the sheet.

use super::CalcError;

mod adapt;
pub(super) use adapt::CALCULATION;

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
    /// Outer diameter of the face that the block stands on (the sleeve's end, a washer, a boss), mm.
    pub contact_outer: f64,
    /// Inner diameter of that face, mm.
    pub contact_inner: f64,
    /// Bearing limit of the softer material there, `MPa`.
    pub bearing_limit: f64,
    /// Least clamp, kN: it holds against slipping and tipping.
    pub clamp_least: f64,
    /// Most clamp, kN: it presses.
    pub clamp_most: f64,
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
/// With D = `contact_outer` and d the larger of the two bores: area = π/4·(D² − d²), pressure = `clamp_most`/area, kern = (D² + d²)/(8D);
/// `tipping_moment` = `body_mass_laden·g·lateral/mounts·height`, `clamp_moment` = `clamp_least`·kern; `slip_force` =
/// `body_mass_laden·g·lateral/mounts`, `slip_capacity` = friction·`clamp_least`; g = 9.80665 m/s². Fails unless inner < outer,
/// `contact_inner` < `contact_outer` and `clamp_least` ≤ `clamp_most`. A block that is not supported is given the whole face's figures.
/// Source: kern of a ring, Civil Engineering Formulas (Hicks), fig. 3.5; statics.
///
/// ```
/// use liftsheet::calc::spacer::{Spacer, spacer};
/// let found = spacer(&Spacer {
///     outer: 60.0, inner: 12.0, height: 50.0, contact_outer: 60.0, contact_inner: 12.0, bearing_limit: 230.0,
///     clamp_least: 30.0, clamp_most: 30.0, body_mass_laden: 1000.0, mounts: 8.0, lateral: 0.8, friction: 0.15,
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
    let outer = given.contact_outer;
    smaller("contact_inner", given.contact_inner, "contact_outer", outer)?;
    if given.clamp_least > given.clamp_most {
        let allowed = format!("at most `clamp_most`, which is {} kN", given.clamp_most);
        let least = format!("{} kN", given.clamp_least);
        return Err(CalcError::new("clamp_least", least, allowed));
    }
    let inner = bore(given);
    let pressure = given.clamp_most * 1000.0
        / (std::f64::consts::FRAC_PI_4 * (outer - inner) * (outer + inner));
    let kern = (outer * outer + inner * inner) / (8.0 * outer);
    let slip_force = given.body_mass_laden * GRAVITY * given.lateral / given.mounts;
    let tipping_moment = slip_force * given.height / 1000.0;
    let clamp_moment = given.clamp_least * kern;
    let slip_capacity = given.friction * given.clamp_least * 1000.0;
    Ok(SpacerResults {
        sleeve_supported: supported(given),
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

/// Whether the block stands on the whole outer edge of the face below it.
fn supported(given: &Spacer) -> bool {
    given.inner < given.contact_outer && given.outer >= given.contact_outer
}

/// Inner diameter of the ring on which block and face meet, mm; the face's where the block misses it.
fn bore(given: &Spacer) -> f64 {
    if supported(given) {
        given.inner.max(given.contact_inner)
    } else {
        given.contact_inner
    }
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
        clamp_least: 30.0,
        clamp_most: 30.0,
        body_mass_laden: 1000.0,
        mounts: 8.0,
        lateral: 0.8,
        friction: 0.15,
    };

    #[test]
    fn the_pressure_is_that_of_the_contact_ring() {
        let found = spacer(&BLOCK).unwrap();
        // The bore of the block, 20 mm, is wider than that of the face, 16 mm.
        assert!((found.pressure - 30_000.0 / 392.699).abs() < 1e-3);
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
