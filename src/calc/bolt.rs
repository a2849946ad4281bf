//! A bolt: its clamp load and tightening torque. Takes thread, strength classes, surface, and a torque where one is applied; gives loads
//! and torques, the lower torque as a ceiling, and the least and most clamp that an applied torque reaches. A vehicle maker's
//! torque always wins over the ceiling, and a rubber-cushioned mount with a crush sleeve has the maker's figure only: saying so is
//! left to the sheet.

use super::strength::{CLASS_NAMES, NUT_NAMES, Strength};
use super::thread::{Series, Thread};
use super::tighten::{Assembly, assembly, mean_bearing, torque_arm, torque_by_factor};
use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, Range, ResultSpec, Spans, Value,
    take,
};
use crate::quantity::Unit;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "bolt",
    title: "clamp load and tightening torque of a bolt; a vehicle maker's torque always wins",
    source: "ISO 898-1, SAE J429, ASME B1.1 (distributors' copies); T = K·d·F; VDI 2230 against published pairs",
    inputs: &[
        InputSpec::text("thread", "thread, such as M10x1.25, M10 or 3/8-24"),
        InputSpec::choice("class", CLASS_NAMES, "strength class of the bolt"),
        InputSpec::choice(
            "nut_class",
            NUT_NAMES,
            "strength class of the nut; a captive nut of unknown class is 8",
        )
        .optional(),
        InputSpec::choice(
            "surface",
            &["dry", "lubricated"],
            "dry, or lubricated: anti-seize and threadlocker are lubricated",
        )
        .optional(),
        InputSpec::number(
            "nut_factor",
            Unit::One,
            Range::Between(0.0, 1.0),
            "torque factor K in place of the surface: 0.20 dry, 0.15 lubricated",
        )
        .optional(),
        InputSpec::number(
            "proof_share",
            Unit::One,
            Range::Within(0.1, 0.9),
            "share of the proof load to clamp with",
        )
        .or(0.75),
        InputSpec::number(
            "friction",
            Unit::One,
            Range::Within(0.05, 0.5),
            "friction in the thread and under the head, metric threads",
        )
        .or(0.12),
        InputSpec::positive("torque", Unit::NewtonMetre, "torque that is applied").optional(),
        InputSpec::number(
            "friction_least",
            Unit::One,
            Range::Within(0.05, 0.5),
            "least friction that this surface can have",
        )
        .or(0.10),
        InputSpec::number(
            "friction_most",
            Unit::One,
            Range::Within(0.05, 0.5),
            "most friction that this surface can have",
        )
        .or(0.16),
    ],
    results: &[
        ResultSpec::number("stress_area", Unit::SquareMm, "tensile stress area"),
        ResultSpec::kilonewtons("proof_load", "proof load of the weaker of bolt and nut"),
        ResultSpec::kilonewtons("clamp", "clamp load at the share of proof"),
        ResultSpec::newton_metres("torque_by_factor", "torque by the torque factor"),
        ResultSpec::kilonewtons("assembly_clamp", "preload at 90 % of yield").may_be_absent(),
        ResultSpec::newton_metres("assembly_torque", "torque at 90 % of yield").may_be_absent(),
        ResultSpec::newton_metres("torque_ceiling", "the lower of the torques"),
        ResultSpec::kilonewtons(
            "clamp_least",
            "clamp that the applied torque reaches at the most friction",
        )
        .may_be_absent(),
        ResultSpec::kilonewtons("clamp_most", "clamp that it reaches at the least friction")
            .may_be_absent(),
        ResultSpec::answer("exceeds_proof", "whether that is more than the proof load")
            .may_be_absent(),
    ],
    run: adapt,
    turning,
};

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let thread = Thread::read(take::word(inputs, "thread")?)?;
    let bolt = Strength::of_bolt(take::word(inputs, "class")?, thread)?;
    let nut = take::maybe_word(inputs, "nut_class");
    let strength = nut.map_or(bolt, |class| bolt.held_by_nut(class));
    let factor = nut_factor(inputs)?;
    let area = thread.stress_area();
    let proof_load = area * strength.proof / 1000.0;
    let clamp = take::number(inputs, "proof_share")? * proof_load;
    let torque = torque_by_factor(factor, thread.diameter, clamp);
    let friction = take::number(inputs, "friction")?;
    let tightened = strength
        .yield_stress
        .and_then(|stress| assembly(thread, stress, friction));
    let mut results: Vec<(&'static str, Value)> = vec![
        ("stress_area", area.into()),
        ("proof_load", proof_load.into()),
        ("clamp", clamp.into()),
        ("torque_by_factor", torque.into()),
    ];
    if let Some(tightened) = tightened {
        results.push(("assembly_clamp", tightened.clamp.into()));
        results.push(("assembly_torque", tightened.torque.into()));
    }
    let ceiling = tightened.map_or(torque, |tightened| torque.min(tightened.torque));
    results.push(("torque_ceiling", ceiling.into()));
    let mut formulas = formulas(thread, strength, factor, tightened);
    if let Some(torque) = take::maybe(inputs, "torque") {
        results.extend(applied(inputs, thread, (torque, proof_load))?);
        formulas.extend(applied_formulas(thread, tightened.is_none()));
    }
    Ok(Found { results, formulas })
}

/// The torque factor K: as given, or by the surface.
fn nut_factor(inputs: &Inputs) -> Result<f64, CalcError> {
    match (
        take::maybe(inputs, "nut_factor"),
        take::maybe_word(inputs, "surface"),
    ) {
        (Some(factor), _) => Ok(factor),
        (None, Some("dry")) => Ok(0.20),
        (None, Some(_)) => Ok(0.15),
        (None, None) => Err(take::missing(
            "surface",
            "dry or lubricated, unless `nut_factor` is given",
        )),
    }
}

fn formulas(
    thread: Thread,
    strength: Strength,
    factor: f64,
    tightened: Option<Assembly>,
) -> Vec<Formula> {
    let (d, pitch) = (thread.diameter, thread.pitch);
    let area = match thread.series {
        Series::Metric => "π/4·(d − 0.9382·P)²",
        Series::Inch => "π/4·(d − 0.9743·P)²",
    };
    let mut lines = vec![
        Formula::said_step("d", "nominal diameter", d, Unit::Mm),
        Formula::said_step("P", "pitch", pitch, Unit::Mm),
        Formula::of("stress_area", area),
        Formula::said_step(
            "S_p",
            "proof stress of the weaker of bolt and nut",
            strength.proof,
            Unit::Megapascal,
        ),
        Formula::of("proof_load", "stress_area·S_p/1000"),
        Formula::of("clamp", "proof_share·proof_load"),
        Formula::said_step("K", "torque factor of the surface", factor, Unit::One),
        Formula::of("torque_by_factor", "K·d·clamp"),
    ];
    if let Some((stress, found)) = strength.yield_stress.zip(tightened) {
        let lever = found.torque / found.clamp;
        let sigma = found.clamp * 1000.0 / thread.stress_area();
        lines.extend([
            Formula::said_step("R_p", "yield stress", stress, Unit::Megapascal),
            Formula::step("d_2", "d − 0.649519·P", d - 0.649_519 * pitch, Unit::Mm),
            Formula::step("d_0", "d − 0.938194·P", d - 0.938_194 * pitch, Unit::Mm),
            Formula::step(
                "sigma",
                "0.9·R_p/√(1 + 3·(1.5·d_2/d_0·(P/(π·d_2) + 1.155·friction))²)",
                sigma,
                Unit::Megapascal,
            ),
            Formula::of("assembly_clamp", "stress_area·sigma/1000"),
            Formula::step(
                "lever",
                "0.159·P + 0.577·d_2·friction + a quarter of head and hole diameter·friction",
                lever,
                Unit::Mm,
            ),
            Formula::of("assembly_torque", "assembly_clamp·lever"),
            Formula::of("torque_ceiling", "min(torque_by_factor, assembly_torque)"),
        ]);
    } else {
        lines.push(Formula::of("torque_ceiling", "torque_by_factor"));
    }
    lines
}

/// The clamp that an applied torque reaches at either end of the friction, and whether that is too much.
fn applied(
    inputs: &Inputs,
    thread: Thread,
    (torque, proof_load): (f64, f64),
) -> Result<[(&'static str, Value); 3], CalcError> {
    let least = take::number(inputs, "friction_least")?;
    let most = take::number(inputs, "friction_most")?;
    if least > most {
        let allowed = format!("at most `friction_most`, which is {most}");
        return Err(CalcError::new("friction_least", least.to_string(), allowed));
    }
    let clamp_most = torque / torque_arm(thread, least);
    Ok([
        ("clamp_least", (torque / torque_arm(thread, most)).into()),
        ("clamp_most", clamp_most.into()),
        ("exceeds_proof", (clamp_most > proof_load).into()),
    ])
}

/// The formulas of an applied torque; with the flank diameter where the assembly torque has not given it yet.
fn applied_formulas(thread: Thread, with_flank: bool) -> Vec<Formula> {
    let flank = thread.diameter - 0.649_519 * thread.pitch;
    let flank = with_flank.then(|| Formula::step("d_2", "d − 0.649519·P", flank, Unit::Mm));
    let face = mean_bearing(thread);
    let own = [
        Formula::said_step("D_Km", "mean diameter under the head", face, Unit::Mm),
        Formula::of(
            "clamp_least",
            "torque/(0.159·P + 0.577·d_2·friction_most + D_Km/2·friction_most)",
        ),
        Formula::of(
            "clamp_most",
            "torque/(0.159·P + 0.577·d_2·friction_least + D_Km/2·friction_least)",
        ),
        Formula::of("exceeds_proof", "clamp_most > proof_load"),
    ];
    flank.into_iter().chain(own).collect()
}

/// The clamp reaches the proof load at one torque, and at one least friction.
fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    let thread = take::word(inputs, "thread").and_then(Thread::read);
    let (Ok(thread), Ok(found)) = (thread, adapt(inputs)) else {
        return Vec::new();
    };
    let proof = found.results.iter().find(|(name, _)| *name == "proof_load");
    let (Some((_, Value::Number(proof))), Some(torque), Some(least)) = (
        proof,
        take::maybe(inputs, "torque"),
        take::maybe(inputs, "friction_least"),
    ) else {
        return Vec::new();
    };
    let still = torque_arm(thread, 0.0);
    let each = torque_arm(thread, 1.0) - still;
    let at_proof = (torque / proof - still) / each;
    vec![
        ("torque", proof * torque_arm(thread, least) * (1.0 + 1e-12)),
        ("friction_least", at_proof - 1e-12),
    ]
}
