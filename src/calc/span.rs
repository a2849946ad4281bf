//! The straight line between the two fixings of a span, and how it grows with the rise. Takes plan and level; gives
//! distances. Whether what spans it can follow is left to `run` and `spigot`.

/// Where one fixing stands relative to the other, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FixingOffset {
    /// Horizontal distance between the fixings, mm, at least 0.
    pub plan: f64,
    /// Height of the body-side fixing above the other, mm; negative when it is below.
    pub level: f64,
}

impl FixingOffset {
    /// The straight distance after a rise r, mm: d(r) = √(plan² + (level + r)²).
    ///
    /// ```
    /// use liftsheet::calc::span::FixingOffset;
    /// assert_eq!(FixingOffset { plan: 300.0, level: 120.0 }.distance(105.0), 375.0);
    /// ```
    pub fn distance(self, rise: f64) -> f64 {
        self.plan.hypot(self.level + rise)
    }

    /// Half the vertical range (mm) over which the distance has grown by at most `growth` ≥ 0 mm:
    /// s = √((d(0) + growth)² − plan²), written without the difference of two large squares.
    ///
    /// ```
    /// use liftsheet::calc::span::FixingOffset;
    /// assert_eq!(FixingOffset { plan: 300.0, level: 0.0 }.half_range(75.0), 225.0);
    /// ```
    pub fn half_range(self, growth: f64) -> f64 {
        (growth * growth + 2.0 * growth * self.distance(0.0) + self.level * self.level).sqrt()
    }
}
