//! Preload and torque of a bolt. Takes a thread and what it is tightened to; gives clamp and torque by the two methods in use.
//! Which strength class decides, and which torque is the ceiling, is left to `bolt`.

use super::thread::{Series, Thread};

/// Tightening after VDI 2230, 90 % of yield with tension and torsion together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Assembly {
    /// Preload, kN.
    pub clamp: f64,
    /// Tightening torque, N·m.
    pub torque: f64,
}

/// Hole and head by diameter as (d, hole `d_h`, bearing face `d_w`), mm, for the friction under the head. M8 to M16 as used with the
/// published pairs of the VDI 2230 method; M6 from memory.
const HEADS: &[(f64, f64, f64)] = &[
    (6.0, 6.6, 8.88),
    (8.0, 9.0, 11.63),
    (10.0, 11.0, 14.63),
    (12.0, 13.5, 16.63),
    (14.0, 15.5, 19.37),
    (16.0, 17.5, 22.49),
];

/// Preload (kN) and torque (N·m) of a metric bolt tightened to 90 % of its yield stress (`MPa`), after VDI 2230; none for inch
/// threads.
///
/// d₂ = d − 0.649519·P, d₃ = d − 1.226869·P, d₀ = (d₂ + d₃)/2; σ = `0.9·R_p/√(1` + 3·(1.5·d₂/d₀·(P/(π·d₂) + 1.155·μ))²); clamp = `A_s·σ`;
/// torque = clamp·(0.159·P + 0.577·d₂·μ + (`d_w` + `d_h)/4·μ`), with the same friction μ in the thread and under the head.
/// Lengths in mm. Range: μ 0.05…0.5. Source: VDI 2230, as checked against published pairs; the guideline was not opened.
///
/// ```
/// use liftsheet::calc::{tighten::assembly, thread::Thread};
/// let found = assembly(Thread::read("M10x1.25").unwrap(), 640.0, 0.12).unwrap();
/// assert!((found.clamp - 31.63).abs() < 0.01 && (found.torque - 50.73).abs() < 0.01);
/// ```
pub fn assembly(thread: Thread, yield_stress: f64, friction: f64) -> Option<Assembly> {
    if thread.series == Series::Inch {
        return None;
    }
    let (d, pitch) = (thread.diameter, thread.pitch);
    let d2 = d - 0.649_519 * pitch;
    let d3 = d - 1.226_869 * pitch;
    let d0 = f64::midpoint(d2, d3);
    let torsion = 1.5 * d2 / d0 * (pitch / (std::f64::consts::PI * d2) + 1.155 * friction);
    let stress = 0.9 * yield_stress / (1.0 + 3.0 * torsion * torsion).sqrt();
    let clamp = thread.stress_area() * stress / 1000.0;
    Some(Assembly {
        clamp,
        torque: clamp * torque_arm(thread, friction),
    })
}

/// What a torque (N·m) is divided by to give the clamp (kN) that it reaches, mm, with the same friction μ in the thread and under the head.
///
/// arm = 0.159·P + 0.577·d₂·μ + `D_Km`/2·μ: what VDI 2230 multiplies the preload by, turned round. `D_Km` is the mean of head and
/// hole diameter; for inch threads 1.25·d, a head of one and a half diameters as Shigley takes it (from memory).
/// Range: μ 0.05…0.5. Source: VDI 2230, as checked against published pairs; the guideline was not opened.
///
/// ```
/// use liftsheet::calc::{thread::Thread, tighten::torque_arm};
/// let arm = torque_arm(Thread::read("M10x1.25").unwrap(), 0.12);
/// assert!((50.73 / arm - 31.63).abs() < 0.01);
/// ```
pub fn torque_arm(thread: Thread, friction: f64) -> f64 {
    let d2 = thread.diameter - 0.649_519 * thread.pitch;
    0.159 * thread.pitch + (0.577 * d2 + mean_bearing(thread) / 2.0) * friction
}

/// Mean diameter of the face under the head, mm.
pub(super) fn mean_bearing(thread: Thread) -> f64 {
    let of_size = |(size, ..): &&(f64, f64, f64)| (size - thread.diameter).abs() < 1e-9;
    let head = HEADS
        .iter()
        .find(|head| thread.series == Series::Metric && of_size(head));
    head.map_or(1.25 * thread.diameter, |(_, hole, face)| {
        f64::midpoint(*hole, *face)
    })
}

/// Torque (N·m) by the torque factor: T = K·d·F, with d in mm and the clamp F in kN. Source: the short form of handbooks.
///
/// ```
/// assert_eq!(liftsheet::calc::tighten::torque_by_factor(0.25, 10.0, 32.0), 80.0);
/// ```
pub fn torque_by_factor(nut_factor: f64, diameter: f64, clamp: f64) -> f64 {
    nut_factor * diameter * clamp
}
