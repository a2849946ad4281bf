//! How many of each thing a job may have: far more than any vehicle and any workshop has, and few enough to be worked out in seconds.
//!
//! What is beyond a limit is reported once and looked at no further, so that a file of a megabyte cannot take the machine's memory.

use super::fields::Fields;
use crate::report::{Code, Path};

/// Body mounts; a vehicle has a dozen or two.
pub(super) const MOUNTS: usize = 200;
/// Bodies that are raised; a vehicle has two or three.
pub(super) const RAISED: usize = 8;
/// People of one workshop.
pub(super) const PEOPLE: usize = 200;
/// Connections of one vehicle.
pub(super) const LINKS: usize = 200_000;
/// Parts of one vehicle.
pub(super) const PARTS: usize = 200_000;
/// Fixings of one link, its ends among them, and parts that one part is bolted to.
pub(super) const FIXINGS: usize = 200;

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
