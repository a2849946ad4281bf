//! A spacer block: does it stay put, and does the clamp go through it. Takes the block, the ring that carries the clamp, and the
//! load it stands under; gives pressure, margins and slenderness. Margins are capacity over demand: they rank designs and
//! catch blunders, say nothing of crash or belt loads, and certify nothing; saying so is left to the sheet.

use super::thread::Thread;
use super::{
    CalcError, Calculation, Formula, Found, InputKind, InputSpec, Inputs, Range, ResultSpec, Spans,
    take,
};
use crate::quantity::Unit;

/// Standard gravity, m/s².
const GRAVITY: f64 = 9.80665;
/// How near to the edge of the face the bore is looked at within a tolerance, mm.
const NARROW: f64 = 1e-6;

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
            "outer diameter of the face it stands on, such as the sleeve's end; the block's when left out",
        )
        .optional(),
        InputSpec::length(
            "contact_inner",
            "inner diameter of that face; the block's when left out",
        )
        .optional(),
        InputSpec::positive("bearing_limit", Unit::Megapascal, "bearing limit of the softer material there"),
        InputSpec::positive("clamp_least", Unit::Kilonewton, "least clamp of the bolt, for slipping and tipping"),
        InputSpec::positive("clamp_most", Unit::Kilonewton, "most clamp of the bolt, for the pressure"),
        InputSpec::positive("body_mass_laden", Unit::Kg, "mass of the body with everyone and the load aboard"),
        InputSpec::other("mounts", InputKind::Count, "how many mounts share it"),
        InputSpec::positive("lateral", Unit::Gravity, "lateral acceleration")
        .or(0.8),
        InputSpec::number(
            "friction",
            Unit::One,
            Range::Within(0.05, 0.5),
            "friction between the faces",
        )
        .or(0.15),
        InputSpec::text("thread", "thread of the bolt that passes the block").optional(),
        InputSpec::length("sleeve_length", "length of the crush sleeve now").optional(),
    ],
    results: &[
        ResultSpec::answer("sleeve_supported", "whether the block stands on the sleeve"),
        ResultSpec::answer("bolt_passes", "whether the bolt passes the block's bore")
            .may_be_absent(),
        ResultSpec::length("sleeve_after", "length of the metal that the clamp goes through")
            .may_be_absent(),
        ResultSpec::megapascals("pressure", "pressure under the clamp"),
        ResultSpec::ratio("pressure_margin", "bearing limit over pressure"),
        ResultSpec::length("kern", "how far off centre the clamp may act"),
        ResultSpec::newton_metres("tipping_moment", "moment that tips the block"),
        ResultSpec::newton_metres("clamp_moment", "moment that the clamp holds"),
        ResultSpec::ratio("tipping_margin", "clamp moment over tipping moment"),
        ResultSpec::number("slip_force", Unit::Newton, "force that slides the block"),
        ResultSpec::number("slip_capacity", Unit::Newton, "force that friction holds"),
        ResultSpec::ratio("slip_margin", "slip capacity over slip force"),
        ResultSpec::ratio("slenderness", "height over outer diameter"),
    ],
    run: adapt,
    turning,
};

/// How a spacer block stands under its clamp.
///
/// With D = `contact_outer` and d the larger of the two bores: area = π/4·(D² − d²), pressure = `clamp_most`/area, kern = (D² + d²)/(8D);
/// `tipping_moment` = `body_mass_laden·g·lateral/mounts·height`, `clamp_moment` = `clamp_least`·kern; `slip_force` =
/// `body_mass_laden·g·lateral/mounts`, `slip_capacity` = friction·`clamp_least`; g = 9.80665 m/s². Fails unless inner < outer,
/// `contact_inner` < `contact_outer` and `clamp_least` ≤ `clamp_most`. A block that is not supported is given the whole face's figures.
/// Source: kern of a ring, Civil Engineering Formulas (Hicks), fig. 3.5; statics.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let spacer = find("spacer").unwrap();
/// let given = read_inputs(spacer, &[
///     "outer=60", "inner=12", "height=50", "bearing_limit=230", "clamp_least=30", "clamp_most=30", "body_mass_laden=1000", "mounts=8",
/// ]).unwrap();
/// let found = evaluate(spacer, &given).unwrap();
/// assert!((found.number("kern").unwrap() - 7.8).abs() < 1e-12);
/// assert!((found.number("tipping_moment").unwrap() - 49.033).abs() < 5e-4);
/// assert!((found.number("tipping_margin").unwrap() - 4.772).abs() < 5e-4);
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let number = |name: &str| take::number(inputs, name);
    let (outer, inner, height) = (number("outer")?, number("inner")?, number("height")?);
    let (supported, contact, bore) = ring(inputs, outer, inner)?;
    let (clamp_least, clamp_most) = (number("clamp_least")?, number("clamp_most")?);
    if clamp_least > clamp_most {
        let allowed = format!("at most `clamp_most`, which is {clamp_most} kN");
        let least = format!("{clamp_least} kN");
        return Err(CalcError::new("clamp_least", least, allowed));
    }
    let pressure =
        clamp_most * 1000.0 / (std::f64::consts::FRAC_PI_4 * (contact - bore) * (contact + bore));
    let kern = (contact * contact + bore * bore) / (8.0 * contact);
    let slip_force = number("body_mass_laden")? * GRAVITY * number("lateral")? / number("mounts")?;
    let tipping_moment = slip_force * height / 1000.0;
    let clamp_moment = clamp_least * kern;
    let slip_capacity = number("friction")? * clamp_least * 1000.0;
    let thread = take::maybe_word(inputs, "thread").map(Thread::read);
    let bolt = thread.transpose()?.map(|thread| thread.diameter);
    let sleeve = take::maybe(inputs, "sleeve_length");
    let mut results = vec![("sleeve_supported", supported.into())];
    results.extend(bolt.map(|bolt| ("bolt_passes", (inner > bolt).into())));
    results.extend(sleeve.map(|sleeve| ("sleeve_after", (sleeve + height).into())));
    results.extend([
        ("pressure", pressure.into()),
        (
            "pressure_margin",
            (number("bearing_limit")? / pressure).into(),
        ),
        ("kern", kern.into()),
        ("tipping_moment", tipping_moment.into()),
        ("clamp_moment", clamp_moment.into()),
        ("tipping_margin", (clamp_moment / tipping_moment).into()),
        ("slip_force", slip_force.into()),
        ("slip_capacity", slip_capacity.into()),
        ("slip_margin", (slip_capacity / slip_force).into()),
        ("slenderness", (height / outer).into()),
    ]);
    Ok(Found {
        results,
        formulas: formulas((contact, bore), bolt, sleeve.is_some()),
    })
}

/// Whether the block stands on the whole outer edge of the face below it; outer and inner diameter of the ring on which they meet, mm, the
/// face's where the block misses it.
fn ring(inputs: &Inputs, outer: f64, inner: f64) -> Result<(bool, f64, f64), CalcError> {
    let face_outer = take::maybe(inputs, "contact_outer").unwrap_or(outer);
    let face_inner = take::maybe(inputs, "contact_inner").unwrap_or(inner);
    smaller(("inner", inner), ("outer", outer))?;
    smaller(("contact_inner", face_inner), ("contact_outer", face_outer))?;
    let supported = inner < face_outer && outer >= face_outer;
    let bore = if supported {
        inner.max(face_inner)
    } else {
        face_inner
    };
    Ok((supported, face_outer, bore))
}

/// Fails unless one diameter is less than another.
fn smaller((name, value): (&str, f64), (of, than): (&str, f64)) -> Result<(), CalcError> {
    if value < than {
        return Ok(());
    }
    let allowed = format!("less than `{of}`, which is {than} mm");
    Err(CalcError::new(name, format!("{value} mm"), allowed))
}

fn formulas((contact, bore): (f64, f64), bolt: Option<f64>, sleeve: bool) -> Vec<Formula> {
    let bolt = bolt.into_iter().flat_map(|bolt| {
        [
            Formula::said_step("bolt", "nominal diameter", bolt, Unit::Mm),
            Formula::of("bolt_passes", "inner > bolt"),
        ]
    });
    let sleeve = sleeve.then(|| Formula::of("sleeve_after", "sleeve_length + height"));
    let ring = [
        Formula::said_step("D", "outer diameter of the contact ring", contact, Unit::Mm),
        Formula::said_step(
            "d",
            "the larger of its bore and the block's",
            bore,
            Unit::Mm,
        ),
        Formula::of("sleeve_supported", "inner < D and outer ≥ D"),
    ];
    let margins = [
        Formula::of("pressure", "clamp_most·1000/(π/4·(D² − d²))"),
        Formula::of("pressure_margin", "bearing_limit/pressure"),
        Formula::of("kern", "(D² + d²)/(8·D)"),
        Formula::of("slip_force", "body_mass_laden·9.80665·lateral/mounts"),
        Formula::of("tipping_moment", "slip_force·height/1000"),
        Formula::of("clamp_moment", "clamp_least·kern"),
        Formula::of("tipping_margin", "clamp_moment/tipping_moment"),
        Formula::of("slip_capacity", "friction·clamp_least·1000"),
        Formula::of("slip_margin", "slip_capacity/slip_force"),
        Formula::of("slenderness", "height/outer"),
    ];
    ring.into_iter()
        .chain(bolt)
        .chain(sleeve)
        .chain(margins)
        .collect()
}

/// The block stands on the sleeve only while the contact ring is no wider than the block and wider than its bore.
fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    let outer = take::maybe(inputs, "outer").unwrap_or(0.0);
    let contact = take::maybe(inputs, "contact_outer").unwrap_or(outer);
    // Still on the whole face, and just past its edge.
    let mut turns = vec![
        ("contact_outer", outer),
        ("contact_outer", outer + NARROW),
        ("outer", contact),
        ("outer", contact - NARROW),
    ];
    // Just inside and just past the place where the bore grows over the face it stands on.
    turns.push(("inner", contact));
    turns.push(("inner", contact - NARROW));
    if let Some(inner) = take::maybe(inputs, "inner") {
        turns.extend([("contact_outer", inner), ("contact_outer", inner + NARROW)]);
    }
    turns
}
