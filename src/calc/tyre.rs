//! What the lift is for: bigger tyres. Takes the old and new size and the gap at the guard; gives diameters, clearance under the
//! axle, the rise the new size needs, and what it does to gearing and speedometer. Whether a size is allowed is left to the
//! limits of the region.
//!
//! Diameters are the nominal ones of the size's own figures; a maker's data sheet differs by a few millimetres.

use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, Range, ResultSpec, Spans, take,
};
use crate::quantity::Unit;

/// Test speeds of UN R39, km/h (from memory).
const TEST_SPEEDS: [f64; 3] = [40.0, 80.0, 120.0];
/// Speeds are compared after allowing for rounding, km/h.
const ROUNDING: f64 = 1e-9;

/// Outer diameter of a tyre by its size, mm: rim + 2·width·aspect for `235/75R15`, the first figure in inches for `31x10.5R15`.
///
/// A leading `LT` or `P` and a load and speed suffix are accepted. Fails, with the way out, for sizes without a section height
/// (`7.50R16`) and for what is no size.
///
/// ```
/// use liftsheet::calc::tyre::diameter;
/// assert_eq!(diameter("old", "235/75R15").unwrap(), 733.5);
/// assert_eq!(diameter("old", "LT235/75R15 104/101S").unwrap(), 733.5);
/// assert!((diameter("new", "31x10.5R15").unwrap() - 787.4).abs() < 1e-9);
/// assert!(diameter("new", "7.50R16").unwrap_err().allowed.contains("section height"));
/// ```
pub fn diameter(input: &str, size: &str) -> Result<f64, CalcError> {
    let upper = size.trim().to_ascii_uppercase().replace('×', "X");
    let plain = upper
        .strip_prefix("LT")
        .or_else(|| upper.strip_prefix('P'))
        .unwrap_or(&upper);
    let refuse = |allowed: &str| CalcError::new(input, format!("`{}`", size.trim()), allowed);
    let parsed = metric(plain).or_else(|| flotation(plain));
    let Some(diameter) = parsed else {
        return Err(refuse(if is_numeric(plain) {
            "a size that gives the section height, such as `235/75R15` or `31x10.5R15`: this one does not, so take the \
             overall diameter from the tyre maker's data sheet and give it in inches, such as `32x7.50R16`"
        } else {
            "a size such as `235/75R15` or `31x10.5R15`"
        }));
    };
    // Anything outside is a slip of the pen, not a road tyre.
    if (300.0..=2000.0).contains(&diameter) {
        Ok(diameter)
    } else {
        Err(refuse(
            "a size between 300 and 2000 mm in diameter, such as `235/75R15`",
        ))
    }
}

/// `235/75R15`: width in mm, aspect in %, rim in inches.
fn metric(plain: &str) -> Option<f64> {
    let (width, rest) = leading(plain)?;
    let (aspect, rest) = leading(rest.strip_prefix('/')?)?;
    let rim = rim(rest)?;
    Some(rim * 25.4 + 2.0 * width * aspect / 100.0)
}

/// `31x10.5R15`: diameter, width and rim in inches.
fn flotation(plain: &str) -> Option<f64> {
    let (diameter, rest) = leading(plain)?;
    let (_, rest) = leading(rest.strip_prefix('X')?)?;
    let rim = rim(rest)?;
    (rim < diameter).then_some(diameter * 25.4)
}

/// `7.50R16`: width and rim in inches, no section height.
fn is_numeric(plain: &str) -> bool {
    leading(plain).is_some_and(|(_, rest)| rim(rest).is_some())
}

/// The rim after its construction letter, in inches; a load and speed suffix may follow.
fn rim(rest: &str) -> Option<f64> {
    let rest = rest.trim_start();
    let after = ["ZR", "R", "B", "D", "-"]
        .iter()
        .find_map(|letter| rest.strip_prefix(letter))?;
    let (rim, suffix) = leading(after.trim_start())?;
    let suffix = suffix.trim();
    let accepted = suffix
        .chars()
        .all(|c| c.is_ascii_alphanumeric() || " /()".contains(c));
    (rim > 0.0 && accepted).then_some(rim)
}

/// A leading decimal above zero, and what follows it.
fn leading(text: &str) -> Option<(f64, &str)> {
    let text = text.trim_start();
    let end = text
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(text.len());
    let (number, rest) = text.split_at_checked(end)?;
    let number: f64 = number.parse().ok()?;
    (number > 0.0).then_some((number, rest))
}

/// The speed shown (km/h) at a true speed, for a speedometer that read `over_read` % high on the old tyre: a larger tyre turns slower.
///
/// ```
/// let shown = liftsheet::calc::tyre::indicated(105.0, 4.0, 700.0, 735.0);
/// assert!((shown - 104.0).abs() < 1e-9);
/// ```
pub fn indicated(true_speed: f64, over_read: f64, old: f64, new: f64) -> f64 {
    true_speed * (1.0 + over_read / 100.0) * old / new
}

/// Whether 0 ≤ V₁ − V₂ ≤ V₂/10 + 4 km/h holds at the test speeds, V₁ shown and V₂ true. Source: UN R39 clause 5.3 as quoted;
/// test speeds from memory.
///
/// ```
/// use liftsheet::calc::tyre::within_r39;
/// assert!(within_r39(0.0, 735.0, 735.0));
/// assert!(!within_r39(4.0, 700.0, 735.0));
/// ```
pub fn within_r39(over_read: f64, old: f64, new: f64) -> bool {
    TEST_SPEEDS.iter().all(|&speed| {
        let over = indicated(speed, over_read, old, new) - speed;
        (-ROUNDING..=speed / 10.0 + 4.0 + ROUNDING).contains(&over)
    })
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "tyre",
    title: "what bigger tyres give, need and change",
    source: "nominal figures of the size; UN R39 clause 5.3 as quoted, test speeds from memory",
    inputs: &[
        InputSpec::text("old", "size now, such as 235/75R15"),
        InputSpec::text("new", "size wanted, such as 265/75R15 or 31x10.5R15"),
        InputSpec::length_or_zero("guard_gap", "gap to the guard now, at full bump"),
        InputSpec::length("least_gap", "gap that must be left"),
        InputSpec::number(
            "over_read",
            Unit::Percent,
            Range::Between(-100.0, 100.0),
            "how much the speedometer reads over the true speed now",
        )
        .or(0.0),
    ],
    results: &[
        ResultSpec::length("diameter", "diameter now"),
        ResultSpec::length("diameter_new", "diameter wanted"),
        ResultSpec::length("axle_clearance_gain", "clearance gained under the axle"),
        ResultSpec::length("rise_needed", "rise that the new size needs at the guard"),
        ResultSpec::number(
            "gearing_change",
            Unit::Percent,
            "engine speed at the same road speed",
        ),
        ResultSpec::number(
            "indicated_at_100",
            Unit::KmPerHour,
            "speed shown at a true 100 km/h",
        ),
        ResultSpec::answer("within_r39", "whether the speedometer stays within UN R39"),
    ],
    run: adapt,
    turning,
};

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let old = diameter("old", take::word(inputs, "old")?)?;
    let new = diameter("new", take::word(inputs, "new")?)?;
    let guard_gap = take::number(inputs, "guard_gap")?;
    let least_gap = take::number(inputs, "least_gap")?;
    let over_read = take::number(inputs, "over_read")?;
    let gain = (new - old) / 2.0;
    Ok(Found {
        results: vec![
            ("diameter", old.into()),
            ("diameter_new", new.into()),
            ("axle_clearance_gain", gain.into()),
            (
                "rise_needed",
                (gain + least_gap - guard_gap).max(0.0).into(),
            ),
            ("gearing_change", (100.0 * (old / new - 1.0)).into()),
            (
                "indicated_at_100",
                indicated(100.0, over_read, old, new).into(),
            ),
            ("within_r39", within_r39(over_read, old, new).into()),
        ],
        formulas: vec![
            Formula::said("diameter", "rim + 2·width·aspect, or as marked"),
            Formula::said("diameter_new", "the same for the new size"),
            Formula::of("axle_clearance_gain", "(diameter_new − diameter)/2"),
            Formula::of(
                "rise_needed",
                "max(0, axle_clearance_gain + least_gap − guard_gap)",
            ),
            Formula::of("gearing_change", "100·(diameter/diameter_new − 1)"),
            Formula::of(
                "indicated_at_100",
                "100·(1 + over_read/100)·diameter/diameter_new",
            ),
            Formula::of(
                "within_r39",
                "0 ≤ V₁ − V₂ ≤ V₂/10 + 4 at V₂ = 40, 80, 120 km/h",
            ),
        ],
    })
}

/// The speedometer's answer changes where it starts to read low or too high at a test speed.
fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    let size = |name| diameter(name, take::word(inputs, name)?);
    let (Ok(old), Ok(new)) = (size("old"), size("new")) else {
        return Vec::new();
    };
    let over_read = |shown: f64, speed: f64| 100.0 * (shown * new / (speed * old) - 1.0);
    let highest = TEST_SPEEDS
        .iter()
        .map(|&speed| over_read(speed * 1.1 + 4.0, speed));
    let lowest = over_read(1.0, 1.0);
    highest
        .chain([lowest])
        .map(|level| ("over_read", level))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_read_in_their_usual_spellings() {
        for size in [
            "235/75R15",
            "p235/75R15",
            "LT 235/75 R15",
            "235/75ZR15 105S",
            "235/75-15",
            "235/75R15 (104Q)",
        ] {
            assert!(
                (diameter("old", size).unwrap() - 733.5).abs() < 1e-9,
                "{size}"
            );
        }
        for size in ["31x10.5R15", "31X10.50 R15LT", "31×10.5-15 109Q"] {
            assert!(
                (diameter("old", size).unwrap() - 787.4).abs() < 1e-9,
                "{size}"
            );
        }
    }

    #[test]
    fn what_is_no_size_is_refused() {
        for size in [
            "",
            "big",
            "235",
            "235/75",
            "235/75R",
            "R15",
            "31x10.5",
            "235/75R15!",
            "2/75R1",
            "15x10R31",
        ] {
            assert!(diameter("old", size).is_err(), "{size}");
        }
    }

    #[test]
    fn a_size_without_section_height_is_refused_with_the_way_out() {
        for size in ["7.50R16", "7.50-16", "LT7.50R16"] {
            let error = diameter("new", size).unwrap_err();
            assert_eq!(error.input, "new");
            assert!(error.allowed.contains("32x7.50R16"), "{size}");
        }
    }
}
