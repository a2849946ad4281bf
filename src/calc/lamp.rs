//! Headlamp aim after the lift. Takes the lamp's height, its dip now and the pitch of the body; gives dip, reach and the height
//! band that decides the aim. A level lift leaves the dip alone; pitch does not. An aim check is a task on every lift
//! whatever this says.
//!
//! Bands after UN R48: below 0.8 m the initial dip of 1.0 to 1.5 % was seen in a collection of legal texts; the bands at 0.8 m and
//! above are from memory, and between 0.8 m and 1.0 m the band without the maker's choice is used. The allowed height
//! of 500 to 1200 mm was seen in a public data file.

use super::ground::{AXLE_RISE, height_after};
use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, Range, ResultSpec, Spans, Value,
    take,
};
use crate::quantity::Unit;

/// Dips are compared after allowing for rounding, %.
const ROUNDING: f64 = 1e-9;

/// A headlamp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lamp {
    /// Height of the lower edge above the ground, mm: it decides the band.
    pub height: f64,
    /// Height of the centre, mm: it decides the reach.
    pub centre: f64,
    /// Dip now, %.
    pub dip: f64,
    /// How far the lift puts the nose up, degrees.
    pub nose_up: f64,
    /// The rise, mm; 0 for a lamp that rides with the chassis.
    pub rise: f64,
    /// Half of what the tyres' diameter grows, mm.
    pub axle_rise: f64,
}

/// The height bands of UN R48 for the dipped beam.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Band {
    /// Lower edge below 0.8 m: initial dip 1.0 to 1.5 %.
    Low,
    /// 0.8 m to 1.0 m: initial dip 1.0 to 1.5 %, or 1.5 to 2.0 % at the maker's choice (from memory).
    Middle,
    /// Above 1.0 m: initial dip 1.5 to 2.0 % (from memory).
    High,
}

impl Band {
    /// The band of a lower edge at a height, mm.
    pub fn of(height: f64) -> Self {
        if height < 800.0 {
            Self::Low
        } else if height <= 1000.0 {
            Self::Middle
        } else {
            Self::High
        }
    }

    /// The band in words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Low => "below 0.8 m",
            Self::Middle => "0.8 m to 1.0 m",
            Self::High => "above 1.0 m",
        }
    }

    /// The initial dip from and to, %.
    pub fn initial_dip(self) -> (f64, f64) {
        match self {
            Self::Low | Self::Middle => (1.0, 1.5),
            Self::High => (1.5, 2.0),
        }
    }
}

/// A headlamp after the lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LampResults {
    /// Height of the lower edge after, mm.
    pub height_after: f64,
    /// Dip after, %.
    pub dip_after: f64,
    /// Where the cut-off meets the road now, m.
    pub reach: f64,
    /// Where it meets the road after, m.
    pub reach_after: f64,
    /// Height band now.
    pub band: Band,
    /// Height band after.
    pub band_after: Band,
    /// Whether the dip after is outside the initial range of its band.
    pub must_re_aim: bool,
    /// Whether the lower edge after is within 500 to 1200 mm.
    pub height_allowed: bool,
}

/// Headlamp aim after the lift.
///
/// `dip_after` = dip − `100·tan(nose_up)`; reach = centre/(10·dip), `reach_after` = (centre + rise + `axle_rise)/(10·dip_after`), with heights in mm, dip in %,
/// reach in m. Fails when `dip_after` ≤ 0: the beam is above the horizontal. Source: plane geometry; bands after UN R48.
///
/// ```
/// use liftsheet::calc::lamp::{Lamp, lamp};
/// let found = lamp(&Lamp { height: 750.0, centre: 750.0, dip: 1.0, nose_up: 0.0, rise: 50.0, axle_rise: 0.0 }).unwrap();
/// assert_eq!((found.height_after, found.reach, found.reach_after), (800.0, 75.0, 80.0));
/// ```
pub fn lamp(given: &Lamp) -> Result<LampResults, CalcError> {
    let dip_after = given.dip - 100.0 * given.nose_up.to_radians().tan();
    if dip_after.is_nan() || dip_after <= 0.0 {
        return Err(CalcError::new(
            "nose_up",
            format!("{}°, which leaves a dip of {dip_after:.2} %", given.nose_up),
            "a pitch that leaves the beam below the horizontal",
        ));
    }
    let height_after = height_after(given.height, true, given.rise, given.axle_rise);
    let band_after = Band::of(height_after);
    let (least, most) = band_after.initial_dip();
    Ok(LampResults {
        height_after,
        dip_after,
        reach: given.centre / (10.0 * given.dip),
        reach_after: (given.centre + given.rise + given.axle_rise) / (10.0 * dip_after),
        band: Band::of(given.height),
        band_after,
        must_re_aim: !(least - ROUNDING..=most + ROUNDING).contains(&dip_after),
        height_allowed: (500.0..=1200.0).contains(&height_after),
    })
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "lamp",
    title: "headlamp aim after the lift; check the aim whatever this says",
    source: "plane geometry; height bands after UN R48, at 0.8 m and above from memory",
    inputs: &[
        InputSpec::length("height", "height of the lamp's lower edge"),
        InputSpec::length(
            "centre",
            "height of its centre; the lower edge's when left out",
        )
        .optional(),
        InputSpec::positive("dip", Unit::Percent, "dip now"),
        InputSpec::number(
            "nose_up",
            Unit::Degree,
            Range::Between(-90.0, 90.0),
            "how far the lift puts the nose up",
        )
        .or(0.0),
        InputSpec::RISE,
        AXLE_RISE,
    ],
    results: &[
        ResultSpec::length("height_after", "height of the lower edge after"),
        ResultSpec::number("dip_after", Unit::Percent, "dip after"),
        ResultSpec::number("reach", Unit::Metre, "where the cut-off meets the road now"),
        ResultSpec::number("reach_after", Unit::Metre, "where it meets the road after"),
        ResultSpec::answer("band", "height band now"),
        ResultSpec::answer("band_after", "height band after"),
        ResultSpec::answer(
            "must_re_aim",
            "whether the dip is outside that band's initial range",
        ),
        ResultSpec::answer(
            "height_allowed",
            "whether the lower edge is within 500 to 1200 mm",
        ),
    ],
    run: adapt,
    turning,
};

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let height = take::number(inputs, "height")?;
    let centre = take::maybe(inputs, "centre");
    let given = Lamp {
        height,
        centre: centre.unwrap_or(height),
        dip: take::number(inputs, "dip")?,
        nose_up: take::number(inputs, "nose_up")?,
        rise: take::number(inputs, "rise")?,
        axle_rise: take::number(inputs, "axle_rise")?,
    };
    let found = lamp(&given)?;
    let word = |band: Band| Value::Word(band.word().to_owned());
    let (least, most) = found.band_after.initial_dip();
    let [reach, reach_after] = if centre.is_some() {
        [
            "centre/(10·dip)",
            "(centre + rise + axle_rise)/(10·dip_after)",
        ]
    } else {
        ["height/(10·dip)", "height_after/(10·dip_after)"]
    };
    Ok(Found {
        results: vec![
            ("height_after", found.height_after.into()),
            ("dip_after", found.dip_after.into()),
            ("reach", found.reach.into()),
            ("reach_after", found.reach_after.into()),
            ("band", word(found.band)),
            ("band_after", word(found.band_after)),
            ("must_re_aim", found.must_re_aim.into()),
            ("height_allowed", found.height_allowed.into()),
        ],
        formulas: vec![
            Formula::of("height_after", "height + rise + axle_rise"),
            Formula::of("dip_after", "dip − 100·tan(nose_up)"),
            Formula::of("reach", reach),
            Formula::of("reach_after", reach_after),
            Formula::of("band", "by height").in_words(),
            Formula::of("band_after", "by height_after").in_words(),
            Formula::step(
                "initial_least",
                "least initial dip of the band after",
                least,
                Unit::Percent,
            )
            .in_words(),
            Formula::step(
                "initial_most",
                "largest initial dip of the band after",
                most,
                Unit::Percent,
            )
            .in_words(),
            Formula::of(
                "must_re_aim",
                "not (initial_least ≤ dip_after ≤ initial_most)",
            ),
            Formula::of("height_allowed", "500 ≤ height_after ≤ 1200"),
        ],
    })
}

/// The answers change where the dip passes an end of an initial range, and where the height passes a band or a limit.
fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    let number = |name| take::maybe(inputs, name).unwrap_or(0.0);
    let (height, dip) = (number("height"), number("dip"));
    let (rise, axle_rise) = (number("rise"), number("axle_rise"));
    let lost = 100.0 * number("nose_up").to_radians().tan();
    let mut turns = Vec::new();
    for end in [1.0, 1.5, 2.0] {
        turns.push(("dip", end + lost));
        turns.push(("nose_up", ((dip - end) / 100.0).atan().to_degrees()));
    }
    for edge in [500.0, 800.0, 1000.0, 1000.0 + ROUNDING, 1200.0] {
        turns.extend([
            ("height", edge),
            ("height", edge - rise - axle_rise),
            ("rise", edge - height - axle_rise),
            ("axle_rise", edge - height - rise),
        ]);
    }
    turns
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAMP: Lamp = Lamp {
        height: 750.0,
        centre: 820.0,
        dip: 1.2,
        nose_up: 0.0,
        rise: 40.0,
        axle_rise: 0.0,
    };

    #[test]
    fn a_level_lift_leaves_the_dip_and_lengthens_the_reach() {
        let found = lamp(&LAMP).unwrap();
        assert!((found.dip_after - 1.2).abs() < 1e-12);
        assert!(found.reach_after > found.reach);
        assert!(!found.must_re_aim && found.height_allowed);
    }

    #[test]
    fn a_nose_up_lift_takes_the_dip_away() {
        let found = lamp(&Lamp {
            nose_up: 0.2,
            ..LAMP
        })
        .unwrap();
        assert!((found.dip_after - 0.850_933).abs() < 1e-6);
        assert!(found.must_re_aim);
        assert_eq!(
            lamp(&Lamp {
                nose_up: 0.7,
                ..LAMP
            })
            .unwrap_err()
            .input,
            "nose_up"
        );
    }

    #[test]
    fn bands_of_un_r48_the_upper_two_from_memory() {
        assert_eq!(Band::of(799.9), Band::Low);
        assert_eq!(Band::of(800.0), Band::Middle);
        assert_eq!(Band::of(1000.0), Band::Middle);
        assert_eq!(Band::of(1000.1), Band::High);
        let high = Lamp {
            height: 980.0,
            ..LAMP
        };
        assert!(lamp(&high).unwrap().must_re_aim);
    }
}
