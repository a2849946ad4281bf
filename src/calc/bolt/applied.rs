//! A torque that is applied to a bolt, and the clamp that it really reaches between the least and the most friction. Takes checked
//! inputs; which torque is applied, and what follows from too little or too much, is left to the rule.

use super::adapt;
use crate::calc::thread::Thread;
use crate::calc::tighten::{mean_bearing, torque_arm};
use crate::calc::{CalcError, Formula, Inputs, Spans, Value, take};
use crate::quantity::Unit;

/// A torque that is applied, and what it is divided by at either end of the friction.
pub(super) struct Applied {
    torque: f64,
    arm_least: f64,
    arm_most: f64,
}

impl Applied {
    pub(super) fn new(inputs: &Inputs, thread: Thread, torque: f64) -> Result<Self, CalcError> {
        let least = take::number(inputs, "friction_least")?;
        let most = take::number(inputs, "friction_most")?;
        if least > most {
            let allowed = format!("at most `friction_most`, which is {most}");
            return Err(CalcError::new("friction_least", least.to_string(), allowed));
        }
        Ok(Self {
            torque,
            arm_least: torque_arm(thread, least),
            arm_most: torque_arm(thread, most),
        })
    }

    pub(super) fn results(&self, proof_load: f64) -> [(&'static str, Value); 3] {
        let most = self.torque / self.arm_least;
        [
            ("clamp_least", (self.torque / self.arm_most).into()),
            ("clamp_most", most.into()),
            ("exceeds_proof", (most > proof_load).into()),
        ]
    }
}

/// The formulas of an applied torque; with the flank diameter where the assembly torque has not given it yet.
pub(super) fn applied_formulas(thread: Thread, with_flank: bool) -> Vec<Formula> {
    let flank = thread.diameter - 0.649_519 * thread.pitch;
    let flank = with_flank.then(|| Formula::step("d_2", "d − 0.649519·P", flank, Unit::Mm));
    let face = mean_bearing(thread);
    let own = [
        Formula::step("D_Km", "mean diameter under the head", face, Unit::Mm).in_words(),
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
pub(super) fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
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
