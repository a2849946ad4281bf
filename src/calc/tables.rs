//! The standards' tables that bolt arithmetic looks things up in. Takes the values of `rules/tables`, which the binary carries; gives
//! it as plain rows. What a row means is left to `thread`, `strength` and `bolt_length`.

use std::sync::LazyLock;

use serde::Deserialize;
use serde::de::DeserializeOwned;

use crate::embedded;

/// `rules/tables/threads.yaml`.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Threads {
    pub(super) metric: Vec<MetricThread>,
    pub(super) coarse_inch: Vec<InchThread>,
    pub(super) fine_inch: Vec<InchThread>,
}

/// A metric thread, mm.
#[derive(Debug, Deserialize)]
pub(super) struct MetricThread {
    pub(super) name: String,
    pub(super) diameter: f64,
    pub(super) pitch: f64,
}

/// An inch thread: diameter in inches, threads in an inch.
#[derive(Debug, Deserialize)]
pub(super) struct InchThread {
    pub(super) name: String,
    pub(super) inches: f64,
    pub(super) per_inch: f64,
}

/// `rules/tables/bolt-lengths.yaml`, mm.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Lengths {
    pub(super) lengths: Vec<f64>,
    pub(super) sizes: Vec<Size>,
}

/// What belongs to a metric size, mm.
#[derive(Debug, Deserialize)]
pub(super) struct Size {
    pub(super) diameter: f64,
    pub(super) nut_height: f64,
    pub(super) shortest: f64,
    pub(super) longest: f64,
}

/// `rules/tables/classes.yaml`.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Classes {
    pub(super) bolts: Vec<BoltClass>,
    pub(super) nuts: Vec<NutClass>,
}

/// A bolt class: proof and yield stress in `MPa`, or the proof stress of an inch grade in ksi.
#[derive(Debug, Deserialize)]
pub(super) struct BoltClass {
    pub(super) name: String,
    pub(super) proof: Option<f64>,
    #[serde(rename = "yield")]
    pub(super) yield_stress: Option<f64>,
    pub(super) proof_ksi: Option<f64>,
}

/// A nut class, and the bolt class that it carries.
#[derive(Debug, Deserialize)]
pub(super) struct NutClass {
    pub(super) name: String,
    pub(super) carries: String,
}

pub(super) static THREADS: LazyLock<Threads> = LazyLock::new(|| read("tables/threads.yaml"));
pub(super) static LENGTHS: LazyLock<Lengths> = LazyLock::new(|| read("tables/bolt-lengths.yaml"));
pub(super) static CLASSES: LazyLock<Classes> = LazyLock::new(|| read("tables/classes.yaml"));

/// Reads a table. A table that cannot be read is empty, and every look-up in it then fails with its own message; a test reads them all.
fn read<T: DeserializeOwned + Default>(path: &str) -> T {
    embedded::values(path).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_can_be_read() {
        assert_eq!(THREADS.metric.len(), 13);
        assert_eq!((THREADS.coarse_inch.len(), THREADS.fine_inch.len()), (8, 8));
        assert_eq!((LENGTHS.lengths.len(), LENGTHS.sizes.len()), (39, 6));
        assert_eq!((CLASSES.bolts.len(), CLASSES.nuts.len()), (5, 3));
    }

    #[test]
    fn every_nut_carries_a_bolt_class_that_is_there() {
        for nut in &CLASSES.nuts {
            assert!(
                CLASSES.bolts.iter().any(|bolt| bolt.name == nut.carries),
                "{nut:?}"
            );
        }
    }
}
