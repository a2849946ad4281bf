//! Screw threads by designation: M6 to M16 with their fine pitches, ¼ to ¾ inch in UNC and UNF. Takes `M10x1.25`, `M10`
//! (coarse) or `3/8-24`; gives diameter, pitch and stress area. Strengths are left to `strength`, lengths to `bolt_length`.
//!
//! Diameters and pitches stand in `rules/tables/threads.yaml`, each with its source.

use super::CalcError;
use super::tables::{InchThread, THREADS};

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
    let row = THREADS.metric.iter().find(|row| {
        let name = row.name.to_ascii_lowercase();
        name == plain || name.split_once('x').is_some_and(|(size, _)| size == plain)
    });
    row.map(|row| Thread {
        name: &row.name,
        diameter: row.diameter,
        pitch: row.pitch,
        series: Series::Metric,
    })
}

fn inch(plain: &str) -> Option<Thread> {
    let coarse = plain.strip_suffix("unc");
    let fine = plain.strip_suffix("unf");
    let size = coarse.or(fine).unwrap_or(plain);
    let of = |rows: &'static [InchThread]| rows.iter().find(|row| row.name == size);
    let in_coarse = of(&THREADS.coarse_inch).filter(|_| fine.is_none());
    let row = in_coarse.or_else(|| of(&THREADS.fine_inch).filter(|_| coarse.is_none()));
    row.map(|row| Thread {
        name: &row.name,
        diameter: row.inches * INCH_MM,
        pitch: INCH_MM / row.per_inch,
        series: Series::Inch,
    })
}

fn unknown(text: &str) -> CalcError {
    let metric = THREADS.metric.iter().map(|row| row.name.as_str());
    let inch = THREADS.coarse_inch.iter().chain(&THREADS.fine_inch);
    let names: Vec<&str> = metric.chain(inch.map(|row| row.name.as_str())).collect();
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
