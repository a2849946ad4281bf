//! What was measured on another vehicle of the kind: shown beside each question, and never used in its stead.
//!
//! Takes places as `fill` names them, `filler-hose.overlap`, and values as typed; says what was there, and whether a reading is far from it.

use std::collections::BTreeMap;

use crate::quantity::{Quantity, Unit, Units};
use crate::sorted::Sorted as _;
use strum::IntoEnumIterator;

/// How much of the last reading another may differ by before somebody is asked to look again.
const PART: f64 = 0.25;
/// What readings differ by anyway, in mm, degrees and kg.
const ANYWAY: f64 = 5.0;

/// The values by place.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LastTime(BTreeMap<String, String>);

impl LastTime {
    /// What was measured at a place such as `mounts.C1L.grip`: there, on all mounts, or on the whole of a connection.
    pub(crate) fn at(&self, place: &str) -> Option<&str> {
        let shared = || {
            let (above, name) = place.rsplit_once('.')?;
            match above.rsplit_once('.')? {
                ("mounts", _) => self.0.get(&format!("every_mount.{name}")),
                (whole, stretch) if stretch.contains('/') => self.0.get(&format!("{whole}.{name}")),
                _ => None,
            }
        };
        let found = self.0.get(place).or_else(shared);
        found.map(String::as_str)
    }

    /// What it was last time and what it is now, where a reading is far from that: by more than a quarter, by more than both may be off, and by more than readings
    /// differ by anyway.
    pub(crate) fn far(&self, place: &str, reading: &str) -> Option<(String, String)> {
        let last = self.at(place)?;
        // Whichever unit it was read in.
        let mut units = Unit::iter();
        let before = units.find_map(|unit| Quantity::parse(last, unit).ok())?;
        let unit = before.unit;
        let now = Quantity::parse(reading, unit).ok()?;
        let anyway = match unit {
            Unit::Mm | Unit::Degree | Unit::Kg => ANYWAY,
            _ => 0.0,
        };
        let usual = before.tolerance.max(now.tolerance).max(anyway);
        let differ = (now.value - before.value).abs();
        (differ > usual.max(PART * before.value.abs())).then(|| {
            let shown = |reading: Quantity| reading.print(Units::Metric);
            (shown(before), shown(now))
        })
    }

    /// Whether nothing is known.
    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl FromIterator<(String, String)> for LastTime {
    fn from_iter<I: IntoIterator<Item = (String, String)>>(values: I) -> Self {
        Self(values.into_iter().sorted_map())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_is_far_beyond_a_quarter_its_tolerance_and_five_millimetres() {
        let of = |place: &str, last: &str| -> LastTime {
            [(place.to_owned(), last.to_owned())].into_iter().collect()
        };
        for (last, now, far) in [
            ("38 mm", "83 mm", true),
            ("38 mm", "83", true),
            ("38 mm ±2", "47.5 mm", false),
            ("38 mm", "47.6 mm", true),
            ("38 mm", "83 mm ±50", false),
            ("12 mm", "17 mm", false),
            ("12 mm", "17.1 mm", true),
            ("0 mm", "6 mm", true),
            ("1.5 in", "3 in", true),
            ("1.5 in", "38 mm", false),
            ("-4 deg", "4 deg", true),
            ("65 N·m", "90 N·m", true),
            ("trim", "grille", false),
            ("38 mm", "none", false),
        ] {
            let all = of("a.b", last);
            assert_eq!(all.far("a.b", now).is_some(), far, "{last} {now}");
        }
        let said = of("a.b", "1.5 in").far("a.b", "83");
        assert_eq!(said, Some(("38.1 mm".to_owned(), "83 mm".to_owned())));
    }

    #[test]
    fn what_all_mounts_or_a_whole_connection_had_holds_for_each() {
        let all: LastTime = [
            ("every_mount.grip", "52"),
            ("loom.slack", "9"),
            ("loom.a/b.gain", "3"),
        ]
        .map(|(place, value)| (place.to_owned(), value.to_owned()))
        .into_iter()
        .collect();
        for (place, value) in [
            ("mounts.C1L.grip", Some("52")),
            ("loom.a/b.slack", Some("9")),
            ("loom.a/b.gain", Some("3")),
            ("loom.gain", None),
            ("parts.x.grip", None),
            ("grip", None),
        ] {
            assert_eq!(all.at(place), value, "{place}");
        }
    }
}
