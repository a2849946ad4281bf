//! Adding an entry to the record of the people: under its lock, signed by the machine where it can, and shown in the files beside it.
//!
//! Takes a folder and how the entry is made of the workshop as it stands then; gives the workshop after it.

use std::path::Path;

use super::entry::{Act, Entry};
use super::workshop::{Workshop, needs_place, record};
use super::written;
use crate::chain::{self, Chain};
use crate::keys::Home;
use crate::report::Problem;

/// Adds an entry that is made of the workshop as it stands under the lock; gives the workshop after it.
pub(super) fn add(
    folder: &Path,
    make: impl FnOnce(&Workshop) -> Result<Entry, Problem>,
) -> Result<Workshop, Problem> {
    let path = record(folder);
    let home = Home::of_this_machine();
    let appended = chain::append(&path, (&Chain::default(), &|| ()), |chain| {
        let mut workshop = Workshop::of(folder, chain.clone());
        if let Ok(home) = &home {
            let seen = home.seen(&workshop.id);
            let doubts = seen.and_then(|seen| workshop.doubts(home, seen.as_ref()));
            workshop.doubt = match doubts {
                Ok(doubt) => doubt,
                // Where nothing is signed yet, a name will do without.
                Err(_) if workshop.record.key().is_none() => None,
                Err(error) => return Err(needs_place(&error)),
            };
        }
        let entry = make(&workshop)?;
        let doubted = workshop.doubt.is_some() && entry.act != Act::Adopted;
        if let Some(doubt) = workshop.doubt.clone().filter(|_| doubted) {
            return Err(doubt);
        }
        signed(workshop, entry, home.as_ref().ok())
    });
    let appended = appended.map_err(|error| error.problem(&path))??;
    let after = Workshop::of(folder, appended.after);
    // What the lines above say holds, whether or not these can be written; opening it says so.
    if let Ok(home) = &home {
        let last = after.record.entries.last();
        let adopted = last.is_some_and(|entry| entry.act == Act::Adopted);
        let _ = after.record.remember(home, &after.id, adopted);
    }
    let _ = written::write(&after);
    Workshop::open(folder).map(|found| found.unwrap_or(after))
}

/// The record with an entry, signed where this machine can.
fn signed(
    workshop: Workshop,
    mut entry: Entry,
    home: Option<&Home>,
) -> Result<Chain<Entry>, Problem> {
    let id = entry
        .workshop
        .clone()
        .unwrap_or_else(|| workshop.id.clone());
    let mut record = workshop.record;
    let secret = match (home, record.key()) {
        (Some(home), Some(_)) => home.secret(&id).map_err(|error| needs_place(&error))?,
        // Without a place for a key nothing is signed, and no PIN can be set.
        (Some(home), None) => home.secret_or_new(&id).ok(),
        (None, _) => None,
    };
    if let Some(secret) = &secret
        && record.key().is_none()
    {
        entry.key = Some(secret.public());
    }
    record.push(entry, secret.as_ref());
    Ok(record)
}
