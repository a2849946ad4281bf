//! A long bolt as a beam: what it bears sideways if its clamp is lost. Takes the thread, how far its ends are apart, and the force
//! sideways; gives bending stress and margin. While the clamp holds, friction carries that force and the bolt does not bend:
//! whether it holds is left to `spacer`, and what margin is enough to the rule.

use super::spec::nothing_turns;
use super::strength::{CLASS_NAMES, Strength};
use super::thread::{Series, Thread};
use super::{CalcError, Calculation, Formula, Found, InputSpec, Inputs, Range, ResultSpec, take};
use crate::quantity::Unit;

/// Diameter at the root of the thread, mm: d − 1.226869·P metric (ISO 68-1 profile, ISO 724), the same form for unified threads.
fn root(thread: Thread) -> f64 {
    thread.diameter - 1.226_869 * thread.pitch
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "shank",
    title: "what a long bolt bears sideways if its clamp is lost",
    source: "a plain beam; section modulus of a circle (Hicks, Civil Engineering Formulas, p. 16)",
    inputs: &[
        InputSpec::text("thread", "thread, such as M12, M12x1.25 or 1/2-13"),
        InputSpec::choice("class", CLASS_NAMES, "strength class of the bolt"),
        InputSpec::length(
            "length",
            "free length between the parts, such as the block's height",
        ),
        InputSpec::positive("force", Unit::Newton, "force sideways"),
        InputSpec::number(
            "tension",
            Unit::Kilonewton,
            Range::NotNegative,
            "tension that is left in it",
        )
        .or(0.0),
        InputSpec::choice(
            "ends",
            &["one", "both"],
            "how many ends are held square: one is the safe side, rubber holds none",
        ),
    ],
    results: &[
        ResultSpec::newton_metres("moment", "largest bending moment"),
        ResultSpec::megapascals("bending_stress", "bending at the root of the thread"),
        ResultSpec::megapascals("tension_stress", "tension"),
        ResultSpec::megapascals("stress", "both together"),
        ResultSpec::ratio("margin", "proof stress over that"),
        ResultSpec::length(
            "longest",
            "free length at which the proof stress is reached",
        ),
    ],
    run: adapt,
    turning: nothing_turns,
};

/// A long bolt in bending, as a plain beam.
///
/// M = force·length with one end held, force·length/2 with both held square; bending stress = 32·M/(π·d₃³) at the root diameter
/// d₃ = d − 1.226869·P; tension stress = tension/stress area. Lengths in mm, force in N, tension in kN, all at least 0, length above 0.
/// Source: bending of a beam with its section modulus π·d³/32 (Civil Engineering Formulas, Hicks, p. 16).
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let shank = find("shank").unwrap();
/// let given = read_inputs(shank, &["thread=M12", "class=8.8", "length=50", "force=1000", "ends=one"]).unwrap();
/// let found = evaluate(shank, &given).unwrap();
/// assert_eq!(found.number("moment"), Some(50.0));
/// assert!((found.number("bending_stress").unwrap() - 532.43).abs() < 0.05);
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let number = |name: &str| take::number(inputs, name);
    let thread = Thread::read(take::word(inputs, "thread")?)?;
    let proof = Strength::of_bolt(take::word(inputs, "class")?, thread)?.proof;
    let (length, both_held) = (number("length")?, take::word(inputs, "ends")? == "both");
    let share = if both_held { 0.5 } else { 1.0 };
    let moment = number("force")? * length * share / 1000.0;
    let modulus = std::f64::consts::PI * root(thread).powi(3) / 32.0;
    let bending_stress = moment * 1000.0 / modulus;
    let tension_stress = number("tension")? * 1000.0 / thread.stress_area();
    let stress = bending_stress + tension_stress;
    let left = (proof - tension_stress).max(0.0);
    Ok(Found {
        results: vec![
            ("moment", moment.into()),
            ("bending_stress", bending_stress.into()),
            ("tension_stress", tension_stress.into()),
            ("stress", stress.into()),
            ("margin", (proof / stress).into()),
            ("longest", (length * left / bending_stress).into()),
        ],
        formulas: formulas(thread, both_held, proof),
    })
}

fn formulas(thread: Thread, both_held: bool, proof: f64) -> Vec<Formula> {
    let area = match thread.series {
        Series::Metric => "π/4·(d − 0.9382·P)²",
        Series::Inch => "π/4·(d − 0.9743·P)²",
    };
    let moment = if both_held {
        "force·length/2/1000"
    } else {
        "force·length/1000"
    };
    vec![
        Formula::said_step("d", "nominal diameter", thread.diameter, Unit::Mm),
        Formula::said_step("P", "pitch", thread.pitch, Unit::Mm),
        Formula::step("d_3", "d − 1.226869·P", root(thread), Unit::Mm),
        Formula::of("moment", moment),
        Formula::of("bending_stress", "32·moment·1000/(π·d_3·d_3²)"),
        Formula::step("A_s", area, thread.stress_area(), Unit::SquareMm),
        Formula::of("tension_stress", "tension·1000/A_s"),
        Formula::of("stress", "bending_stress + tension_stress"),
        Formula::said_step("S_p", "proof stress of the class", proof, Unit::Megapascal),
        Formula::of("margin", "S_p/stress"),
        Formula::of(
            "longest",
            "length·max(0, S_p − tension_stress)/bending_stress",
        ),
    ]
}
