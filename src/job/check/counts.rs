//! How many of each thing a job may have: far more than any vehicle and any workshop has, and few enough that every page is made in
//! seconds and in little memory.
//!
//! What is beyond a limit is reported once and looked at no further, by `fields`. How large a file and a text may be is `source`'s.

/// Body mounts; a vehicle has a dozen or two.
pub(super) const MOUNTS: usize = 200;
/// Bodies that are raised; a vehicle has two or three.
pub(super) const RAISED: usize = 8;
/// People of one workshop.
pub(super) const PEOPLE: usize = 200;
/// Connections of one vehicle; it has fifty or so.
pub(super) const LINKS: usize = 1_000;
/// Parts of one vehicle.
pub(super) const PARTS: usize = 2_000;
/// Parts that hold one link between its ends, and parts that one part is bolted to.
pub(super) const FIXINGS: usize = 50;
/// Parts that hold the links of one vehicle between their ends, all together.
pub(super) const HOLDERS: usize = 2_000;
/// Entries of one measurement that is a list: a gear lever has a dozen positions.
pub(super) const ENTRIES: usize = 20;
