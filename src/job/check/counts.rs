//! How many of each thing a job may have: far more than any vehicle and any workshop has, and few enough that every page is made in
//! seconds and in little memory.
//!
//! What is beyond a limit is reported once and looked at no further. How large a file and a text may be is `source`'s.

use super::fields::Fields;
use crate::job::written::{HeldBy, Link};
use crate::report::{Code, Path};

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
const HOLDERS: usize = 2_000;
/// Entries of one measurement that is a list: a gear lever has a dozen positions.
pub(super) const ENTRIES: usize = 20;

/// The entries of a list up to the limit; reports when there are more. `what` names them and whose they are.
pub(super) fn up_to<'a, T>(
    entries: &'a [T],
    most: usize,
    what: &str,
    path: &Path,
    fields: &mut Fields<'_>,
) -> &'a [T] {
    match entries.get(..most) {
        Some(first) if entries.len() > most => {
            too_many(entries.len(), most, what, path, fields);
            first
        }
        _ => entries,
    }
}

/// Reports that more parts hold the links of the vehicle than the limit.
pub(super) fn holders(links: &[Link], path: &Path, fields: &mut Fields<'_>) {
    let held = links.iter().filter_map(|link| link.held_by.as_ref());
    let count = held.map(|HeldBy(holders)| holders.len()).sum();
    if count > HOLDERS {
        let what = "parts that hold links between their ends";
        too_many(count, HOLDERS, what, path, fields);
    }
}

/// Reports that there are more than the limit.
pub(super) fn too_many(
    count: usize,
    most: usize,
    what: &str,
    path: &Path,
    fields: &mut Fields<'_>,
) {
    fields.problem(
        Code::TooMany,
        path,
        format!("{count} {what} are more than this program takes: at most {most}"),
        "look whether something was repeated by mistake, and give each vehicle a job file of its own",
    );
}
