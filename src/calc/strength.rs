//! Strength classes of bolts and nuts. Takes a class's name; gives its proof and yield stress. Loads and torques are left to
//! `bolt`.
//!
//! The stresses stand in `rules/tables/classes.yaml`, each with its source.

use super::CalcError;
use super::tables::{BoltClass, CLASSES};
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

/// Names of the bolt classes, for the choice of an input.
pub(super) const CLASS_NAMES: &[&str] = &["8.8", "10.9", "12.9", "grade 5", "grade 8"];
/// Names of the nut classes.
pub(super) const NUT_NAMES: &[&str] = &["8", "10", "12"];

/// The strength that a row gives, with the series of its threads.
fn of_row(row: &BoltClass) -> (Series, Strength) {
    if let Some(ksi) = row.proof_ksi {
        let strength = Strength {
            proof: ksi * KSI,
            yield_stress: None,
        };
        return (Series::Inch, strength);
    }
    let strength = Strength {
        proof: row.proof.unwrap_or_default(),
        yield_stress: row.yield_stress,
    };
    (Series::Metric, strength)
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
        let rows = CLASSES.bolts.iter();
        let of_series = rows.filter(|row| of_row(row).0 == thread.series);
        let found = of_series.clone().find(|row| row.name == class);
        found.map(|row| of_row(row).1).ok_or_else(|| {
            let names: Vec<&str> = of_series.map(|row| row.name.as_str()).collect();
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
        let nut = CLASSES.nuts.iter().find(|nut| nut.name == nut_class);
        let bolt = nut.and_then(|nut| CLASSES.bolts.iter().find(|row| row.name == nut.carries));
        let Some(carries) = bolt.map(|row| of_row(row).1) else {
            return self;
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
        let known: Vec<&str> = CLASSES.bolts.iter().map(|row| row.name.as_str()).collect();
        assert_eq!(known, CLASS_NAMES);
        let nuts: Vec<&str> = CLASSES.nuts.iter().map(|row| row.name.as_str()).collect();
        assert_eq!(nuts, NUT_NAMES);
    }

    #[test]
    fn the_weaker_of_bolt_and_nut_decides() {
        let strong = Strength::of_bolt("10.9", Thread::read("M12").unwrap()).unwrap();
        let held = Strength {
            proof: 580.0,
            yield_stress: Some(640.0),
        };
        assert_eq!(strong.held_by_nut("8"), held);
        assert_eq!(strong.held_by_nut("12"), strong);
        let inch = Strength::of_bolt("grade 8", Thread::read("1/2-13").unwrap()).unwrap();
        assert_eq!(inch.held_by_nut("8").yield_stress, None);
    }
}
