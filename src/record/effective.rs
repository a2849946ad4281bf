//! What of a record's entries holds in the end: without those that were taken back, and as they were put right later.
//!
//! Takes a record; gives an [`Effective`]. Every entry stays readable as it was written; this only says which counts. How tasks stand by
//! them is left to [`super::status`].

use std::collections::{BTreeMap, BTreeSet};

use super::entry::{Act, Entry, Record};
use crate::chain::Time;

/// Which entries count, and as what.
#[derive(Debug, Default)]
pub struct Effective<'a> {
    /// The numbers of those that were taken back.
    withdrawn: BTreeSet<u64>,
    /// What put an entry right, in order, by the entry's number.
    corrections: BTreeMap<u64, Vec<&'a Entry>>,
}

impl<'a> Effective<'a> {
    /// Goes through a record.
    pub fn of(record: &'a Record) -> Self {
        let mut found = Self::default();
        let withdrawn = record
            .entries
            .iter()
            .filter(|entry| entry.act == Act::Withdrawn);
        found
            .withdrawn
            .extend(withdrawn.filter_map(|entry| entry.entry));
        for entry in record
            .entries
            .iter()
            .filter(|entry| entry.act == Act::Corrected)
        {
            if let Some(number) = entry.entry.filter(|_| found.counts(entry)) {
                found.corrections.entry(number).or_default().push(entry);
            }
        }
        found
    }

    /// Whether an entry was not taken back.
    pub fn counts(&self, entry: &Entry) -> bool {
        !self.withdrawn.contains(&entry.number)
    }

    /// What put an entry right.
    pub fn corrections(&self, entry: &Entry) -> impl Iterator<Item = &'a Entry> {
        self.corrections
            .get(&entry.number)
            .into_iter()
            .flatten()
            .copied()
    }

    /// The odometer of an entry, km.
    pub fn odometer(&self, entry: &Entry) -> Option<f64> {
        let corrected = self.corrections(entry).filter_map(|entry| entry.odometer);
        corrected.last().or(entry.odometer)
    }

    /// The odometer readings among entries, km, each with its entry; what puts one right counts with the entry that it is about.
    pub(super) fn readings<'e>(
        &self,
        entries: impl DoubleEndedIterator<Item = &'e Entry>,
    ) -> impl DoubleEndedIterator<Item = (f64, &'e Entry)> {
        let entries = entries.filter(|entry| self.counts(entry) && entry.act != Act::Corrected);
        entries.filter_map(|entry| Some((self.odometer(entry)?, entry)))
    }

    /// When somebody says that it was done.
    pub fn observed(&self, entry: &Entry) -> Option<Time> {
        self.corrections(entry)
            .filter_map(|entry| entry.at)
            .last()
            .or(entry.at)
    }

    /// When somebody says that it was done, where that is not the minute in which it was recorded.
    pub fn late(&self, entry: &Entry) -> Option<Time> {
        let observed = self.observed(entry);
        observed.filter(|at| at.minute() != entry.time.minute())
    }

    /// When it was done, as far as the record knows.
    pub fn when(&self, entry: &Entry) -> Time {
        self.observed(entry).unwrap_or(entry.time)
    }
}
