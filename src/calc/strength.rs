//! Strength classes of bolts and nuts. Takes a class's name; gives its proof and yield stress. Loads and torques are left to
//! `bolt`.
//!
//! Proof stresses of 8.8 (d ≤ 16), 10.9 and 12.9 were computed back from distributors' copies of the proof-load table of ISO 898-1;
//! yield stresses are those with which the method of VDI 2230 gives fifteen published pairs of preload and torque. Grade 5:
//! 85 ksi, seen in a supplier's copy of SAE J429; grade 8: 120 ksi, computed back from a scanned copy of it.

use super::CalcError;
use super::thread::{Series, Thread};

/// Megapascals in one ksi.
const KSI: f64 = 6.894_757_293_168;

/// A strength class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Proof stress, `MPa`.
    pub proof: f64,
    /// 0.2 % yield stress, `MPa`, for the tightening of metric bolts; none for inch grades.
    pub yield_stress: Option<f64>,
}

/// The bolt classes as (name, series, strength).
const CLASSES: &[(&str, Series, Strength)] = &[
    ("8.8", Series::Metric, metric(580.0, 640.0)),
    ("10.9", Series::Metric, metric(830.0, 940.0)),
    ("12.9", Series::Metric, metric(970.0, 1100.0)),
    ("grade 5", Series::Inch, inch(85.0)),
    ("grade 8", Series::Inch, inch(120.0)),
];

/// Names of the bolt classes, for the choice of an input.
pub(super) const CLASS_NAMES: &[&str] = &["8.8", "10.9", "12.9", "grade 5", "grade 8"];
/// Names of the nut classes.
pub(super) const NUT_NAMES: &[&str] = &["8", "10", "12"];

const fn metric(proof: f64, yield_stress: f64) -> Strength {
    Strength {
        proof,
        yield_stress: Some(yield_stress),
    }
}

const fn inch(proof_ksi: f64) -> Strength {
    Strength {
        proof: proof_ksi * KSI,
        yield_stress: None,
    }
}

impl Strength {
    /// The strength of a bolt class on a thread; fails when the class is not one of the thread's series.
    ///
    /// ```
    /// use liftsheet::calc::{strength::Strength, thread::Thread};
    /// let thread = Thread::read("M10").unwrap();
    /// assert_eq!(Strength::of_bolt("10.9", thread).unwrap().proof, 830.0);
    /// assert!(Strength::of_bolt("grade 5", thread).is_err());
    /// ```
    pub fn of_bolt(class: &str, thread: Thread) -> Result<Self, CalcError> {
        let of_series = CLASSES
            .iter()
            .filter(|(_, series, _)| *series == thread.series);
        let found = of_series.clone().find(|(name, ..)| *name == class);
        found.map(|&(.., strength)| strength).ok_or_else(|| {
            let names: Vec<&str> = of_series.map(|(name, ..)| *name).collect();
            CalcError::new(
                "class",
                format!("`{class}`"),
                format!("{} on the thread {}", names.join(", "), thread.name),
            )
        })
    }

    /// The strength a bolt may be tightened to in a nut of a class: nut 8 carries 8.8, 10 carries 10.9, 12 carries 12.9. An inch
    /// bolt is held to the same proof stresses, because an unknown captive nut is no stronger for its thread.
    #[must_use]
    pub fn held_by_nut(self, nut_class: &str) -> Self {
        let carries = match nut_class {
            "8" => metric(580.0, 640.0),
            "10" => metric(830.0, 940.0),
            _ => metric(970.0, 1100.0),
        };
        if carries.proof >= self.proof {
            return self;
        }
        Self {
            proof: carries.proof,
            yield_stress: self.yield_stress.and(carries.yield_stress),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_names_offered_are_the_classes_known() {
        let known: Vec<&str> = CLASSES.iter().map(|(name, ..)| *name).collect();
        assert_eq!(known, CLASS_NAMES);
    }

    #[test]
    fn the_weaker_of_bolt_and_nut_decides() {
        let strong = Strength::of_bolt("10.9", Thread::read("M12").unwrap()).unwrap();
        assert_eq!(strong.held_by_nut("8"), metric(580.0, 640.0));
        assert_eq!(strong.held_by_nut("12"), strong);
        let inch = Strength::of_bolt("grade 8", Thread::read("1/2-13").unwrap()).unwrap();
        assert_eq!(inch.held_by_nut("8").yield_stress, None);
    }
}
