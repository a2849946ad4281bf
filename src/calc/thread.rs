//! Screw threads by designation: M6 to M16 with their fine pitches, ¼ to ¾ inch in UNC and UNF. Takes `M10x1.25`, `M10`
//! (coarse) or `3/8-24`; gives diameter, pitch and stress area. Strengths are left to `strength`, lengths to `bolt_length`.
//!
//! Diameters and pitches: metric as in ISO 898-1's coarse table (seen in distributors' copies) and fine table (from memory, its
//! stress areas agree with the formula); inch as in ASME B1.1 (3/8, 7/16, 1/2 in both series and 3/4-16 seen in
//! distributors' tables, the rest from memory).

use super::CalcError;

/// A thread of the tables.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// Its designation as this program writes it.
    pub name: &'static str,
    /// Nominal diameter d, mm.
    pub diameter: f64,
    /// Pitch P, mm.
    pub pitch: f64,
    /// Metric or inch.
    pub series: Series,
}

/// Which standard a thread follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Series {
    /// ISO metric.
    Metric,
    /// Unified inch, UNC or UNF.
    Inch,
}

/// Metric threads as (designation, diameter, pitch), mm; the coarse pitch comes first for each diameter.
const METRIC: &[(&str, f64, f64)] = &[
    ("M6x1", 6.0, 1.0),
    ("M8x1.25", 8.0, 1.25),
    ("M8x1", 8.0, 1.0),
    ("M10x1.5", 10.0, 1.5),
    ("M10x1.25", 10.0, 1.25),
    ("M10x1", 10.0, 1.0),
    ("M12x1.75", 12.0, 1.75),
    ("M12x1.5", 12.0, 1.5),
    ("M12x1.25", 12.0, 1.25),
    ("M14x2", 14.0, 2.0),
    ("M14x1.5", 14.0, 1.5),
    ("M16x2", 16.0, 2.0),
    ("M16x1.5", 16.0, 1.5),
];

/// Inch threads as (designation, diameter in inches, threads per inch): UNC, then UNF.
const INCH: &[(&str, f64, f64)] = &[
    ("1/4-20", 0.25, 20.0),
    ("5/16-18", 0.3125, 18.0),
    ("3/8-16", 0.375, 16.0),
    ("7/16-14", 0.4375, 14.0),
    ("1/2-13", 0.5, 13.0),
    ("9/16-12", 0.5625, 12.0),
    ("5/8-11", 0.625, 11.0),
    ("3/4-10", 0.75, 10.0),
    ("1/4-28", 0.25, 28.0),
    ("5/16-24", 0.3125, 24.0),
    ("3/8-24", 0.375, 24.0),
    ("7/16-20", 0.4375, 20.0),
    ("1/2-20", 0.5, 20.0),
    ("9/16-18", 0.5625, 18.0),
    ("5/8-18", 0.625, 18.0),
    ("3/4-16", 0.75, 16.0),
];

/// Millimetres in an inch, exactly.
pub(super) const INCH_MM: f64 = 25.4;

impl Thread {
    /// Reads a designation; fails, listing the tables, when it is not in them. A trailing `UNC` or `UNF` must agree.
    ///
    /// ```
    /// use liftsheet::calc::thread::Thread;
    /// assert_eq!(Thread::read("M10").unwrap().pitch, 1.5);
    /// assert_eq!(Thread::read("M10x1.25").unwrap().name, "M10x1.25");
    /// assert_eq!(Thread::read("1/2-20 UNF").unwrap().diameter, 12.7);
    /// assert!(Thread::read("M10x0.75").is_err());
    /// ```
    pub fn read(text: &str) -> Result<Self, CalcError> {
        let plain: String = text
            .chars()
            .filter(|c| !c.is_whitespace() && *c != '"')
            .map(|c| {
                if c == '×' {
                    'x'
                } else {
                    c.to_ascii_lowercase()
                }
            })
            .collect();
        metric(&plain)
            .or_else(|| inch(&plain))
            .ok_or_else(|| unknown(text))
    }

    /// Tensile stress area, mm²: π/4·(d − 0.9382·P)² metric (ISO 898-1), π/4·(d − 0.9743·P)² inch (ASME B1.1, P = 1/n).
    ///
    /// ```
    /// use liftsheet::calc::thread::Thread;
    /// assert!((Thread::read("M12").unwrap().stress_area() - 84.266).abs() < 5e-4);
    /// assert!((Thread::read("3/8-16").unwrap().stress_area() / 645.16 - 0.07749).abs() < 5e-6);
    /// ```
    #[must_use]
    pub fn stress_area(self) -> f64 {
        let factor = match self.series {
            Series::Metric => 0.9382,
            Series::Inch => 0.9743,
        };
        let across = self.diameter - factor * self.pitch;
        std::f64::consts::FRAC_PI_4 * across * across
    }
}

fn metric(plain: &str) -> Option<Thread> {
    let row = METRIC.iter().find(|(name, ..)| {
        let name = name.to_ascii_lowercase();
        name == plain || name.split_once('x').is_some_and(|(size, _)| size == plain)
    });
    row.map(|&(name, diameter, pitch)| Thread {
        name,
        diameter,
        pitch,
        series: Series::Metric,
    })
}

fn inch(plain: &str) -> Option<Thread> {
    let coarse = plain.strip_suffix("unc");
    let fine = plain.strip_suffix("unf");
    let size = coarse.or(fine).unwrap_or(plain);
    let place = INCH.iter().position(|(name, ..)| *name == size)?;
    let is_coarse = place < INCH.len() / 2;
    if (coarse.is_some() && !is_coarse) || (fine.is_some() && is_coarse) {
        return None;
    }
    INCH.get(place).map(|&(name, inches, per_inch)| Thread {
        name,
        diameter: inches * INCH_MM,
        pitch: INCH_MM / per_inch,
        series: Series::Inch,
    })
}

fn unknown(text: &str) -> CalcError {
    let names: Vec<&str> = METRIC.iter().chain(INCH).map(|(name, ..)| *name).collect();
    CalcError::new(
        "thread",
        format!("`{text}`"),
        format!(
            "{}, or a metric size alone for its coarse pitch",
            names.join(", ")
        ),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_metric_size_alone_is_its_coarse_pitch() {
        for (size, pitch) in [
            ("M6", 1.0),
            ("M8", 1.25),
            ("M12", 1.75),
            ("M14", 2.0),
            ("M16", 2.0),
        ] {
            assert!(
                (Thread::read(size).unwrap().pitch - pitch).abs() < 1e-12,
                "{size}"
            );
        }
    }

    #[test]
    fn spelling_is_forgiving_and_a_wrong_series_is_not() {
        assert_eq!(Thread::read(" m10 × 1.25 ").unwrap().name, "M10x1.25");
        assert_eq!(Thread::read("1/2\"-13 UNC").unwrap().name, "1/2-13");
        assert!(Thread::read("1/2-13 UNF").is_err());
        assert!(Thread::read("M18").is_err());
        assert!(Thread::read("M1").is_err());
        assert!(Thread::read("").is_err());
    }

    #[test]
    fn the_refusal_lists_the_tables() {
        let message = Thread::read("M11").unwrap_err().to_string();
        assert!(
            message.contains("M10x1.5") && message.contains("3/4-16"),
            "{message}"
        );
    }
}
